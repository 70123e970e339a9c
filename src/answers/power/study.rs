//! The network solved at the show's level and at full white, and what was not known.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::power::carried;
use crate::answers::power::cords::LOWEST_MAINS_V;
use crate::answers::power::dc::Dc;
use crate::answers::power::leads;
use crate::answers::power::levels::Levels;
use crate::answers::power::wiring::{Wiring, wire};
use crate::answers::words::{n_of, some};
use crate::calc::electrical::network::{NetworkError, Solution, solve};
use crate::domain::{Link, LinkKind, PieceId, PlacementId, Product, Role, Season};
use crate::steps::Facts;
use crate::units::{Percent, figure};

/// The season's power, computed.
pub(crate) struct Study {
    /// What it is computed at; full where no limit is told.
    pub(crate) levels: Levels,
    pub(crate) wiring: Wiring,
    /// At the level; or why there is no answer.
    pub(crate) at_level: Result<Solution, Unsolved>,
    pub(crate) at_white: Result<Solution, Unsolved>,
    pub(crate) not_told: Vec<String>,
    /// By supply or box: the props that hang on it and whose load is not in its figures.
    pub(crate) left_out: BTreeMap<PieceId, BTreeSet<String>>,
}

/// Why a network has no answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Unsolved {
    pub(crate) code: &'static str,
    pub(crate) why: String,
}

impl From<NetworkError> for Unsolved {
    fn from(error: NetworkError) -> Self {
        Self { code: error.code(), why: error.to_string() }
    }
}

/// The voltages along one string.
pub(crate) struct StringState<'a> {
    pub(crate) placement: PlacementId,
    pub(crate) volts: Vec<f64>,
    pub(crate) feeds: &'a [u32],
}

/// Full white.
pub(crate) fn full() -> Percent {
    Percent::new(100).unwrap_or_default()
}

/// At the levels of the season, or of a trial; `told`: the show's level is.
pub(crate) fn study(facts: &Facts, season: &Season, levels: Levels, told: bool) -> Study {
    let wiring = wire(facts, season, &levels);
    let white = wire(facts, season, &Levels::all(full()));
    let answer = |w: &Wiring| {
        if w.network.supplies.is_empty() {
            let why = "no supply is told with what it feeds".to_owned();
            return Err(Unsolved { code: "no_supply", why });
        }
        solve(&w.network).map_err(Unsolved::from)
    };
    let at_level = answer(&wiring);
    let at_white = if levels.are_full() { at_level.clone() } else { answer(&white) };
    let mut not_told = not_told(facts, season, &wiring);
    not_told.extend(levels.not_told());
    if !told && !wiring.network.supplies.is_empty() {
        not_told.push("level limit not told: computed at full white".to_owned());
    }
    let left_out = left_out(facts, season, &wiring);
    Study { levels, wiring, at_level, at_white, not_told, left_out }
}

fn left_out(facts: &Facts, season: &Season, w: &Wiring) -> BTreeMap<PieceId, BTreeSet<String>> {
    let dc = Dc::of(facts, season);
    let laid: BTreeSet<&str> = w.network.cables.iter().map(|c| c.name.as_str()).collect();
    let mut out: BTreeMap<PieceId, BTreeSet<String>> = BTreeMap::new();
    for link in &dc.links {
        let prop = link.to_placement_id.and_then(|p| facts.placement(p));
        let Some(prop) = prop.filter(|_| !laid.contains(link.code.as_str())) else {
            continue;
        };
        for piece in dc.feeders(link).into_iter().chain(link.from_piece_id) {
            out.entry(piece).or_default().insert(prop.code.clone());
        }
    }
    out
}

fn not_told(facts: &Facts, season: &Season, w: &Wiring) -> Vec<String> {
    let mut lines: Vec<String> = w
        .missing
        .iter()
        .map(|(kind, what)| {
            let names = some(what.iter().cloned());
            format!("{kind} not told for {} ({names}): voltage, load, fuse and wire not checked", what.len())
        })
        .collect();
    if !w.lossless.is_empty() {
        lines.push(format!(
            "wire or length of a lead not told for {} ({}): what it loses and the volts behind it not checked, nor its wire and \
             fuse where the wire is not told",
            w.lossless.len(),
            some(w.lossless.iter().cloned())
        ));
    }
    if !w.undivided.is_empty() {
        lines.push(format!(
            "how the load divides between several feeds not known for {} ({}), without all wires, lengths and rails: volts, \
             fuses and wires there not checked",
            n_of(w.undivided.len(), "string"),
            some(w.undivided.iter().cloned())
        ));
    }
    if !w.railless.is_empty() {
        lines.push(format!(
            "rail wire or pitch of a prop not told for {} ({}): its far pixels, and those of what hangs on its end, not checked, nor what its rails lose counted",
            w.railless.len(),
            some(w.railless.iter().cloned())
        ));
    }
    if !w.assumed.is_empty() {
        let names =
            some(w.assumed.iter().map(|(code, amps)| format!("{code}: {} mA", figure(amps * 1000.0, 0))));
        lines.push(format!(
            "current of a pixel not told for {}: assumed by their chip ({names})",
            n_of(w.assumed.len(), "prop")
        ));
    }
    if !w.kneeless.is_empty() {
        let names = some(w.kneeless.iter().cloned());
        lines.push(format!(
            "knee and cut-off not told for {names}: its current taken as constant, the most it draws"
        ));
    }
    if !w.loadless.is_empty() {
        lines.push(format!(
            "load not told of what {} on low voltage ({}) take themselves, as fans and controllers: none assumed",
            n_of(w.loadless.len(), "thing"),
            some(w.loadless.iter().cloned())
        ));
    }
    let links = facts.links_in(season.id);
    let carried = carried::by_data(&links).into_iter().filter_map(|l| facts.placement(l.to_placement_id?));
    let carried: BTreeSet<String> = carried.map(|p| p.code.clone()).collect();
    if !carried.is_empty() {
        lines.push(format!(
            "which lead feeds it not told for {} ({}): taken as fed through its data lead",
            n_of(carried.len(), "prop"),
            some(carried)
        ));
    }
    let bare = links
        .iter()
        .filter(|l| l.kind == LinkKind::Dc && leads::fuse(facts, l).is_none())
        .filter(|l| w.network.cables.iter().any(|c| c.name == l.code))
        .count();
    if bare > 0 {
        lines.push(format!(
            "fuse not told for {feeders}: those of props are proposed on the lid card",
            feeders = n_of(bare, "feeder")
        ));
    }
    let supplies: BTreeSet<PieceId> = w.supplies.values().copied().collect();
    // A string that more than one piece feeds or drives.
    let several = |prop: PlacementId| {
        let from = links.iter().filter(|l| l.to_placement_id == Some(prop));
        from.filter_map(|l| l.from_piece_id).collect::<BTreeSet<_>>().len() > 1
    };
    let open = links
        .iter()
        .filter(|l| l.kind == LinkKind::Dc && l.minus_joined.is_none())
        .filter(|l| l.to_piece_id.is_some() || l.to_placement_id.is_some_and(several))
        .filter_map(|l| l.from_piece_id.filter(|p| supplies.contains(p)))
        .collect::<BTreeSet<_>>();
    if !open.is_empty() {
        let n = open.len();
        let names = some(open.into_iter().filter_map(|p| facts.piece(p)).map(|p| p.code.clone()));
        lines.push(format!(
            "whether the minus of {supplies} ({names}) meets the others not told: taken as joined",
            supplies = n_of(n, "supply")
        ));
    }
    let entry = |l: &&&Link| {
        let prop = l.to_placement_id.and_then(|p| facts.placement(p));
        l.kind == LinkKind::Dc
            && l.at_pixel.is_none()
            && prop.and_then(|p| facts.product_of(p)).is_some_and(|p| p.pixels.is_some_and(|n| n > 1))
    };
    let anywhere = links.iter().filter(entry).count();
    if anywhere > 0 {
        lines.push(format!(
            "the pixel of entry not told for {feeds}: 1 taken",
            feeds = n_of(anywhere, "feed")
        ));
    }
    let fed: BTreeSet<PlacementId> = links
        .iter()
        .filter(|l| matches!(l.kind, LinkKind::Dc | LinkKind::Mains))
        .filter_map(|l| {
            l.to_placement_id.or_else(|| facts.placement_of_piece(season.id, l.to_piece_id?).map(|p| p.id))
        })
        .collect();
    let unfed = facts
        .placements_in(season.id)
        .into_iter()
        .filter(|p| !fed.contains(&p.id))
        .filter(|p| facts.product_of(p).is_some_and(takes_low_voltage))
        .map(|p| p.code.clone());
    let unfed: Vec<String> = unfed.collect();
    if !unfed.is_empty() {
        let props = n_of(unfed.len(), "prop");
        lines.push(format!("what feeds it not told for {props} ({}): power not checked", some(unfed)));
    }
    lines
}

/// Whether a prop is lit or driven, by what is told of it, and not made for the mains, of which `mains` asks its cord.
fn takes_low_voltage(product: &Product) -> bool {
    let mains = product.volts_mv.is_some_and(|v| v.volts() >= LOWEST_MAINS_V);
    let draws = product.load_mw.is_some_and(|w| w.watts() > 0.0) || product.pixels.is_some_and(|n| n > 0);
    product.role == Role::Prop && !mains && draws
}

impl Study {
    /// Amperes out of each supply at the level and at full white, by supply piece.
    pub(crate) fn supplies(&self) -> BTreeMap<PieceId, (f64, f64)> {
        let amps = |s: &Result<Solution, Unsolved>, name: &str| {
            s.as_ref().ok().and_then(|s| s.supplies.iter().find(|x| x.name == name)).map_or(0.0, |x| x.amps)
        };
        self.wiring
            .supplies
            .iter()
            .map(|(name, id)| (*id, (amps(&self.at_level, name), amps(&self.at_white, name))))
            .collect()
    }

    /// Amperes in a lead's plus conductor at the level; nothing where its share is not known.
    pub(crate) fn lead_amps(&self, link: &str) -> Option<f64> {
        self.amps_in(&self.at_level, link)
    }

    /// The same at full white.
    pub(crate) fn white_amps(&self, link: &str) -> Option<f64> {
        self.amps_in(&self.at_white, link)
    }

    fn amps_in(&self, solved: &Result<Solution, Unsolved>, link: &str) -> Option<f64> {
        let s = solved.as_ref().ok().filter(|_| !self.wiring.shares.contains(link))?;
        s.cables.iter().find(|c| c.name == link).map(|c| c.amps_pos.abs())
    }

    /// "412 W when lit, 31 W lost in wires; at a level of its own: Star 80 %"; nothing where there is no answer.
    pub(crate) fn sums(&self, facts: &Facts) -> Option<String> {
        let s = self.at_level.as_ref().ok().filter(|s| !s.chains.is_empty() || s.load_w > 0.0)?;
        let own =
            self.levels.own_ones(facts).map_or_else(String::new, |o| format!("; at a level of its own: {o}"));
        Some(format!("{} W when lit, {} W lost in wires{own}", figure(s.load_w, 0), figure(s.wire_loss_w, 1)))
    }

    /// Amperes that a prop takes at the level, through all its feeds; nothing where it is not computed.
    pub(crate) fn prop_amps(&self, prop: &str) -> Option<f64> {
        let chain = self.at_level.as_ref().ok()?.chains.iter().find(|c| c.name == prop)?;
        Some(chain.pixels.iter().map(|p| p.amps).sum())
    }

    /// The strings at the level whose volts are known, in the order of their placements' codes.
    pub(crate) fn strings(&self) -> Vec<StringState<'_>> {
        let Ok(s) = &self.at_level else { return Vec::new() };
        let unknown = self.wiring.voltless();
        let mut all: Vec<StringState> = s
            .chains
            .iter()
            .filter(|c| !unknown.contains(c.name.as_str()))
            .filter_map(|c| {
                Some(StringState {
                    placement: *self.wiring.chains.get(&c.name)?,
                    volts: c.pixels.iter().map(|p| p.v).collect(),
                    feeds: self.wiring.feeds.get(&c.name).map_or(&[], Vec::as_slice),
                })
            })
            .collect();
        all.sort_by_key(|s| s.placement);
        all
    }
}
