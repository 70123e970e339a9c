//! Walk: the checklist of one session, in the order people expect.

use std::collections::BTreeSet;

use crate::answers::Outlook;
use crate::answers::outdoors::{cure_line, ladder_line};
use crate::answers::power::rehearsal::{self, LOAD_STEP};
use crate::answers::record::pauses::pauses;
use crate::answers::view::{StepState, Walk, WalkPlace, WalkStep};
use crate::answers::walk::apart::tell_apart;
use crate::answers::walk::connect::connect_lines;
use crate::answers::walk::fetch::{Corrected, clock_words, corrected, fetch, lead_choices, timer_words};
use crate::answers::walk::list::{List, Row, list_deed};
use crate::answers::walk::not_yet::{NotYet, waits_until};
use crate::answers::walk::ready::Readiness;
use crate::answers::walk::running::running;
use crate::answers::walk::states::{States, states};
use crate::answers::walk::words::{broken_by, say_cautions, wet_line};
use crate::answers::walk::work::{counts, work};
use crate::answers::words::{container_name, place_name};
use crate::domain::{Phase, PlacementId, SeasonId, StepDeed};
use crate::planner::{Plan, PlannedStep};
use crate::steps::{Facts, Progress, Role, State};

/// Asked before every connect (common practice, no published source).
const CONNECT_QUESTION: &str =
    "Supply off? Voltage on the tag the same? Polarity metered if the lead is new?";

/// What stands where a phase does while no show is ahead.
pub(crate) const NO_SHOW: &str = "no show ahead";

/// What Walk shows where there is no season, or only one whose show is over.
pub(crate) fn no_season(phase: Phase, ended: Option<&str>) -> Walk {
    Walk {
        empty_hint: Some(match ended {
            Some(name) => format!(
                "{name} is over and no show is ahead, so there is nothing to put up. The bench is in 7 Faults (b); n \
                 in 0 Seasons opens the next season; p shows the takedown again."
            ),
            None => {
                "No season yet. n begins one: it asks for the date of lights on and all that is needed; i \
                     brings in a file."
                    .to_owned()
            }
        }),
        phase: ended.map_or_else(|| phase.as_str(), |_| NO_SHOW).to_owned(),
        ..Walk::default()
    }
}

/// The checklist of one session of a plan, in the order of the kept plan: that of the step that is asked for, else
/// that of the number, else the one that is due.
pub(crate) fn walk_page(
    outlook: &Outlook,
    season: SeasonId,
    plan: &Plan,
    (session, step): (Option<usize>, Option<&str>),
) -> Walk {
    let phase = plan.phase;
    let states = states(outlook, plan);
    let list = List::of(outlook, plan);
    let asked = step.and_then(|key| list.rows.iter().find(|r| r.step.step.key.as_str() == key));
    let at = asked
        .and_then(|row| list.codes.iter().position(|c| *c == row.session))
        .or(session)
        .unwrap_or_else(|| list.due(outlook, &states))
        .min(list.codes.len().saturating_sub(1));
    let code = list.codes.get(at).cloned().flatten();
    let mine: Vec<&Row> = list.session(at).collect();
    let facts = outlook.facts();
    let progress = outlook.progress();
    let wind = crate::answers::outdoors::wind_short(outlook, &facts, season);
    let not_yet = NotYet::of(outlook, &facts, season);
    let ready = Readiness::of(outlook, &facts, plan, &states);
    let corrected = corrected(outlook);
    let mut places: Vec<WalkPlace> = Vec::new();
    for (row, from) in mine.iter().zip(list.hours(at)) {
        let place = place_name(outlook, row.step);
        let ticked = progress.get(&row.step.step.key);
        let mut step = walk_step(outlook, &facts, season, row.step, &states, (ticked, &corrected));
        let done = step.count.map_or(0, |(done, _)| done);
        (step.people, step.minutes) = (row.people(plan), row.minutes(done));
        step.from = from.map(|t| t.with_timezone(&outlook.zone()).format("%H:%M").to_string());
        (step.ready, step.after) = (ready.in_turn(row.step), ready.before(row.step));
        if let Some(words) = running(outlook, plan, row.step, &progress) {
            step.waits.insert(0, words.clone());
            step.early = Some(words);
        }
        let session = plan.sessions.iter().find(|s| Some(&s.code) == row.session.as_ref());
        // The day of a session says it where there is one.
        if session.is_none() && step.state == StepState::Open {
            step.waits.extend(not_yet.why(&row.step.step));
        }
        step.notes.extend(cure_line(outlook, &facts, session, &row.step.step));
        if row.step.step.deed == StepDeed::Dry && step.state == StepState::Open {
            step.notes.extend(wet_line(outlook, &facts, row.step.step.placement));
        }
        if step.why.is_none() {
            step.why = broken_by(outlook, plan, row.session.as_deref(), &row.step.step.limits);
        }
        // A step of the watch says its gust itself.
        step.wind = row
            .step
            .step
            .placement
            .filter(|_| row.step.step.role == Role::Work)
            .and_then(|p| wind.get(&p).cloned());
        match places.last_mut().filter(|p| p.place == place) {
            Some(last) => last.steps.push(step),
            None => places.push(WalkPlace { place, steps: vec![step] }),
        }
    }
    tell_apart(outlook, &mut places);
    for place in &mut places {
        say_cautions(outlook, place);
    }
    let (work, _) = work(plan, &states);
    Walk {
        phase: phase.as_str().to_owned(),
        session: session_title(outlook, plan, code.as_deref()),
        fetch: fetch(outlook, plan, &facts, &mine, &states),
        phase_done: work.done,
        phase_total: work.total,
        pauses: pauses(outlook),
        sessions: list.codes.iter().map(|c| session_title(outlook, plan, c.as_deref())).collect(),
        session_at: at,
        since: outlook.began().map(|m| clock_words(outlook, m.0)),
        leads: lead_choices(outlook, &facts, season),
        all_places: outlook.yard.places.iter().map(|p| (p.code.clone(), p.name.clone())).collect(),
        empty_hint: places.is_empty().then(|| {
            if plan.told.sessions {
                "Nothing is planned here. Add a session, or look at Plan for what has no place.".to_owned()
            } else {
                "No steps. Import what goes where, or add placements.".to_owned()
            }
        }),
        places,
    }
}

fn session_title(outlook: &Outlook, plan: &Plan, code: Option<&str>) -> String {
    if plan.phase == Phase::Tonight {
        return format!("the night of {}", outlook.tonight().format("%a %-d %b %Y"));
    }
    if !plan.told.sessions {
        return "all steps in order, no session to come".to_owned();
    }
    plan.sessions.iter().find(|s| Some(s.code.as_str()) == code).map_or_else(
        || "not in any session".to_owned(),
        |s| {
            format!(
                "{} to {}",
                outlook.say_moment(s.from),
                s.to.with_timezone(&outlook.zone()).format("%H:%M")
            )
        },
    )
}

fn walk_step(
    outlook: &Outlook,
    facts: &Facts,
    season: crate::domain::SeasonId,
    p: &PlannedStep,
    states: &States,
    (ticked, corrected): (Option<&Progress>, &Corrected),
) -> WalkStep {
    let step = &p.step;
    let placement = step.placement.and_then(|id| facts.placement(id));
    let is = states.of(p);
    let done = match (is, step.of) {
        (State::Done, Some(of)) => of,
        (_, Some(of)) => ticked.map_or(0, |t| t.done.min(of)),
        _ => 0,
    };
    let connects = match (step.deed, placement) {
        (StepDeed::Connect, Some(pl)) => connect_lines(outlook, facts, season, pl),
        _ => Vec::new(),
    };
    let why = ticked.map(|t| t.why.clone()).or(step.held.clone()).filter(|w| !w.is_empty());
    let (mut notes, mut readings) = (Vec::new(), Vec::new());
    if let Some(pl) = placement {
        notes.extend([&pl.measures, &pl.note].into_iter().filter(|t| !t.is_empty()).cloned());
    }
    notes.extend(p.late.then(|| "late: it ends after the rehearsal begins".to_owned()));
    notes.extend(ladder_line(outlook, step));
    if step.key.parts().is_some_and(|k| k.deed == LOAD_STEP)
        && let Some(season) = facts.season(season)
    {
        notes.extend(rehearsal::notes(outlook, facts, season));
        readings = rehearsal::lines(outlook, facts, season, step.key.as_str());
    }
    let before = || p.after.iter().filter(|e| states.step(&e.key).is_some());
    let cures: Vec<String> = before()
        .filter(|e| !e.watched && states.over(&e.key) && is == State::Open)
        .filter_map(|e| waits_until(outlook, &e.key, e.wait_min, &e.why))
        .collect();
    let open = before().filter(|e| !states.over(&e.key));
    WalkStep {
        key: step.key.to_string(),
        deed: list_deed(step),
        title: step.title.clone(),
        prop: step.subject.clone(),
        placement: placement.map(|pl| pl.code.clone()),
        place: place_name(outlook, p),
        state: match is {
            State::Open => StepState::Open,
            State::Doing => StepState::Doing,
            State::Held => StepState::Held,
            State::Done => StepState::Done,
            State::Skipped => StepState::Skipped,
        },
        counts: counts(step.phase, p),
        count: step.of.map(|of| (done, of)),
        minutes: p.minutes,
        from: None,
        people: Vec::new(),
        ready: true,
        after: Vec::new(),
        tools: tools(outlook, p),
        light: step.light.as_str(),
        cautions: step.cautions.clone(),
        question: (!connects.is_empty() || step.deed == StepDeed::Connect)
            .then(|| CONNECT_QUESTION.to_owned()),
        connects,
        labels: placement.map(|pl| labels(facts, pl.id)).unwrap_or_default(),
        unlabelled: placement.filter(|pl| facts.pieces_of(pl.id).is_empty()).map(|pl| pl.count),
        home: placement.and_then(|pl| home_of(outlook, facts, pl.id)),
        comes_home: step.phase == Phase::Down,
        why,
        waits: cures.iter().cloned().chain(open.map(|e| format!("{} (not ticked yet)", e.why))).collect(),
        early: cures.into_iter().next(),
        critical: p.critical,
        timer: ticked.and_then(|t| timer_words(outlook, &step.key, is, t, corrected)),
        wind: None,
        notes,
        readings,
    }
}

fn labels(facts: &Facts, placement: PlacementId) -> Vec<String> {
    let pieces = facts.pieces_of(placement).iter();
    let mut labels: Vec<String> = pieces.filter_map(|id| Some(facts.piece(*id)?.code.clone())).collect();
    labels.sort();
    labels
}

/// Ladder and tools by name; a ladder by its kind where none was told.
pub(crate) fn tools(outlook: &Outlook, p: &PlannedStep) -> Vec<String> {
    let mut tools: Vec<String> = p.equipment.iter().map(|(n, _)| n.replace('_', " ")).collect();
    if let Some(word) = p.step.ladder().filter(|_| !has_ladders(outlook)) {
        tools.insert(0, word.replace('_', " "));
    }
    for word in &p.step.equipment {
        let word = word.replace('_', " ");
        if !tools.contains(&word) {
            tools.push(word);
        }
    }
    tools
}

fn has_ladders(outlook: &Outlook) -> bool {
    outlook.yard.products.iter().any(|p| p.role == crate::domain::Role::Ladder)
}

/// "tote T-07, shelf 2": where the placement's first piece lives.
fn home_of(outlook: &Outlook, facts: &Facts, placement: PlacementId) -> Option<String> {
    let homes: BTreeSet<_> =
        facts.pieces_of(placement).iter().filter_map(|p| facts.piece(*p)).filter_map(|p| p.home_id).collect();
    let names: Vec<String> = homes.into_iter().take(3).filter_map(|h| container_name(outlook, h)).collect();
    (!names.is_empty()).then(|| names.join("; "))
}
