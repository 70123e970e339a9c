//! Low voltage, supplies, fuses and what the network itself tells.

use crate::answers::power::study::Study;
use crate::answers::power::wiring::set_point;
use crate::answers::power::words::outside;
use crate::answers::power::zones::{apart, joined, rings};
use crate::answers::view::{Finding, Level};
use crate::calc::electrical::fuse::{Choice, fuse};
use crate::calc::electrical::pixel_defaults::lowest_voltage;
use crate::calc::electrical::supply_load::CONTINUOUS;
use crate::calc::electrical::wire_amps::wire_amps;
use crate::calc::electrical::{fuse, network};
use crate::domain::{Link, PieceId, PlacementId, Season};
use crate::steps::Facts;
use crate::units::Gauge;
use crate::units::si::{Amps, Volts};

const FUSE_MARGIN: f64 = 1.25;
const FUSE: &str = "A fuse protects its wire: one that blows is a fault to find, never a bigger one. Low voltage at many amperes can start a fire.";
const SUPPLY: &str =
    "Supplies stand dry, covered and in free air; the voltage selector is set before they are plugged in.";
pub(crate) const JOINED: &str =
    "Ordinary supplies push current into each other when joined: plus cut between them, minus common.";

pub(crate) fn look(facts: &Facts, season: &Season, study: &Study) -> Vec<Finding> {
    let mut found = Vec::new();
    if let Err(why) = &study.at_level
        && !study.wiring.network.supplies.is_empty()
    {
        found.push(plain(
            Level::Stop,
            why.code,
            "the DC network",
            why.why.clone(),
            "no answer",
            "a working point",
            "correct the wiring that is named",
        ));
    }
    found.extend(rings(facts, season));
    found.extend(joined(facts, season));
    found.extend(apart(facts, season));
    found.extend(tells(study));
    let refused = study.wiring.refused.iter();
    found.extend(refused.map(|(place, refusal)| outside(place, refusal, facts.yard.terms())));
    found.extend(strings(facts, season, study));
    found.extend(supplies(facts, study));
    found.extend(fuses(facts, season, study));
    found
}

pub(crate) fn plain(
    level: Level,
    code: &str,
    place: &str,
    what: String,
    value: &str,
    limit: &str,
    remedy: &str,
) -> Finding {
    Finding {
        level,
        code: code.to_owned(),
        place: place.to_owned(),
        what,
        value: value.to_owned(),
        limit: limit.to_owned(),
        remedy: remedy.to_owned(),
        caution: None,
    }
}

fn with_caution(mut found: Vec<Finding>, caution: &str) -> Vec<Finding> {
    for finding in &mut found {
        finding.caution = Some(caution.to_owned());
    }
    found
}

/// What the solved network says of itself.
fn tells(study: &Study) -> Vec<Finding> {
    let Ok(solution) = &study.at_level else { return Vec::new() };
    let told = solution.findings.iter().map(|f| {
        let said = match f {
            network::Finding::BackFeed { supply, amps } => plain(
                Level::Stop,
                f.code(),
                supply,
                "current is pushed back into this supply".to_owned(),
                &format!("{:.2} A", amps.abs()),
                "0 A",
                "cut the plus rail between supply zones, or set both supplies to the same voltage",
            ),
            network::Finding::NoCommonMinus { supply } => plain(
                Level::Stop,
                f.code(),
                supply,
                "its minus meets no other: data has no return".to_owned(),
                "no bond",
                "common minus",
                "join the minus terminals",
            ),
            network::Finding::BelowZero { pixel } => plain(
                Level::Stop,
                f.code(),
                &pixel.chain,
                format!("pixel {} gets no voltage", pixel.pixel),
                &format!("{:.2} V", pixel.v),
                "above 0 V",
                "thicker wire, more feeds, or a lower level",
            ),
        };
        let back = matches!(f, network::Finding::BackFeed { .. });
        Finding { caution: back.then(|| JOINED.to_owned()), ..said }
    });
    told.collect()
}

/// The lowest pixel a string may have: told, or by common practice for its voltage.
pub(crate) fn lowest(facts: &Facts, placement: PlacementId) -> Option<f64> {
    let product = facts.placement(placement).and_then(|p| facts.product_of(p))?;
    product
        .lowest_mv
        .map(crate::units::Voltage::volts)
        .or_else(|| lowest_voltage(Volts::new(product.volts_mv?.volts()).ok()?).ok().map(Volts::get))
}

fn strings(facts: &Facts, season: &Season, study: &Study) -> Vec<Finding> {
    let mut found = Vec::new();
    for s in study.strings() {
        let Some(limit) = lowest(facts, s.placement) else { continue };
        let lowest = s.volts.iter().copied().enumerate().min_by(|a, b| a.1.total_cmp(&b.1));
        let Some((at, volts)) = lowest.filter(|(_, v)| *v < limit) else { continue };
        let p = facts.placement(s.placement);
        let place = p.map_or_else(String::new, |p| format!("{} ({})", p.name, p.code));
        found.push(plain(
            Level::Mend,
            "low_voltage",
            &place,
            format!("pixel {} runs low at level {} %: colours turn brown there", at + 1, study.level.get()),
            &format!("{volts:.2} V"),
            &format!("{limit:.2} V"),
            &crate::answers::power::advice::feeds(facts, season, study, s.placement, limit).unwrap_or_else(
                || format!("a feed near pixel {}, a thicker lead-in, or a lower level", at + 1),
            ),
        ));
    }
    found
}

fn supplies(facts: &Facts, study: &Study) -> Vec<Finding> {
    let mut found = Vec::new();
    for (id, (level, white)) in study.supplies() {
        let Some((code, rated)) = rating(facts, id) else { continue };
        let percent = study.level.get();
        let at = crate::answers::power::words::amps;
        if level > rated * CONTINUOUS {
            found.push(plain(
                if level > rated { Level::Stop } else { Level::Mend },
                "supply_over",
                &code,
                format!("more than it carries without end, at level {percent} %"),
                &at(level),
                &at(rated * CONTINUOUS),
                "spread the props over another supply, or lower the level",
            ));
        } else if white > rated * CONTINUOUS {
            found.push(plain(
                Level::Mend,
                "supply_over_at_white",
                &code,
                format!("full white would be more than it carries without end; level {percent} % is not"),
                &at(white),
                &at(rated * CONTINUOUS),
                "keep the level limit, in hardware where that can be; never run white above it in the rehearsal",
            ));
        }
    }
    with_caution(found, SUPPLY)
}

/// A supply's code and rated amperes.
pub(crate) fn rating(facts: &Facts, id: PieceId) -> Option<(String, f64)> {
    let piece = facts.piece(id)?;
    let product = facts.product(piece.product_id)?;
    let volts = set_point(piece, product)?.volts();
    (volts > 0.0).then_some(())?;
    Some((piece.code.clone(), product.rated_mw?.watts() / volts))
}

/// The standard fuse for what a feeder carries at the level, bounded by its wire; nothing where one is not known.
pub(crate) fn fuse_for(study: &Study, link: &Link) -> Option<Choice> {
    let load = Amps::new(study.lead_amps(&link.code)?).ok()?;
    let wire = wire_amps(link.wire?).ok()?.amps;
    fuse(fuse::Input { load, wire, margin: FUSE_MARGIN }).ok().map(|a| a.choice)
}

fn fuses(facts: &Facts, season: &Season, study: &Study) -> Vec<Finding> {
    let mut found = Vec::new();
    for link in facts.links_in(season.id) {
        let (Some(amps), Some(wire)) = (study.lead_amps(&link.code), link.wire) else { continue };
        let Some(prop) = link.to_placement_id.and_then(|p| facts.placement(p)) else { continue };
        let place = format!("{} ({}), lead {}", prop.name, prop.code, link.code);
        let carries = match wire_amps(wire) {
            Ok(carries) => carries,
            Err(refusal) => {
                found.push(outside(&place, &refusal, facts.yard.terms()));
                continue;
            }
        };
        if let Some(told) = link.fuse_ma {
            let told = told.amps();
            if told > carries.amps.get() {
                found.push(plain(
                    Level::Stop,
                    "fuse_over_wire",
                    &place,
                    format!("the fuse is bigger than {} may carry", Gauge::show(wire)),
                    &format!("{told} A"),
                    &format!("{} A", carries.amps.get()),
                    "a smaller fuse or a thicker wire; never a bigger fuse",
                ));
            } else if told < amps * FUSE_MARGIN {
                found.push(plain(
                    Level::Mend,
                    "fuse_small",
                    &place,
                    format!("the fuse is small for the load at level {} %", study.level.get()),
                    &format!("{told} A"),
                    &format!("{:.1} A", amps * FUSE_MARGIN),
                    "another feed, or the next fuse that the wire carries",
                ));
            }
        } else {
            let (code, what, limit) = match fuse_for(study, link) {
                Some(Choice::WireTooThin) => (
                    "wire_too_thin",
                    "no standard fuse protects this wire at this load",
                    format!("{} A", carries.amps.get()),
                ),
                Some(Choice::NoStandardRating) => {
                    ("no_standard_fuse", "no standard fuse is big enough for this load", "30 A".to_owned())
                }
                Some(Choice::Fuse { .. }) | None => continue,
            };
            let remedy = "thicker wire, or split the load";
            found.push(plain(
                Level::Stop,
                code,
                &place,
                what.to_owned(),
                &format!("{amps:.1} A"),
                &limit,
                remedy,
            ));
        }
    }
    with_caution(found, FUSE)
}
