//! From a recipe step and a placement to a step: minutes, access, light, limits, cautions.

use super::facts::Facts;
use super::key::StepKey;
use super::step::{Light, Limits, Role, Run, Step};
use crate::domain::{Access, CureRule, Phase, Placement, RecipeAccess, RecipeLight, RecipeStep, StepDeed};

/// Stakes assumed for one piece where their number was not told.
const ASSUMED_STAKES: i64 = 2;
/// Metres assumed for one piece where no length was told.
const ASSUMED_METRES: f64 = 3.0;

/// What takes so many people to go up or down is a mast: one at the foot, one on each side guy.
const MAST_HANDS: i64 = 3;

/// Builds the step of a recipe step for a placement; its edges come later.
pub(super) fn recipe_step(facts: &Facts, placement: &Placement, recipe: &RecipeStep, key: StepKey) -> Step {
    let place_access = facts.access(placement.place_id);
    let (access, indoors_work) = match recipe.access {
        RecipeAccess::Place => (place_access, false),
        RecipeAccess::Ground => (Access::Ground, false),
        RecipeAccess::StepLadder => (Access::StepLadder, false),
        RecipeAccess::ExtensionLadder => (Access::ExtensionLadder, false),
        RecipeAccess::Roof => (Access::Roof, false),
        RecipeAccess::Bench => (Access::Ground, true),
    };
    let (mut seconds, assumed) = seconds(facts, placement, recipe);
    let run = facts
        .run_of(recipe.id)
        .filter(|_| recipe.deed == StepDeed::BenchTest && recipe.phase == Phase::Bench);
    if let Some(run) = run {
        seconds -= run.runs_s.s().min(recipe.fixed_s.s());
    }
    let mut cautions: Vec<String> = recipe.cautions.iter().map(str::to_owned).collect();
    let place_cautions = placement.place_id.and_then(|p| facts.place(p)).map(|p| &p.cautions);
    let product_cautions = facts.product_of(placement).map(|p| &p.cautions);
    let own = [Some(&placement.cautions), place_cautions, product_cautions];
    for code in own.into_iter().flatten().flat_map(crate::domain::Words::iter) {
        if !indoors_work && !cautions.iter().any(|c| c == code) {
            cautions.push(code.to_owned());
        }
    }
    for code in access_cautions(access).iter().copied().chain(deed_cautions(recipe)) {
        if !cautions.iter().any(|c| c == code) {
            cautions.push(code.to_owned());
        }
    }
    let mut step = Step {
        key,
        role: Role::Work,
        phase: recipe.phase,
        deed: recipe.deed,
        title: facts.yard.terms().say(&recipe.title),
        subject: subject(placement),
        recipe_step: recipe.code.clone(),
        method: Some(recipe.method_id),
        placement: Some(placement.id),
        place: if indoors_work { None } else { placement.place_id },
        access,
        seconds,
        assumed,
        of: (recipe.piece_s.s() > 0 && placement.count > 1).then_some(placement.count),
        hands: recipe.hands,
        skills: Vec::new(),
        by_hand: Vec::new(),
        equipment: recipe.equipment.iter().map(str::to_owned).collect(),
        light: light(recipe.light, access, indoors_work || facts.indoors(placement.place_id)),
        not_alone: recipe.not_alone || access == Access::Roof,
        limits: Limits {
            min: recipe.min_mc,
            max_gust: recipe.max_gust_mms,
            dry: recipe.dry || access == Access::Roof,
            unfrozen: recipe.unfrozen,
        },
        cautions,
        box_mode: None,
        stretch: None,
        run: run.map(|r| Run {
            start_s: r.start_s.s(),
            runs_s: r.runs_s.s(),
            title: "Start the bench test: connect it, switch on".to_owned(),
        }),
        drying_min: None,
        not_before: None,
        not_after: None,
        held: placement.held_why.clone(),
        after: Vec::new(),
    };
    step.set_skills(recipe.skills.iter());
    step
}

/// "boat cut-outs, 8": the name, and how many where more than one.
pub(super) fn subject(placement: &Placement) -> String {
    if placement.count > 1 {
        format!("{}, {}", placement.name, placement.count)
    } else {
        placement.name.clone()
    }
}

/// The cautions that come with how a place is reached, whatever the recipe says.
pub(super) const fn access_cautions(access: Access) -> &'static [&'static str] {
    match access {
        Access::Ground => &[],
        Access::StepLadder | Access::ExtensionLadder => &["ladder"],
        Access::Roof => &["ladder", "roof"],
    }
}

/// The cautions that come with what is done, whatever the recipe says: an owner's own recipe may forget them.
fn deed_cautions(recipe: &RecipeStep) -> impl Iterator<Item = &'static str> {
    let deed = match recipe.deed {
        StepDeed::Power | StepDeed::BenchTest => Some("mains"),
        StepDeed::Connect | StepDeed::Disconnect => Some("supply_off"),
        StepDeed::Raise | StepDeed::Lower if recipe.hands >= MAST_HANDS => Some("mast"),
        _ => None,
    };
    deed.into_iter().chain(recipe.cure_rule.map(CureRule::as_str))
}

/// Day for roof and extension ladder, twilight for the step ladder, a lamp will do on the ground.
fn light(light: RecipeLight, access: Access, indoors: bool) -> Light {
    if indoors {
        return Light::Indoors;
    }
    match light {
        RecipeLight::Day => Light::Day,
        RecipeLight::Twilight => Light::Twilight,
        RecipeLight::Lamp => Light::Lamp,
        RecipeLight::Dark => Light::Dark,
        RecipeLight::Indoors => Light::Indoors,
        RecipeLight::Access => match access {
            Access::Roof | Access::ExtensionLadder => Light::Day,
            Access::StepLadder => Light::Twilight,
            Access::Ground => Light::Lamp,
        },
    }
}

/// Seconds for the whole step, and whether a length or number had to be assumed.
fn seconds(facts: &Facts, placement: &Placement, recipe: &RecipeStep) -> (i64, bool) {
    let mut assumed = false;
    let mut sum = recipe.fixed_s.s() + recipe.piece_s.s() * placement.count;
    if recipe.stake_s.s() > 0 {
        assumed |= placement.stakes.is_none();
        sum += recipe.stake_s.s() * placement.stakes.unwrap_or(ASSUMED_STAKES * placement.count);
    }
    if recipe.metre_s.s() > 0 {
        let product = facts.product_of(placement).and_then(|p| p.length_mm);
        let told = placement
            .length_mm
            .or(product.map(|l| crate::units::Length::from_mm(l.mm().saturating_mul(placement.count))));
        assumed |= told.is_none();
        let metres = told.map_or(ASSUMED_METRES * placement.count as f64, crate::units::Length::metres);
        sum += (recipe.metre_s.s() as f64 * metres).round() as i64;
    }
    (sum, assumed)
}
