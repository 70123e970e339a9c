//! Power that goes out beside data: a lead from a port of a fed box to a string that no other lead feeds, or none
//! before a cut of its plus rail, has plus and minus in it. Here each such lead is a dc lead as well; the facts stay as they are.

use std::borrow::Cow;
use std::collections::BTreeSet;

use crate::answers::power::cords::LOWEST_MAINS_V;
use crate::answers::power::dc::Dc;
use crate::answers::power::ends::SET_POINT;
use crate::answers::power::wiring::set_point;
use crate::domain::{Link, LinkKind, PieceId, Placement, PlacementId, Role, Season, Yard};
use crate::steps::Facts;

/// The yard with every data lead that carries power told as a dc lead, too.
pub(super) fn with_power<'a>(yard: Cow<'a, Yard>, season: &Season) -> Cow<'a, Yard> {
    let more = Carried::of(&Facts::new(&yard), season);
    if more.is_empty() {
        return yard;
    }
    let mut own = yard.into_owned();
    own.links.extend(more);
    Cow::Owned(own)
}

/// Of the leads of a season those that are dc because they carry data to what nothing else feeds.
pub(super) fn by_data<'a>(links: &[&'a Link]) -> Vec<&'a Link> {
    let data: BTreeSet<_> = links.iter().filter(|l| l.kind == LinkKind::Data).map(|l| l.id).collect();
    links.iter().copied().filter(|l| l.kind == LinkKind::Dc && data.contains(&l.id)).collect()
}

/// Whether a feed enters a string behind the pixel of a data lead, where the plus rail is cut.
fn behind_cut(feed: &Link, data: &Link) -> bool {
    feed.plus_cut == Some(true) && feed.at_pixel.unwrap_or(1) > data.at_pixel.unwrap_or(1)
}

struct Carried<'a> {
    facts: &'a Facts<'a>,
    dc: Dc<'a>,
    /// What has power, told or beside data.
    pieces: BTreeSet<PieceId>,
    props: BTreeSet<PlacementId>,
    /// What is on the mains.
    plugged: BTreeSet<PlacementId>,
}

impl<'a> Carried<'a> {
    fn of(facts: &'a Facts<'a>, season: &Season) -> Vec<Link> {
        let links = facts.links_in(season.id);
        let dc = Dc::of(facts, season);
        let into = |kind: LinkKind| links.iter().filter(move |l| l.kind == kind);
        let mut carried = Self {
            facts,
            pieces: into(LinkKind::Dc).filter_map(|l| l.to_piece_id).collect(),
            props: into(LinkKind::Dc).filter_map(|l| l.to_placement_id).collect(),
            plugged: into(LinkKind::Mains).filter_map(|l| l.to_placement_id).collect(),
            dc,
        };
        let told = |l: &Link| {
            l.to_piece_id.is_some_and(|p| !carried.dc.to_piece(p).is_empty())
                || l.to_placement_id
                    .is_some_and(|p| carried.dc.to_prop(p).iter().any(|feed| !behind_cut(feed, l)))
        };
        let mut open: Vec<&Link> = into(LinkKind::Data).copied().filter(|l| !told(l)).collect();
        let mut more = Vec::new();
        // A lead that goes on from a string waits for the one that feeds it.
        loop {
            let (now, later): (Vec<&Link>, Vec<&Link>) = open.into_iter().partition(|l| carried.begins(l));
            if now.is_empty() {
                return more;
            }
            for link in now {
                if !carried.ends(link) {
                    continue;
                }
                carried.pieces.extend(link.to_piece_id);
                carried.props.extend(link.to_placement_id);
                more.push(Link { kind: LinkKind::Dc, ..link.clone() });
            }
            open = later;
        }
    }

    fn begins(&self, link: &Link) -> bool {
        link.from_piece_id.is_some_and(|p| self.pieces.contains(&p))
            || link.from_placement_id.is_some_and(|p| self.props.contains(&p))
    }

    fn role(&self, piece: PieceId) -> Option<Role> {
        self.facts.piece(piece).and_then(|p| self.facts.product(p.product_id)).map(|p| p.role)
    }

    /// Whether what it ends at is fed by it: a string, or a splitter or coupler on the way to some.
    fn ends(&self, link: &'a Link) -> bool {
        match (link.to_placement_id, link.to_piece_id) {
            (Some(prop), _) => self
                .facts
                .placement(prop)
                .is_some_and(|prop| self.takes_power(prop) && self.suits_board(link, prop)),
            (None, Some(piece)) => matches!(self.role(piece), Some(Role::Adaptor | Role::Lead)),
            (None, None) => false,
        }
    }

    /// Made for less than the mains, or with pixels; what has a cord of its own is fed by that.
    fn takes_power(&self, prop: &Placement) -> bool {
        let Some(product) = self.facts.product_of(prop) else { return false };
        let volts = product.volts_mv.map(crate::units::Voltage::volts);
        let lit = product.pixel_ma.is_some() || product.pixel_mw.is_some() || product.chip.is_some();
        let pixels = product.pixels.map_or(lit, |n| n > 0);
        product.role == Role::Prop
            && !self.plugged.contains(&prop.id)
            && volts.map_or(pixels, |v| v < LOWEST_MAINS_V)
    }

    /// What feeds a controller may be for its board alone: it goes out with data where its volts are those of the string.
    fn suits_board(&self, link: &'a Link, prop: &Placement) -> bool {
        let controller = link.from_piece_id.is_some_and(|p| self.role(p) == Some(Role::Controller));
        let takes = self.facts.product_of(prop).and_then(|p| p.volts_mv);
        let Some(takes) = takes.filter(|_| controller) else { return true };
        let suits = |id: PieceId| {
            let supply = self.facts.piece(id)?;
            let gives = set_point(supply, self.facts.product(supply.product_id)?)?;
            Some((gives.volts() - takes.volts()).abs() <= takes.volts() * SET_POINT)
        };
        self.dc.feeders(link).into_iter().all(|id| suits(id) != Some(false))
    }
}
