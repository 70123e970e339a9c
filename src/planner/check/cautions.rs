//! What is dangerous says so: ladder, roof, mains, mast, adhesive.

use super::{Found, View};
use crate::domain::{Access, StepDeed};
use crate::planner::PlannedStep;

pub(super) fn look(view: &View, found: &mut Found) {
    for p in &view.plan.steps {
        for caution in due(view, p) {
            if !p.step.cautions.iter().any(|c| c == caution) {
                found.say("caution_missing", &p.step.key, format!("\"{caution}\" is not said"));
            }
        }
    }
}

/// The cautions a step must carry by how it is reached and what is done.
fn due(view: &View, p: &PlannedStep) -> Vec<&'static str> {
    let step = &p.step;
    let mut all = Vec::new();
    if step.access != Access::Ground {
        all.push("ladder");
    }
    if step.access == Access::Roof {
        all.push("roof");
    }
    match step.deed {
        StepDeed::Power => all.push("mains"),
        // A lead is metered through, without power.
        StepDeed::BenchTest if !step.recipe_step.starts_with("cable_run.") => all.push("mains"),
        StepDeed::Connect | StepDeed::Disconnect => all.push("supply_off"),
        // A mast is what takes three people to go up or down.
        StepDeed::Raise | StepDeed::Lower if step.hands >= 3 => all.push("mast"),
        _ => {}
    }
    let cure = step
        .method
        .into_iter()
        .flat_map(|m| view.facts.recipe(m))
        .find(|r| r.code == step.recipe_step)
        .and_then(|r| r.cure_rule);
    all.extend(cure.map(crate::domain::CureRule::as_str));
    all
}
