//! What next year needs, gathered from the record, with its reasons and the day it must be there.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Duration, NaiveDate};

use crate::answers::Outlook;
use crate::answers::faults::page::symptom_words;
use crate::answers::record::spare_list::usual_spares;
use crate::answers::shopping::builds::{bills, rest};
use crate::answers::shopping::ordered::to_come;
use crate::answers::shopping::stock::{parts_short, shortfall};
use crate::answers::words::target_name;
use crate::domain::{Condition, Need, NeedReason, Phase, Placement, PlacementId, ProductId, RepairDeed};
use crate::planner::Plan;
use crate::steps::{Facts, State};

/// Days before its first use by which a bought thing is to be there: it is tested on the bench first.
const BENCH_DAYS: i64 = 7;
/// Days before a season's work for building what is new. Common practice, no published source.
const BUILD_DAYS: i64 = 30;
/// Where no step says when: so long before lights on.
const BEFORE_LIGHTS_ON_DAYS: i64 = 28;

/// One thing to buy, all its reasons together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wanted {
    /// Nothing where it is only told in words: then no offer is known.
    pub product: Option<ProductId>,
    pub title: String,
    pub quantity: i64,
    pub need_by: Option<NaiveDate>,
    /// 1 to 5: what is left out first where the money does not reach.
    pub worth: u32,
    /// It is made at home, or only wished for: nothing that a shop nearby would have.
    pub own_work: bool,
    pub reasons: Vec<String>,
}

/// Everything needed, sorted by the day it is needed and its name.
pub(crate) fn wanted(outlook: &Outlook, plan: Option<&Plan>) -> Vec<Wanted> {
    let facts = outlook.facts();
    let season = outlook.season_for(Phase::Up).ok();
    let today = outlook.now().with_timezone(&outlook.zone()).date_naive();
    let default_by = season
        .and_then(|s| s.lights_on)
        .map(|t| t.date() - Duration::days(BEFORE_LIGHTS_ON_DAYS))
        .filter(|d| *d > today);
    // Once a season is lit its plan says what next year uses, and its days are no days to buy for.
    let lit = season.and_then(|s| s.lights_on).map(|t| t.date()).filter(|d| *d <= today);
    let plan_to_come = plan.filter(|_| lit.is_none());
    let first_use = first_use(outlook, plan_to_come);
    let by_product = |id: ProductId| first_use.get(&id).copied().or(default_by);
    let mut by: BTreeMap<(Option<ProductId>, String), Wanted> = BTreeMap::new();
    let mut add = |product: Option<ProductId>,
                   title: String,
                   n: i64,
                   by_day: Option<NaiveDate>,
                   worth: u32,
                   reason: String| {
        if n <= 0 {
            return;
        }
        let key = (product, if product.is_some() { String::new() } else { title.clone() });
        let row = by.entry(key).or_insert_with(|| Wanted {
            product,
            title,
            quantity: 0,
            need_by: None,
            worth: 0,
            own_work: false,
            reasons: Vec::new(),
        });
        row.quantity += n;
        row.worth = row.worth.max(worth);
        row.need_by = match (row.need_by, by_day) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        };
        row.own_work |= reason.starts_with("new build") || reason.starts_with("improvement");
        row.reasons.push(reason);
    };
    let used = used_to_come(outlook, &facts);
    let unused = |id: ProductId| used.as_ref().is_some_and(|u| !u.contains(&id));
    // Good spares and loose parts count before one is bought.
    let mut hand = rest(outlook, &facts, plan_to_come);
    let mut at_hand = |id: ProductId| {
        let have = hand.entry(id).or_default();
        let covers = *have > 0;
        *have -= i64::from(covers);
        covers
    };
    let name = |id: ProductId| facts.product(id).map_or_else(String::new, |p| p.name.clone());
    let told_for: BTreeSet<_> = outlook.yard.needs.iter().filter_map(|n| n.fault_id).collect();
    let over = |n: &&Need| {
        let fault = n.fault_id.and_then(|id| outlook.yard.faults.iter().find(|f| f.id == id));
        fault.is_some_and(|f| facts.fault_over(f))
    };
    for n in outlook.yard.needs.iter().filter(|n| n.met_on.is_none() && !over(n)) {
        let passed = n.need_by.filter(|d| lit.is_some_and(|lit| *d <= lit));
        let told = n.need_by.filter(|_| passed.is_none());
        let day = told.or(n.product_id.map_or(default_by, by_product));
        let reason = match n.reason {
            NeedReason::Noted => "noted".to_owned(),
            NeedReason::Shortfall => "noted as short".to_owned(),
            NeedReason::Consumable => "noted as used up".to_owned(),
            r => r.as_str().replace('_', " "),
        };
        let reason = if n.note.is_empty() { reason } else { format!("{reason}: {}", n.note) };
        let reason = match passed {
            Some(d) => format!("{reason}; was for {}, now for next year", d.format("%-d %b %Y")),
            None => reason,
        };
        let title = n.product_id.map_or_else(|| n.title.clone(), name);
        let worth = u32::try_from(n.worth).unwrap_or(0);
        add(n.product_id, title, n.quantity, day, worth, reason);
    }
    for f in outlook.yard.faults.iter().filter(|f| !told_for.contains(&f.id)) {
        // In the dark only the prop was named: one of its pieces then.
        let product = match f.piece_id.and_then(|p| facts.piece(p)) {
            Some(piece) => Some(piece.product_id),
            None => f
                .placement_id
                .and_then(|p| facts.placement(p))
                .and_then(|p| facts.product_of(p))
                .map(|p| p.id),
        };
        let Some(product) = product else { continue };
        let last = facts.fault_stands(f.id);
        // Most faults of a long record ask for nothing any more.
        match last {
            Some(RepairDeed::Mended | RepairDeed::Tested | RepairDeed::Replaced) => continue,
            Some(RepairDeed::Scrapped) if !recent(outlook, f.found_ms.0) => continue,
            _ => {}
        }
        if unused(product) {
            continue;
        }
        let entries = facts.repairs(f.id);
        let what = target_name(outlook, f.piece_id, f.placement_id);
        let part = entries.iter().rev().find_map(|e| e.part_id);
        let wants = part.filter(|_| last != Some(RepairDeed::Scrapped)).unwrap_or(product);
        if at_hand(wants) {
            continue;
        }
        match last {
            Some(RepairDeed::Scrapped) => {
                add(
                    Some(product),
                    name(product),
                    1,
                    by_product(product),
                    4,
                    format!("scrapped: {what}, {}", f.code),
                );
            }
            Some(RepairDeed::WaitingPart) => {
                let id = part.unwrap_or(product);
                add(
                    Some(id),
                    name(id),
                    1,
                    by_product(product),
                    4,
                    format!("repair waits: {what}, {}", f.code),
                );
            }
            _ => {
                let id = part.unwrap_or(product);
                let symptom = symptom_words(f);
                add(
                    Some(id),
                    name(id),
                    1,
                    by_product(product),
                    4,
                    format!("repair: {what}, {symptom}, {}", f.code),
                );
            }
        }
    }
    for p in outlook.yard.pieces.iter().filter(|p| p.condition == Condition::Lost) {
        let told = outlook
            .yard
            .needs
            .iter()
            .any(|n| n.product_id == Some(p.product_id) && n.reason == NeedReason::Lost);
        if !told && !unused(p.product_id) && !at_hand(p.product_id) {
            add(
                Some(p.product_id),
                name(p.product_id),
                1,
                by_product(p.product_id),
                4,
                format!("lost: {}", p.code),
            );
        }
    }
    for (product, n) in shortfall(outlook, &facts, plan, lit.is_some()) {
        let p = name(product);
        add(
            Some(product),
            p,
            n,
            by_product(product).or(default_by),
            5,
            match lit {
                Some(_) => "used as this year, not on hand".to_owned(),
                None => "used by this plan, not on hand".to_owned(),
            },
        );
    }
    for (p, (product, n, why)) in bills(outlook, &facts, plan_to_come) {
        let worth = u32::try_from(p.worth).unwrap_or(0);
        add(Some(product), name(product), n, build_by(outlook, p).or(default_by), worth, why);
    }
    for season in outlook.coming_seasons() {
        for (product, n, why) in parts_short(outlook, &facts, season) {
            let day = season.work_from.or(default_by);
            add(Some(product), name(product), n, day, 5, format!("short: {why}"));
        }
    }
    let told_spare = |id: ProductId| {
        outlook
            .yard
            .needs
            .iter()
            .any(|n| n.product_id == Some(id) && n.reason == NeedReason::Spare && n.met_on.is_none())
    };
    for s in usual_spares(outlook) {
        // What is not sold whole is mended; `spares` still lists it.
        let sold = outlook.yard.offers.iter().any(|o| o.product_id == s.product);
        if s.failed_before && sold && !told_spare(s.product) {
            let short = s.carry as i64 - s.on_hand;
            let why = format!("spare: {}", s.reason);
            // Parts are no step's: they are wanted within the year.
            add(Some(s.product), name(s.product), short, first_use.get(&s.product).copied(), 2, why);
        }
    }
    less_on_order(outlook, &mut by);
    let mut list: Vec<Wanted> = by.into_values().collect();
    list.sort_by(|a, b| {
        (a.need_by.is_none(), a.need_by, &a.title).cmp(&(b.need_by.is_none(), b.need_by, &b.title))
    });
    list
}

/// Products that a coming season puts out or connects; nothing where none is told yet.
fn used_to_come(outlook: &Outlook, facts: &Facts) -> Option<BTreeSet<ProductId>> {
    let mut used = BTreeSet::new();
    for season in outlook.coming_seasons() {
        for p in facts.placements_in(season.id) {
            let pieces = facts.pieces_of(p.id).iter().copied().chain(p.mount_id);
            used.extend(pieces.filter_map(|id| facts.piece(id)).map(|x| x.product_id));
            used.extend(facts.product_of(p).map(|x| x.id));
        }
        for l in facts.links_in(season.id) {
            let ends = [l.lead_id, l.from_piece_id, l.to_piece_id].into_iter().flatten();
            used.extend(ends.filter_map(|id| facts.piece(id)).map(|x| x.product_id));
        }
    }
    (!used.is_empty()).then_some(used)
}

/// A scrapped piece of the last two years is missed; an older one was done without.
pub(crate) fn recent(outlook: &Outlook, ms: i64) -> bool {
    outlook.now_ms() - ms < 2 * 365 * 86_400_000
}

/// The day before which each product's first step begins, less time on the bench.
fn first_use(outlook: &Outlook, plan: Option<&Plan>) -> BTreeMap<ProductId, NaiveDate> {
    let facts = outlook.facts();
    let mut first: BTreeMap<PlacementId, NaiveDate> = BTreeMap::new();
    for p in plan.iter().flat_map(|p| &p.steps).filter(|p| p.state == State::Open) {
        if let (Some(placement), Some(from)) = (p.step.placement, p.from) {
            let day = from.with_timezone(&outlook.zone()).date_naive();
            let e = first.entry(placement).or_insert(day);
            *e = (*e).min(day);
        }
    }
    // A later season is not planned yet: its work begins when it says.
    for season in outlook.coming_seasons().into_iter().filter(|s| plan.is_none_or(|p| p.season != s.code)) {
        let begins =
            season.work_from.or(season.lights_on.map(|t| t.date() - Duration::days(BEFORE_LIGHTS_ON_DAYS)));
        if let Some(day) = begins {
            first.extend(facts.placements_in(season.id).into_iter().map(|p| (p.id, day)));
        }
    }
    let mut by: BTreeMap<ProductId, NaiveDate> = BTreeMap::new();
    for (placement, day) in first {
        let pieces = facts.pieces_of(placement).iter().filter_map(|p| facts.piece(*p)).map(|p| p.product_id);
        let product = facts.placement(placement).and_then(|p| facts.product_of(p)).map(|p| p.id);
        let day = day - Duration::days(BENCH_DAYS);
        for id in pieces.chain(product) {
            let e = by.entry(id).or_insert(day);
            *e = (*e).min(day);
        }
    }
    // What a step uses up is to be there on its day.
    for p in plan.iter().flat_map(|p| &p.steps).filter(|p| p.state == State::Open) {
        let Some((placement, from)) = p.step.placement.and_then(|id| facts.placement(id)).zip(p.from) else {
            continue;
        };
        let day = from.with_timezone(&outlook.zone()).date_naive();
        for (id, n) in facts.used_up(placement, &p.step.recipe_step) {
            if n > 0 {
                let e = by.entry(id).or_insert(day);
                *e = (*e).min(day);
            }
        }
    }
    by
}

/// The day the parts of a new build are to be there: a month of building before its season's work begins, or its
/// lights go on; nothing where that is over.
fn build_by(outlook: &Outlook, p: &Placement) -> Option<NaiveDate> {
    let today = outlook.now().with_timezone(&outlook.zone()).date_naive();
    let season = outlook.yard.seasons.iter().find(|s| s.id == p.season_id)?;
    let begins = season.lights_on.map(|t| t.date() - Duration::days(BEFORE_LIGHTS_ON_DAYS));
    let ends = season.lights_on.is_none_or(|t| t.date() > today);
    season.work_from.or(begins).map(|d| d - Duration::days(BUILD_DAYS)).filter(|_| ends)
}

/// Takes off what is ordered and comes in time, and says so.
fn less_on_order(outlook: &Outlook, by: &mut BTreeMap<(Option<ProductId>, String), Wanted>) {
    for row in by.values_mut() {
        for (coming, order) in row.product.into_iter().flat_map(|id| to_come(outlook, id)) {
            let late = row.need_by.zip(order.expected_on).is_some_and(|(need, comes)| comes > need);
            let when = order.expected_on.map_or_else(String::new, |d| format!(", expected {d}"));
            if late {
                row.reasons.push(format!("{coming} on order ({}{when}): too late for this", order.code));
            } else {
                row.quantity -= coming;
                row.reasons.push(format!("less {coming} on order ({}{when})", order.code));
            }
        }
    }
    by.retain(|_, w| w.quantity > 0);
}
