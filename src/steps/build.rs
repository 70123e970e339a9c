//! From a recipe step and a placement to a step: minutes, access, light, limits, tools, words.

use super::cautions;
use super::facts::Facts;
use super::key::StepKey;
use super::step::{Light, Limits, Role, Run, Step};
use crate::domain::{
    Access, Phase, Placement, Product, RecipeAccess, RecipeLight, RecipeStep, Role as Kind, StepDeed,
};
use crate::units::Temperature;

/// Stakes assumed for one piece where their number was not told.
const ASSUMED_STAKES: i64 = 2;
/// Metres assumed for one piece where no length was told.
const ASSUMED_METRES: f64 = 3.0;
/// Walls that a hand drill does not get into.
const HARD: [&str; 7] = ["brick", "stone", "concrete", "masonry", "stucco", "render", "cement"];

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
    let indoors = indoors_work || facts.indoors(placement.place_id);
    let run = facts
        .run_of(recipe.id)
        .filter(|_| recipe.deed == StepDeed::BenchTest && recipe.phase == Phase::Bench);
    if let Some(run) = run {
        seconds -= run.runs_s.s().min(recipe.fixed_s.s());
    }
    let words = spoken(facts, placement, recipe);
    let mut step = Step {
        key,
        role: Role::Work,
        phase: recipe.phase,
        deed: recipe.deed,
        title: facts.yard.terms().say(&words.title),
        subject: subject(placement),
        recipe_step: recipe.code.clone(),
        method: Some(recipe.method_id),
        placement: Some(placement.id),
        place: if indoors_work { None } else { placement.place_id },
        access,
        height: height(facts, placement).filter(|_| access != Access::Ground),
        seconds,
        assumed,
        of: (recipe.piece_s.s() > 0 && placement.count > 1).then_some(placement.count),
        hands: recipe.hands,
        skills: Vec::new(),
        by_hand: Vec::new(),
        equipment: tools(facts, placement, recipe),
        light: light(recipe.light, access, indoors),
        not_alone: recipe.not_alone || access == Access::Roof,
        limits: Limits {
            min: recipe.min_mc.max(bends_from(facts, placement, recipe).filter(|_| !indoors)),
            max_gust: max_gust(facts, recipe, access),
            dry: recipe.dry || access == Access::Roof,
            unfrozen: recipe.unfrozen,
        },
        cautions: cautions::told(facts, placement, words, access),
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

/// The coldest at which a thing, and the leads that are plugged into it, may be bent or tied, where a step does that.
fn bends_from(facts: &Facts, placement: &Placement, recipe: &RecipeStep) -> Option<Temperature> {
    let own = facts.product_of(placement).and_then(|p| p.min_handling_mc).filter(|_| handles(recipe.deed));
    let leads = leads_bent(facts, placement, recipe.deed).into_iter().filter_map(|p| p.min_handling_mc);
    own.into_iter().chain(leads).max()
}

/// The kinds of leads that a step of a placement bends: those that are plugged and parted in it.
pub fn leads_bent<'a>(facts: &Facts<'a>, placement: &Placement, deed: StepDeed) -> Vec<&'a Product> {
    if !matches!(deed, StepDeed::Connect | StepDeed::Disconnect) {
        return Vec::new();
    }
    let leads = facts.leads_of(placement.id).iter().filter_map(|id| facts.piece(*id));
    leads.filter_map(|p| facts.product(p.product_id)).collect()
}

/// Whether a deed bends or ties what it is done to.
pub fn handles(deed: StepDeed) -> bool {
    use StepDeed as D;
    matches!(deed, D::Raise | D::Hang | D::Set | D::Tie | D::Connect | D::Disconnect | D::Release | D::Lower)
}

/// "boat cut-outs, 8": the name, and how many where more than one and the name does not count them itself, as "Boats 1
/// and 2".
pub(super) fn subject(placement: &Placement) -> String {
    let told: Vec<i64> =
        placement.name.split(|c: char| !c.is_ascii_digit()).filter_map(|n| n.parse().ok()).collect();
    let listed = told.len() as i64 == placement.count
        || matches!(told[..], [first, last] if last - first + 1 == placement.count);
    if placement.count > 1 && !listed {
        format!("{}, {}", placement.name, placement.count)
    } else {
        placement.name.clone()
    }
}

/// The row whose words are said: of a switch, a player or a speaker, however it is mounted, those of its own recipe
/// where that has a step of the same name.
fn spoken<'a>(facts: &Facts<'a>, placement: &Placement, recipe: &'a RecipeStep) -> &'a RecipeStep {
    let own = match facts.product_of(placement).map(|p| p.role) {
        Some(Kind::Network | Kind::Player) => "network",
        Some(Kind::Sound) if !recipe.code.starts_with("radio.") => "sound",
        _ => return recipe,
    };
    let Some((_, deed)) = recipe.code.split_once('.') else { return recipe };
    let method = facts.yard.methods.iter().find(|m| m.code == own);
    let rows = method.map(|m| facts.recipe(m.id)).unwrap_or_default();
    rows.into_iter()
        .find(|r| r.deed == recipe.deed && r.code.split_once('.').is_some_and(|(_, d)| d == deed))
        .unwrap_or(recipe)
}

/// The owner's own limit for the roof goes before a higher one of the recipe.
fn max_gust(facts: &Facts, recipe: &RecipeStep, access: Access) -> Option<crate::units::Speed> {
    let roof = facts.yard.sites.first().and_then(|s| s.roof_max_gust_mms).filter(|_| access == Access::Roof);
    match (recipe.max_gust_mms, roof) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}

/// How high a placement is reached for: the higher of what is told for its place and for itself; on a roof, where the
/// ladder rests, which is the place's.
pub(super) fn height(facts: &Facts, placement: &Placement) -> Option<crate::units::Length> {
    let place = placement.place_id.and_then(|p| facts.place(p)).and_then(|p| p.height_mm);
    let roof = facts.access(placement.place_id) == Access::Roof;
    if roof { place.or(placement.height_mm) } else { place.max(placement.height_mm) }
}

/// The tools of a step: what is drilled into a hard wall asks for a hammer drill.
fn tools(facts: &Facts, placement: &Placement, recipe: &RecipeStep) -> Vec<String> {
    let mut all: Vec<String> = recipe.equipment.iter().map(str::to_owned).collect();
    let place = placement.place_id.and_then(|p| facts.place(p));
    let told = [Some(&placement.note), place.map(|p| &p.name), place.map(|p| &p.note)];
    let told: Vec<String> = told.into_iter().flatten().map(|t| t.to_lowercase()).collect();
    let hard = told.iter().flat_map(|t| t.split(|c: char| !c.is_alphabetic())).any(|w| HARD.contains(&w));
    if hard && recipe.access == RecipeAccess::Place && recipe.cautions.has("dust") {
        all.retain(|t| t != "drill" && t != "hammer_drill");
        all.push("hammer_drill".to_owned());
    }
    all
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
