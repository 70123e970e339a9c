//! What runs by itself just now.

use std::collections::BTreeMap;

use crate::answers::Outlook;
use crate::planner::{Plan, PlannedStep};
use crate::steps::{Progress, State, StepKey};

/// A test that runs: until when, and who is there.
pub(crate) fn running(
    outlook: &Outlook,
    plan: &Plan,
    look: &PlannedStep,
    progress: &BTreeMap<StepKey, Progress>,
) -> Option<String> {
    let edge = look.after.iter().find(|e| e.watched)?;
    let open = |key| progress.get(key).is_none_or(|p| matches!(p.state, State::Open | State::Held));
    let started = progress.get(&edge.key).filter(|p| p.state == State::Done && open(&look.step.key))?;
    let until =
        chrono::DateTime::from_timestamp_millis(started.to?.0)? + chrono::Duration::minutes(edge.wait_min);
    let said = until.with_timezone(&outlook.zone()).format("%H:%M");
    let session = look.session.and_then(|n| plan.sessions.get(n));
    let there: Vec<&str> = session
        .into_iter()
        .flat_map(|s| &s.people)
        .filter(|p| p.from <= outlook.now() && until <= p.to)
        .map(|p| p.name.as_str())
        .collect();
    let who = if there.is_empty() {
        "never leave it alone".to_owned()
    } else {
        format!("there: {}", there.join(", "))
    };
    Some(format!("runs until {said}; {who}"))
}
