//! Ports, numbers and addresses.

use std::collections::{BTreeMap, BTreeSet};

use super::wiring::pixels;
use crate::app::owner::App;
use crate::app::view::{Finding, Level};
use crate::calc::signal::addressing::{self, Controller, Subnet, addressing};
use crate::calc::signal::allocation::{self, Mode, Place, Prop, allocation};
use crate::calc::signal::data_lead::{self, Carries, data_lead};
use crate::calc::signal::port_timing::{self, CHIPS, port_timing};
use crate::domain::{Link, LinkKind, PieceId, PlacementId, Season};
use crate::steps::Facts;
use crate::units::si::Metres;

/// Frames a second wanted where none are told (common practice, no published source).
const FRAMES: f64 = 40.0;
/// Slots of one universe (ANSI E1.31).
const SLOTS: u64 = 512;

pub(super) fn look(app: &App, facts: &Facts, season: &Season) -> (Vec<Finding>, Vec<String>) {
    let mut found = Vec::new();
    let mut not_told = Vec::new();
    let links = facts.links_in(season.id);
    let data: Vec<&Link> = links.iter().copied().filter(|l| l.kind == LinkKind::Data).collect();
    found.extend(ports(app, facts, &data, &mut not_told));
    found.extend(leads(facts, &links));
    found.extend(addresses(app, facts, &mut not_told));
    found.extend(numbers(facts, &data, &mut not_told));
    (found, not_told)
}

fn finding(level: Level, code: &str, place: String, what: String, value: String, limit: String, remedy: &str) -> Finding {
    Finding { level, code: code.to_owned(), place, what, value, limit, remedy: remedy.to_owned(), caution: None }
}

/// Pixels on each port against what its chip's timing carries at the frame rate.
fn ports(app: &App, facts: &Facts, data: &[&Link], not_told: &mut Vec<String>) -> Vec<Finding> {
    let target = app.yard().sites.first().and_then(|s| s.frame_rate_hz).map_or(FRAMES, |f| f as f64);
    let mut on: BTreeMap<(PieceId, String), BTreeMap<PlacementId, u32>> = BTreeMap::new();
    for link in data {
        let (Some(piece), Some(port), Some(prop)) =
            (link.from_piece_id, link.from_port.clone(), link.to_placement_id.and_then(|p| facts.placement(p)))
        else {
            continue;
        };
        if let Some(n) = facts.product_of(prop).and_then(|x| pixels(prop, x)) {
            on.entry((piece, port)).or_default().insert(prop.id, n);
        }
    }
    let mut found = Vec::new();
    let mut unknown = 0;
    for ((piece, port), props) in on {
        let n: u32 = props.values().sum();
        let product = props.keys().find_map(|p| facts.placement(*p)).and_then(|p| facts.product_of(p));
        let chip = product.and_then(|p| p.chip.as_deref()).map(str::to_uppercase);
        let Some(timing) = chip.and_then(|c| CHIPS.iter().find(|t| c.starts_with(&t.chip.to_uppercase()))) else {
            unknown += 1;
            continue;
        };
        let channels = product.and_then(|p| p.channels_per_pixel).unwrap_or(3);
        let Ok(t) = port_timing(port_timing::Input {
            pixels: n,
            bits_per_pixel: u32::try_from(channels * 8).unwrap_or(24),
            bit_rate_khz: timing.bit_rate_khz,
            reset_us: timing.reset_us,
            target_fps: target,
        }) else {
            continue;
        };
        if !t.fits {
            let code = facts.piece(piece).map_or_else(String::new, |p| p.code.clone());
            found.push(finding(
                Level::Mend,
                "port_pixels",
                format!("{code} port {port}"),
                format!("too many pixels for {target} frames a second ({:.1} at most)", t.max_fps),
                format!("{n} pixels"),
                format!("{} pixels", t.max_pixels_at_target),
                "spread them over another port, or take fewer frames a second",
            ));
        }
    }
    if unknown > 0 {
        not_told.push(format!("chip not told for the props on {unknown} ports: frame rate not checked"));
    }
    found
}

/// Data and network leads against their longest length.
fn leads(facts: &Facts, links: &[&Link]) -> Vec<Finding> {
    let mut found = Vec::new();
    for link in links {
        let carries = match link.kind {
            // A lead from prop to prop begins at a pixel, which repeats the data.
            LinkKind::Data if link.from_piece_id.is_some() => Carries::PixelData,
            LinkKind::Network => Carries::Network,
            _ => continue,
        };
        let Some(length) = link.length_mm.and_then(|l| Metres::new(l.metres()).ok()) else { continue };
        let Ok(answer) = data_lead(data_lead::Input { carries, length, own_limit: None }) else { continue };
        if !answer.within_limit {
            let to = link.to_placement_id.and_then(|p| facts.placement(p)).map_or("", |p| p.name.as_str());
            found.push(finding(
                Level::Stop,
                "data_lead_long",
                format!("{} {to}", link.code),
                "longer than data travels without a repeater".to_owned(),
                format!("{:.1} m", length.get()),
                format!("{:.1} m", answer.limit.get()),
                "a remote box, a repeater, or a shorter lead",
            ));
        }
    }
    found
}

fn addresses(app: &App, facts: &Facts, not_told: &mut Vec<String>) -> Vec<Finding> {
    let site = app.yard().sites.first();
    let net = |text: Option<&String>| text.and_then(|t| t.parse::<Subnet>().ok());
    let controllers: Vec<Controller> = facts
        .yard
        .pieces
        .iter()
        .filter_map(|p| p.address.as_ref().map(|a| Controller { name: p.code.clone(), address: a.clone() }))
        .collect();
    let Some(show) = net(site.and_then(|s| s.show_network.as_ref())) else {
        if !controllers.is_empty() {
            not_told.push(format!("show network not told: {} addresses not checked", controllers.len()));
        }
        return Vec::new();
    };
    let home = net(site.and_then(|s| s.home_network.as_ref()));
    let names: Vec<(String, String)> = controllers.iter().map(|c| (c.name.clone(), c.address.clone())).collect();
    let answer = addressing(&addressing::Input { show, home, controllers });
    let mut found: Vec<Finding> = answer
        .findings
        .iter()
        .zip(names)
        .flat_map(|(list, (name, address))| {
            list.iter()
                .map(|f| {
                    finding(
                        Level::Stop,
                        &f.code(),
                        name.clone(),
                        "this address can't be used here".to_owned(),
                        address.clone(),
                        "one of its own in the show network".to_owned(),
                        "give it a free address of the show network, and write it on its lid",
                    )
                })
                .collect::<Vec<_>>()
        })
        .collect();
    if answer.overlaps_home {
        found.push(finding(
            Level::Stop,
            "networks_overlap",
            "the site".to_owned(),
            "show and home network share addresses".to_owned(),
            site.and_then(|s| s.show_network.clone()).unwrap_or_default(),
            "apart".to_owned(),
            "give the show a network of its own",
        ));
    }
    found
}

/// Two props on the same numbers; and a proposal where none are set ("no pixel split", what is set stays).
fn numbers(facts: &Facts, data: &[&Link], not_told: &mut Vec<String>) -> Vec<Finding> {
    let mut spans: Vec<(u64, u64, String)> = Vec::new();
    let mut open: Vec<(String, u32, u32)> = Vec::new();
    let mut seen: BTreeSet<PlacementId> = BTreeSet::new();
    for link in data {
        let Some(prop) = link.to_placement_id.and_then(|p| facts.placement(p)).filter(|p| seen.insert(p.id)) else { continue };
        let Some(product) = facts.product_of(prop) else { continue };
        let Some(n) = pixels(prop, product) else { continue };
        let channels = u32::try_from(product.channels_per_pixel.unwrap_or(3)).unwrap_or(3);
        let Some(universe) = link.start_universe.and_then(|u| u64::try_from(u).ok()).filter(|u| *u > 0) else {
            open.push((prop.name.clone(), n, channels));
            continue;
        };
        let slot = link.start_slot.and_then(|s| u32::try_from(s).ok()).unwrap_or(1);
        let answer = allocation(&allocation::Input {
            start: Place { universe, slot },
            mode: Mode::WholePixel,
            props: vec![Prop { pixels: n, channels }],
        });
        if let Some(span) = answer.ok().and_then(|a| a.spans.first().copied()) {
            let at = |p: Place| (p.universe - 1) * SLOTS + u64::from(p.slot);
            spans.push((at(span.first), at(span.last), format!("{} ({})", prop.name, prop.code)));
        }
    }
    spans.sort();
    let mut found = Vec::new();
    for pair in spans.windows(2) {
        let [a, b] = pair else { continue };
        if b.0 <= a.1 {
            found.push(finding(
                Level::Stop,
                "numbers_overlap",
                b.2.clone(),
                format!("shares numbers with {}", a.2),
                format!("universe {} slot {}", (b.0 - 1) / SLOTS + 1, (b.0 - 1) % SLOTS + 1),
                format!("after universe {} slot {}", (a.1 - 1) / SLOTS + 1, (a.1 - 1) % SLOTS + 1),
                "propose numbers, and set the controller to them",
            ));
        }
    }
    if !open.is_empty() {
        let first = spans.iter().map(|s| s.1).max().map_or(1, |last| last / SLOTS + 2);
        let total: u32 = open.iter().map(|o| o.1).sum();
        not_told.push(format!(
            "start universe not told for {} props ({total} pixels): proposed to run on from universe {first}, no pixel split",
            open.len()
        ));
    }
    found
}
