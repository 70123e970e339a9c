//! How what is owned is kept and counted: lots and pieces that frost spoils, lots never counted, uses not told.

use std::collections::BTreeSet;

use crate::answers::view::{Finding, Level};
use crate::answers::words::some;
use crate::domain::{Condition, ContainerId, MoveKind, Product, ProductId, RecipeUse};
use crate::steps::{Facts, Step, on_hand};

/// What must not freeze and lies where it may; what is kept from frost nowhere that is told is said once.
pub(super) fn frost(facts: &Facts, found: &mut Vec<Finding>, not_told: &mut Vec<String>) {
    let spoils = |id: ProductId| facts.product(id).filter(|p| p.keep_from_frost);
    let lots = facts.yard.stock.iter().filter(|s| !s.frozen && on_hand(facts.yard, s.id) > 0);
    let lots = lots.filter_map(|s| Some((&s.code, spoils(s.product_id)?, s.home_id)));
    let pieces = facts.yard.pieces.iter().filter(|p| p.condition == Condition::Good);
    let pieces = pieces.filter_map(|p| Some((&p.code, spoils(p.product_id)?, p.home_id)));
    let mut homeless = Vec::new();
    for (code, product, home) in lots.chain(pieces) {
        let Some(home) = home.and_then(|id| facts.yard.containers.iter().find(|c| c.id == id)) else {
            homeless.push(code.clone());
            continue;
        };
        if frost_free(facts, home.id) {
            continue;
        }
        found.push(Finding::new(
            Level::Mend,
            "stock.frost",
            code.clone(),
            format!("{}: frost spoils it, and it is kept where it may freeze", product.name),
            format!("{} ({}), not told to be frost free", home.name, home.code),
            "frost free",
            "take it where it never freezes before the first frost, and tell its new home",
        ));
    }
    if !homeless.is_empty() {
        let n = homeless.len();
        let codes = some(homeless);
        not_told
            .push(format!("home not told for {n} lots or pieces that frost spoils ({codes}): not checked"));
    }
}

/// Whether a container, or anything it stands in, never freezes.
fn frost_free(facts: &Facts, container: ContainerId) -> bool {
    let mut at = Some(container);
    for _ in 0..16 {
        let Some(c) = at.and_then(|id| facts.yard.containers.iter().find(|c| c.id == id)) else { break };
        if c.frost_free {
            return true;
        }
        at = c.parent_id;
    }
    false
}

/// What open steps use up that can't be counted: metres of what has no length, uses without a number, lots of the
/// `wanted` never counted.
pub(super) fn uncounted(
    facts: &Facts,
    open: &[&Step],
    wanted: &BTreeSet<ProductId>,
    not_told: &mut Vec<String>,
) {
    let uses = |step: &Step| {
        let recipe = step.method.into_iter().flat_map(|m| facts.recipe(m));
        let row = recipe.into_iter().find(|r| r.code == step.recipe_step).map(|r| r.id);
        facts.yard.recipe_uses.iter().filter(move |u| Some(u.recipe_step_id) == row)
    };
    let mut no_length = BTreeSet::new();
    let mut no_number = BTreeSet::new();
    for step in open {
        for used in uses(step) {
            let product = facts.product(used.product_id).map_or("", |p: &Product| &p.code);
            if (used.per_placement, used.per_piece, used.per_metre) == (0, 0, 0) {
                no_number.insert(format!("{product} at {}", step.recipe_step));
            }
            let by_metre = |u: &RecipeUse| u.per_metre > 0;
            no_length.extend(
                step.placement
                    .and_then(|id| facts.placement(id))
                    .filter(|p| by_metre(used) && p.length_mm.is_none())
                    .map(|p| p.code.clone()),
            );
        }
    }
    let adds = |kind| matches!(kind, MoveKind::Counted | MoveKind::Bought | MoveKind::Found);
    let counted = |id| facts.yard.stock_moves.iter().any(|m| m.stock_id == id && adds(m.kind));
    let lots = facts.yard.stock.iter().filter(|s| wanted.contains(&s.product_id) && !counted(s.id));
    let never: BTreeSet<String> = lots.map(|s| s.code.clone()).collect();
    for (names, what, so) in [
        (no_length, "length", "what is used up a metre is not counted there"),
        (no_number, "how many", "what is used up is not counted"),
        (never, "how many", "never counted, taken as none"),
    ] {
        if !names.is_empty() {
            let names = some(names);
            not_told.push(format!("{what} of {names} not told: {so}"));
        }
    }
}
