//! A session in a few words: what is tested, made, up, lit, packed, and which ladders it takes.

use crate::answers::view::WorkKind;
use crate::domain::{Phase, StepDeed};
use crate::planner::PlannedStep;
use crate::steps::Facts;

/// Names that stand in one group of the words.
const NAMED: usize = 3;

/// What kind of work a step is, for colours and words.
pub(crate) const fn kind(phase: Phase, deed: StepDeed) -> WorkKind {
    match (phase, deed) {
        (_, StepDeed::Desk) => WorkKind::Desk,
        (Phase::Bench, _)
        | (_, StepDeed::BenchTest | StepDeed::Make | StepDeed::LookOver | StepDeed::Dry | StepDeed::Pack) => {
            WorkKind::Bench
        }
        (_, StepDeed::Mark | StepDeed::Drive | StepDeed::Pull) => WorkKind::Ground,
        (_, StepDeed::Connect | StepDeed::Disconnect | StepDeed::Power | StepDeed::Test) => WorkKind::Wire,
        _ => WorkKind::Mount,
    }
}

/// The word of a group that a deed belongs to; nothing where it says nothing by itself.
const fn word(phase: Phase, deed: StepDeed) -> Option<&'static str> {
    Some(match (phase, deed) {
        (_, StepDeed::BenchTest) => "tested",
        (_, StepDeed::Make) => "made",
        (Phase::Up, StepDeed::Drive) => "staked",
        (Phase::Up, StepDeed::Raise | StepDeed::Hang | StepDeed::Set) => "up",
        (Phase::Up, StepDeed::Test) => "lit",
        (_, StepDeed::Lower) => "down",
        (_, StepDeed::Pack) => "packed",
        _ => return None,
    })
}

/// "up: Roof stars, Boats; lit: Arches; step ladder".
pub(crate) fn summary<'a>(facts: &Facts, steps: impl Iterator<Item = &'a PlannedStep>) -> String {
    let mut groups: Vec<(&str, Vec<String>)> =
        ["up", "lit", "staked", "made", "tested", "down", "packed"].map(|w| (w, Vec::new())).into();
    let mut ladders: Vec<String> = Vec::new();
    for p in steps {
        for (name, _) in p.equipment.iter().filter(|(name, _)| name.contains("adder")) {
            let name = name.replace('_', " ");
            if !ladders.contains(&name) {
                ladders.push(name);
            }
        }
        let Some(word) = word(p.step.phase, p.step.deed) else { continue };
        let named = p.step.placement.and_then(|id| facts.placement(id)).map(|pl| pl.name.clone());
        let name = named.unwrap_or_else(|| p.step.subject.clone());
        if let Some((_, names)) = groups.iter_mut().find(|(w, _)| *w == word)
            && !name.is_empty()
            && !names.contains(&name)
        {
            names.push(name);
        }
    }
    let words = groups.into_iter().filter(|(_, names)| !names.is_empty()).map(|(word, names)| {
        let more = names.len().saturating_sub(NAMED);
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        format!("{word}: {}{more}", names.iter().take(NAMED).cloned().collect::<Vec<_>>().join(", "))
    });
    words.chain((!ladders.is_empty()).then(|| ladders.join(", "))).collect::<Vec<_>>().join("; ")
}
