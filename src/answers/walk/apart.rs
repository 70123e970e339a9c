//! No two rows of a list are alike: where place, prop and deed say the same, what differs is said too.

use std::collections::BTreeMap;

use crate::answers::Outlook;
use crate::answers::short::lone_deed;
use crate::answers::view::{WalkPlace, WalkStep};
use crate::steps::StepKey;

/// Names the piece or the placement of steps that would read alike; of one placement the whole clause of each deed.
pub(crate) fn tell_apart(outlook: &Outlook, places: &mut [WalkPlace]) {
    let reads = |s: &WalkStep| (s.place.clone(), s.prop.clone(), s.deed.clone());
    let mut owners: BTreeMap<_, Vec<Option<String>>> = BTreeMap::new();
    for step in places.iter().flat_map(|p| &p.steps) {
        owners.entry(reads(step)).or_default().push(owner(outlook, step));
    }
    for step in places.iter_mut().flat_map(|p| &mut p.steps) {
        let Some(all) = owners.get(&reads(step)).filter(|all| all.len() > 1) else { continue };
        let mine = owner(outlook, step);
        match mine.filter(|code| all.iter().filter(|o| o.as_ref() == Some(code)).count() == 1) {
            Some(code) => {
                let named = if step.prop.is_empty() { code } else { format!("{code} {}", step.prop) };
                step.prop = named;
            }
            None => step.deed = lone_deed(&step.title),
        }
    }
}

/// The label of the piece that a step is about, else the code of its placement.
fn owner(outlook: &Outlook, step: &WalkStep) -> Option<String> {
    let key = StepKey::from_text(&step.key);
    let piece = key.parts().filter(|k| k.kind == "piece").and_then(|k| k.owner_id());
    let piece = piece.and_then(|id| outlook.yard.pieces.iter().find(|p| p.id.0 == id));
    piece.map(|p| p.code.clone()).or_else(|| step.placement.clone())
}
