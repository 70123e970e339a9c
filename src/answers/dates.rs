//! The dates of all shows to come in one list, and what contradicts itself in them, named before any begins.

use std::collections::BTreeSet;

use chrono::{Duration, NaiveDate, NaiveDateTime};

use crate::answers::Outlook;
use crate::answers::view::{DateConflict, DateRow, Dates, Finding, Level};
use crate::answers::words::{n_of, say_date, some};
use crate::domain::{Duty, DutyKind, PieceId, PlaceId, Season};

/// Dates of the shows that are not over, with their duties, and their conflicts.
pub(crate) fn dates(outlook: &Outlook) -> Dates {
    let today = outlook.local_now().date();
    let mut shows: Vec<&Season> = outlook
        .yard
        .seasons
        .iter()
        .filter(|s| s.closed_on.is_none() && last_day(s).is_none_or(|d| d >= today))
        .collect();
    shows.sort_by_key(|s| (s.lights_on.is_none(), s.lights_on, s.code.as_str()));
    let mut rows: Vec<DateRow> = shows.iter().flat_map(|s| rows_of(outlook, s)).collect();
    rows.sort_by(|a, b| (a.day, a.time, &a.season).cmp(&(b.day, b.time, &b.season)));
    for row in &mut rows {
        row.past = row.day < today;
    }
    let mut conflicts: Vec<DateConflict> = shows.iter().flat_map(|s| out_of_order(outlook, s)).collect();
    for (n, a) in shows.iter().enumerate() {
        for b in shows.iter().skip(n + 1) {
            conflicts.extend(between(outlook, a, b));
        }
    }
    let not_told = shows.iter().flat_map(|s| untold(outlook, s, &shows)).collect();
    Dates { rows, conflicts, not_told }
}

/// What the shows to come want of one another's dates and pieces, as `check stock` says it of one of them, and dates of it
/// that nobody told.
pub(crate) fn for_stock(outlook: &Outlook, season: &Season) -> (Vec<Finding>, Vec<String>) {
    let all = dates(outlook);
    let mine = all.conflicts.iter().filter(|c| c.seasons.contains(&season.code));
    let found = mine.map(|c| {
        Finding::new(
            Level::Mend,
            c.code,
            season.name.clone(),
            c.what.clone(),
            c.pieces.join(", "),
            "",
            &c.remedy,
        )
    });
    (found.collect(), all.not_told)
}

/// Dates of a show that others hang on and nobody told.
fn untold(outlook: &Outlook, s: &Season, shows: &[&Season]) -> Vec<String> {
    let mut lines = Vec::new();
    if s.lights_on.is_some() && s.rehearsal.is_none() {
        lines.push(format!("{}: rehearsal not told, ready by the day the lights go on", s.name));
    }
    let later = |o: &&&Season| o.id != s.id && o.lights_on.zip(s.lights_on).is_some_and(|(o, s)| o >= s);
    let shared = shows.iter().filter(later).filter(|o| !shared(outlook, s, o).is_empty());
    let names: Vec<String> = shared.map(|o| o.name.clone()).collect();
    let last_untold = s.lights_off.is_none();
    if last_untold && names.is_empty() && s.lights_on.is_some() {
        lines.push(format!("{}: last night not told, not compared with the other dates", s.name));
    } else if last_untold && !names.is_empty() {
        lines.push(format!(
            "{}: last night not told, whether its pieces are free for {} not known",
            s.name,
            some(names)
        ));
    }
    // Marks of buried lines are asked for by themselves.
    let dateless = |d: &&Duty| {
        let dates = [d.opens_on, d.due_on, d.expires_on];
        d.kind != DutyKind::BuriedLines && dates.iter().all(Option::is_none)
    };
    let dateless = outlook.yard.duties.iter().filter(|d| d.season_id == s.id).filter(dateless);
    let dateless = some(dateless.map(|d| d.code.clone()));
    if !dateless.is_empty() {
        lines.push(format!("{}: no date told of {dateless}: when it is to be done not known", s.name));
    }
    lines.extend(marks_untold(outlook, s).into_iter().map(|line| format!("{}: {line}", s.name)));
    lines
}

/// Requests for the marks of buried lines of which nobody told when they are answered, or how long the marks hold.
pub(crate) fn marks_untold(outlook: &Outlook, s: &Season) -> Vec<String> {
    let requests =
        || outlook.yard.duties.iter().filter(|d| d.season_id == s.id && d.kind == DutyKind::BuriedLines);
    let open = |is: &dyn Fn(&Duty) -> bool| some(requests().filter(|d| is(d)).map(|d| d.code.clone()));
    let (held, answered) = (open(&|d| d.expires_on.is_none()), open(&|d| d.lead_days.is_none()));
    [
        (held, "until when the marks of buried lines hold"),
        (answered, "how many days the marks of buried lines take"),
    ]
    .into_iter()
    .filter(|(codes, _)| !codes.is_empty())
    .map(|(codes, what)| format!("{what} not told ({codes}): what goes into the ground not held back by it"))
    .collect()
}

/// Pieces that two shows put out and take down.
fn shared(outlook: &Outlook, a: &Season, b: &Season) -> Vec<String> {
    let facts = outlook.facts();
    let pieces = |s: &Season| -> BTreeSet<PieceId> {
        let placed = facts.placements_in(s.id).into_iter().filter(|p| !p.permanent);
        placed.flat_map(|p| facts.pieces_of(p.id).to_vec()).collect()
    };
    let (a, b) = (pieces(a), pieces(b));
    a.intersection(&b).filter_map(|id| facts.piece(*id)).map(|p| p.code.clone()).collect()
}

/// The last day on which something of a show is to happen; of one whose last night is not told, its first.
fn last_day(s: &Season) -> Option<NaiveDate> {
    s.down_from.max(s.lights_off).or(s.lights_on.map(|t| t.date()))
}

fn rows_of(outlook: &Outlook, s: &Season) -> Vec<DateRow> {
    let row = |day: NaiveDate, time, what: &str, title: &str| DateRow {
        day,
        time,
        season: s.code.clone(),
        show: s.name.clone(),
        what: what.to_owned(),
        title: title.to_owned(),
        past: false,
    };
    let mut rows = Vec::new();
    for (at, what, title) in [
        (s.rehearsal, "rehearsal", "rehearsal under load"),
        (s.rehearsal_dark, "rehearsal_dark", "rehearsal after dark"),
        (s.lights_on, "lights_on", "lights on"),
    ] {
        rows.extend(at.map(|t: NaiveDateTime| row(t.date(), Some(t.time()), what, title)));
    }
    for (day, what, title) in [
        (s.work_from, "work_from", "work outdoors from"),
        (s.lights_off, "lights_off", "last night"),
        (s.down_from.or(s.lights_off.and(s.down_day())), "down_from", "takedown from"),
    ] {
        rows.extend(day.map(|d| row(d, None, what, title)));
    }
    for duty in outlook.yard.duties.iter().filter(|d| d.season_id == s.id) {
        rows.extend(duty.due_on.map(|d| row(d, None, &duty.code, &duty.title)));
    }
    rows
}

/// Dates of one show that can't follow each other.
fn out_of_order(outlook: &Outlook, s: &Season) -> Vec<DateConflict> {
    let on = s.lights_on;
    let midnight = |d: Option<NaiveDate>| d.map(|d| d.and_time(chrono::NaiveTime::MIN));
    let day = |t: Option<NaiveDateTime>| midnight(t.map(|t| t.date()));
    let found = |first: Option<NaiveDateTime>, then: Option<NaiveDateTime>, name: &str, before: &str| {
        let (a, b) = first.zip(then).filter(|(a, b)| a > b)?;
        Some(DateConflict {
            code: "dates-out-of-order",
            seasons: vec![s.code.clone()],
            what: format!(
                "{}: {name} is on {}, and {before} on {}",
                s.name,
                say_date(a.date()),
                say_date(b.date())
            ),
            remedy: "correct one of the dates".to_owned(),
            pieces: Vec::new(),
        })
    };
    let own = [
        (s.rehearsal, on, "the rehearsal", "the lights go on"),
        (s.rehearsal_dark, on, "the rehearsal after dark", "the lights go on"),
        (s.rehearsal, s.rehearsal_dark, "the rehearsal under load", "the one after dark"),
        (midnight(s.work_from), day(on), "the work outdoors", "the lights go on"),
        (midnight(s.work_from), day(s.rehearsal), "the work outdoors", "the rehearsal"),
        (day(on), midnight(s.lights_off), "lights on", "the last night"),
        (midnight(s.lights_off), midnight(s.down_from), "the last night", "takedown"),
    ];
    let own = own.into_iter().filter_map(|(first, then, name, before)| found(first, then, name, before));
    let duties = outlook.yard.duties.iter().filter(|d| d.season_id == s.id).flat_map(|d| {
        let (opens, due, ends) = (midnight(d.opens_on), midnight(d.due_on), midnight(d.expires_on));
        let said = |what: &str| format!("{what} of {} ({})", d.title, d.code);
        // What was answered holds to beyond the day on which it is wanted.
        [
            (opens, due, "the first day", "the last day is"),
            (due, ends, "the day it is due", "its end is"),
            (opens, ends.filter(|_| due.is_none()), "the first day", "its end is"),
        ]
        .into_iter()
        .filter_map(|(first, then, name, before)| found(first, then, &said(name), before))
        .collect::<Vec<_>>()
    });
    own.chain(duties).collect()
}

/// What two shows can't both have; `a` goes on first.
fn between(outlook: &Outlook, a: &Season, b: &Season) -> Vec<DateConflict> {
    let facts = outlook.facts();
    let placed = |s: &Season| facts.placements_in(s.id);
    let both = shared(outlook, a, b);
    let (Some(a_on), Some(a_off), Some(b_on)) = (a.lights_on, a.lights_off, b.lights_on) else {
        return Vec::new();
    };
    let mut found = Vec::new();
    let mut add = |code: &'static str, what: String, remedy: &str, pieces: Vec<String>| {
        let seasons = vec![a.code.clone(), b.code.clone()];
        found.push(DateConflict { code, seasons, what, remedy: remedy.to_owned(), pieces });
    };
    let b_off = b.lights_off.unwrap_or(b_on.date());
    if b_on.date() <= a_off && a_on.date() <= b_off {
        let (from, to) = (say_date(a_on.date().max(b_on.date())), say_date(a_off.min(b_off)));
        if both.is_empty() {
            let place =
                |s: &Season| -> BTreeSet<PlaceId> { placed(s).iter().filter_map(|p| p.place_id).collect() };
            let places: Vec<&str> = place(a)
                .intersection(&place(b))
                .filter_map(|id| facts.place(*id))
                .map(|p| p.name.as_str())
                .collect();
            if !places.is_empty() {
                let what = format!(
                    "{} and {} are both lit from {from} to {to} at {}",
                    a.name,
                    b.name,
                    some(places.iter().map(|p| (*p).to_owned()))
                );
                add("lit-at-once", what, "change a date, or put one of them elsewhere", Vec::new());
            }
        } else {
            let what = format!(
                "{} and {} both want {} from {from} to {to}: {}",
                a.name,
                b.name,
                n_of(both.len(), "piece"),
                some(both.iter().cloned())
            );
            add("pieces-twice", what, "change a date, or put out other pieces", both);
        }
        return found;
    }
    if both.is_empty() {
        return found;
    }
    // What both use is free once the first is off; it is to be up by the other's rehearsal, told or not.
    let (due, what_due) = match b.rehearsal {
        Some(t) => (t, "rehearsal"),
        None => (b_on, "lights on"),
    };
    if due.date() <= a_off {
        let what = format!(
            "{} of {} on {} wants {} that {} is lit with until {}: {}",
            what_due,
            b.name,
            say_date(due.date()),
            n_of(both.len(), "piece"),
            a.name,
            say_date(a_off),
            some(both.iter().cloned())
        );
        add("pieces-still-lit", what, "rehearse later, or put out other pieces", both);
        return found;
    }
    let free = a_off + Duration::days(1);
    let told = outlook.yard.sessions.iter().any(|x| x.starts.date() >= outlook.local_now().date());
    let time = outlook.yard.sessions.iter().any(|x| !x.lost && x.starts.date() >= free && x.starts < due);
    if told && !time {
        let what = format!(
            "{} to move from {} to {} between {} and {what_due} on {}, and no session lies there",
            n_of(both.len(), "piece"),
            a.name,
            b.name,
            say_date(a_off),
            say_date(due.date())
        );
        add("no-session-between", what, "tell a session there, or change a date", both);
    }
    found
}
