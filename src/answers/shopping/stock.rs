//! `check stock`: what this plan needs against what is usable. Expired, frozen, lent, lost and faulty are not.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Duration, NaiveDate};

use crate::answers::Outlook;
use crate::answers::dates;
use crate::answers::shopping::leads::{adaptor_needs, lead_gaps, lead_lots};
use crate::answers::shopping::ordered::coming;
use crate::answers::shopping::owned::{Owned, not_usable, put_out};
use crate::answers::shopping::stock_kept::{
    frost, good_to_the_session, spoiled, uncounted, undated, unstocked, used_up_by,
};
use crate::answers::view::{Amount, Finding, Level};
use crate::answers::words::{called, n_of, some};
use crate::domain::{Condition, Phase, Piece, Placement, Product, ProductId, Role, Season};
use crate::planner::{Plan, PlannedStep};
use crate::steps::{Facts, Progress, Scope, State, Step, on_hand};
use crate::units::Length;

/// So long before the first step of a season its stock is to be looked over.
pub(crate) const SIX_WEEKS: Duration = Duration::weeks(6);
/// One spare fuse for so many in use, at least one. Common practice, no published source.
const FUSES_A_SPARE: i64 = 10;

/// What a plan's open steps use up, less what is usable. `again`: its season is lit, and all is done again next year.
pub(crate) fn shortfall(
    outlook: &Outlook,
    facts: &Facts,
    plan: Option<&Plan>,
    again: bool,
) -> Vec<(ProductId, i64)> {
    let steps = plan.iter().flat_map(|p| &p.steps);
    let open = steps.filter(|p| again || p.state == State::Open).map(|p| &*p.step);
    let year = |d: NaiveDate| d + Duration::days(if again { 365 } else { 0 });
    let season = outlook.season_for(Phase::Up).ok();
    let last_use = season.and_then(|s| used_up_by(outlook, s)).map(year);
    let day = |p: &PlannedStep| p.to.map(|t| year(t.with_timezone(&outlook.zone()).date_naive()));
    let mut by_plan: BTreeMap<ProductId, Option<NaiveDate>> = BTreeMap::new();
    for p in plan.iter().flat_map(|p| &p.steps).filter(|p| again || p.state == State::Open) {
        let Some(placement) = p.step.placement.and_then(|id| facts.placement(id)) else { continue };
        for (product, _) in facts.used_up(placement, &p.step.recipe_step) {
            let last = by_plan.entry(product).or_insert(day(p));
            // What is in no session yet is used by the last of them at the latest.
            *last = last.zip(day(p)).map(|(a, b)| a.max(b));
        }
    }
    used(facts, open)
        .into_iter()
        .filter_map(|(product, wanted)| {
            let have = usable(outlook, product, by_plan.get(&product).copied().flatten().or(last_use));
            (wanted > have).then_some((product, wanted - have))
        })
        .collect()
}

pub(crate) fn used<'a>(facts: &Facts, steps: impl Iterator<Item = &'a Step>) -> BTreeMap<ProductId, i64> {
    let mut used: BTreeMap<ProductId, i64> = BTreeMap::new();
    for step in steps {
        let Some(placement) = step.placement.and_then(|id| facts.placement(id)) else { continue };
        for (product, n) in facts.used_up(placement, &step.recipe_step) {
            let all = used.entry(product).or_default();
            *all = i64::saturating_add(*all, n);
        }
    }
    used
}

pub(crate) fn usable(outlook: &Outlook, product: ProductId, last_use: Option<NaiveDate>) -> i64 {
    let lots =
        outlook.yard.stock.iter().filter(|s| s.product_id == product && spoiled(s, last_use).is_none());
    lots.map(|s| on_hand(outlook.yard, s.id)).sum()
}

/// The findings of `check stock`, and what keeps something from being checked.
pub(crate) fn stock_findings(
    outlook: &Outlook,
    facts: &Facts,
    season: &Season,
) -> (Vec<Finding>, Vec<String>) {
    let (mut found, mut not_told) = (Vec::new(), Vec::new());
    let scope = Scope { season: season.id, phase: Phase::Up, day: outlook.tonight() };
    let derived = outlook
        .season_for(Phase::Up)
        .ok()
        .filter(|s| s.id == season.id)
        .and_then(|_| outlook.derived(scope).ok());
    let mut open: Vec<&Step> = Vec::new();
    if let Some(derived) = &derived {
        let state =
            |s: &&Step| derived.progress.get(&s.key).map_or(State::Open, |p: &Progress| p.state_for(s.of));
        open.extend(
            derived.steps.iter().map(|s| &**s).filter(|s| matches!(state(s), State::Open | State::Held)),
        );
    }
    let why = "used by this plan's open steps";
    let consumed = used(facts, open.iter().copied());
    let mut all: Vec<_> = consumed.into_iter().map(|(product, n)| (product, n, why.to_owned())).collect();
    all.extend(parts_wanted(outlook, facts, season, &mut not_told));
    found.extend(put_out(outlook, facts, season, &mut not_told).iter().map(Owned::finding));
    for (product, wanted, why) in &all {
        short(outlook, facts, season, (*product, *wanted, why), (&mut found, &mut not_told));
    }
    let products: BTreeSet<ProductId> = all.iter().map(|(product, ..)| *product).collect();
    good_to_the_session(outlook, season, &products, &mut not_told);
    undated(outlook, facts, &products, &mut not_told);
    uncounted(facts, &open, &products, &mut not_told);
    frost(facts, &mut found, &mut not_told);
    leads(outlook, facts, season, &mut found, &mut not_told);
    not_usable(facts, season, &mut found);
    not_told.extend(unstocked(outlook));
    let (shows, undated) = dates::for_stock(outlook, season);
    found.extend(shows);
    not_told.extend(undated);
    let unmounted = facts.placements_in(season.id).into_iter().filter(|p| p.method_id.is_none());
    let unmounted = some(unmounted.map(called));
    if !unmounted.is_empty() {
        not_told
            .push(format!("how it is mounted not told for {unmounted}: what that uses up is not counted"));
    }
    (found, not_told)
}

fn short(
    outlook: &Outlook,
    facts: &Facts,
    season: &Season,
    (product, wanted, why): (ProductId, i64, &str),
    (found, not_told): (&mut Vec<Finding>, &mut Vec<String>),
) {
    let last_use = used_up_by(outlook, season);
    let have = usable(outlook, product, last_use) + labelled_good(facts, product);
    if wanted <= have {
        return;
    }
    let spoiled: Vec<String> = outlook
        .yard
        .stock
        .iter()
        .filter(|s| s.product_id == product)
        .filter_map(|s| {
            let n = on_hand(outlook.yard, s.id);
            spoiled(s, last_use).filter(|_| n > 0).map(|why| format!("; {n} more {why} ({})", s.code))
        })
        .collect();
    let (code, name) = facts.product(product).map_or(("", ""), |p| (p.code.as_str(), p.name.as_str()));
    let coming = coming(outlook, product, season, not_told);
    let on_order = have + coming.in_time >= wanted;
    found.push(Finding::new(
        if on_order { Level::Note } else { Level::Mend },
        "stock.short",
        code.to_owned(),
        format!("{name}: {} short, {why}{}{}", wanted - have, spoiled.concat(), coming.words),
        Amount::count(have as f64, "usable"),
        Amount::count(wanted as f64, "needed"),
        if on_order { "take it in when it comes" } else { "buy it, or find it: it is on the buying list" },
    ));
}

/// The stake that this yard drives.
pub(crate) fn stake(outlook: &Outlook) -> Option<ProductId> {
    let says = |text: &str| text.to_lowercase().contains("stake");
    let made = |p: &&Product| matches!(p.role, Role::Part | Role::Mount | Role::Consumable);
    let all = || outlook.yard.products.iter().filter(made);
    // Whose kind says so goes before one that is only called so.
    let named = || all().find(|p| says(&p.name));
    all().find(|p| says(&p.kind)).or_else(named).map(|p| p.id)
}

/// Whether a placement's recipe drives stakes.
fn drives(facts: &Facts, p: &Placement) -> bool {
    facts.method_of(p).is_some_and(|m| facts.recipe(m.id).iter().any(|r| r.stake_s.s() > 0))
}

/// Stakes of a season's placements and spare fuses for its leads: product, how many, why.
fn parts_wanted(
    outlook: &Outlook,
    facts: &Facts,
    season: &Season,
    not_told: &mut Vec<String>,
) -> Vec<(ProductId, i64, String)> {
    let mut out = Vec::new();
    let stakes: i64 = facts.placements_in(season.id).iter().filter_map(|p| p.stakes).sum();
    let uncounted =
        facts.placements_in(season.id).into_iter().filter(|p| p.stakes.is_none() && drives(facts, p));
    let uncounted: Vec<String> = uncounted.map(called).collect();
    if !uncounted.is_empty() {
        not_told.push(format!("stakes not told for {}: not counted", some(uncounted)));
    }
    match stake(outlook) {
        _ if stakes == 0 => {}
        Some(id) => out.push((id, stakes, format!("stakes of the placements of {}", season.name))),
        None => not_told.push(format!(
            "stakes owned: {stakes} needed, not checked; tell them as stock of a product of kind stake"
        )),
    }
    for need in adaptor_needs(outlook, facts, season, not_told) {
        if let Some(product) = need.product {
            let (a, b) = &need.families;
            out.push((
                product,
                need.needed,
                format!("joints of {a} and {b} plugs: {}", need.links.join(", ")),
            ));
        }
    }
    let mut ratings: BTreeMap<i64, i64> = BTreeMap::new();
    for fuse in facts.links_in(season.id).iter().filter_map(|l| l.fuse_ma) {
        *ratings.entry(fuse.ma()).or_default() += 1;
    }
    for (ma, n) in ratings {
        let amps = crate::units::Current::from_ma(ma).show(outlook.units());
        let is_fuse = |p: &&Product| {
            p.role == Role::Consumable
                && (p.fuse_ma.is_some_and(|f| f.ma() == ma)
                    || p.name.to_lowercase().contains("fuse") && p.name.contains(&format!(" {amps}")))
        };
        match outlook.yard.products.iter().find(is_fuse) {
            Some(p) => {
                out.push((
                    p.id,
                    (n / FUSES_A_SPARE).max(1),
                    format!("spares for {} in use", n_of(n, "fuse")),
                ));
            }
            None => not_told.push(format!("fuses of {amps} owned: {n} in use, not checked")),
        }
    }
    out
}

/// What is short of those, for the buying list.
pub(crate) fn parts_short(
    outlook: &Outlook,
    facts: &Facts,
    season: &Season,
) -> Vec<(ProductId, i64, String)> {
    let last_use = used_up_by(outlook, season);
    let missing = lead_gaps(outlook, facts, season, &mut Vec::new()).into_iter().filter_map(|gap| {
        let length = Length::from_mm(gap.length_mm).show(outlook.units());
        Some((gap.product?, gap.needed - gap.have, format!("leads of {length} for {}", season.name)))
    });
    parts_wanted(outlook, facts, season, &mut Vec::new())
        .into_iter()
        .map(|(p, n, why)| (p, n - usable(outlook, p, last_use) - labelled_good(facts, p), why))
        .chain(missing)
        .chain(put_out(outlook, facts, season, &mut Vec::new()).into_iter().map(|o| o.to_buy()))
        .filter(|(_, short, _)| *short > 0)
        .collect()
}

/// Leads that a link names but that can't be used; leads and adaptors that are missing.
pub(crate) fn leads(
    outlook: &Outlook,
    facts: &Facts,
    season: &Season,
    found: &mut Vec<Finding>,
    not_told: &mut Vec<String>,
) {
    let units = outlook.units();
    let long = |p: &Piece| p.long(facts.product(p.product_id));
    let mut unmeasured = BTreeSet::new();
    for link in &facts.links_in(season.id) {
        let lead = link.lead_id.and_then(|id| facts.piece(id));
        // Whether it reaches is looked at with power and signal.
        let unmeasured_lead = lead.filter(|l| long(l).is_none() && link.length_mm.is_some());
        unmeasured.extend(unmeasured_lead.map(|l| l.code.clone()));
        if let Some(lead) = lead.filter(|l| l.condition != Condition::Good) {
            found.push(Finding::new(
                Level::Mend,
                "stock.lead",
                lead.code.clone(),
                format!("the lead of {} is {}", link.code, lead.condition.as_str()),
                lead.condition.as_str().to_owned(),
                "good",
                "mend and test it, or tell another lead for it",
            ));
        }
    }
    let gaps = lead_gaps(outlook, facts, season, not_told);
    if !gaps.is_empty() {
        let is_lead = |p: &&Piece| facts.product(p.product_id).is_some_and(|x| x.role == Role::Lead);
        let owned = facts.yard.pieces.iter().filter(|p| p.condition == Condition::Good).filter(is_lead);
        unmeasured.extend(owned.filter(|p| long(p).is_none()).map(|p| p.code.clone()));
        let lots = lead_lots(outlook, facts).filter(|(_, product)| product.length_mm.is_none());
        unmeasured.extend(lots.map(|(lot, _)| lot.code.clone()));
    }
    if !unmeasured.is_empty() {
        let codes = some(unmeasured);
        not_told.push(format!("length not told for the leads {codes}: not known whether they reach"));
    }
    for gap in gaps {
        let length = Length::from_mm(gap.length_mm).show(units);
        let buy = gap.product.and_then(|p| facts.product(p)).map_or_else(
            || "buy or make them, or tell which lead each link uses".to_owned(),
            |p| format!("{} would do: it is on the buying list; or tell which lead each link uses", p.name),
        );
        found.push(Finding::new(
            Level::Mend,
            "stock.leads",
            gap.kind.as_str().to_owned(),
            format!(
                "{} of {length} missing, plug {} at the feeding end, {} at the other",
                n_of(gap.needed - gap.have, "lead"),
                gap.ends.0,
                gap.ends.1
            ),
            Amount::count(gap.have as f64, "free, long enough and with these plugs"),
            Amount::count(gap.needed as f64, "needed"),
            &buy,
        ));
    }
    for need in adaptor_needs(outlook, facts, season, &mut Vec::new()).iter().filter(|n| n.product.is_none())
    {
        found.push(Finding::new(
            Level::Mend,
            "stock.adaptor",
            need.links.join(", "),
            format!(
                "{} of {} and {} plugs, and no adaptor between them is known",
                n_of(need.needed, "joint"),
                need.families.0,
                need.families.1
            ),
            Amount::count(0.0, "known"),
            Amount::count(need.needed as f64, "needed"),
            "add the adaptor and its two ends as a product, or tell another lead",
        ));
    }
}

/// Once six weeks before the first step have come: how many things are short, and since when it is due.
pub(crate) fn stock_due(outlook: &Outlook, season: &Season, plan: &Plan) -> Option<(usize, NaiveDate)> {
    let first = plan.steps.iter().filter(|p| p.state == State::Open).filter_map(|p| p.from).min();
    let first = first.map(|t| t.with_timezone(&outlook.zone()).date_naive());
    let due = first.into_iter().chain(season.work_from).min()? - SIX_WEEKS;
    let today = outlook.now().with_timezone(&outlook.zone()).date_naive();
    if today < due || season.lights_on.is_some_and(|t| t.date() < today) {
        return None;
    }
    let found = stock_findings(outlook, &outlook.facts(), season).0.len();
    (found > 0).then_some((found, due))
}

fn labelled_good(facts: &Facts, product: ProductId) -> i64 {
    let good = |p: &&crate::domain::Piece| p.product_id == product && p.condition == Condition::Good;
    facts.yard.pieces.iter().filter(good).count() as i64
}
