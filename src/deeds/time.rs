//! The time of a ticked step put right: pauses are asked about when the session is over, not on the lawn.

use super::Desk;
use super::tick::find_step;
use super::{mistyped, refused};
use crate::answers::problem::Problem;
use crate::domain::{Fact, Moment, TickKind, TimeCorrection, TimeCorrectionId};
use crate::units::Span;

/// Longest time a step is told to have taken.
const MOST_MINUTES: i64 = 24 * 60;

/// Says what a ticked step really took; nothing says that no time is known.
pub(super) fn correct_time(
    desk: &mut dyn Desk,
    key: &str,
    ticked_ms: Option<i64>,
    minutes: Option<i64>,
    why: &str,
) -> Result<String, Problem> {
    let found = find_step(desk, key)?;
    let key = found.step.key.to_string();
    let tick = desk
        .yard()
        .ticks
        .iter()
        .filter(|t| *t.step_key == *key && t.kind == TickKind::Done && t.at_ms.is_some())
        .filter(|t| ticked_ms.is_none_or(|at| t.at_ms == Some(Moment(at))))
        .max_by_key(|t| t.at_ms);
    let Some(ticked_ms) = tick.and_then(|t| t.at_ms) else {
        return Err(refused("not-ticked", format!("{:?} was not ticked at a known time", found.step.title))
            .hint("tick it first: ladderday step done KEY"));
    };
    if let Some(n) = minutes.filter(|n| !(1..=MOST_MINUTES).contains(n)) {
        return Err(mistyped("bad-minutes", format!("{n} minutes")).hint(format!("1 to {MOST_MINUTES}")));
    }
    let now = desk.now();
    let row = TimeCorrection {
        id: TimeCorrectionId(desk.id()),
        ended_at: None,
        step_key: key,
        ticked_ms,
        at_ms: Moment(now.timestamp_millis()),
        taken_s: minutes.map(Span::from_minutes),
        why: why.to_owned(),
    };
    let took = minutes
        .map_or_else(|| "no time is known".to_owned(), |n| format!("took {}", Span::from_minutes(n).show()));
    let said = format!("{}: {took}", super::tick::full_title(&found.step));
    desk.write("time-correct", &said, vec![row.to_row()])?;
    Ok(said)
}
