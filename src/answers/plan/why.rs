//! Why a step is where it is: one answer for the Plan screen and for `plan why`.

use crate::answers::Outlook;
use crate::answers::problem::{Problem, ProblemKind};
use crate::answers::words::code_key;
use crate::planner::{Explainer, Plan, PlannedStep, Why};
use crate::steps::StepKey;

/// What binds a step, what would move it, and why it is in no session before, a line each.
pub(crate) fn why_lines(explainer: &Explainer, key: &StepKey) -> Vec<String> {
    let Some(why) = explainer.why(key) else { return Vec::new() };
    let mut lines: Vec<String> = Vec::new();
    for b in &why.bounds {
        lines.push(if b.remedy.is_empty() {
            b.text.clone()
        } else {
            format!("{}; earlier with: {}", b.text, b.remedy)
        });
    }
    lines.extend(why.earlier);
    lines
}

/// A step of a plan by its key, with why it is where it is, typed and in lines.
///
/// # Errors
/// `no-step` where that plan has no such step.
pub(crate) fn why<'p>(
    outlook: &Outlook,
    plan: &'p Plan,
    key: &str,
) -> Result<(&'p PlannedStep, Why, Vec<String>), Problem> {
    let found = plan.steps.iter().find(|p| p.step.key.as_str() == key || code_key(outlook, &p.step) == key);
    let step = found.ok_or_else(|| {
        Problem::new(ProblemKind::Data, "no-step", format!("{} has no step {key:?}", plan.phase.as_str()))
            .hint("ladderday step list shows the keys")
    })?;
    let facts = outlook.facts();
    let explainer = Explainer::new(plan, &facts);
    let lines = why_lines(&explainer, &step.step.key);
    Ok((step, explainer.why(&step.step.key).unwrap_or_default(), lines))
}
