//! Ticks: what happened to a step, as an event that is added and never changed.

use std::sync::Arc;

use super::Desk;
use super::mending::mended_by;
use super::{mistyped, refused};
use crate::answers::Outlook;
use crate::answers::problem::Problem;
use crate::answers::walk::not_yet::waits_until;
use crate::answers::words::code_key;
use crate::domain::{Fact, Moment, Phase, RowChange, SeasonId, StepDeed, Tick, TickId, TickKind, Value};
use crate::steps::{Derived, Scope, State, Step};

/// A step found by its key, with the season it was derived for.
pub struct Found {
    pub season: SeasonId,
    pub step: Arc<Step>,
    pub derived: Arc<Derived>,
}

/// Finds a step by its key, with ids or with codes in it: in the season of the day first, then in every other.
///
/// # Errors
/// `no-step` names the nearest keys.
pub fn find_step(desk: &dyn Desk, key: &str) -> Result<Found, Problem> {
    let phase = key.rsplit('/').next().and_then(Phase::from_text);
    // A key of a night ends with its day.
    let day = key.rsplit('/').next().and_then(|d| d.parse::<chrono::NaiveDate>().ok());
    let phases: Vec<Phase> = match phase {
        None if day.is_some() => vec![Phase::Tonight],
        // Building up has every step of the bench, and is what shows most.
        Some(Phase::Once | Phase::Bench) => vec![Phase::Up, Phase::Bench],
        Some(p) => vec![p, Phase::Up],
        None => vec![Phase::Up, Phase::Down],
    };
    let mut seasons: Vec<SeasonId> =
        phases.iter().filter_map(|p| desk.outlook().season_for(*p).ok()).map(|s| s.id).collect();
    seasons.extend(desk.yard().seasons.iter().rev().map(|s| s.id));
    let mut tried: Vec<(SeasonId, Phase, chrono::NaiveDate)> = Vec::new();
    // What is put back tomorrow is listed the evening before.
    let days: Vec<chrono::NaiveDate> = match day {
        Some(d) => [Some(d), d.pred_opt()].into_iter().flatten().collect(),
        None => vec![desk.outlook().tonight()],
    };
    for (season, day) in seasons.into_iter().flat_map(|s| days.iter().map(move |d| (s, *d))) {
        for phase in &phases {
            if tried.contains(&(season, *phase, day)) {
                continue;
            }
            tried.push((season, *phase, day));
            let Ok(derived) = desk.outlook().derived(Scope { season, phase: *phase, day }) else {
                continue;
            };
            let by_id = derived.steps.iter().find(|s| s.key.as_str() == key);
            let hit = by_id.or_else(|| derived.steps.iter().find(|s| code_key(&desk.outlook(), s) == key));
            if let Some(step) = hit.cloned() {
                return Ok(Found { season, step, derived });
            }
        }
    }
    Err(refused("no-step", format!("there is no step {key:?}")).hint("ladderday step list shows the keys"))
}

pub(super) fn tick(
    desk: &mut dyn Desk,
    key: &str,
    kind: TickKind,
    count: Option<i64>,
    why: Option<&str>,
) -> Result<String, Problem> {
    let found = find_step(desk, key)?;
    check_count(&found.step, kind, count)?;
    let rows = rows_of(desk, &found, kind, count, why)?;
    let said = say(&found.step, kind, count, why);
    let note = notes(&desk.outlook(), &found, kind);
    // Held by nobody else, the steps are kept over the tick.
    drop(found);
    desk.write(verb(kind), &said, rows)?;
    // First, as a long title would push it out of sight.
    Ok(if note.is_empty() { said } else { format!("{note}. {said}") })
}

/// The rows of a tick that a paper brings.
///
/// # Errors
/// As [`find_step`].
pub fn tick_rows(
    desk: &mut dyn Desk,
    key: &str,
    kind: TickKind,
    count: Option<i64>,
) -> Result<Vec<RowChange>, Problem> {
    let found = find_step(desk, key)?;
    rows_of(desk, &found, kind, count, None)
}

/// A tick with all that it means besides; the list that is walked is kept first.
fn rows_of(
    desk: &mut dyn Desk,
    found: &Found,
    kind: TickKind,
    count: Option<i64>,
    why: Option<&str>,
) -> Result<Vec<RowChange>, Problem> {
    desk.keep_walked(Some(&found.step.key))?;
    let mut rows = vec![tick_row(desk, found, kind, count, why).to_row()];
    if kind == TickKind::Done {
        rows.extend(mended_by(desk, &found.step));
        rows.extend(looked_over(desk, &found.step));
    }
    Ok(rows)
}

/// One person confirms to do a step alone that two should be at.
pub(super) fn confirm_alone(desk: &mut dyn Desk, key: &str) -> Result<String, Problem> {
    let found = find_step(desk, key)?;
    let title = full_title(&found.step);
    if !found.step.may_be_alone() {
        return Err(refused("never-alone", format!("{title}: never alone"))
            .hint("roof, extension ladder, mast and what takes two hands wait for a second person"));
    }
    if !found.step.not_alone {
        return Ok(format!("{title}: one is enough already"));
    }
    let mut row = tick_row(desk, &found, TickKind::Note, None, Some("confirmed: done alone"));
    row.cautions = crate::domain::Words::of(crate::steps::ALONE);
    drop(found);
    let what = format!("Done alone, confirmed: {title}");
    desk.write("step-alone", &what, vec![row.to_row()])?;
    Ok(format!("{what}. Somebody knows where you are, and when you are back"))
}

pub(super) fn tick_all(desk: &mut dyn Desk, keys: &[String]) -> Result<String, Problem> {
    let mut rows = Vec::new();
    let mut titles = Vec::new();
    for key in keys {
        let found = find_step(desk, key)?;
        titles.push(found.step.title.clone());
        rows.extend(rows_of(desk, &found, TickKind::Done, None, None)?);
    }
    if rows.is_empty() {
        return Err(refused("nothing-open", "nothing here is open"));
    }
    let what = format!("Ticked {} steps: {}", titles.len(), titles.join("; "));
    desk.write("step-done", &what, rows)?;
    Ok(format!("ticked {} steps", titles.len()))
}

pub(super) fn tick_row(
    desk: &mut dyn Desk,
    found: &Found,
    kind: TickKind,
    count: Option<i64>,
    why: Option<&str>,
) -> Tick {
    let now = desk.now();
    let session = desk.outlook().session_now().map(|s| s.id);
    let step = &found.step;
    let began = desk.outlook().began();
    let done_count = match kind {
        TickKind::Done => step.of,
        TickKind::Count => count,
        _ => None,
    };
    let ticked_before = found.derived.progress.get(&step.key).and_then(|p| p.from);
    Tick {
        id: TickId(desk.id()),
        ended_at: None,
        step_key: step.key.as_str().into(),
        kind,
        at_ms: Some(Moment(now.timestamp_millis())),
        began_ms: match kind {
            TickKind::Done | TickKind::Count => ticked_before.or(began),
            _ => None,
        },
        person_id: None,
        session_id: session,
        season_id: Some(found.season),
        placement_id: step.placement,
        recipe_step: step.recipe_step.clone(),
        done_count,
        of_count: step.of,
        title: full_title(step),
        planned_s: Some(crate::units::Span::from_s(step.seconds)),
        taken_s: None,
        bunched: false,
        cautions: crate::domain::Words::of(&step.cautions.join(" ")),
        why: why.unwrap_or_default().to_owned(),
    }
}

/// A yearly look-over is remembered by the piece itself.
pub(super) fn looked_over(desk: &dyn Desk, step: &Step) -> Option<RowChange> {
    let key = step.key.parts().filter(|k| (k.kind, k.deed) == ("piece", "look_over"))?;
    let piece = desk.yard().pieces.iter().find(|p| Some(p.id.0) == key.owner_id())?;
    let today = desk.now().with_timezone(&desk.zone()).date_naive().to_string();
    Some(RowChange::new("piece", piece.id.0, vec![("looked_over_on", Value::Text(today))]))
}

/// "Boat cut-outs, 8: drive stakes".
pub fn full_title(step: &Step) -> String {
    if step.subject.is_empty() { step.title.clone() } else { format!("{}: {}", step.subject, step.title) }
}

fn check_count(step: &Step, kind: TickKind, count: Option<i64>) -> Result<(), Problem> {
    if kind != TickKind::Count {
        return Ok(());
    }
    let Some(of) = step.of else {
        return Err(refused("no-count", format!("\"{}\" is one deed, not several", step.title))
            .hint("tick it done, or hold it with a reason"));
    };
    match count {
        Some(n) if (0..=of).contains(&n) => Ok(()),
        Some(n) => {
            Err(refused("count-beyond", format!("{n} of {of} is not possible")).hint(format!("0 to {of}")))
        }
        None => Err(mistyped("bad-count", "how many are done is not told").hint(format!("0 to {of}"))),
    }
}

const fn verb(kind: TickKind) -> &'static str {
    match kind {
        TickKind::Start => "step-start",
        TickKind::Done => "step-done",
        TickKind::Count => "step-count",
        TickKind::Hold => "step-hold",
        TickKind::Skip => "step-skip",
        TickKind::Reopen => "step-reopen",
        TickKind::Note => "step-note",
    }
}

fn say(step: &Step, kind: TickKind, count: Option<i64>, why: Option<&str>) -> String {
    let name = if step.subject.is_empty() {
        step.title.clone()
    } else {
        format!("{}: {}", step.subject, step.title)
    };
    let because = why.filter(|w| !w.is_empty()).map_or_else(String::new, |w| format!(" ({w})"));
    match kind {
        TickKind::Start => format!("Begun: {name}{because}"),
        TickKind::Done => format!("Ticked: {name}{because}"),
        TickKind::Count => {
            format!("Counted {} of {}: {name}{because}", count.unwrap_or(0), step.of.unwrap_or(0))
        }
        TickKind::Hold => format!("Held: {name}{because}"),
        TickKind::Skip => format!("Skipped: {name}{because}"),
        TickKind::Reopen => format!("Opened again: {name}{because}"),
        TickKind::Note => format!("Noted: {name}{because}"),
    }
}

/// A tick is a fact and is taken out of order too; what is odd about it is said.
fn notes(outlook: &Outlook, found: &Found, kind: TickKind) -> String {
    if !matches!(kind, TickKind::Done | TickKind::Start) {
        return String::new();
    }
    let open = found.step.after.iter().find_map(|e| {
        let before = found.derived.steps.iter().find(|s| s.key == e.key)?;
        let state = found.derived.progress.get(&e.key).map_or(State::Open, |p| p.state_for(before.of));
        (!matches!(state, State::Done | State::Skipped)).then(|| before.title.clone())
    });
    if let Some(title) = open {
        return format!("Before it, not ticked yet: {title}");
    }
    let mut waits = found.step.after.iter().rev().filter(|e| !e.watched);
    let until = waits.find_map(|e| waits_until(outlook, &e.key, e.wait_min, &e.why));
    if let Some(until) = until {
        return format!("Early: {until}");
    }
    let facts = outlook.facts();
    let tests = matches!(found.step.deed, StepDeed::BenchTest | StepDeed::GroundLight | StepDeed::Test);
    // A mend ends its own fault.
    let mend = found.step.key.is_of("fault");
    let placement = found.step.placement.filter(|_| tests && !mend && kind == TickKind::Done);
    let fault = placement.and_then(|id| facts.faults_of(id).find(|f| !facts.fault_over(f)));
    fault.map_or_else(String::new, |f| format!("{} is still open here", f.code))
}
