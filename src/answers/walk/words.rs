//! What Walk says at a step besides what is to be done: cautions at the right moment, the limit a forecast breaks.

use std::collections::BTreeSet;

use crate::answers::Outlook;
use crate::answers::view::WalkPlace;
use crate::answers::words::{caution_text, some};
use crate::domain::{LookKind, PieceId, PlacementId};
use crate::planner::Plan;
use crate::steps::{Facts, Limits};

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

/// "wet: CANE-03, CANE-04", of what comes off a placement: as each was last looked at.
pub(crate) fn wet_line(outlook: &Outlook, facts: &Facts, placement: Option<PlacementId>) -> Option<String> {
    let last = |id: PieceId| {
        let looks = outlook.yard.piece_looks.iter().filter(|l| l.piece_id == id);
        looks.max_by_key(|l| (l.at_ms, l.id)).map(|l| l.kind)
    };
    let wet = facts.pieces_of(placement?).iter().filter(|id| last(**id) == Some(LookKind::Wet));
    let wet = some(wet.filter_map(|id| facts.piece(*id)).map(|p| p.code.clone()));
    (!wet.is_empty()).then(|| format!("wet: {wet}"))
}
