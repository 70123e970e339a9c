//! Fuses and low-voltage wires: a wire carries its load, and a fuse suits the thinnest wire that it alone protects.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::power::dc::Dc;
use crate::answers::power::feeds::{KEEP_LEVEL, plain, white_level};
use crate::answers::power::leads;
use crate::answers::power::study::Study;
use crate::answers::power::words::outside;
use crate::answers::view::{Amount, Finding, Level};
use crate::answers::words::{n_of, some};
use crate::calc::electrical::fuse;
use crate::calc::electrical::fuse::{Choice, fuse};
use crate::calc::electrical::wire_amps::wire_amps;
use crate::domain::{Link, LinkId, Placement, PlacementId, Season};
use crate::steps::Facts;
use crate::units::si::Amps;
use crate::units::{Current, Gauge};

const FUSE_MARGIN: f64 = 1.25;
const AT_WHITE: &str = "fuse_small_at_white";
/// What solving rounds must not be a finding.
const ROUNDING: f64 = 1.0 + 1e-6;
const FUSE: &str = "A fuse protects its wire: one that blows is a fault to find, never a bigger one. Low voltage at many amperes can start a fire.";
const WIRE: &str =
    "A wire that carries more than it may grows hot where nobody sees it, under ties and in a box.";

/// The standard fuse for what a feeder carries at the level, bounded by its wire; nothing where one is not known.
pub(crate) fn fuse_for(facts: &Facts, study: &Study, link: &Link) -> Option<Choice> {
    let load = Amps::new(study.lead_amps(&link.code)?).ok()?;
    let wire = wire_amps(leads::wire(facts, link)?).ok()?.fuse;
    fuse(fuse::Input { load, wire, margin: FUSE_MARGIN }).ok().map(|a| a.choice)
}

pub(super) fn look(
    facts: &Facts,
    season: &Season,
    study: &Study,
    not_told: &mut Vec<String>,
) -> Vec<Finding> {
    let leads = Leads { facts, study, dc: Dc::of(facts, season) };
    let mut found: Vec<Finding> = leads.dc.links.iter().flat_map(|link| leads.of(link)).collect();
    let big = |l: &&&Link| {
        leads::fuse(facts, l).is_none() && fuse_for(facts, study, l) == Some(Choice::NoStandardRating)
    };
    let bladeless: BTreeSet<String> = leads.dc.links.iter().filter(big).map(|l| l.code.clone()).collect();
    if !bladeless.is_empty() {
        not_told.push(format!(
            "fuse not told for {} ({}) of more than a blade fuse bears: one of another kind, or split the load",
            n_of(bladeless.len(), "feeder"),
            some(bladeless)
        ));
    }
    found.extend(leads.rails());
    found.extend(leads.built_in());
    gathered(season, found)
}

/// Fuses that are small at full white alone: a level that is held is the cure of them all, so several are one line.
fn gathered(season: &Season, found: Vec<Finding>) -> Vec<Finding> {
    let (white, mut found): (Vec<_>, Vec<_>) = found.into_iter().partition(|f| f.code == AT_WHITE);
    let many = white.len();
    let short = |f: &Finding| f.limit.si().zip(f.value.si()).map_or(0.0, |(needed, told)| needed / told);
    let worst = white.into_iter().max_by(|a, b| short(a).total_cmp(&short(b)));
    found.extend(worst.map(|mut worst| {
        if many > 1 {
            let at = worst.place.split(", lead ").next().unwrap_or_default();
            worst.what = format!("{many} fuses are small for their loads at full white, most of all at {at}");
            worst.place.clone_from(&season.name);
            worst.remedy = format!("{KEEP_LEVEL}; else other feeds, or the next fuses that the wires carry");
        }
        worst
    }));
    found
}

struct Leads<'a> {
    facts: &'a Facts<'a>,
    study: &'a Study,
    dc: Dc<'a>,
}

/// A wire, what it is called, the biggest fuse that protects it, and the fuses through which it is fed.
struct Wire {
    name: String,
    gauge: Gauge,
    amps: f64,
    fuses: f64,
}

impl<'a> Leads<'a> {
    fn prop(&self, link: &Link) -> Option<&'a Placement> {
        link.to_placement_id.and_then(|p| self.facts.placement(p))
    }

    fn place(&self, link: &Link) -> String {
        let code = |id| self.facts.piece(id).map_or_else(String::new, |p| p.code.clone());
        match (self.prop(link), link.from_piece_id, link.to_piece_id) {
            (Some(prop), ..) => format!("{} ({}), lead {}", prop.name, prop.code, link.code),
            (None, Some(from), Some(to)) => format!("{} to {}, lead {}", code(from), code(to), link.code),
            _ => format!("lead {}", link.code),
        }
    }

    fn of(&self, link: &Link) -> Vec<Finding> {
        let place = self.place(link);
        let told = leads::fuse(self.facts, link).map(Current::amps);
        let load = self.study.lead_amps(&link.code);
        // A fuse and its wire are compared whatever goes through them, a fuse and its load whatever the wire is.
        let Some((gauge, load)) = leads::wire(self.facts, link).zip(load) else {
            let load = load.unwrap_or(0.0);
            return told.and_then(|told| self.fused(link, &place, told, load)).into_iter().collect();
        };
        let (may, protects) = match wire_amps(gauge) {
            Ok(may) => (may.amps.get(), may.fuse.get()),
            Err(refusal) => return vec![outside(&place, &refusal, self.facts.yard.terms()).caution(FUSE)],
        };
        let mut found = Vec::new();
        let held = self.guard(link, &mut BTreeSet::new()).is_some_and(|fuse| fuse <= protects);
        if load > may * ROUNDING && !held {
            found.push(over(Level::Stop, "wire_over", &place, gauge, load, may, "carries more than it may"));
        } else if let Some(white) = self.study.white_amps(&link.code).filter(|a| *a > may * ROUNDING && !held)
        {
            let what = "would carry more than it may at full white";
            found.push(over(white_level(self.facts), "wire_over_at_white", &place, gauge, white, may, what));
        }
        match told {
            Some(told) => found.extend(self.fused(link, &place, told, load)),
            None if link.to_placement_id.is_some() && found.is_empty() => {
                found.extend(self.unfused(link, &place, load, may));
            }
            None => {}
        }
        found
    }

    fn fused(&self, link: &Link, place: &str, told: f64, load: f64) -> Option<Finding> {
        let mut wires = Vec::new();
        self.behind(link, told, &mut BTreeSet::new(), &mut wires);
        let over = wires.into_iter().filter(|w| w.fuses > w.amps);
        if let Some(thinnest) = over.min_by(|a, b| a.amps.total_cmp(&b.amps)) {
            let fuse =
                if thinnest.fuses > told { "the fuses that feed it together are" } else { "the fuse is" };
            let what = format!("{fuse} bigger than {} may carry, {}", thinnest.gauge.show(), thinnest.name);
            return Some(
                plain(
                    Level::Stop,
                    "fuse_over_wire",
                    place,
                    what,
                    Amount::amps(thinnest.fuses),
                    Amount::amps(thinnest.amps),
                    "a smaller fuse or a thicker wire; never a bigger fuse",
                )
                .caution(FUSE),
            );
        }
        let white = self.study.white_amps(&link.code).unwrap_or(0.0);
        self.small(
            place,
            told,
            (load, white),
            "the fuse is small for the load",
            "another feed, or the next fuse that the wire carries",
        )
    }

    /// A fuse that does not bear its load for hours, at the level or at full white.
    fn small(
        &self,
        place: &str,
        told: f64,
        (load, white): (f64, f64),
        what: &str,
        remedy: &str,
    ) -> Option<Finding> {
        let small = |load: f64| told * ROUNDING < load * FUSE_MARGIN;
        let (level, code, load, at) = if small(load) {
            (Level::Mend, "fuse_small", load, format!("level {} %", self.study.levels.show.get()))
        } else if small(white) {
            (white_level(self.facts), AT_WHITE, white, "full white".to_owned())
        } else {
            return None;
        };
        let (told, limit) = (Amount::amps(told), Amount::amps(load * FUSE_MARGIN));
        let found = plain(level, code, place, format!("{what} at {at}"), told, limit, remedy);
        Some(found.by("limit_a = 1.25 * load_a", &[("load_a", load)]).caution(FUSE))
    }

    /// What fuse it will have nobody told: that none of the usual ones does is no more than a hint, as its wire bears the load.
    fn unfused(&self, link: &Link, place: &str, load: f64, may: f64) -> Option<Finding> {
        if fuse_for(self.facts, self.study, link) != Some(Choice::WireTooThin) {
            return None;
        }
        let what = "no usual fuse bears this load for hours and protects this wire".to_owned();
        let remedy = "thicker wire, or split the load";
        let (load, may) = (Amount::amps(load), Amount::amps(may));
        Some(plain(Level::Note, "wire_too_thin", place, what, load, may, remedy).caution(FUSE))
    }

    /// The wires behind the fuse of a lead, up to the next fuse. A rail that is fed in several places carries from each
    /// what its own fuse lets through; a lead that goes on from such a string carries them all.
    fn behind(&self, link: &Link, fuses: f64, seen: &mut BTreeSet<LinkId>, wires: &mut Vec<Wire>) {
        if !seen.insert(link.id) {
            return;
        }
        let mut take = |gauge: Option<Gauge>, name: String| {
            if let Some((gauge, may)) = gauge.and_then(|g| Some((g, wire_amps(g).ok()?))) {
                wires.push(Wire { name, gauge, amps: may.fuse.get(), fuses });
            }
        };
        take(leads::wire(self.facts, link), format!("lead {}", link.code));
        if let Some(prop) = self.prop(link) {
            let product = self.facts.product_of(prop);
            let rail = product.filter(|p| p.pixels.is_some_and(|n| n > 1)).and_then(|p| p.wire);
            take(rail, format!("the rail of {}", prop.code));
        }
        let ports = link.to_piece_id.map_or(&[][..], |box_| self.dc.of_piece(box_));
        let row = link.to_placement_id.map_or(&[][..], |prop| self.dc.of_prop(prop));
        let mine = |l: &&&Link| self.dc.before(l).iter().any(|b| b.id == link.id);
        for after in ports.iter().filter(mine).chain(row).filter(|l| leads::fuse(self.facts, l).is_none()) {
            let together = self.guard(after, &mut BTreeSet::new()).unwrap_or(fuses);
            self.behind(after, together.max(fuses), seen, wires);
        }
    }

    /// The fuse that protects a lead: its own, else the one before it; nothing where there is none.
    fn guard(&self, link: &Link, seen: &mut BTreeSet<LinkId>) -> Option<f64> {
        if let Some(own) = leads::fuse(self.facts, link) {
            return Some(own.amps());
        }
        if !seen.insert(link.id) {
            return None;
        }
        let mut before = self.dc.before(link);
        // What goes on from a string hangs on the zone behind the last cut of its plus rail.
        let cut = before.iter().filter(|l| l.plus_cut == Some(true)).filter_map(|l| l.at_pixel).max();
        if link.from_placement_id.is_some() {
            before.retain(|l| cut.is_none_or(|cut| l.at_pixel.is_none_or(|at| at >= cut)));
        }
        // With several feeds the fuses add up.
        let fuses: Option<f64> = before.iter().map(|l| self.guard(l, seen)).sum();
        fuses.filter(|_| !before.is_empty())
    }

    /// Fuses in the plugs of props: all that goes through the first of a row goes through its own.
    fn built_in(&self) -> Vec<Finding> {
        let most = |prop: PlacementId, amps: &dyn Fn(&str) -> Option<f64>| {
            self.dc.to_prop(prop).iter().filter_map(|l| amps(&l.code)).fold(0.0, f64::max)
        };
        let props = self.study.wiring.chains.values().filter_map(|id| self.facts.placement(*id));
        props
            .filter_map(|prop| {
                let fuse = self.facts.product_of(prop)?.fuse_ma?.amps();
                let load = most(prop.id, &|l| self.study.lead_amps(l));
                let white = most(prop.id, &|l| self.study.white_amps(l));
                let place = format!("{} ({}), its own fuse", prop.name, prop.code);
                let remedy = "feed fewer props through it; never a bigger fuse than its maker put in";
                self.small(&place, fuse, (load, white), "what goes through it is too much for it", remedy)
            })
            .collect()
    }

    /// Rails of strings that carry more than they may, whatever fuses are told.
    fn rails(&self) -> Vec<Finding> {
        let Ok(solution) = &self.study.at_level else { return Vec::new() };
        let chains: BTreeMap<&str, PlacementId> =
            self.study.wiring.chains.iter().map(|(name, id)| (name.as_str(), *id)).collect();
        let mut found = Vec::new();
        for (chain, state) in self.study.wiring.network.chains.iter().zip(&solution.chains) {
            let prop = chains.get(chain.name.as_str()).and_then(|id| self.facts.placement(*id));
            let gauge = prop.and_then(|p| self.facts.product_of(p)).and_then(|p| p.wire);
            let open = self.study.wiring.undivided.contains(&chain.name);
            let (Some(prop), Some(gauge)) = (prop, gauge.filter(|_| chain.pixels > 1 && !open)) else {
                continue;
            };
            let Ok(may) = wire_amps(gauge) else { continue };
            let ohm = chain.piece.pos.get();
            let most = (state.pixels.windows(2).enumerate())
                .filter(|(at, _)| !chain.pos_cuts.contains(&(*at as u32 + 1)))
                .filter_map(|(_, w)| Some((w.first()?.v_pos - w.last()?.v_pos).abs() / ohm))
                .fold(0.0, f64::max);
            if most > may.amps.get() * ROUNDING {
                let place = format!("{} ({}), its rail", prop.name, prop.code);
                let what = "carries more than it may";
                found.push(over(Level::Stop, "wire_over", &place, gauge, most, may.amps.get(), what));
            }
        }
        found
    }
}

fn over(level: Level, code: &str, place: &str, gauge: Gauge, carried: f64, may: f64, what: &str) -> Finding {
    let remedy = "a thicker wire, another feed, or a lower level that hardware holds";
    plain(
        level,
        code,
        place,
        format!("{} {what}", gauge.show()),
        Amount::amps(carried),
        Amount::amps(may),
        remedy,
    )
    .caution(WIRE)
}
