//! Today drawn: the count down, what is in the way, what is ready, what is held.

use ratatui::layout::Rect;

use crate::answers::view::{Level, Today};
use crate::tui::look::{Role, Tint};
use crate::tui::state::State;
use crate::tui::widgets::table::{self, Cell, Line};
use crate::tui::widgets::text::{counted, minutes, width, wrap};
use crate::tui::widgets::{Canvas, big, panes};

/// Draws Today.
pub fn draw(state: &State, canvas: &mut Canvas, area: Rect) {
    if state.frame.empty {
        first_run(canvas, area);
        return;
    }
    let Some(page) = &state.today.page else { return };
    let row = head(page, state.lines, canvas, area);
    let body = panes::below(area, row);
    let room = usize::from(area.width).saturating_sub(BESIDE);
    // Where all rows have room whole, none is cut.
    let whole = lines(state, page, room, true);
    let fits = table::high(&HEADS, &whole, body.width) + notes_short(page).len() <= usize::from(body.height);
    let rows = if fits { whole } else { lines(state, page, room, false) };
    // All notes where the list leaves them room, else the first of each kind.
    let all: Vec<String> = notes(page).iter().flat_map(|text| wrap(text, usize::from(area.width))).collect();
    let free = usize::from(body.height).saturating_sub(table::high(&HEADS, &rows, body.width));
    let tail = if all.len() <= free { all } else { notes_short(page) };
    let room = usize::from(body.height).saturating_sub(tail.len());
    let marked = (!state.today.is_empty()).then_some(state.today.at);
    table::draw(canvas, Rect { height: room as u16, ..body }, &HEADS, &rows, marked);
    for (row, line) in (room..).zip(&tail) {
        canvas.text(body, 0, row, line, Role::Text);
    }
}

/// The count down and the work left; gives the rows used.
fn head(page: &Today, lines: bool, canvas: &mut Canvas, area: Rect) -> usize {
    let mut row = 0;
    // Before lights on the days count; while it is lit what tonight's round has left.
    let left = page.steps_total - page.steps_done;
    let number = match page.phase {
        "tonight" | "down" => (left > 0).then(|| left.to_string()),
        _ => page.days_to_lights_on.filter(|d| *d >= 0).map(|d| d.to_string()),
    };
    // Half blocks can't be written in ASCII; the words beside say the same.
    let tall = area.height > 16 && !lines && !canvas.look().ascii;
    let indent = match &number {
        Some(n) if tall => {
            big::draw(canvas, area, 0, n);
            n.len() * 6 + 2
        }
        _ => 0,
    };
    let side = Rect { x: area.x + indent as u16, width: area.width.saturating_sub(indent as u16), ..area };
    let until = match (page.days_to_lights_on, &page.lights_on) {
        (Some(0), Some(on)) => format!("Lights on today: {on}"),
        (Some(d), Some(on)) if d < 0 => {
            format!("{} since lights on, {on}", counted(d.unsigned_abs() as usize, "day", "days"))
        }
        (Some(d), Some(on)) => format!("{} to lights on, {on}", counted(d as usize, "day", "days")),
        (None, Some(on)) => page
            .lit_until
            .as_ref()
            .map_or_else(|| format!("Lit since {on}"), |d| format!("Was lit until {d}")),
        _ => "Lights on: not told. Add the date under 0 Seasons.".to_owned(),
    };
    if page.phase == "tonight" {
        row += tonight(page, canvas, side, row);
        row += canvas.wrapped(side, row, &until, Role::Text);
    } else if let Some(last) = &page.last_show {
        row += canvas.wrapped(side, row, "No show is ahead", Role::Strong);
        row += canvas.wrapped(side, row, last, Role::Text);
        if let Some(first) = page.alarms.first() {
            row += canvas.wrapped(
                side,
                row,
                &format!("First: {}, in {}", first.what, first.screen.name()),
                Role::Strong,
            );
        }
    } else if page.phase == "down" {
        let work = match left {
            0 => "The takedown is done".to_owned(),
            n => format!("{} of takedown left", counted(n, "step", "steps")),
        };
        row += canvas.wrapped(side, row, &format!("{work}. {until}"), Role::Strong);
        row += building(page, canvas, side, row);
    } else {
        row += canvas.wrapped(side, row, &until, Role::Strong);
        row += building(page, canvas, side, row);
    }
    let row = row.max(if indent > 0 { big::HIGH } else { 0 });
    let mut row = row;
    if page.steps_total > 0 {
        let text = format!("{} of {} steps ", page.steps_done, page.steps_total);
        let used = canvas.text(area, 0, row, &text, Role::Text);
        let share = page.steps_done * 1000 / page.steps_total;
        let wide = usize::from(area.width).saturating_sub(used).min(50);
        canvas.bar(area, used, row, wide, u32::try_from(share).unwrap_or(0));
        row += 1;
    }
    if page.last_show.is_some() && page.next_session.is_none() {
        return row;
    }
    let next = page.next_session.as_deref().unwrap_or("none told; 4 Plan adds one");
    let role = if page.phase == "tonight" { Role::Text } else { Role::Strong };
    let which = if page.session_runs { "This session" } else { "Next session" };
    row + canvas.wrapped(area, row, &format!("{which}: {next}"), role)
}

/// While it is lit: what the round of tonight has left, and until when; gives the rows used.
fn tonight(page: &Today, canvas: &mut Canvas, area: Rect, row: usize) -> usize {
    let left = page.steps_total - page.steps_done;
    let text = if left == 0 {
        "Tonight's round is done".to_owned()
    } else {
        format!("{} left in tonight's round, {}", counted(left, "look", "looks"), minutes(page.work_left_min))
    };
    let mut used = canvas.wrapped(area, row, &text, Role::Strong);
    if let Some(until) = &page.lit_until {
        used += canvas.wrapped(area, row + used, &format!("Lit until {until}"), Role::Text);
    }
    used
}

/// Before and after: rehearsal, end of the plan, work and sessions; gives the rows used.
fn building(page: &Today, canvas: &mut Canvas, side: Rect, from: usize) -> usize {
    let mut row = from;
    if let Some(rehearsal) = page.rehearsal.as_ref().filter(|_| page.phase != "down") {
        row += canvas.wrapped(side, row, &format!("Rehearsal {rehearsal}"), Role::Text);
    }
    let odds = match (page.odds_pct, page.sessions_left_min) {
        // A takedown has no date to be in time for.
        _ if page.phase == "down" => None,
        (Some(odds), _) => Some(format!("{odds} % in time")),
        (None, Some(_)) => Some("odds not computed yet".to_owned()),
        (None, None) => Some("no odds without sessions".to_owned()),
    };
    let end = page.finish.as_ref().map(|f| format!("Plan ends {f}"));
    let end = [end, odds].into_iter().flatten().collect::<Vec<_>>().join(", ");
    if !end.is_empty() {
        row += canvas.wrapped(side, row, &end, Role::Text);
    }
    let sessions = page.sessions_left_min.map_or_else(
        || {
            let told = page.no_session.as_deref().unwrap_or("no session of this work");
            format!("{told}: order and hours only")
        },
        |m| format!("{} in {}", minutes(m), counted(page.sessions_left, "session", "sessions")),
    );
    let work = format!("Work left {}; {sessions}", minutes(page.work_left_min));
    row + canvas.wrapped(side, row, &work, Role::Text) - from
}

/// Columns of a row of Today beside what it says.
const BESIDE: usize = 13;
/// The columns have no heads.
const HEADS: [&str; 3] = [""; 3];

/// What is next, in the way and ready, in lines of `room` columns; read whole of the marked row, or of `all`.
fn lines(state: &State, page: &Today, room: usize, all: bool) -> Vec<Line> {
    let mut lines = Vec::new();
    let mut at = 0;
    if let Some(next) = &page.next {
        let (what, rest) = table::whole(&next.text, all || state.today.at == 0, room);
        let chip = Cell::Chip(Tint::Doing, "next".to_owned());
        lines.push(Line::Row(0, vec![chip, what.into(), Cell::from("")]));
        lines.extend(rest);
        at = 1;
    }
    let stands = page.alarms.iter().filter(|a| a.level != Level::Note).count();
    lines.push(Line::Group(match (stands, page.not_told.len()) {
        (0, 0) => "Nothing is in the way".to_owned(),
        (0, n) => format!(
            "Nothing known is in the way; {} not told",
            counted(n, "kind of thing is", "kinds of things are")
        ),
        (n, _) => format!("In the way: {n}; Enter goes to the remedy"),
    }));
    for alarm in &page.alarms {
        let (tint, word) = level(alarm.level);
        let marked = at == state.today.at;
        let (what, rest) = table::whole(&alarm.what, marked || all, room);
        lines.push(Line::Row(at, vec![Cell::Chip(tint, word.to_owned()), what.into(), Cell::from("")]));
        lines.extend(rest);
        if marked {
            lines.push(Line::More(format!("→ {}: {}", alarm.screen.name(), alarm.remedy)));
        }
        at += 1;
    }
    let ready: usize = page.ready.iter().map(|r| r.steps).sum();
    lines.push(Line::Group(if page.last_show.is_some() {
        "Nothing is to be put up now".to_owned()
    } else if page.steps_total == 0 && page.phase != "tonight" {
        "No prop is told for this season yet; a adds one".to_owned()
    } else if ready == 0 {
        "Nothing is ready to be done now".to_owned()
    } else {
        format!("Ready now: {}; Enter walks them", counted(ready, "step", "steps"))
    }));
    for place in &page.ready {
        let much = format!("{}, {}", counted(place.steps, "step", "steps"), minutes(place.minutes));
        let chip = Cell::Chip(Tint::Open, "ready".to_owned());
        let what = format!("{}: {}", place.place, place.first);
        // Where no row is out of sight nothing says how many are.
        let aside = if all { 2 } else { table::ASIDE };
        let beside = room.saturating_sub(width(&much) + aside);
        let (what, rest) = table::whole(&what, at == state.today.at || all, beside);
        lines.push(Line::Row(at, vec![chip, what.into(), Cell::Right(much)]));
        lines.extend(rest);
        at += 1;
    }
    lines
}

/// Chip and word of a level.
pub const fn level(level: Level) -> (Tint, &'static str) {
    match level {
        Level::Stop => (Tint::Stop, "stop"),
        Level::Due => (Tint::Doing, "due"),
        Level::Mend => (Tint::Mend, "mend"),
        Level::Note => (Tint::Note, "note"),
    }
}

fn held(page: &Today) -> Vec<String> {
    page.held.iter().map(|h| format!("‖ held: {}, {}", h.title, h.why)).collect()
}

/// What is held, not told and assumed, a line each.
fn notes(page: &Today) -> Vec<String> {
    let of = |label: &str, texts: &[String]| -> Vec<String> {
        texts.iter().map(|text| format!("• {}", under(label, text))).collect()
    };
    [held(page), of("not told", &page.not_told), of("assumed", &page.assumed)].concat()
}

fn notes_short(page: &Today) -> Vec<String> {
    let mut out = held(page);
    out.truncate(1);
    if page.held.len() > 1 {
        out = vec![format!(
            "‖ held: {} steps, first: {}",
            page.held.len(),
            page.held.first().map_or("", |h| &h.title)
        )];
    }
    out.extend(page.not_told.first().map(|t| more("not told", t, page.not_told.len())));
    out.extend(page.assumed.first().map(|t| more("assumed", t, page.assumed.len())));
    out
}

fn more(label: &str, first: &str, all: usize) -> String {
    let first = under(label, first);
    if all > 1 { format!("• {first} (and {} more)", all - 1) } else { format!("• {first}") }
}

/// A note under its label, which one that has it in its words needs no second time.
fn under(label: &str, text: &str) -> String {
    if text.contains(label) { text.to_owned() } else { format!("{label}: {text}") }
}

/// What shows while nothing is told.
fn first_run(canvas: &mut Canvas, area: Rect) {
    let inner = Rect { x: area.x + 2, width: area.width.saturating_sub(4), ..area };
    let mut row = 1;
    row +=
        canvas.wrapped(inner, row, "Nothing is told yet. Two things are enough to start:", Role::Strong) + 1;
    for (key, what, more) in [
        (
            "n",
            "Begin here",
            "the date, who helps, which ladders, then a line a prop; every question may be left empty",
        ),
        (
            "a",
            "One more prop",
            "a dozen lines make a checklist for up and down that can be walked and printed",
        ),
        (
            "i",
            "Bring in a CSV file or a folder",
            "the same lines from a file, or every table of another yard",
        ),
        ("o", "Look around in the made-up demo yard first", "its own file; yours stays as it is"),
    ] {
        canvas.text(inner, 0, row, key, Role::Key);
        let beside = Rect { x: inner.x + 4, width: inner.width.saturating_sub(4), ..inner };
        row += canvas.wrapped(beside, row, what, Role::Strong);
        row += canvas.wrapped(beside, row, more, Role::Text) + 1;
    }
    canvas.wrapped(
        inner,
        row,
        "People, sessions, ladders, leads and totes can be told later; none is needed.",
        Role::Text,
    );
}
