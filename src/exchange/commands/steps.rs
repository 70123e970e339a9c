//! `step list`: the steps of a plan with their keys and states.

use std::fmt::Write as _;

use crate::answers::Outlook;
use crate::answers::words::code_key;
use crate::exchange::json::{StepRowDoc, StepsDoc};
use crate::planner::Plan;

pub(crate) fn document(outlook: &Outlook, plan: &Plan) -> StepsDoc {
    let say = |t: chrono::DateTime<chrono::Utc>| t.with_timezone(&plan.zone).to_rfc3339();
    let row = |p: &crate::planner::PlannedStep| StepRowDoc {
        key: p.step.key.to_string(),
        code_key: code_key(outlook, &p.step),
        title: p.step.title.clone(),
        subject: p.step.subject.clone(),
        state: p.state.as_str().to_owned(),
        minutes: p.minutes,
        session: p.session.and_then(|s| plan.sessions.get(s)).map(|s| s.code.clone()),
        from: p.from.map(say),
    };
    StepsDoc {
        season: plan.season.clone(),
        phase: plan.phase.as_str().to_owned(),
        steps: plan.steps.iter().map(row).collect(),
    }
}

pub(crate) fn text(outlook: &Outlook, plan: &Plan) -> String {
    plan.steps.iter().fold(String::new(), |mut out, p| {
        let (state, key) = (p.state.as_str(), code_key(outlook, &p.step));
        let _ = writeln!(out, "{state:<8} {key}\n         {}: {}", p.step.subject, p.step.title);
        out
    })
}
