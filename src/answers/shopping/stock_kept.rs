//! How what is owned is kept and counted: lots and pieces that frost spoils, lots never counted, uses not told.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use crate::answers::Outlook;
use crate::answers::view::{Finding, Level};
use crate::answers::words::{say_date, some};
use crate::domain::{
    Condition, ContainerId, MoveKind, Product, ProductId, RecipeUse, Season, Session, Stock,
};
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
            format!("{}: frost spoils it, and the place it is kept in is not told to be free of frost", product.name),
            format!("{} ({}), not told to be frost free", home.name, home.code),
            "frost free",
            "take it where it never freezes before the first frost, or tell of its place that it is frost free",
        ));
    }
    // What ages mostly spoils by frost, too; nobody need have told so.
    let doubtful = |s: &&Stock| {
        let may = |home: ContainerId| !frost_free(facts, home);
        let product = facts.product(s.product_id).filter(|p| ages(p) && !p.keep_from_frost);
        product.is_some() && !s.frozen && on_hand(facts.yard, s.id) > 0 && s.home_id.is_none_or(may)
    };
    let doubtful = some(facts.yard.stock.iter().filter(doubtful).map(|s| s.code.clone()));
    if !doubtful.is_empty() {
        not_told.push(format!(
            "that frost spoils it (keep_from_frost) not told of {doubtful}, kept in a place not told to be frost free: not checked"
        ));
    }
    if !homeless.is_empty() {
        not_told.push(format!("home not told for what frost spoils ({}): not checked", some(homeless)));
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

/// Whether a movement tells how many there are.
pub(super) const fn adds(kind: MoveKind) -> bool {
    matches!(kind, MoveKind::Counted | MoveKind::Bought | MoveKind::Found)
}

/// What ages in its lot: what glues or seals, by its cautions or by what it is called, and what frost spoils.
fn ages(product: &Product) -> bool {
    const WORDS: [&str; 8] = ["adhesive", "bond", "cement", "epoxy", "glue", "mortar", "sealant", "silicone"];
    let called = format!("{} {}", product.kind, product.name).to_lowercase();
    product.keep_from_frost
        || ["adhesive", "tape"].iter().any(|c| product.cautions.has(c))
        || WORDS.iter().any(|w| called.contains(w))
}

/// Lots of what ages, wanted this season, of which nobody told until when they are good.
pub(super) fn undated(
    outlook: &Outlook,
    facts: &Facts,
    used: &BTreeSet<ProductId>,
    not_told: &mut Vec<String>,
) {
    let open = |s: &&Stock| {
        s.use_by.is_none()
            && !s.frozen
            && used.contains(&s.product_id)
            && facts.product(s.product_id).is_some_and(ages)
            && on_hand(outlook.yard, s.id) > 0
    };
    let lots = some(outlook.yard.stock.iter().filter(open).map(|s| s.code.clone()));
    if !lots.is_empty() {
        not_told.push(format!("use-by date not told for {lots}: taken as good"));
    }
}

/// Said where no lot at all is told.
pub(crate) fn unstocked(outlook: &Outlook) -> Option<String> {
    outlook.yard.stock.is_empty().then(|| "stock not told: what the work uses up is not counted".to_owned())
}

/// Why a lot can't be used for work up to a day.
pub(super) fn spoiled(stock: &Stock, last_use: Option<NaiveDate>) -> Option<&'static str> {
    if stock.frozen {
        return Some("were frozen");
    }
    stock.use_by.is_some_and(|d| last_use.is_some_and(|l| d < l)).then_some("are out of date by then")
}

/// The day by which everything of a season is used: that of its last session before the lights go on, else that on
/// which they do.
pub(super) fn used_up_by(outlook: &Outlook, season: &Season) -> Option<NaiveDate> {
    let today = outlook.tonight();
    let before = |s: &&Session| season.lights_on.is_none_or(|lit| s.starts < lit) && s.starts.date() >= today;
    let last = outlook.yard.sessions.iter().filter(before).map(|s| s.starts.date()).max();
    last.or(season.lights_on.map(|t| t.date()))
}

/// Lots that are good to the last session told, and no longer by the time the lights go on.
pub(super) fn good_to_the_session(
    outlook: &Outlook,
    season: &Season,
    used: &BTreeSet<ProductId>,
    not_told: &mut Vec<String>,
) {
    let Some((last, lit)) = used_up_by(outlook, season).zip(season.lights_on.map(|t| t.date())) else {
        return;
    };
    let near = |s: &&Stock| {
        let lasts = s.use_by.is_some_and(|d| d >= last && d < lit);
        lasts && used.contains(&s.product_id) && !s.frozen && on_hand(outlook.yard, s.id) > 0
    };
    let codes = some(outlook.yard.stock.iter().filter(near).map(|s| s.code.clone()));
    if !codes.is_empty() {
        not_told.push(format!(
            "sessions after {} not told: {codes} taken as used by then, out of date before the lights go on",
            say_date(last)
        ));
    }
}
