//! What is staked, hung or screwed on and has no stand of its own: what the wind and its weight pull with, and what holds it.

use std::collections::{BTreeMap, BTreeSet};

use super::facts::Facts;
use super::sail::sail;
use super::wind::{GRAVITY, wind_at, wind_look};
use crate::calc::refusal::Refusal;
use crate::calc::structural::force::{self, PartForce};
use crate::domain::{Phase, PieceId, Placement, PlacementId, Product, Role, SeasonId, StepDeed};
use crate::units::Length;
use crate::units::si::MetresPerSecond;

/// A smaller face is nothing that the wind carries off its hook (common practice, no published source).
pub const LEAST_M2: f64 = 0.25;
/// What hangs on something that nobody told, and is heavier than that, is asked about (common practice, no published source).
const HEAVY_KG: f64 = 2.0;

/// One placement that is fixed to something.
#[derive(Debug, Clone, PartialEq)]
pub struct Pull<'a> {
    pub placement: &'a Placement,
    /// Solid area that meets the wind; nothing where its size is not told.
    pub area_m2: Option<f64>,
    /// The push of the design gust; nothing where gust or size is not told.
    pub push: Option<PartForce>,
    pub gust_factor: f64,
    /// The push on what else is fixed to the same mount, in newtons; of these others nothing is said by themselves.
    pub others_n: f64,
    /// The push on it is said with that of another one on its mount.
    pub said_with_another: bool,
    /// What its mounts or stakes hold together, in newtons, where that is told.
    pub holds_n: Option<f64>,
    /// Its stakes are not counted.
    pub stakes_untold: bool,
    /// What hangs or stands on the same mount weighs, in newtons; nothing where a mass is not told.
    pub weighs_n: Option<f64>,
    /// A mass of what its mount bears is not told.
    pub mass_untold: bool,
    pub refused: Option<Refusal>,
}

/// All of a season that stands, hangs or is staked outdoors and is judged by no stand.
pub fn pulls<'a>(facts: &Facts<'a>, season: SeasonId) -> Vec<Pull<'a>> {
    let all = facts.placements_in(season);
    let fixed = |p: &&'a Placement| {
        p.carried_by_id.is_none()
            && !facts.indoors(p.place_id)
            && is_fixed(facts, p)
            && wind_look(facts, p).is_none()
    };
    let mut said = BTreeSet::new();
    let mut weigh = |pull: &mut Pull, bearer: Option<Bearer>| {
        // What one mount bears is said once.
        let first = bearer.filter(|b| said.insert(*b));
        pull.weighs_n = first.and_then(|b| weight(facts, &all, b));
        pull.mass_untold = first.is_some() && pull.weighs_n.is_none();
        first.is_some()
    };
    let mut found: Vec<Pull> = all
        .iter()
        .copied()
        .filter(fixed)
        .map(|p| {
            let mut pull = pull(facts, p);
            weigh(&mut pull, p.mount_id.map(Bearer::Mount));
            pull
        })
        .filter(|p| {
            let mass = facts.product_of(p.placement).and_then(|x| x.mass_g);
            p.placement.mount_id.is_some()
                || p.holds_n.is_some()
                || p.area_m2.is_none_or(|a| a >= LEAST_M2)
                || mass.is_some_and(|m| m.kilograms() >= HEAVY_KG)
        })
        .collect();
    push_together(facts, &mut found);
    // Whatever lies or stands on a mount weighs on it, however the wind is judged.
    for p in all.iter().copied().filter(|p| p.mount_id.is_some()) {
        let mut only = pull(facts, p);
        if weigh(&mut only, p.mount_id.map(Bearer::Mount)) {
            // What its stakes bear together is open where nobody told how many: that is said, never taken as enough.
            only.stakes_untold &= only.weighs_n.is_some_and(|n| n > 0.0) || only.mass_untold;
            (only.area_m2, only.push, only.refused) = (Some(0.0), None, None);
            found.push(only);
        }
    }
    // So does what is carried by a mount that is put out by itself.
    for p in all.iter().copied().filter(|p| carries(facts, &all, p)) {
        let mut only = pull(facts, p);
        if weigh(&mut only, Some(bearer_of(facts, p))) {
            let most = facts.product_of(p).and_then(|x| x.max_load_g);
            only.holds_n = most.map(|m| m.kilograms() * GRAVITY * p.count.max(1) as f64);
            (only.area_m2, only.push, only.refused, only.stakes_untold) = (Some(0.0), None, None, false);
            found.push(only);
        }
    }
    found
}

/// What bears things: a labelled mount, or one that is put out without a label.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Bearer {
    Mount(PieceId),
    Placed(PlacementId),
}

fn bearer_of(facts: &Facts, p: &Placement) -> Bearer {
    match facts.pieces_of(p.id) {
        [piece] => Bearer::Mount(*piece),
        _ => Bearer::Placed(p.id),
    }
}

/// A mount of which others tell that it carries them.
fn carries(facts: &Facts, all: &[&Placement], p: &Placement) -> bool {
    facts.product_of(p).is_some_and(|x| x.role == Role::Mount)
        && all.iter().any(|o| o.carried_by_id == Some(p.id))
}

/// The pushes on all that is fixed to one mount, at the first of them; stakes hold each placement by themselves.
fn push_together(facts: &Facts, found: &mut [Pull]) {
    let on = |p: &Pull| p.placement.mount_id.filter(|_| p.push.is_some() && !staked(facts, p.placement));
    let mut sums: BTreeMap<PieceId, f64> = BTreeMap::new();
    for p in found.iter() {
        if let (Some(mount), Some(push)) = (on(p), &p.push) {
            *sums.entry(mount).or_default() += push.force.get();
        }
    }
    for p in found.iter_mut() {
        let Some(mount) = on(p) else { continue };
        match (sums.remove(&mount), &p.push) {
            (Some(sum), Some(push)) => p.others_n = (sum - push.force.get()).max(0.0),
            _ => p.said_with_another = true,
        }
    }
}

/// Driven in, hung up or set on what was driven in.
fn is_fixed(facts: &Facts, p: &Placement) -> bool {
    // What lies close to what it is on, and what is judged as set down.
    const APART: [&str; 11] = [
        "wrap",
        "trim_channel",
        "trim_tape",
        "drape",
        "throw",
        "cable_run",
        "tape",
        "glue",
        "laid",
        "set_out",
        "weigh",
    ];
    let Some(method) = facts.method_of(p).filter(|m| !APART.contains(&m.code.as_str())) else { return false };
    let lit = |x: &Product| matches!(x.role, Role::Prop | Role::Mount);
    let up = facts.recipe(method.id).into_iter().filter(|r| r.phase == Phase::Up);
    let holds = |d| matches!(d, StepDeed::Hang | StepDeed::Drive | StepDeed::Set | StepDeed::Raise);
    facts.product_of(p).is_some_and(lit) && up.map(|r| r.deed).any(holds)
}

fn staked(facts: &Facts, p: &Placement) -> bool {
    facts.method_of(p).is_some_and(|m| facts.recipe(m.id).iter().any(|r| r.stake_s.s() > 0))
}

fn pull<'a>(facts: &Facts<'a>, p: &'a Placement) -> Pull<'a> {
    let mut out = Pull {
        placement: p,
        area_m2: None,
        push: None,
        gust_factor: 1.0,
        others_n: 0.0,
        said_with_another: false,
        holds_n: None,
        stakes_untold: false,
        weighs_n: None,
        mass_untold: false,
        refused: None,
    };
    let mount = p.mount_id.and_then(|m| facts.product(facts.piece(m)?.product_id));
    let each = mount.and_then(|m| m.max_load_g).map(|m| m.kilograms() * GRAVITY);
    let stakes = staked(facts, p);
    out.stakes_untold = stakes && p.stakes.is_none();
    let many = if stakes { p.stakes } else { Some(1) };
    out.holds_n = each.zip(many).map(|(each, many)| each * many as f64);
    let Some(product) = facts.product_of(p) else { return out };
    let site = facts.yard.sites.first();
    let gust =
        site.and_then(|s| s.design_gust_mms).and_then(|g| MetresPerSecond::new(g.metres_per_second()).ok());
    let place = p.place_id.and_then(|id| facts.place(id)).and_then(|x| x.height_mm);
    let top = p.height_mm.into_iter().chain(place).max().map(Length::metres);
    let mut compute = || -> Result<_, Refusal> {
        let Some((area, middle, drag)) = sail(product, p.count, top)? else { return Ok(None) };
        let middle = super::wind::metres(middle)?;
        let wind = gust.map(|gust| wind_at(site, gust));
        out.gust_factor = wind.map_or(1.0, |w| w.gust_factor);
        let push = wind.map(|wind| force::on_part(wind, area, middle, drag)).transpose()?;
        Ok(Some((area.get(), push)))
    };
    match compute() {
        Ok(found) => (out.area_m2, out.push) = (found.map(|f| f.0), found.and_then(|f| f.1)),
        Err(refusal) => out.refused = Some(refusal),
    }
    out
}

/// What all on a mount weigh, with what is carried by it; nothing where a mass is not told.
fn weight(facts: &Facts, all: &[&Placement], bearer: Bearer) -> Option<f64> {
    let mounted = |o: &Placement| match bearer {
        Bearer::Mount(piece) => {
            let by = o.carried_by_id;
            o.mount_id == Some(piece) || by.is_some_and(|c| facts.pieces_of(c).contains(&piece))
        }
        Bearer::Placed(id) => o.carried_by_id == Some(id),
    };
    let mut on: Vec<&Placement> = all.iter().copied().filter(|o| mounted(o)).collect();
    let mut at = 0;
    while let Some(id) = on.get(at).map(|p| p.id) {
        let more = all.iter().filter(|o| o.carried_by_id == Some(id) && on.iter().all(|x| x.id != o.id));
        let more: Vec<&Placement> = more.copied().collect();
        on.extend(more);
        at += 1;
    }
    let each = |o: &&Placement| Some(facts.product_of(o)?.mass_g?.kilograms() * o.count.max(1) as f64);
    on.iter().map(each).sum::<Option<f64>>().map(|kg| kg * GRAVITY)
}
