//! What a walk needs at hand: the fetch list, leads to choose from, and what the timer says.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::Outlook;
use crate::answers::view::FetchLine;
use crate::answers::walk::list::Row;
use crate::answers::walk::page::tools;
use crate::answers::walk::states::States;
use crate::answers::words::container_name;
use crate::domain::{Phase, PlacementId, StepDeed, TickKind};
use crate::planner::{Plan, PlannedStep};
use crate::steps::{Facts, State, StepKey};
use crate::units::Span;

/// What to carry of some pieces: the totes they live in, and by name what stands loose on a shelf.
/// What stays up the year round ("place") is not fetched.
fn to_carry(outlook: &Outlook, pieces: &BTreeSet<crate::domain::PieceId>, facts: &Facts) -> Vec<FetchLine> {
    let mut totes: BTreeMap<String, String> = BTreeMap::new();
    let mut loose: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for piece in pieces.iter().filter_map(|p| facts.piece(*p)) {
        let home = piece.home_id.and_then(|h| outlook.yard.containers.iter().find(|c| c.id == h));
        let Some(home) = home else { continue };
        match home.kind.as_str() {
            "place" => {}
            "shelf" | "rack" => loose.entry(home.name.clone()).or_default().push(piece.code.clone()),
            _ => {
                let stands = home.parent_id.and_then(|p| outlook.yard.containers.iter().find(|c| c.id == p));
                let stands = stands.map_or_else(String::new, |p| p.name.clone());
                totes.insert(format!("{} {}", home.code, home.name), stands);
            }
        }
    }
    let totes = totes.into_iter().map(|(name, from)| FetchLine { what: "tote", name, from });
    let loose = loose.into_iter().map(|(from, mut codes)| {
        codes.sort();
        FetchLine { what: "piece", name: codes.join(", "), from }
    });
    totes.chain(loose).collect()
}

pub(crate) fn clock_words(outlook: &Outlook, ms: i64) -> String {
    chrono::DateTime::from_timestamp_millis(ms)
        .map_or_else(String::new, |t| t.with_timezone(&outlook.zone()).format("%H:%M").to_string())
}

/// The time of a step that was put right afterwards, by its key; of several the last one.
pub(crate) type Corrected<'a> = BTreeMap<&'a str, Span>;

/// Sought once for a whole list: there are many more ticks than steps in it.
pub(crate) fn corrected<'a>(outlook: &Outlook<'a>) -> Corrected<'a> {
    let notes = outlook.yard.ticks.iter().filter(|t| t.kind == TickKind::Note);
    notes.filter_map(|t| Some((&*t.step_key, t.taken_s?))).collect()
}

/// What the timer of a step says.
pub(crate) fn timer_words(
    outlook: &Outlook,
    key: &StepKey,
    is: State,
    ticked: &crate::steps::Progress,
    corrected: &Corrected,
) -> Option<String> {
    let from = ticked.from?;
    match is {
        State::Doing => Some(format!("runs since {}", clock_words(outlook, from.0))),
        State::Done => {
            if let Some(taken) = corrected.get(key.as_str()) {
                return Some(format!("took {}, corrected", taken.show()));
            }
            let minutes = (ticked.to?.0 - from.0) / 60_000;
            Some(format!("took {minutes} min; w corrects it"))
        }
        _ => None,
    }
}

/// Leads by their labels, those that no link of the season uses first.
pub(crate) fn lead_choices(
    outlook: &Outlook,
    facts: &Facts,
    season: crate::domain::SeasonId,
) -> Vec<(String, String)> {
    let used: BTreeSet<_> = facts.links_in(season).iter().filter_map(|l| l.lead_id).collect();
    let units = outlook.units();
    let lead = |p: &&crate::domain::Piece| {
        facts.product(p.product_id).is_some_and(|x| x.role == crate::domain::Role::Lead)
    };
    let mut rows: Vec<(bool, String, String)> = outlook
        .yard
        .pieces
        .iter()
        .filter(lead)
        .map(|p| {
            let long = p.long(facts.product(p.product_id));
            let mut words: Vec<String> = long.map(|l| l.show(units)).into_iter().collect();
            words.extend(facts.product(p.product_id).map(|x| x.name.clone()));
            if used.contains(&p.id) {
                words.push("in use".to_owned());
            }
            (used.contains(&p.id), p.code.clone(), words.join(", "))
        })
        .collect();
    rows.sort();
    rows.into_iter().map(|(_, code, words)| (code, words)).collect()
}

/// Ladders, tools, leads, totes and consumables of the steps still open.
pub(crate) fn fetch(
    outlook: &Outlook,
    plan: &Plan,
    facts: &Facts,
    rows: &[&Row],
    states: &States,
) -> Vec<FetchLine> {
    let open: Vec<&PlannedStep> =
        rows.iter().map(|r| r.step).filter(|p| matches!(states.of(p), State::Open | State::Doing)).collect();
    let mut lines: Vec<FetchLine> = Vec::new();
    let mut add = |what: &'static str, name: String, from: String| {
        if !lines.iter().any(|l: &FetchLine| l.what == what && l.name == name) {
            lines.push(FetchLine { what, name, from });
        }
    };
    let owned = plan.equipment.iter().filter(|e| e.ladder).map(|e| e.name.as_str());
    let asked = open.iter().filter_map(|p| p.step.ladder());
    let ladders: BTreeSet<String> = owned.chain(asked).map(|name| name.replace('_', " ")).collect();
    for p in &open {
        for tool in tools(outlook, p) {
            let what = if ladders.contains(&tool) { "ladder" } else { "tool" };
            add(what, tool, String::new());
        }
    }
    // What comes down needs its tote; nothing of it lies on a shelf.
    for (down, whats) in [(false, &["tote", "piece"][..]), (true, &["tote"])] {
        let of = open.iter().filter(|p| (p.step.phase == Phase::Down) == down);
        let placed: BTreeSet<PlacementId> = of.filter_map(|p| p.step.placement).collect();
        let pieces = placed.iter().flat_map(|id| facts.pieces_of(*id)).copied().collect();
        for line in to_carry(outlook, &pieces, facts).into_iter().filter(|l| whats.contains(&l.what)) {
            add(line.what, line.name, line.from);
        }
    }
    let connecting: BTreeSet<PlacementId> =
        open.iter().filter(|p| p.step.deed == StepDeed::Connect).filter_map(|p| p.step.placement).collect();
    for link in &outlook.yard.links {
        if link.to_placement_id.is_some_and(|p| connecting.contains(&p))
            && let Some(lead) = link.lead_id.and_then(|l| facts.piece(l))
        {
            let home = lead.home_id.and_then(|h| container_name(outlook, h)).unwrap_or_default();
            add("lead", lead.code.clone(), home);
        }
    }
    let mut stock: BTreeMap<&str, i64> = BTreeMap::new();
    for p in &open {
        let Some(placement) = p.step.placement.and_then(|x| facts.placement(x)) else { continue };
        for (product, quantity) in facts.used_up(placement, &p.step.recipe_step) {
            if let Some(product) = facts.product(product).filter(|_| quantity > 0) {
                let all = stock.entry(&product.name).or_default();
                *all = all.saturating_add(quantity);
            }
        }
    }
    for (name, quantity) in stock {
        add("stock", format!("{quantity} x {name}"), String::new());
    }
    let rank = |w: &str| ["ladder", "tool", "tote", "piece", "lead", "stock"].iter().position(|x| *x == w);
    lines.sort_by_key(|l| (rank(l.what), l.name.clone()));
    lines
}
