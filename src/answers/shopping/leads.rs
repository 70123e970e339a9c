//! Leads by length and ends, and adaptors: what the links of a season need against what is owned and good.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::Outlook;
use crate::answers::shopping::hand_out::hand_out;
use crate::answers::shopping::owned::counted_lot;
use crate::answers::shopping::plugs::{
    Plug, agree, lead_plug, made_for, product_plug, source_plug, target_plug,
};
use crate::answers::words::{n_of, some};
use crate::domain::plug::takes;
use crate::domain::{Condition, Direction, Link, LinkKind, PieceId, Product, ProductId, Role, Season, Stock};
use crate::steps::{Facts, on_hand};
use crate::units::{Gauge, Length};

/// Leads of one sort that are missing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct LeadGap {
    pub kind: LinkKind,
    pub length_mm: i64,
    /// Plug families at its two ends, "not told" where they are not.
    pub ends: (String, String),
    pub needed: i64,
    pub have: i64,
    /// The shortest product that would do.
    pub product: Option<ProductId>,
}

/// An adaptor between two plug families, with how many joints need one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct AdaptorNeed {
    pub families: (String, String),
    pub needed: i64,
    pub product: Option<ProductId>,
    /// Codes of the links.
    pub links: Vec<String>,
}

/// What a link asks of its lead.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Way {
    pub(super) kind: LinkKind,
    pub(super) mm: i64,
    pub(super) from: Plug,
    pub(super) to: Plug,
    /// At least so much copper: see [`area`].
    pub(super) wire: Option<i64>,
}

/// A lead that is owned, good and in no link; in the order in which they are taken.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Free<'a> {
    mm: i64,
    wire: Option<i64>,
    from: Plug,
    to: Plug,
    code: &'a str,
}

/// The copper of a wire in ten-thousandths of a square millimetre, so that it can be sorted.
fn area(gauge: Gauge) -> i64 {
    (gauge.area_mm2() * 1e4).round() as i64
}

impl Free<'_> {
    /// Whether nothing told keeps it from a way.
    pub(super) fn may(&self, way: &Way) -> bool {
        let thick = self.wire.zip(way.wire).is_none_or(|(has, asked)| has >= asked);
        self.mm >= way.mm && thick && agree(&way.from, &self.from) && agree(&self.to, &way.to)
    }

    /// Whether a plug, or its wire, is asked for and not told.
    pub(super) fn untold(&self, way: &Way) -> (bool, bool) {
        let open = |own: &Plug, asked: &Plug| own.is_none() && asked.is_some();
        (open(&self.from, &way.from) || open(&self.to, &way.to), self.wire.is_none() && way.wire.is_some())
    }
}

/// Leads counted as fit of which it is not told whether they are.
#[derive(Default)]
struct Doubts {
    plug: BTreeSet<String>,
    wire: BTreeSet<String>,
    /// Ways of which it is not told what the lead plugs into.
    ways: i64,
}

impl Doubts {
    fn note(&mut self, lead: &Free, way: &Way) {
        let (plug, wire) = lead.untold(way);
        self.plug.extend(plug.then(|| lead.code.to_owned()));
        let open = |own: &Plug, asked: &Plug| own.is_some() && asked.is_none();
        let plain = matches!(way.kind, LinkKind::Dc | LinkKind::Data);
        self.ways += i64::from(plain && (open(&lead.from, &way.from) || open(&lead.to, &way.to)));
        self.wire.extend(wire.then(|| lead.code.to_owned()));
    }

    fn say(self, not_told: &mut Vec<String>) {
        if self.ways > 0 {
            let links = n_of(self.ways, "link");
            not_told
                .push(format!("plug not told where {links} begin or end: not known whether the leads fit"));
        }
        for (codes, what) in [(self.plug, "plug"), (self.wire, "wire")] {
            if !codes.is_empty() {
                let codes = some(codes);
                not_told.push(format!("{what} not told for the leads {codes}: not known whether they fit"));
            }
        }
    }
}

/// Leads missing for links that name none. Who labels leads of a sort leaves out those built into a box or a
/// prop: for such a sort nothing is missing, and `not_told` says how many were not checked.
pub(crate) fn lead_gaps(
    outlook: &Outlook,
    facts: &Facts,
    season: &Season,
    not_told: &mut Vec<String>,
) -> Vec<LeadGap> {
    let links = facts.links_in(season.id);
    let mut wanted: BTreeMap<Way, i64> = BTreeMap::new();
    let mut unknown = 0;
    // A lead that is told as an end of a way needs no other one there.
    let lead_itself = |l: &Link| {
        let ends = [l.from_piece_id, l.to_piece_id].into_iter().flatten();
        let mut products = ends.filter_map(|id| facts.product(facts.piece(id)?.product_id));
        products.any(|p| p.role == Role::Lead)
    };
    let mut built_in: BTreeMap<LinkKind, i64> = BTreeMap::new();
    for link in links.iter().filter(|l| l.lead_id.is_none() && !lead_itself(l)) {
        match link.length_mm {
            Some(_) if to_a_bus(facts, link) => *built_in.entry(link.kind).or_default() += 1,
            Some(l) => {
                let way = Way {
                    kind: link.kind,
                    mm: l.mm(),
                    from: source_plug(facts, link),
                    to: target_plug(facts, link),
                    wire: link.wire.map(area),
                };
                *wanted.entry(way).or_default() += 1;
            }
            None => unknown += 1,
        }
    }
    if unknown > 0 {
        not_told.push(format!(
            "lead and length of {links}: not checked against what is owned",
            links = n_of(unknown, "link")
        ));
    }
    let is_lead =
        |p: &&crate::domain::Piece| facts.product(p.product_id).is_some_and(|x| x.role == Role::Lead);
    let n: i64 = wanted.values().sum();
    let (lots, never): (Vec<_>, Vec<_>) =
        lead_lots(outlook, facts).partition(|(lot, _)| counted_lot(outlook, lot.product_id));
    if n > 0 && !never.is_empty() {
        let never = some(never.into_iter().map(|(lot, _)| lot.code.clone()));
        not_told.push(format!("how many of {never} not told: not among the leads that are owned"));
    }
    if lots.is_empty() && !outlook.yard.pieces.iter().any(|p| is_lead(&p)) {
        if n > 0 {
            not_told.push(format!("leads owned not told: {n} needed, not checked"));
        }
        return Vec::new();
    }
    let labelled: Vec<LinkKind> = links.iter().filter(|l| l.lead_id.is_some()).map(|l| l.kind).collect();
    for (way, n) in wanted.iter().filter(|(way, _)| labelled.contains(&way.kind)) {
        *built_in.entry(way.kind).or_default() += n;
    }
    for (kind, n) in built_in {
        not_told.push(format!(
            "which lead is used by {}: built in, or not checked",
            n_of(n, &format!("{} link", kind.as_str()))
        ));
    }
    wanted.retain(|way, _| !labelled.contains(&way.kind));
    let in_use: Vec<PieceId> = links.iter().filter_map(|l| l.lead_id).collect();
    // Leads that all lie in ways of another kind, or are made for another, tell nothing of how many of this one are owned.
    let spare = outlook.yard.pieces.iter().filter(|p| is_lead(p) && !in_use.contains(&p.id));
    let spare = spare.filter(|p| facts.placement_of_piece(season.id, p.id).is_none()).map(|p| p.product_id);
    let known: Vec<ProductId> = spare.chain(lots.iter().map(|(lot, _)| lot.product_id)).collect();
    let told = |kind: LinkKind| known.iter().any(|p| made_for(facts, *p, kind));
    let mut untold: BTreeMap<LinkKind, i64> = BTreeMap::new();
    for (way, n) in wanted.iter().filter(|(way, _)| !told(way.kind)) {
        *untold.entry(way.kind).or_default() += n;
    }
    for (kind, n) in untold {
        let links = n_of(n, &format!("{} link", kind.as_str()));
        not_told.push(format!("leads owned not told for {links}: not checked"));
    }
    wanted.retain(|way, _| told(way.kind));
    let mut free: Vec<Free> = outlook
        .yard
        .pieces
        .iter()
        .filter(|p| p.condition == Condition::Good && !in_use.contains(&p.id))
        .filter(|p| facts.placement_of_piece(season.id, p.id).is_none() && facts.open_faults(p.id).is_empty())
        .filter_map(|p| {
            let product = facts.product(p.product_id).filter(|x| x.role == Role::Lead)?;
            Some(Free {
                mm: p.long(Some(product)).map(Length::mm)?,
                wire: product.wire.map(area),
                from: lead_plug(facts, p.id, Direction::In),
                to: lead_plug(facts, p.id, Direction::Out),
                code: p.code.as_str(),
            })
        })
        .collect();
    for (lot, product) in lots {
        let Some(mm) = product.length_mm.map(Length::mm) else { continue };
        let one = Free {
            mm,
            wire: product.wire.map(area),
            from: product_plug(facts, product.id, Direction::In),
            to: product_plug(facts, product.id, Direction::Out),
            code: lot.code.as_str(),
        };
        let n = on_hand(outlook.yard, lot.id).clamp(0, n);
        free.extend((0..n).map(|_| one.clone()));
    }
    free.sort();
    let mut doubts = Doubts::default();
    let mut gaps = Vec::new();
    let rows: Vec<(Way, i64)> = wanted.into_iter().collect();
    let ways: Vec<&Way> = rows.iter().flat_map(|(way, n)| (0..*n).map(move |_| way)).collect();
    let taken = hand_out(&ways, &free);
    for (way, n) in &rows {
        let mine: Vec<&Free> =
            free.iter().zip(&taken).filter(|(_, of)| **of == Some(way)).map(|(lead, _)| lead).collect();
        let (have, n) = (mine.len() as i64, *n);
        for lead in mine {
            doubts.note(lead, way);
        }
        if have < n {
            let product = lead_product(outlook, facts, way);
            let word = |p: &Plug| p.clone().unwrap_or_else(|| "not told".to_owned());
            gaps.push(LeadGap {
                kind: way.kind,
                length_mm: way.mm,
                ends: (word(&way.from), word(&way.to)),
                needed: n,
                have,
                product,
            });
        }
    }
    doubts.say(not_told);
    gaps
}

/// Lots of leads, which are counted, not labelled.
pub(super) fn lead_lots<'a>(
    outlook: &Outlook<'a>,
    facts: &Facts<'a>,
) -> impl Iterator<Item = (&'a Stock, &'a Product)> {
    let products = facts.yard.products.iter().filter(|p| p.role == Role::Lead);
    products.flat_map(|p| outlook.yard.stock.iter().filter(|s| s.product_id == p.id).map(move |s| (s, p)))
}

/// The shortest lead known as a product that reaches, is as thick as asked for, and fits at both ends.
pub(super) fn lead_product(outlook: &Outlook, facts: &Facts, way: &Way) -> Option<ProductId> {
    let fits = |p: &&Product| {
        p.role == Role::Lead
            && p.length_mm.is_some_and(|l| l.mm() >= way.mm)
            && p.wire.map(area).zip(way.wire).is_none_or(|(has, asked)| has >= asked)
            && agree(&way.from, &product_plug(facts, p.id, Direction::In))
            && agree(&product_plug(facts, p.id, Direction::Out), &way.to)
    };
    outlook
        .yard
        .products
        .iter()
        .filter(fits)
        .min_by_key(|p| (p.length_mm.map(Length::mm), p.code.clone()))
        .map(|p| p.id)
}

/// Joints of leads whose plug families differ, by pair.
pub(crate) fn adaptor_needs(
    outlook: &Outlook,
    facts: &Facts,
    season: &Season,
    not_told: &mut Vec<String>,
) -> Vec<AdaptorNeed> {
    let mut pairs: BTreeMap<(String, String), Vec<String>> = BTreeMap::new();
    let (mut open, mut seen) = (BTreeSet::new(), BTreeSet::new());
    for link in facts.links_in(season.id) {
        let Some(lead) = link.lead_id else { continue };
        let joints = [
            (source_plug(facts, link), lead_plug(facts, lead, Direction::In)),
            (lead_plug(facts, lead, Direction::Out), target_plug(facts, link)),
        ];
        for (side, (a, b)) in joints.into_iter().enumerate() {
            // A lead that carries power and data has one plug at each end.
            if !seen.insert((lead, side)) {
                continue;
            }
            if a.is_none() || b.is_none() {
                open.insert(link.code.clone());
            }
            let Some((a, b)) = a.zip(b).filter(|(a, b)| !takes(a, b)) else { continue };
            let pair = if a < b { (a, b) } else { (b, a) };
            pairs.entry(pair).or_default().push(link.code.clone());
        }
    }
    if !open.is_empty() {
        not_told.push(format!(
            "plugs not told at the joints of {} ({}): adaptors they may ask for not counted",
            n_of(open.len(), "lead"),
            some(open)
        ));
    }
    pairs
        .into_iter()
        .map(|(families, links)| {
            let joins = |p: &&Product| {
                let ends: Vec<&str> = outlook
                    .yard
                    .product_ends
                    .iter()
                    .filter(|e| e.product_id == p.id)
                    .filter_map(|e| e.plug_family.as_deref())
                    .collect();
                p.role == Role::Adaptor
                    && ends.contains(&families.0.as_str())
                    && ends.contains(&families.1.as_str())
            };
            let product = outlook.yard.products.iter().find(joins).map(|p| p.id);
            AdaptorNeed { families, needed: links.len() as i64, product, links }
        })
        .collect()
}

/// A supply's own wire to a bus of its box: it ends at terminals, and belongs to the box.
fn to_a_bus(facts: &Facts, link: &Link) -> bool {
    let role = |piece: Option<PieceId>| Some(facts.product(facts.piece(piece?)?.product_id)?.role);
    let into = matches!(role(link.to_piece_id), Some(Role::Box | Role::Controller));
    link.kind == LinkKind::Dc
        && into
        && role(link.from_piece_id) == Some(Role::Supply)
        && target_plug(facts, link).is_none()
}
