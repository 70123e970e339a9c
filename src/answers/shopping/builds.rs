//! The bill of materials of a new build: a wished placement through its recipe, its load and its ends.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::Outlook;
use crate::answers::shopping::leads::{Way, lead_product};
use crate::answers::shopping::stock::{stake, usable, used};
use crate::answers::words::n_of;
use crate::calc::electrical::supply_load::{CONTINUOUS, Input, supply_load};
use crate::domain::{Direction, LinkKind, Phase, PieceId, Placement, Product, ProductId, Role, SeasonId};
use crate::planner::Plan;
use crate::steps::{Facts, State, spares_at_home};
use crate::units::si::{Amps, Fraction, Volts, Watts};
use crate::units::{Power, figure};

/// Stakes of one piece where their number was not told, as their minutes assume.
const ASSUMED_STAKES: i64 = 2;

/// One line of a bill: what, how many are missing, and why.
type BillLine = (ProductId, i64, String);

/// What the wished placements need beyond what is on hand and not wanted by the plan. On hand counts once over all
/// of them; the one that is worth most comes first.
pub(crate) fn bills<'a>(
    outlook: &Outlook<'a>,
    facts: &Facts,
    plan: Option<&Plan>,
) -> Vec<(&'a Placement, BillLine)> {
    let mut wished: Vec<&Placement> = outlook.yard.placements.iter().filter(|p| p.wished).collect();
    wished.sort_by_key(|p| (std::cmp::Reverse(p.worth), p.code.as_str()));
    if wished.is_empty() {
        return Vec::new();
    }
    let mut rest = rest(outlook, facts, plan);
    let mut free: BTreeMap<SeasonId, i64> = BTreeMap::new();
    let mut out = Vec::new();
    for p in wished {
        let ports = free.entry(p.season_id).or_insert_with(|| free_ports(facts, p.season_id));
        for (product, n, why) in bill(outlook, facts, p, ports) {
            let have = rest.entry(product).or_default();
            let taken = n.min((*have).max(0));
            *have -= taken;
            if n > taken {
                let less = if taken > 0 { format!(", {taken} on hand") } else { String::new() };
                out.push((p, (product, n - taken, format!("new build: {}: {why}{less}", p.name))));
            }
        }
    }
    out
}

/// All that a build takes, nothing on hand taken off but free ports.
pub(crate) fn bill(outlook: &Outlook, facts: &Facts, p: &Placement, free_ports: &mut i64) -> Vec<BillLine> {
    let mut out: Vec<BillLine> = Vec::new();
    let product = facts.product_of(p);
    if let Some(x) = product {
        out.push((x.id, p.count, format!("{} of it", p.count)));
    }
    let recipe = facts.method_of(p).map_or_else(Vec::new, |m| facts.recipe(m.id));
    for step in &recipe {
        let uses = facts.used_up(p, &step.code).into_iter().filter(|u| u.1 > 0);
        out.extend(uses.map(|(id, n)| (id, n, format!("{n} for \"{}\"", step.title))));
    }
    if recipe.iter().any(|r| r.stake_s.s() > 0) {
        let n = p.stakes.unwrap_or(ASSUMED_STAKES * p.count);
        let told = if p.stakes.is_some() { "" } else { ", two a piece assumed" };
        if let Some(stake) = stake(outlook) {
            out.push((stake, n, format!("{}{told}", n_of(n, "stake"))));
        }
    }
    if let Some(x) = product {
        electrical(outlook, facts, p, x, free_ports, &mut out);
    }
    out
}

/// Supplies by the load at full white, ports by pixels, and a lead for each port. Links that are told already are
/// looked after with the season's own leads.
pub(crate) fn electrical(
    outlook: &Outlook,
    facts: &Facts,
    p: &Placement,
    product: &Product,
    free_ports: &mut i64,
    out: &mut Vec<BillLine>,
) {
    let linked =
        |kind: LinkKind| outlook.yard.links.iter().any(|l| l.kind == kind && l.to_placement_id == Some(p.id));
    if let Some((volts, watts)) = load(product).filter(|_| !linked(LinkKind::Dc)) {
        let watts = watts * p.count as f64;
        if let Some((supply, n, rated)) = supplies_for(outlook, volts, watts) {
            out.push((
                supply,
                n,
                format!(
                    "{n} for {} W at {} V, {} % of {} W each",
                    figure(watts, 0),
                    figure(volts, 0),
                    figure(CONTINUOUS * 100.0, 0),
                    figure(rated, 0)
                ),
            ));
        }
    }
    let Some(pixels) = product.pixels.filter(|n| *n > 0) else { return };
    if linked(LinkKind::Data) || linked(LinkKind::Dc) {
        return;
    }
    let board = |x: &&Product| {
        x.role == Role::Controller && x.ports.is_some_and(|n| n > 0) && x.port_pixels.is_some_and(|n| n > 0)
    };
    let board =
        outlook.yard.products.iter().filter(board).min_by_key(|x| (!sold(outlook, x.id), x.code.as_str()));
    let per_port = board.and_then(|x| x.port_pixels).unwrap_or(pixels).max(1);
    let ports = p.count * ((pixels + per_port - 1) / per_port);
    let taken = ports.min(*free_ports);
    *free_ports -= taken;
    if let Some((board, each)) = board.and_then(|x| Some((x, x.ports?))).filter(|_| ports > taken) {
        let n = (ports - taken + each - 1) / each;
        out.push((board.id, n, format!("{n} for {}, {taken} free on boxes in use", n_of(ports, "port"))));
    }
    let plug = crate::answers::shopping::plugs::product_plug(facts, product.id, Direction::In);
    if plug.is_some()
        && let Some(lead) = lead_product(
            outlook,
            facts,
            &Way { kind: LinkKind::Data, mm: 1, from: None, to: plug, wire: None },
        )
    {
        out.push((lead, ports, format!("{}, one a port; their length is not told", n_of(ports, "lead"))));
    }
}

/// The supply of that voltage, how many at continuous load, and its watts.
fn supplies_for(outlook: &Outlook, volts: f64, watts: f64) -> Option<(ProductId, i64, f64)> {
    let supply = outlook
        .yard
        .products
        .iter()
        .filter(|x| x.role == Role::Supply && x.output_mv.is_some_and(|v| (v.volts() - volts).abs() < 0.5))
        .filter(|x| x.rated_mw.is_some())
        .min_by_key(|x| (!sold(outlook, x.id), x.code.as_str()))?;
    let rated = supply.rated_mw?.watts();
    let holds = |n: i64| {
        supply_load(Input {
            volts: Volts::new(volts).ok()?,
            rated: Watts::new(rated * n as f64).ok()?,
            load: Amps::new(watts / volts).ok()?,
            continuous: Fraction::new(CONTINUOUS).ok()?,
        })
        .ok()
        .filter(|o| o.within_limit)
    };
    let least = (watts / (rated * CONTINUOUS)).floor().max(1.0) as i64;
    (least..least + 3).find(|n| holds(*n).is_some()).map(|n| (supply.id, n, rated))
}

pub(crate) fn sold(outlook: &Outlook, product: ProductId) -> bool {
    outlook.yard.offers.iter().any(|o| o.product_id == product)
}

/// Ports of pixel boxes and controllers in use that no lead is told for; none where no lead is told at all, since
/// then nothing is known of them.
fn free_ports(facts: &Facts, season: SeasonId) -> i64 {
    let links = facts.links_in(season);
    let mut used: BTreeMap<PieceId, BTreeSet<&str>> = BTreeMap::new();
    for link in links.iter().filter(|l| matches!(l.kind, LinkKind::Dc | LinkKind::Data)) {
        if let (Some(from), Some(port)) = (link.from_piece_id, link.from_port.as_deref()) {
            used.entry(from).or_default().insert(port);
        }
    }
    let free = |(piece, ports): (&PieceId, &BTreeSet<&str>)| {
        let product = facts.piece(*piece).and_then(|x| facts.product(x.product_id))?;
        product.port_pixels?;
        Some((product.ports? - ports.len() as i64).max(0))
    };
    used.iter().filter_map(free).sum()
}

/// What is on hand and neither used by the plan nor in use: loose stock and labelled pieces at home.
pub(crate) fn rest(outlook: &Outlook, facts: &Facts, plan: Option<&Plan>) -> BTreeMap<ProductId, i64> {
    let mut rest: BTreeMap<ProductId, i64> = BTreeMap::new();
    let season = outlook.season_for(Phase::Up).ok();
    let last_use = season.and_then(|s| s.lights_on).map(|t| t.date());
    for id in outlook.yard.stock.iter().map(|s| s.product_id).collect::<BTreeSet<_>>() {
        rest.insert(id, usable(outlook, id, last_use));
    }
    let open = plan.iter().flat_map(|p| &p.steps).filter(|s| s.state == State::Open).map(|s| &*s.step);
    for (id, n) in used(facts, open) {
        *rest.entry(id).or_default() -= n;
    }
    for season in outlook.coming_seasons() {
        let stakes: i64 = facts.placements_in(season.id).iter().filter_map(|p| p.stakes).sum();
        if let Some(stake) = stake(outlook) {
            *rest.entry(stake).or_default() -= stakes;
        }
    }
    if let Some(season) = season {
        let links = facts.links_in(season.id);
        let linked: BTreeSet<PieceId> =
            links.iter().flat_map(|l| [l.lead_id, l.from_piece_id, l.to_piece_id]).flatten().collect();
        for (id, pieces) in spares_at_home(facts, season.id) {
            *rest.entry(id).or_default() += pieces.iter().filter(|p| !linked.contains(p)).count() as i64;
        }
    }
    rest
}

/// Volts and watts at full white of one piece.
fn load(product: &Product) -> Option<(f64, f64)> {
    let volts = product.volts_mv?.volts();
    let pixels = product.pixels.unwrap_or(0) as f64;
    let own = product.load_mw.map_or(0.0, Power::watts);
    let each = match (product.pixel_mw, product.pixel_ma) {
        (Some(w), _) => w.watts(),
        (None, Some(i)) => i.amps() * volts,
        (None, None) => 0.0,
    };
    let watts = own.max(pixels * each);
    (watts > 0.0 && (1.0..=60.0).contains(&volts)).then_some((volts, watts))
}
