//! What Walk says at a step besides what is to be done: cautions at the right moment, the limit a forecast breaks.

use std::collections::BTreeSet;

use crate::answers::Outlook;
use crate::answers::view::WalkPlace;
use crate::answers::words::caution_text;
use crate::planner::Plan;
use crate::steps::Limits;

/// Each caution in full at the first step of a place that carries it; after that its name reminds of it. A text
/// that stands everywhere is read nowhere.
pub(crate) fn say_cautions(outlook: &Outlook, place: &mut WalkPlace) {
    let mut said: BTreeSet<String> = BTreeSet::new();
    for step in &mut place.steps {
        let (again, first): (Vec<String>, Vec<String>) =
            std::mem::take(&mut step.cautions).into_iter().partition(|c| said.contains(c));
        step.cautions = first.iter().map(|c| caution_text(outlook, c)).collect();
        if !again.is_empty() {
            let names: Vec<String> = again.iter().map(|c| c.replace('_', " ")).collect();
            step.cautions.push(format!("as said here: {}", names.join(", ")));
        }
        said.extend(first);
    }
}

/// "the forecast holds it: too windy: gust 18 mph, limit 15 mph", where the forecast of the walked session breaks
/// a limit of the step.
pub(crate) fn broken_by(
    outlook: &Outlook,
    plan: &Plan,
    session: Option<&str>,
    limits: &Limits,
) -> Option<String> {
    let span = plan.sessions.iter().find(|s| Some(s.code.as_str()) == session)?;
    let broken = span.forecast?.breaks(limits)?.say(outlook.units());
    Some(format!("the forecast holds it: {broken}"))
}
