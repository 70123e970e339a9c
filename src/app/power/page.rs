//! The Power screen's page: circuit → outlet → box → supply → port with loads, voltages along strings, findings.

use super::feeds::{CONTINUOUS, lowest, rating};
use super::mains::{POWER_FACTOR, circuit_load, outlet_watts, piece_watts};
use super::what_if::compare;
use super::wiring::bus_of;
use super::words::amps;
use super::{CheckKind, Study, WhatIf};
use crate::app::owner::App;
use crate::app::problem::Problem;
use crate::app::view::{Power, PowerNode, StringVoltage};
use crate::calc::electrical::cord_amps::{self, cord_amps};
use crate::domain::{Circuit, LimitIn, Link, LinkKind, Numbering, Piece, PieceId, Season};
use crate::steps::Facts;
use crate::units::si::Metres;

/// Amperes against a limit, as words and in thousandths.
fn load(a: f64, limit: Option<f64>) -> (String, Option<u32>) {
    match limit.filter(|l| *l > 0.0) {
        Some(limit) => {
            (format!("{} of {}", amps(a), amps(limit)), Some((a / limit * 1000.0).round().max(0.0) as u32))
        }
        None => (amps(a), None),
    }
}

struct Tree<'a> {
    facts: &'a Facts<'a>,
    links: Vec<&'a Link>,
    study: &'a Study,
    nodes: Vec<PowerNode>,
}

impl Tree<'_> {
    fn add(&mut self, depth: usize, code: &str, name: &str, kind: &'static str, load: (String, Option<u32>)) {
        let (code, name) = (code.to_owned(), name.to_owned());
        self.nodes.push(PowerNode { lead: None, depth, code, name, kind, load: load.0, share: load.1 });
    }

    fn circuit(&mut self, circuit: &Circuit, season: &Season) {
        let watts = outlet_watts(self.facts, season, self.study);
        let outlets: Vec<_> =
            self.facts.yard.outlets.iter().filter(|o| o.circuit_id == Some(circuit.id)).collect();
        let total: f64 = outlets.iter().filter_map(|o| watts.get(&o.id)).sum();
        let answer = circuit_load(circuit, total);
        let told = answer.as_ref().map(|a| a.limit_a);
        let said =
            answer.map_or_else(|| ("rating not told".to_owned(), None), |a| load(a.amps, Some(a.limit_a)));
        self.add(0, &circuit.code, &circuit.name, "circuit", said);
        for outlet in outlets {
            let place = outlet.place_id.and_then(|p| self.facts.place(p)).map_or("", |p| p.name.as_str());
            let volts = circuit.volts_mv.map(crate::units::Voltage::volts);
            let amps = |w: f64| volts.map(|v| w / v / POWER_FACTOR);
            let said = |w: f64, limit| {
                amps(w).map_or_else(|| ("voltage not told".to_owned(), None), |a| load(a, limit))
            };
            self.add(
                1,
                &outlet.code,
                place,
                "outlet",
                said(watts.get(&outlet.id).copied().unwrap_or(0.0), told),
            );
            let fed: Vec<&Link> =
                self.links.iter().copied().filter(|l| l.from_outlet_id == Some(outlet.id)).collect();
            for link in fed {
                let Some(piece) = link.to_piece_id.and_then(|p| self.facts.piece(p)) else { continue };
                let length = link.length_mm.and_then(|l| Metres::new(l.metres()).ok());
                let cord = link
                    .wire
                    .zip(length)
                    .and_then(|(gauge, length)| cord_amps(cord_amps::Input { gauge, length }).ok());
                let drawn = piece_watts(self.facts, &self.links, piece.id, &self.study.supplies());
                self.add(
                    2,
                    &piece.code,
                    &piece.name,
                    "box",
                    said(drawn, cord.map(crate::units::si::Amps::get)),
                );
                self.inside(piece);
            }
        }
    }

    /// The supplies of a box with the ports of their bus, then ports that hang on no supply told.
    fn inside(&mut self, piece: &Piece) {
        let links = self.links.clone();
        let mut rest: Vec<&Link> =
            links.iter().copied().filter(|l| l.from_piece_id == Some(piece.id)).collect();
        rest.sort_by_key(|l| super::card::natural(l.from_port.as_deref().unwrap_or_default()));
        let supplies = self.study.supplies();
        for link in links.iter().filter(|l| l.kind == LinkKind::Dc && l.to_piece_id == Some(piece.id)) {
            let Some(supply) = link.from_piece_id.and_then(|p| self.facts.piece(p)) else { continue };
            self.supply(supply, &supplies);
            let bus = link.to_end.clone().unwrap_or_default().to_uppercase();
            let (mine, others): (Vec<&Link>, Vec<&Link>) = rest.into_iter().partition(|l| {
                l.kind == LinkKind::Dc && bus_of(l.from_port.as_deref().unwrap_or_default()) == bus
            });
            rest = others;
            for port in mine {
                self.port(4, port);
            }
        }
        for port in rest.into_iter().filter(|l| l.kind == LinkKind::Dc) {
            self.port(3, port);
        }
    }

    fn supply(&mut self, supply: &Piece, loads: &std::collections::BTreeMap<PieceId, (f64, f64)>) {
        let rated = rating(self.facts, supply.id).map(|(_, r)| r * CONTINUOUS);
        let said = match (loads.get(&supply.id), &self.study.at_level) {
            (Some((amps, _)), Ok(_)) => load(*amps, rated),
            _ => ("load not known".to_owned(), None),
        };
        self.add(3, &supply.code, &supply.name, "supply", said);
    }

    fn port(&mut self, depth: usize, link: &Link) {
        let Some(prop) = link.to_placement_id.and_then(|p| self.facts.placement(p)) else { return };
        let fuse = link.fuse_ma.map(crate::units::Current::amps);
        let said = self
            .study
            .lead_amps(&link.code)
            .map_or_else(|| ("load not known".to_owned(), None), |a| load(a, fuse));
        self.add(depth, link.from_port.as_deref().unwrap_or("?"), &prop.name, "port", said);
        if let Some(node) = self.nodes.last_mut() {
            node.lead = Some(link.code.clone());
        }
    }
}

impl App {
    /// The page of the season that is on, with changes tried and open numbers proposed in a way; only what is told
    /// where there is no season.
    ///
    /// # Errors
    /// What the trial names and is not there.
    pub fn power_page(&self, what_if: &WhatIf, way: Option<Numbering>) -> Result<Power, Problem> {
        let Ok(season) = self.season_for(crate::domain::Phase::Up) else {
            return Ok(Power {
                not_told: self.not_told(None),
                level: "no season".to_owned(),
                ..Power::default()
            });
        };
        let yard = what_if.yard(&self.yard, season)?;
        let facts = Facts::new(&yard);
        let study = self.study(&facts, season, what_if.level);
        let mut tree =
            Tree { facts: &facts, links: facts.links_in(season.id), study: &study, nodes: Vec::new() };
        for circuit in &facts.yard.circuits {
            tree.circuit(circuit, season);
        }
        let nodes = tree.nodes;
        let millivolts = |v: f64| (v * 1000.0).round() as i64;
        let strings = study
            .strings()
            .iter()
            .filter(|s| s.volts.len() > 1)
            .map(|s| {
                let placement = facts.placement(s.placement);
                StringVoltage {
                    name: placement.map_or_else(String::new, |p| p.name.clone()),
                    code: placement.map_or_else(String::new, |p| p.code.clone()),
                    millivolts: s.volts.iter().map(|v| millivolts(*v)).collect(),
                    limit_mv: lowest(&facts, s.placement).map(millivolts),
                    feeds: s.feeds.iter().map(|f| (*f as usize).saturating_sub(1)).collect(),
                }
            })
            .collect();
        let way = way.or(season.numbering);
        let kinds = [CheckKind::Power, CheckKind::Signal];
        let checked = self.checked_as(&facts, season, &study, &kinds, way);
        let tried = (!what_if.is_empty()).then(|| {
            let was = Facts::new(&self.yard);
            let study_was = self.study(&was, season, None);
            let checked_was = self.checked_as(&was, season, &study_was, &kinds, way);
            compare(what_if, (&was, &study_was, &checked_was), (&facts, &study, &checked))
        });
        Ok(Power {
            nodes,
            findings: checked.findings,
            not_told: checked.not_told,
            strings,
            level: self.level_words(),
            numbers: checked.numbers,
            numbering: way,
            start_up: checked.start_up,
            tried,
        })
    }

    fn level_words(&self) -> String {
        let site = self.yard.sites.first();
        site.and_then(|s| s.level_limit_pct).map(crate::units::Percent::get).map_or_else(
            || "level limit not told: full white".to_owned(),
            |l| match site.and_then(|s| s.level_limit_in) {
                Some(how) => format!(
                    "level {l} %, {}",
                    match how {
                        LimitIn::Hardware => "held by hardware",
                        LimitIn::Software => "set in software only",
                    }
                ),
                None => format!("level {l} %, where it is set not told"),
            },
        )
    }
}
