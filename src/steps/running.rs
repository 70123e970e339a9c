//! Tests that run by themselves: a step to start one, a step to look at it, and a wait between in which somebody of
//! that session is there. What runs on mains is never left alone (common practice, no published source).

use super::key::StepKey;
use super::step::{Edge, Reason, Step};
use crate::units::Span;

/// Takes each test that runs by itself apart. The look keeps the key: what comes after the test comes after it.
pub(super) fn take_apart(steps: &mut Vec<Step>) {
    let mut all = Vec::with_capacity(steps.len());
    for mut look in steps.drain(..) {
        let run = look.run.take();
        let Some((run, key)) = run.and_then(|run| Some((run, look.key.start()?))) else {
            all.push(look);
            continue;
        };
        let mut start = look.clone();
        start.key.clone_from(&key);
        start.title = run.title;
        start.seconds = run.start_s;
        start.of = None;
        start.assumed = false;
        look.after = vec![Edge {
            wait_min: Span::from_s(run.runs_s).minutes_up(),
            watched: true,
            ..Edge::after(key.clone(), Reason::Tested, "it runs that long, with somebody there")
        }];
        look.not_before = None;
        for step in [&mut start, &mut look] {
            step.stretch = Some(key.clone());
        }
        all.push(start);
        all.push(look);
    }
    *steps = all;
}

/// Whether `step` looks at a test that another started.
pub fn looks(step: &Step) -> Option<&Edge> {
    step.after.iter().find(|e| e.watched)
}

/// Whether `key` starts a test that runs by itself.
pub fn starts(key: &StepKey) -> bool {
    key.started().is_some()
}
