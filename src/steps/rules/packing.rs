//! Each pack step says into which tote; a faulty piece goes to the bench tote, never back to its home.

use crate::domain::StepDeed;
use crate::steps::facts::Facts;
use crate::steps::step::Step;

/// Says at each pack step where it goes: home, or the bench tote where a piece of it has an open fault.
pub(in crate::steps) fn pack_by_condition(facts: &Facts, steps: &mut [Step]) {
    let bench = facts.yard.containers.iter().find(|c| c.bench).map(|c| c.name.clone());
    let bench = bench.unwrap_or_else(|| "the bench tote".to_owned());
    for step in steps.iter_mut().filter(|s| s.deed == StepDeed::Pack) {
        let Some(placement) = step.placement else { continue };
        let mut homes: Vec<&str> = facts
            .pieces_of(placement)
            .iter()
            .filter_map(|p| facts.piece(*p)?.home_id)
            .filter_map(|h| facts.yard.containers.iter().find(|c| c.id == h && c.kind != "place"))
            .map(|c| c.code.as_str())
            .collect();
        homes.sort_unstable();
        homes.dedup();
        let into = match homes.as_slice() {
            [] => None,
            [first, second, third, more @ ..] if !more.is_empty() => {
                Some(format!("{first}, {second}, {third} and {} more", more.len()))
            }
            few => Some(few.join(", ")),
        };
        if let Some(into) = into {
            step.title = step.title.replace("into its tote", &format!("into {into}"));
        }
        let faulty: Vec<&str> = facts
            .pieces_of(placement)
            .iter()
            .filter(|p| !facts.open_faults(**p).is_empty())
            .filter_map(|p| facts.piece(*p))
            .map(|p| p.code.as_str())
            .collect();
        if !faulty.is_empty() {
            step.title = format!("{}; {} faulty: into {bench}, not home", step.title, faulty.join(", "));
        }
    }
}
