//! Leads by length and ends, and adaptors: what the links of a season need against what is owned and good.

use std::collections::BTreeMap;

use crate::answers::Outlook;
use crate::domain::{Condition, Direction, Link, LinkKind, PieceId, Product, ProductId, Role, Season};
use crate::steps::Facts;
use crate::units::Length;

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

/// A plug family, where it is told.
type Plug = Option<String>;

/// Leads missing for links that name none. Who labels leads of a sort leaves out those built into a box or a
/// prop: for such a sort nothing is missing, and `not_told` says how many were not checked.
pub(crate) fn lead_gaps(
    outlook: &Outlook,
    facts: &Facts,
    season: &Season,
    not_told: &mut Vec<String>,
) -> Vec<LeadGap> {
    let links = facts.links_in(season.id);
    let mut wanted: BTreeMap<(LinkKind, i64, Plug, Plug), i64> = BTreeMap::new();
    let mut unknown = 0;
    for link in links.iter().filter(|l| l.lead_id.is_none()) {
        match link.length_mm {
            Some(l) => {
                let key = (link.kind, l.mm(), source_plug(facts, link), target_plug(facts, link));
                *wanted.entry(key).or_default() += 1;
            }
            None => unknown += 1,
        }
    }
    if unknown > 0 {
        not_told.push(format!("lead and length of {unknown} links: not checked against what is owned"));
    }
    let is_lead =
        |p: &&crate::domain::Piece| facts.product(p.product_id).is_some_and(|x| x.role == Role::Lead);
    let n: i64 = wanted.values().sum();
    if n > 0 && !outlook.yard.pieces.iter().any(|p| is_lead(&p)) {
        not_told.push(format!("leads owned not told: {n} needed, not checked"));
        return Vec::new();
    }
    let labelled: Vec<LinkKind> = links.iter().filter(|l| l.lead_id.is_some()).map(|l| l.kind).collect();
    let mut built_in: BTreeMap<LinkKind, i64> = BTreeMap::new();
    for ((kind, ..), n) in wanted.iter().filter(|((kind, ..), _)| labelled.contains(kind)) {
        *built_in.entry(*kind).or_default() += n;
    }
    for (kind, n) in built_in {
        not_told.push(format!("which lead {n} {} links use: built in, or not checked", kind.as_str()));
    }
    wanted.retain(|(kind, ..), _| !labelled.contains(kind));
    let in_use: Vec<PieceId> = links.iter().filter_map(|l| l.lead_id).collect();
    let mut free: Vec<(i64, Plug, Plug)> = outlook
        .yard
        .pieces
        .iter()
        .filter(|p| p.condition == Condition::Good && !in_use.contains(&p.id))
        .filter(|p| facts.placement_of_piece(season.id, p.id).is_none() && facts.open_faults(p.id).is_empty())
        .filter_map(|p| {
            let product = facts.product(p.product_id).filter(|x| x.role == Role::Lead)?;
            let mm = p.length_mm.or(product.length_mm).map(Length::mm)?;
            Some((mm, lead_plug(facts, p.id, Direction::In), lead_plug(facts, p.id, Direction::Out)))
        })
        .collect();
    free.sort();
    let mut gaps = Vec::new();
    // The longest first, each with the shortest that fits, so that a long lead is not wasted on a short way.
    let mut rows: Vec<_> = wanted.into_iter().collect();
    rows.sort_by_key(|((_, mm, ..), _)| std::cmp::Reverse(*mm));
    for ((kind, mm, from, to), n) in rows {
        let mut have = 0;
        while have < n {
            let fits = |l: &(i64, Plug, Plug)| l.0 >= mm && agree(&l.1, &from) && agree(&l.2, &to);
            let Some(at) = free.iter().position(fits) else { break };
            free.remove(at);
            have += 1;
        }
        if have < n {
            let product = lead_product(outlook, facts, mm, &from, &to);
            let word = |p: &Plug| p.clone().unwrap_or_else(|| "not told".to_owned());
            gaps.push(LeadGap {
                kind,
                length_mm: mm,
                ends: (word(&from), word(&to)),
                needed: n,
                have,
                product,
            });
        }
    }
    gaps
}

/// The shortest lead known as a product that reaches and fits at both ends.
pub(crate) fn lead_product(
    outlook: &Outlook,
    facts: &Facts,
    mm: i64,
    from: &Plug,
    to: &Plug,
) -> Option<ProductId> {
    let fits = |p: &&Product| {
        p.role == Role::Lead
            && p.length_mm.is_some_and(|l| l.mm() >= mm)
            && agree(&product_plug(facts, p.id, Direction::In), from)
            && agree(&product_plug(facts, p.id, Direction::Out), to)
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
pub(crate) fn adaptor_needs(outlook: &Outlook, facts: &Facts, season: &Season) -> Vec<AdaptorNeed> {
    let mut pairs: BTreeMap<(String, String), Vec<String>> = BTreeMap::new();
    for link in facts.links_in(season.id) {
        let Some(lead) = link.lead_id else { continue };
        let joints = [
            (source_plug(facts, link), lead_plug(facts, lead, Direction::In)),
            (lead_plug(facts, lead, Direction::Out), target_plug(facts, link)),
        ];
        for (a, b) in joints {
            let Some((a, b)) = a.zip(b).filter(|(a, b)| a != b) else { continue };
            let pair = if a < b { (a, b) } else { (b, a) };
            pairs.entry(pair).or_default().push(link.code.clone());
        }
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

/// Whether two plugs can be the same: what is not told is no contradiction.
fn agree(a: &Plug, b: &Plug) -> bool {
    a.as_ref().zip(b.as_ref()).is_none_or(|(a, b)| a == b)
}

pub(crate) fn product_plug(facts: &Facts, product: ProductId, end: Direction) -> Plug {
    let ends = || facts.yard.product_ends.iter().filter(move |e| e.product_id == product);
    let found =
        ends().find(|e| e.direction == end).or_else(|| ends().find(|e| e.direction == Direction::Either));
    found.and_then(|e| e.plug_family.clone())
}

fn lead_plug(facts: &Facts, lead: PieceId, end: Direction) -> Plug {
    let piece = facts.piece(lead)?;
    let own = if end == Direction::In { &piece.in_plug } else { &piece.out_plug };
    own.clone().filter(|p| !p.is_empty()).or_else(|| product_plug(facts, piece.product_id, end))
}

/// The plug that a lead begins at: an output of a box, or the out end of a prop.
fn source_plug(facts: &Facts, link: &Link) -> Plug {
    // Outlets and the sockets of networks and sound are not told as ends.
    if !matches!(link.kind, LinkKind::Dc | LinkKind::Data) {
        return None;
    }
    let piece = link.from_piece_id.and_then(|p| facts.piece(p));
    let placed = link.from_placement_id.and_then(|p| facts.placement(p)).and_then(|p| facts.product_of(p));
    if let Some(own) = piece.and_then(|p| p.out_plug.clone()).filter(|p| !p.is_empty()) {
        return Some(own);
    }
    product_plug(facts, piece.map(|p| p.product_id).or(placed.map(|p| p.id))?, Direction::Out)
}

/// The plug that a lead ends at, by the end's name where it is told.
fn target_plug(facts: &Facts, link: &Link) -> Plug {
    if !matches!(link.kind, LinkKind::Dc | LinkKind::Data | LinkKind::Mains) {
        return None;
    }
    let piece = link.to_piece_id.and_then(|p| facts.piece(p));
    let placed = link.to_placement_id.and_then(|p| facts.placement(p)).and_then(|p| facts.product_of(p));
    let product = piece.map(|p| p.product_id).or(placed.map(|p| p.id))?;
    let named = link.to_end.as_deref().and_then(|name| {
        facts.yard.product_ends.iter().find(|e| e.product_id == product && e.end_name == name)
    });
    match named {
        Some(end) => end.plug_family.clone(),
        None => product_plug(facts, product, Direction::In),
    }
}
