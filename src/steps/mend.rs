//! What it takes to mend a fault: minutes, skill, its part, and whether a spare is in the kit.

use std::cmp::Reverse;
use std::collections::{BTreeMap, VecDeque};

use chrono::NaiveDate;

use super::facts::Facts;
use super::stock::on_hand;
use crate::domain::{
    Condition, Fault, Piece, PieceId, Product, ProductId, PurchaseOrder, RepairDeed, RepairEntry, SeasonId,
};

/// The part that a repair waits for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PartState<'a> {
    /// None was told.
    NotTold,
    /// On hand.
    In(&'a Product),
    /// Ordered and not all received.
    Ordered(&'a Product, &'a PurchaseOrder),
    /// Neither on hand nor ordered.
    Missing(&'a Product),
}

impl PartState<'_> {
    /// The day the order promised, where it waits for one.
    pub fn expected(&self) -> Option<NaiveDate> {
        match self {
            Self::Ordered(_, order) => order.expected_on,
            _ => None,
        }
    }
}

/// A repair to be done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mend<'a> {
    /// With the twenty minutes of the test after it.
    pub seconds: i64,
    pub skills: Vec<String>,
    pub part: PartState<'a>,
    /// The last thing said was that it waits for its part.
    pub waits: bool,
}

/// Twenty minutes on. Common practice, no published source.
pub(super) const TEST_S: i64 = 20 * 60;
/// Connecting it and switching on.
pub(super) const START_S: i64 = 2 * 60;
/// Looking at it then: all colours, every pixel, its plugs.
pub(super) const LOOK_S: i64 = 3 * 60;
/// Where neither the cause nor the record tells.
const ASSUMED_MIN: i64 = 45;

/// Minutes by cause and whether it is soldered. Common practice, no published source.
const BY_CAUSE: &[(&str, i64, bool)] = &[
    ("failed_pixel", 25, true),
    ("solder_joint", 30, true),
    ("corrosion", 50, true),
    ("water", 60, true),
    ("voltage_sag", 25, false),
    ("wrong_voltage", 60, true),
    ("missing_common_minus", 20, false),
    ("plug", 20, false),
    ("wrong_port", 10, false),
    ("reversed_end", 15, false),
    ("lead_cut", 30, true),
    ("chewed", 30, true),
    ("pulled", 30, true),
    ("mower", 40, true),
    ("snow_blower", 40, true),
    ("wind", 30, false),
    ("adhesive_let_go", 30, false),
    ("wrong_setting", 10, false),
];

/// The word of a cause as it is stored: files have it with blanks too.
pub fn cause_word(cause: &str) -> String {
    cause.trim().to_lowercase().replace([' ', '-'], "_")
}

/// What a fault takes.
pub fn mend<'a>(facts: &Facts<'a>, fault: &Fault) -> Mend<'a> {
    let entries = facts.repairs(fault.id);
    let cause = entries.iter().rev().find_map(|e| e.cause.as_deref()).map(cause_word);
    let known = BY_CAUSE.iter().find(|(word, ..)| Some(*word) == cause.as_deref());
    let own = cause.as_deref().and_then(|c| facts.mending_s(c));
    let seconds = own.unwrap_or(known.map_or(ASSUMED_MIN, |k| k.1) * 60);
    // A skill that nobody is said to have limits nothing.
    let can = |word: &str| facts.yard.people.iter().any(|p| p.skills.iter().any(|s| s == word));
    let skills = known.filter(|k| k.2 && can("solder")).map(|_| "solder".to_owned());
    Mend {
        seconds: seconds + TEST_S,
        skills: skills.into_iter().collect(),
        part: part(facts, entries.iter().rev().find_map(|e| e.part_id)),
        waits: facts.fault_stands(fault.id) == Some(RepairDeed::WaitingPart),
    }
}

/// The middle of what mending took so far, by cause.
pub(super) fn recorded_seconds(entries: &[RepairEntry]) -> BTreeMap<String, i64> {
    let mut taken: BTreeMap<String, Vec<i64>> = BTreeMap::new();
    for entry in entries.iter().filter(|e| e.deed == RepairDeed::Mended) {
        if let (Some(cause), Some(span)) = (&entry.cause, entry.minutes_s)
            && span.s() > 0
        {
            taken.entry(cause_word(cause)).or_default().push(span.s());
        }
    }
    let middle = |mut list: Vec<i64>| {
        list.sort_unstable();
        list.get(list.len() / 2).copied()
    };
    taken.into_iter().filter_map(|(cause, list)| Some((cause, middle(list)?))).collect()
}

fn part<'a>(facts: &Facts<'a>, id: Option<ProductId>) -> PartState<'a> {
    let Some(product) = id.and_then(|id| facts.product(id)) else { return PartState::NotTold };
    let yard = facts.yard;
    let stock: i64 =
        yard.stock.iter().filter(|s| s.product_id == product.id).map(|s| on_hand(yard, s.id)).sum();
    let labelled = yard.pieces.iter().any(|p| p.product_id == product.id && p.condition == Condition::Good);
    if stock > 0 || labelled {
        return PartState::In(product);
    }
    let open = yard
        .order_lines
        .iter()
        .filter(|l| l.product_id == product.id && l.received < l.packs * l.pack)
        .filter_map(|l| yard.purchase_orders.iter().find(|o| o.id == l.order_id))
        .min_by_key(|o| (o.expected_on.is_none(), o.expected_on, o.code.as_str()));
    open.map_or(PartState::Missing(product), |o| PartState::Ordered(product, o))
}

/// The spare for a faulty piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spare {
    /// It may go out in the piece's place.
    Piece(PieceId),
    /// There are spares, but each is proposed for a piece that comes before.
    NoneLeft,
}

/// Spares for the faulty pieces of a season, each proposed once: to what is worth most first, then to what waits for
/// its part, then in the order the faults were found. A piece without a line never had a spare.
pub fn spares_for(facts: &Facts, season: SeasonId) -> BTreeMap<PieceId, Spare> {
    let mut faulty: Vec<_> = facts
        .placements_in(season)
        .into_iter()
        .flat_map(|p| facts.faults_of(p.id).map(move |f| (p.worth, f)))
        .filter(|(_, f)| !facts.fault_over(f) && facts.fault_stands(f.id) != Some(RepairDeed::Replaced))
        .filter_map(|(worth, f)| Some((worth, f, facts.piece(f.piece_id?)?)))
        .collect();
    faulty.sort_by_key(|(worth, f, _)| {
        let waits = facts.fault_stands(f.id) == Some(RepairDeed::WaitingPart);
        (Reverse(*worth), !waits, f.found_ms, f.code.as_str())
    });
    let mut free = spares_at_home(facts, season);
    let mut dealt: BTreeMap<PieceId, Spare> = BTreeMap::new();
    for (_, _, piece) in faulty {
        let Some(spares) = free.get_mut(&piece.product_id) else { continue };
        dealt.entry(piece.id).or_insert_with(|| spares.pop_front().map_or(Spare::NoneLeft, Spare::Piece));
    }
    dealt
}

/// Good pieces without a fault that nothing of a season puts out, by product.
pub fn spares_at_home(facts: &Facts, season: SeasonId) -> BTreeMap<ProductId, VecDeque<PieceId>> {
    let mut free: BTreeMap<ProductId, VecDeque<PieceId>> = BTreeMap::new();
    let at_home = |p: &&Piece| {
        p.condition == Condition::Good
            && facts.placement_of_piece(season, p.id).is_none()
            && facts.open_faults(p.id).is_empty()
    };
    for spare in facts.yard.pieces.iter().filter(at_home) {
        free.entry(spare.product_id).or_default().push_back(spare.id);
    }
    free
}
