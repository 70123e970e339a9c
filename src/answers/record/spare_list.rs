//! How many spares to carry of each product, with the reason.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::answers::Outlook;
use crate::answers::problem::{Problem, ProblemKind};
use crate::answers::record::findings::percent;
use crate::answers::record::groups::usual;
use crate::answers::record::history::units_of;
use crate::domain::{Condition, ProductId, RepairDeed, SeasonId};
use crate::stats::{BetaPrior, Demand, spares};
use crate::steps::{Facts, on_hand};
use crate::units::figure;

/// The chance that the spares are enough, where none is asked for.
const SERVICE: f64 = 0.9;

/// What to carry of one product.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Spare {
    pub product: ProductId,
    pub carry: u64,
    pub on_hand: i64,
    pub achieved: f64,
    pub reason: String,
    /// Fewest carried because it failed, not only because things of its sort do.
    pub failed_before: bool,
}

/// How many unit-seasons failed.
pub(crate) struct Shares {
    /// The share of them all, as the belief about a product not seen yet.
    usual: BetaPrior,
    /// Failed and seen of each product.
    of: BTreeMap<ProductId, (u64, u64)>,
}

/// Spares at the usual service level.
pub(crate) fn usual_spares(outlook: &Outlook) -> Vec<Spare> {
    let of = outlook.record_day();
    outlook.remembered.spares.get(of, || spares_at(outlook, SERVICE).unwrap_or_default())
}

/// Spares of what goes out in the coming season and of the parts that repairs take, at a service level of 0 to 1.
///
/// Things: the season's share that fails is beta-distributed, the record of the product on top of the usual
/// share of everything; so many of those that go out fail (beta-binomial). Parts: used a season is gamma-Poisson
/// with Jeffreys' prior.
///
/// # Errors
/// `bad-service` outside 0.5 to 0.999.
fn spares_at(outlook: &Outlook, service: f64) -> Result<Vec<Spare>, Problem> {
    if !(0.5..=0.999).contains(&service) {
        return Err(Problem::new(
            ProblemKind::Use,
            "bad-service",
            format!("a service level of {} % is outside 50 to 99.9 %", service * 100.0),
        )
        .hint("90 to 95 is usual"));
    }
    let facts = outlook.facts();
    let mut list = spare_things(outlook, &facts, service);
    list.extend(spare_parts(outlook, &facts, service));
    Ok(list)
}

fn spare_things(outlook: &Outlook, facts: &Facts, service: f64) -> Vec<Spare> {
    let Some(shares) = shares(outlook) else { return Vec::new() };
    let usual = shares.usual;
    let seasons: Vec<SeasonId> = outlook.coming_seasons().iter().map(|s| s.id).collect();
    // The season that puts out most of it: what it needs is enough for the others.
    let mut out: BTreeMap<ProductId, u64> = BTreeMap::new();
    for season in &seasons {
        for (product, n) in goes_out(facts, *season) {
            let most = out.entry(product).or_default();
            *most = (*most).max(n);
        }
    }
    let mut list = Vec::new();
    for (product, n) in out {
        let Some((failed, seen)) = shares.of.get(&product).copied() else { continue };
        let Some(known) = facts.product(product) else { continue };
        let (a, b) = (usual.a + failed as f64, usual.b + (seen - failed) as f64);
        let Ok(found) = spares(Demand::Share { a, b, n }, service) else { continue };
        let free = free_spares(outlook, facts, &seasons, product);
        list.push(Spare {
            product,
            carry: found.quantity,
            on_hand: free,
            achieved: found.achieved,
            reason: format!(
                "{failed} of {seen} unit-seasons of {} failed, {n} go out: {} are enough with a chance of {}, one \
                 fewer with {}",
                known.name,
                found.quantity,
                percent(found.achieved),
                percent(found.one_less)
            ),
            failed_before: failed > 0,
        });
    }
    list
}

/// How many unit-seasons failed; nothing where none is over.
pub(crate) fn shares(outlook: &Outlook) -> Option<Arc<Shares>> {
    outlook.of_failures(|failed| failed.remembered.shares.get(failed.record_day(), || counted_shares(failed)))
}

fn counted_shares(outlook: &Outlook) -> Option<Arc<Shares>> {
    let units = units_of(outlook, &outlook.facts());
    (!units.is_empty()).then(|| {
        let mut of: BTreeMap<ProductId, (u64, u64)> = BTreeMap::new();
        for u in &units {
            let row = of.entry(u.product.id).or_default();
            row.0 += u64::from(u.faults > 0);
            row.1 += 1;
        }
        Arc::new(Shares { usual: usual(&units), of })
    })
}

fn spare_parts(outlook: &Outlook, facts: &Facts, service: f64) -> Vec<Spare> {
    let mut used: BTreeMap<ProductId, i64> = BTreeMap::new();
    let mut days: BTreeSet<i64> = BTreeSet::new();
    for e in &outlook.yard.repair_entries {
        if let (Some(part), RepairDeed::Mended | RepairDeed::Patched) = (e.part_id, e.deed) {
            *used.entry(part).or_default() += e.parts_used.unwrap_or(1);
        }
    }
    days.extend(outlook.yard.faults.iter().map(|f| f.found_ms.0));
    let Some((first, now)) = days.first().copied().zip(Some(outlook.now_ms())) else { return Vec::new() };
    // At least one year: a first winter's use is not extrapolated.
    let years = ((now - first) as f64 / (365.25 * 86_400_000.0)).max(1.0);
    let mut list = Vec::new();
    for (product, n) in used {
        let Some(known) = facts.product(product) else { continue };
        let demand = Demand::Rate { shape: n as f64 + 0.5, rate: years, exposure: 1.0 };
        let Ok(found) = spares(demand, service) else { continue };
        let stock = counted(outlook, product);
        list.push(Spare {
            product,
            carry: found.quantity,
            on_hand: stock,
            achieved: found.achieved,
            reason: format!(
                "repairs took {n} {} in {} years: {} for a year are enough with a chance of {}",
                known.name,
                figure(years, 1),
                found.quantity,
                percent(found.achieved)
            ),
            failed_before: true,
        });
    }
    list
}

/// Good pieces of a product that no coming season puts out, and those only counted.
fn free_spares(outlook: &Outlook, facts: &Facts, seasons: &[SeasonId], product: ProductId) -> i64 {
    let labelled = outlook
        .yard
        .pieces
        .iter()
        .filter(|p| p.product_id == product && p.condition == Condition::Good)
        .filter(|p| facts.open_faults(p.id).is_empty())
        .filter(|p| seasons.iter().all(|s| facts.placement_of_piece(*s, p.id).is_none()))
        .count() as i64;
    labelled + counted(outlook, product)
}

/// What lies in lots by the record, but for what frost spoiled.
fn counted(outlook: &Outlook, product: ProductId) -> i64 {
    let lots = outlook.yard.stock.iter().filter(|s| s.product_id == product && !s.frozen);
    lots.map(|s| on_hand(outlook.yard, s.id)).sum()
}

/// Spares to carry at a service level in percent, else at the usual one; what is short comes first. With that level.
///
/// # Errors
/// `bad-service` outside 50 to 99.9 %.
pub(crate) fn spares_by_need(
    outlook: &Outlook,
    service_pct: Option<f64>,
) -> Result<(f64, Vec<Spare>), Problem> {
    let service = service_pct.map_or(SERVICE, |p| p / 100.0);
    let mut list = spares_at(outlook, service)?;
    let facts = outlook.facts();
    let code = |id: ProductId| facts.product(id).map_or("", |p| p.code.as_str());
    list.sort_by_key(|s| (s.on_hand - s.carry as i64, code(s.product).to_owned()));
    Ok((service, list))
}

/// How many of each product a season puts out.
fn goes_out(facts: &Facts, season: SeasonId) -> BTreeMap<ProductId, u64> {
    let mut out: BTreeMap<ProductId, u64> = BTreeMap::new();
    let mut seen = BTreeSet::new();
    for p in facts.placements_in(season) {
        let pieces = facts.pieces_of(p.id);
        for piece in pieces.iter().filter_map(|x| facts.piece(*x)).filter(|x| seen.insert(x.id)) {
            *out.entry(piece.product_id).or_default() += 1;
        }
        if let Some(product) = facts.product_of(p).filter(|_| pieces.is_empty()) {
            *out.entry(product.id).or_default() += u64::try_from(p.count).unwrap_or(0);
        }
    }
    out
}
