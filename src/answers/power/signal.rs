//! Ports, numbers and addresses.

use std::collections::BTreeMap;

use crate::answers::Outlook;
use crate::answers::power::numbers;
use crate::answers::power::segments::{Segment, segments};
use crate::answers::view::{Finding, Level, NumberRow};
use crate::calc::signal::addressing::{Controller, Subnet, addressing};
use crate::calc::signal::data_lead::{Carries, data_lead};
use crate::calc::signal::port_timing::{CHIPS, port_timing};
use crate::calc::signal::{addressing, data_lead, port_timing};
use crate::domain::{Link, LinkKind, Numbering, PieceId, Season};
use crate::steps::Facts;
use crate::units::System;
use crate::units::si::Metres;

/// Frames a second wanted where none are told (common practice, no published source).
const FRAMES: f64 = 40.0;

/// What the signal side came to.
pub(crate) struct Signal {
    pub(crate) findings: Vec<Finding>,
    pub(crate) not_told: Vec<String>,
    pub(crate) numbers: Vec<NumberRow>,
}

pub(crate) fn look(outlook: &Outlook, facts: &Facts, season: &Season, way: Option<Numbering>) -> Signal {
    let mut found = Vec::new();
    let mut not_told = Vec::new();
    let links = facts.links_in(season.id);
    let all = segments(facts, &links);
    let told = outlook.yard.sites.first().and_then(|s| s.frame_rate_hz);
    let frames = told.map_or(FRAMES, |f| f as f64);
    if told.is_none() && !all.is_empty() {
        not_told.push(format!("frame rate not told: {FRAMES} a second assumed"));
    }
    found.extend(ports(facts, &all, frames, &mut not_told));
    found.extend(leads(outlook.units(), facts, &links, &mut not_told));
    found.extend(addresses(outlook, facts, &mut not_told));
    let laid = numbers::lay(&all, way);
    found.extend(numbers::look(&all, &laid, way, frames, (&mut not_told, facts.yard.terms())));
    Signal { findings: found, not_told, numbers: numbers::rows(&laid) }
}

/// Pixels on each port against what its chip's timing carries at the frame rate, and what the box allows.
fn ports(facts: &Facts, all: &[Segment], target: f64, not_told: &mut Vec<String>) -> Vec<Finding> {
    let mut on: BTreeMap<(PieceId, String), Vec<&Segment>> = BTreeMap::new();
    for segment in all {
        if let Some(port) = &segment.port {
            on.entry(port.clone()).or_default().push(segment);
        }
    }
    let mut found = Vec::new();
    let mut unknown = 0;
    for ((piece, port), segments) in on {
        let n: u32 = segments.iter().map(|s| s.pixels).sum();
        let code = facts.piece(piece).map_or_else(String::new, |p| p.code.clone());
        let place = format!("{code} port {port}");
        let own = facts.piece(piece).and_then(|p| facts.product(p.product_id)).and_then(|p| p.port_pixels);
        if let Some(own) = own.filter(|own| i64::from(n) > *own) {
            found.push(Finding::new(
                Level::Stop,
                "port_over",
                place.clone(),
                "more pixels than this output board drives on a port".to_owned(),
                format!("{n} pixels"),
                format!("{own} pixels"),
                "spread them over another port",
            ));
        }
        let mut least: Option<port_timing::Output> = None;
        let (mut told, mut refused) = (true, None);
        for s in &segments {
            let chip = s.product.chip.as_deref().map(str::to_uppercase);
            let Some(timing) =
                chip.and_then(|c| CHIPS.iter().find(|t| c.starts_with(&t.chip.to_uppercase())))
            else {
                told = false;
                continue;
            };
            let answer = port_timing(port_timing::Input {
                pixels: n,
                bits_per_pixel: s.channels.saturating_mul(8),
                bit_rate_khz: timing.bit_rate_khz,
                reset_us: timing.reset_us,
                target_fps: target,
            });
            match answer {
                // Mixed chips on one port: the slowest decides.
                Ok(t) if least.as_ref().is_none_or(|l| t.max_fps < l.max_fps) => least = Some(t),
                Ok(_) => {}
                Err(refusal) => refused = Some(refusal),
            }
        }
        if !told {
            unknown += 1;
        }
        found.extend(
            refused
                .map(|refusal| crate::answers::power::words::outside(&place, &refusal, facts.yard.terms())),
        );
        if let Some(t) = least.filter(|t| !t.fits) {
            found.push(Finding::new(
                Level::Mend,
                "port_pixels",
                place,
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
fn leads(units: System, facts: &Facts, links: &[&Link], not_told: &mut Vec<String>) -> Vec<Finding> {
    let mut found = Vec::new();
    let mut unknown = 0;
    for link in links {
        let carries = match link.kind {
            // A lead from prop to prop begins at a pixel, which repeats the data.
            LinkKind::Data if link.from_piece_id.is_some() => Carries::PixelData,
            LinkKind::Network => Carries::Network,
            _ => continue,
        };
        let Some(length) = link.length_mm.and_then(|l| Metres::new(l.metres()).ok()) else {
            unknown += 1;
            continue;
        };
        let Ok(answer) = data_lead(data_lead::Input { carries, length, own_limit: None }) else { continue };
        if !answer.within_limit {
            let to = link.to_placement_id.and_then(|p| facts.placement(p)).map_or("", |p| p.name.as_str());
            found.push(Finding::new(
                Level::Stop,
                "data_lead_long",
                format!("{} {to}", link.code),
                "longer than data travels without a repeater".to_owned(),
                link.length_mm.map_or_else(String::new, |l| l.show(units)),
                crate::units::Length::from_metres(answer.limit.get())
                    .map_or_else(String::new, |l| l.show(units)),
                "a remote box, a repeater, or a shorter lead",
            ));
        }
    }
    if unknown > 0 {
        not_told.push(format!("length not told for {unknown} data or network leads: reach not checked"));
    }
    found
}

fn addresses(outlook: &Outlook, facts: &Facts, not_told: &mut Vec<String>) -> Vec<Finding> {
    let site = outlook.yard.sites.first();
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
    let names: Vec<(String, String)> =
        controllers.iter().map(|c| (c.name.clone(), c.address.clone())).collect();
    let answer = addressing(&addressing::Input { show, home, controllers });
    let mut found: Vec<Finding> = answer
        .findings
        .iter()
        .zip(names)
        .flat_map(|(list, (name, address))| {
            list.iter()
                .map(|f| {
                    Finding::new(
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
        found.push(Finding::new(
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
