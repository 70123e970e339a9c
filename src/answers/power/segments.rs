//! Which pixels each data lead drives, and from which port.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::power::dc::port_name;
use crate::answers::power::wiring::pixels;
use crate::domain::{Link, LinkId, LinkKind, PieceId, Placement, PlacementId, Product, Role};
use crate::steps::Facts;

/// The pixels of a prop that one data lead drives.
pub(crate) struct Segment<'a> {
    pub(crate) link: LinkId,
    /// The lead's code.
    pub(crate) code: &'a str,
    pub(crate) prop: &'a Placement,
    pub(crate) product: &'a Product,
    /// The port the data comes from, through other props where leads run from prop to prop; nothing where not told.
    pub(crate) port: Option<(PieceId, String)>,
    /// The splitter nearest to that port through which it comes, with the lead that goes on from it.
    pub(crate) branch: Option<(PieceId, LinkId)>,
    /// First pixel, counted from 1.
    pub(crate) from: u32,
    pub(crate) pixels: u32,
    /// Slots a pixel.
    pub(crate) channels: u32,
    /// Universe and slot as told, slot 1 where only the universe is.
    pub(crate) set: Option<(u64, u32)>,
    pub(crate) slot_told: bool,
    /// Whether a pixel may straddle two universes, where told.
    pub(crate) split: Option<bool>,
}

impl Segment<'_> {
    /// Behind one splitter, on another of its leads, with the same numbers: it shows what the other one shows.
    pub(crate) fn mirrors(&self, other: &Self) -> bool {
        let same = |(a, b): (&(PieceId, LinkId), &(PieceId, LinkId))| a.0 == b.0 && a.1 != b.1;
        self.set.is_some()
            && self.set == other.set
            && self.port == other.port
            && self.branch.as_ref().zip(other.branch.as_ref()).is_some_and(same)
    }

    /// "Cone tree (HM26-17) from pixel 601".
    pub(crate) fn show(&self) -> String {
        let at = if self.from > 1 { format!(" from pixel {}", self.from) } else { String::new() };
        format!("{} ({}){at}", self.prop.name, self.prop.code)
    }
}

/// Every data lead to a prop with pixels, row by row as data runs, rows in the order of their first leads' codes; a lead
/// drives up to the next one's pixel.
pub(crate) fn segments<'a>(facts: &Facts<'a>, links: &[&'a Link]) -> Vec<Segment<'a>> {
    let every: Vec<&Link> = links.iter().copied().filter(|l| l.kind == LinkKind::Data).collect();
    let data: Vec<&Link> = every.iter().copied().filter(|l| l.to_placement_id.is_some()).collect();
    let at = |l: &Link| l.at_pixel.and_then(|p| u32::try_from(p).ok()).unwrap_or(1).max(1);
    let mut entries: BTreeMap<PlacementId, BTreeSet<u32>> = BTreeMap::new();
    for link in &data {
        if let Some(to) = link.to_placement_id {
            entries.entry(to).or_default().insert(at(link));
        }
    }
    let mut all: Vec<((&str, usize, &str), Segment)> = data
        .iter()
        .filter_map(|link| {
            let prop = facts.placement(link.to_placement_id?)?;
            let product = facts.product_of(prop)?;
            let total = pixels(prop, product)?;
            let from = at(link).min(total);
            let next = entries.get(&prop.id)?.range(from + 1..).next().copied().unwrap_or(total + 1);
            let set = link.start_universe.and_then(|u| u64::try_from(u).ok()).filter(|u| *u > 0);
            let slot = link.start_slot.and_then(|s| u32::try_from(s).ok()).unwrap_or(1);
            let (head, place) = row_of(link, &data);
            let (port, branch) = way_to(facts, link, &every);
            Some((
                (head, place, link.code.as_str()),
                Segment {
                    link: link.id,
                    code: link.code.as_str(),
                    prop,
                    product,
                    port,
                    branch,
                    from,
                    pixels: next.min(total + 1) - from,
                    channels: channels(product),
                    set: set.map(|u| (u, slot)),
                    slot_told: link.start_slot.is_some(),
                    split: link.pixel_split,
                },
            ))
        })
        .collect();
    all.sort_by_key(|(place, _)| *place);
    all.into_iter().map(|(_, s)| s).collect()
}

/// As told, else by the colours in the name of the chip, else red, green and blue.
fn channels(product: &Product) -> u32 {
    let white = product.chip.as_deref().is_some_and(|c| c.to_uppercase().contains("RGBW"));
    product.channels_per_pixel.and_then(|c| u32::try_from(c).ok()).unwrap_or(if white { 4 } else { 3 })
}

/// The code of the lead at the head of a row of props, and how many come before this one.
fn row_of<'a>(link: &'a Link, data: &[&'a Link]) -> (&'a str, usize) {
    let (mut at, mut before) = (link, 0);
    while let Some(prop) = at.from_placement_id.filter(|_| before <= data.len()) {
        let Some(next) = data.iter().copied().find(|l| l.to_placement_id == Some(prop)) else { break };
        (at, before) = (next, before + 1);
    }
    (at.code.as_str(), before)
}

/// The splitter or coupler that a data lead begins at, where a lead leads to it, and how many go on from it.
fn joined<'a>(facts: &Facts, link: &Link, data: &[&'a Link]) -> Option<(PieceId, &'a Link, usize)> {
    let piece = link.from_piece_id?;
    facts.product(facts.piece(piece)?.product_id).filter(|p| matches!(p.role, Role::Adaptor | Role::Lead))?;
    let into = data.iter().copied().find(|l| l.to_piece_id == Some(piece))?;
    Some((piece, into, data.iter().filter(|l| l.from_piece_id == Some(piece)).count()))
}

/// A port, and the splitter nearest to it with the lead that goes on from there.
type WayTo = (Option<(PieceId, String)>, Option<(PieceId, LinkId)>);

/// The way back to the port at the head of a row of props, through couplers and splitters.
fn way_to(facts: &Facts, link: &Link, data: &[&Link]) -> WayTo {
    let (mut at, mut branch) = (link, None);
    // A row longer than there are leads runs in a ring.
    for _ in 0..=data.len() {
        // A splitter whose own outputs are told is taken to send each of them all that it gets.
        let told = |onward: usize| onward > 1 && at.from_port.is_some();
        if let Some((piece, into, onward)) = joined(facts, at, data).filter(|(.., n)| !told(*n)) {
            branch = Some((piece, at.id)).filter(|_| onward > 1).or(branch);
            at = into;
            continue;
        }
        if let Some(piece) = at.from_piece_id {
            return (at.from_port.as_deref().map(|port| (piece, port_name(port))), branch);
        }
        let before = at.from_placement_id;
        let Some(into) = data.iter().copied().find(|l| before.is_some() && l.to_placement_id == before)
        else {
            break;
        };
        at = into;
    }
    (None, branch)
}
