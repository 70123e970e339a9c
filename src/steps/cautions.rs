//! Which cautions a step says: those of its recipe, place and prop that fit it, those of how it is reached and what is
//! done; few, and the deadliest first.

use super::facts::Facts;
use super::step::Step;
use crate::domain::{
    Access, CureRule, LinkKind, PieceId, Placement, Product, RecipeAccess, RecipeStep, Role, StepDeed, Words,
};

/// More are not read on a ladder.
const MOST: usize = 5;
/// The deadliest first; what is not here comes after, as told. Common practice, no published source.
const RANK: [&str; 22] = [
    "overhead",
    "mains",
    "generator",
    "roof",
    "ladder",
    "mast",
    "fall_zone",
    "supply_off",
    "traffic",
    "buried",
    "lithium",
    "wind",
    "antenna",
    "concrete",
    "adhesive",
    "tape",
    "old_surface",
    "hot_tool",
    "driver",
    "guys",
    "stake_top",
    "lifting",
];
/// What is said of heights, and of nothing else.
const ALOFT: [&str; 3] = ["ladder", "roof", "gutter"];
/// What takes so many people to go up or down is a mast: one at the foot, one on each side guy.
const MAST_HANDS: i64 = 3;
/// Words of packs that burn.
const LITHIUM: [&str; 5] = ["lithium", "li-ion", "lipo", "power bank", "rechargeable"];

/// The cautions of a recipe step at a placement, as they are told.
pub(super) fn told(facts: &Facts, placement: &Placement, recipe: &RecipeStep, access: Access) -> Vec<String> {
    let place = placement.place_id.and_then(|p| facts.place(p));
    let product = facts.product_of(placement);
    let indoors = recipe.access == RecipeAccess::Bench;
    // Lines overhead are near a place that is climbed to, not near who stands below it.
    let below = access == Access::Ground && facts.access(placement.place_id) != Access::Ground;
    let low = access == Access::Ground && recipe.access == RecipeAccess::Place;
    let no_mains = carries_no_mains(facts, placement);
    let own = recipe.cautions.iter().filter(|c| !(low && *c == "overhead"));
    let own = own.filter(|c| !(no_mains && ["mains", "outdoor_cord"].contains(c)));
    let at_place = place.map(|p| &p.cautions).into_iter().flat_map(Words::iter);
    let more = [Some(&placement.cautions), product.map(|p| &p.cautions)];
    let more = more.into_iter().flatten().flat_map(Words::iter);
    let around = more.chain(at_place.filter(|c| !(below && *c == "overhead"))).filter(|_| !indoors);
    let plugged = matches!(
        recipe.deed,
        StepDeed::BenchTest | StepDeed::Connect | StepDeed::Disconnect | StepDeed::Pack | StepDeed::Care
    );
    let lithium = product.filter(|p| plugged && says(p, &LITHIUM)).map(|_| "lithium");
    let cure = recipe.cure_rule.map(CureRule::as_str);
    own.chain(around).chain(lithium).chain(cure).map(str::to_owned).collect()
}

/// Whether all that is put out is leads, told to be of the low-voltage side, of data or of the network.
fn carries_no_mains(facts: &Facts, placement: &Placement) -> bool {
    if facts.product_of(placement).is_none_or(|p| p.role != Role::Lead) {
        return false;
    }
    let pieces = facts.pieces_of(placement.id);
    let mains = |p: &PieceId| {
        let kinds = facts.yard.links.iter().filter(|l| l.lead_id == Some(*p)).map(|l| l.kind);
        let kinds: Vec<LinkKind> = kinds.collect();
        kinds.is_empty() || kinds.contains(&LinkKind::Mains)
    };
    !pieces.is_empty() && !pieces.iter().any(mains)
}

fn says(product: &Product, words: &[&str]) -> bool {
    let text = format!("{} {} {}", product.name, product.kind, product.note).to_lowercase();
    words.iter().any(|w| text.contains(w))
}

/// Whether something of the yard runs on a generator.
pub(super) fn has_generator(facts: &Facts) -> bool {
    let yard = facts.yard;
    let circuits = yard.circuits.iter().flat_map(|c| [&c.name, &c.note]);
    let outlets = yard.outlets.iter().map(|o| &o.note);
    circuits.chain(outlets).any(|t| t.to_lowercase().contains("generator"))
        || yard.products.iter().any(|p| says(p, &["generator"]))
}

/// What must be said by how a step is reached and by what is done, whatever recipe and owner say.
fn due(facts: &Facts, step: &Step) -> Vec<&'static str> {
    let mut all = match step.access {
        Access::Ground => Vec::new(),
        Access::StepLadder => vec!["ladder"],
        Access::ExtensionLadder => vec!["ladder", "overhead", "wind"],
        Access::Roof => vec!["roof", "ladder", "overhead", "wind"],
    };
    let lead = || {
        let placed = step.placement.and_then(|p| facts.placement(p));
        placed.is_some_and(|p| facts.method_of(p).is_some_and(|m| m.code == "cable_run"))
    };
    all.extend(match step.deed {
        StepDeed::Power => Some("mains"),
        // A lead is metered through; nothing of it is plugged in.
        StepDeed::BenchTest if !lead() => Some("mains"),
        StepDeed::Connect | StepDeed::Disconnect => Some("supply_off"),
        StepDeed::Raise | StepDeed::Lower if step.hands >= MAST_HANDS => Some("mast"),
        _ => None,
    });
    all
}

/// Puts the cautions of a step in order: what fits it, each once, the deadliest first, at most five. What must be said
/// stays.
pub(super) fn settle(facts: &Facts, step: &mut Step, generator: bool) {
    let due = due(facts, step);
    let more = (generator && step.deed == StepDeed::Power).then_some("generator");
    let own = std::mem::take(&mut step.cautions);
    let fits = own.into_iter().filter(|c| step.access != Access::Ground || !ALOFT.contains(&c.as_str()));
    let all = fits.chain(due.iter().copied().chain(more).map(str::to_owned));
    let mut list: Vec<String> = Vec::new();
    for code in all {
        if !list.contains(&code) {
            list.push(code);
        }
    }
    let rank = |c: &String| RANK.iter().position(|r| r == c).unwrap_or(RANK.len());
    list.sort_by_key(rank);
    let cures = [CureRule::Concrete, CureRule::Adhesive, CureRule::Tape].map(CureRule::as_str);
    while list.len() > MOST {
        let spare = |c: &String| !due.contains(&c.as_str()) && !cures.contains(&c.as_str());
        let last = list.iter().rposition(spare).unwrap_or(list.len() - 1);
        list.remove(last);
    }
    step.cautions = list;
}

/// Whether a thing takes current: told to be lit, or not told not to be.
pub(super) fn unlit(product: &Product) -> bool {
    product.role == Role::Prop
        && product.pixels == Some(0)
        && product.load_mw.is_none_or(|w| w.mw() == 0)
        && product.volts_mv.is_none()
}
