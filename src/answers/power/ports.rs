//! Ports: whether a box has them, what they send at the frame rate, what their board drives.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::power::dc::port_name;
use crate::answers::power::segments::Segment;
use crate::answers::power::words::outside;
use crate::answers::view::{Amount, Finding, Level};
use crate::answers::words::{n_of, some};
use crate::calc::signal::port_timing;
use crate::calc::signal::port_timing::{CHIPS, ChipTiming, Run, port_timing};
use crate::domain::{Link, LinkKind, PieceId, Role, Season};
use crate::steps::Facts;
use crate::units::figure;

/// Whether the ports that leads of a kind begin at are there, and each is one lead's.
pub(super) fn plugged(
    facts: &Facts,
    season: &Season,
    kind: LinkKind,
    not_told: &mut Vec<String>,
) -> Vec<Finding> {
    let links: Vec<&Link> = facts.links_in(season.id).into_iter().filter(|l| l.kind == kind).collect();
    let mut found = there(facts, &links, not_told);
    found.extend(shared(facts, &links, not_told));
    // Of splitters on the mains the cords say it.
    if kind != LinkKind::Mains {
        found.extend(split(facts, &links, not_told));
    }
    found
}

/// What has outputs that can be counted.
fn has_outputs(role: Role) -> bool {
    matches!(role, Role::Box | Role::Controller | Role::Adaptor)
}

/// Leads against the outputs of the splitter that they begin at.
fn split(facts: &Facts, links: &[&Link], not_told: &mut Vec<String>) -> Vec<Finding> {
    let mut leads: BTreeMap<PieceId, i64> = BTreeMap::new();
    for piece in links.iter().filter_map(|l| l.from_piece_id) {
        *leads.entry(piece).or_default() += 1;
    }
    let (mut found, mut untold) = (Vec::new(), BTreeSet::new());
    for (id, n) in leads.into_iter().filter(|(_, n)| *n > 1) {
        let Some(piece) = facts.piece(id) else { continue };
        let product =
            facts.product(piece.product_id).filter(|p| matches!(p.role, Role::Adaptor | Role::Lead));
        let Some(product) = product else { continue };
        match product.ports.filter(|has| *has > 0) {
            Some(has) if n > has => found.push(Finding::new(
                Level::Mend,
                "splitter_full",
                piece.code.clone(),
                "more leads begin at it than it has outputs".to_owned(),
                Amount::count(n as f64, "leads"),
                Amount::count(has as f64, if has == 1 { "output" } else { "outputs" }),
                "take a splitter with more outputs, or another port for the others",
            )),
            Some(_) => {}
            None => {
                untold.insert(piece.code.clone());
            }
        }
    }
    if !untold.is_empty() {
        not_told.push(format!(
            "outputs (ports) not told of {} ({}): whether all leads find one not checked",
            n_of(untold.len(), "splitter"),
            some(untold)
        ));
    }
    found
}

pub(super) fn look(facts: &Facts, all: &[Segment], target: f64, not_told: &mut Vec<String>) -> Vec<Finding> {
    let mut on: BTreeMap<(PieceId, String), Vec<&Segment>> = BTreeMap::new();
    for segment in all {
        let Some(port) = &segment.port else { continue };
        let on = on.entry(port.clone()).or_default();
        // What shows the same as another is sent once.
        match on.iter_mut().find(|s| s.mirrors(segment)) {
            Some(longer) if longer.pixels < segment.pixels => *longer = segment,
            Some(_) => {}
            None => on.push(segment),
        }
    }
    let mut found = Vec::new();
    let (mut unknown, mut strange) = (0, BTreeSet::new());
    for ((piece, port), segments) in on {
        let code = facts.piece(piece).map_or_else(String::new, |p| p.code.clone());
        let place = format!("{code} port {port}");
        found.extend(driven(facts, piece, &place, &segments));
        let timings: Option<Vec<&ChipTiming>> =
            segments.iter().map(|s| s.product.chip.as_deref().and_then(timing)).collect();
        if let Some(timings) = timings {
            found.extend(sent(facts, &place, &segments, &timings, target));
        } else {
            let chips = segments.iter().filter_map(|s| s.product.chip.as_deref());
            let unlisted: Vec<&str> = chips.filter(|chip| timing(chip).is_none()).collect();
            strange.extend(unlisted.iter().map(|chip| (*chip).to_owned()));
            unknown += usize::from(unlisted.is_empty());
        }
    }
    if unknown > 0 {
        not_told.push(format!(
            "chip not told for the props on {ports}: frame rate not checked",
            ports = n_of(unknown, "port")
        ));
    }
    if !strange.is_empty() {
        not_told.push(format!("bit rate not known of the chips {}: frame rate not checked", some(strange)));
    }
    found
}

/// Whether a box with so many outputs has a port: by its number, or by the letter of that place.
pub(crate) fn has_port(port: &str, outputs: i64) -> Option<bool> {
    let name = port_name(port);
    let digits = name.trim_start_matches(char::is_alphabetic);
    if let Ok(number) = digits.parse::<i64>() {
        return Some((1..=outputs).contains(&number));
    }
    let mut letters = name.chars();
    match (letters.next(), letters.next()) {
        (Some(one), None) if one.is_ascii_alphabetic() => {
            Some(i64::from(one.to_ascii_uppercase() as u8 - b'A') < outputs)
        }
        // A word says nothing of which output it is.
        _ => None,
    }
}

/// The ports that leads begin at against how many their box has.
fn there(facts: &Facts, links: &[&Link], not_told: &mut Vec<String>) -> Vec<Finding> {
    let mut used: BTreeMap<PieceId, BTreeSet<String>> = BTreeMap::new();
    for link in links {
        if let Some((piece, port)) = link.from_piece_id.zip(link.from_port.as_deref()) {
            used.entry(piece).or_default().insert(port.to_owned());
        }
    }
    let mut found = Vec::new();
    let (mut untold, mut worded) = (Vec::new(), Vec::new());
    for (id, ports) in used {
        let Some(piece) = facts.piece(id) else { continue };
        let Some(product) = facts.product(piece.product_id) else { continue };
        if !has_outputs(product.role) {
            continue;
        }
        let Some(outputs) = product.ports.filter(|n| *n > 0) else {
            // Of a splitter that is said with what is plugged into it.
            untold.extend((product.role != Role::Adaptor).then(|| piece.code.clone()));
            continue;
        };
        for port in ports {
            match has_port(&port, outputs) {
                Some(true) => {}
                Some(false) => found.push(Finding::new(
                    Level::Stop,
                    "no_such_port",
                    format!("{} port {port}", piece.code),
                    "a lead begins at a port that this does not have".to_owned(),
                    format!("port {port}"),
                    Amount::count(outputs as f64, "ports"),
                    "correct the port of the lead, or how many its product has",
                )),
                // Of a splitter its outlets are alike.
                None if product.role == Role::Adaptor => {}
                None => worded.push(format!("{} {port}", piece.code)),
            }
        }
    }
    for (codes, what) in
        [(untold, "how many ports not told for boxes"), (worded, "which port by its number not told at")]
    {
        if !codes.is_empty() {
            not_told.push(format!("{what} ({}): not known whether they have it", some(codes)));
        }
    }
    found
}

/// One port takes one lead: two of a kind in it are told twice, or go through a splitter that is not told. A port that is
/// only the letter of a bus may be any of it.
fn shared(facts: &Facts, links: &[&Link], not_told: &mut Vec<String>) -> Vec<Finding> {
    let mut on: BTreeMap<(PieceId, &'static str, String), Vec<&str>> = BTreeMap::new();
    let mut untold = BTreeSet::new();
    for link in links {
        let Some(piece) = link.from_piece_id.and_then(|id| facts.piece(id)) else { continue };
        let product = facts.product(piece.product_id);
        let Some(product) = product.filter(|p| has_outputs(p.role)) else {
            continue;
        };
        let port = link.from_port.as_deref().map(port_name);
        match port.filter(|p| p.contains(|c: char| c.is_ascii_digit())) {
            Some(port) => on.entry((piece.id, link.kind.as_str(), port)).or_default().push(&link.code),
            None if link.kind == LinkKind::Dc
                && product.ports != Some(1)
                && product.role != Role::Adaptor =>
            {
                untold.insert(link.code.clone());
            }
            None => {}
        }
    }
    if !untold.is_empty() {
        not_told.push(format!(
            "port by its number not told for {} ({}): whether two leads share one not checked",
            n_of(untold.len(), "dc lead"),
            some(untold)
        ));
    }
    let twice = on.into_iter().filter(|(_, leads)| leads.len() > 1);
    twice
        .map(|((piece, kind, port), leads)| {
            let code = facts.piece(piece).map_or("", |p| p.code.as_str());
            Finding::new(
                Level::Mend,
                "port_twice",
                format!("{code} port {port}"),
                format!("several {kind} leads begin at one port: {}", leads.join(", ")),
                Amount::count(leads.len() as f64, "leads"),
                Amount::count(1.0, "lead"),
                "correct the port of one of them, or tell the splitter that they go through as a piece",
            )
        })
        .collect()
}

fn driven(facts: &Facts, piece: PieceId, place: &str, segments: &[&Segment]) -> Option<Finding> {
    let pixels: u32 = segments.iter().map(|s| s.pixels).sum();
    let most = facts.piece(piece).and_then(|p| facts.product(p.product_id))?.port_pixels?;
    (i64::from(pixels) > most).then(|| {
        Finding::new(
            Level::Stop,
            "port_over",
            place.to_owned(),
            "more pixels than this output board drives on a port".to_owned(),
            Amount::count(f64::from(pixels), "pixels"),
            Amount::count(most as f64, "pixels"),
            "spread them over another port",
        )
    })
}

/// What goes out of a port one after another, at one bit rate, against the frame rate.
fn sent(
    facts: &Facts,
    place: &str,
    segments: &[&Segment],
    timings: &[&ChipTiming],
    target: f64,
) -> Option<Finding> {
    let terms = facts.yard.terms();
    let slowest = timings.iter().map(|t| t.bit_rate_khz).fold(f64::INFINITY, f64::min);
    let fastest = timings.iter().map(|t| t.bit_rate_khz).fold(0.0, f64::max);
    if fastest > slowest {
        return Some(Finding::new(
            Level::Stop,
            "port_rates",
            place.to_owned(),
            "chips of two bit rates on one port, which sends at one".to_owned(),
            Amount::figure(format!("{} kHz", figure(slowest, 0)), "hz", slowest * 1000.0),
            Amount::figure(format!("{} kHz", figure(fastest, 0)), "hz", fastest * 1000.0),
            "give the slower ones a port of their own",
        ));
    }
    let answer = port_timing(port_timing::Input {
        runs: segments.iter().map(|s| Run { pixels: s.pixels, bits_per_pixel: s.channels * 8 }).collect(),
        bit_rate_khz: slowest,
        reset_us: timings.iter().map(|t| t.reset_us).fold(0.0, f64::max),
        target_fps: target,
    });
    let sent = match answer {
        Ok(sent) if sent.fits => return None,
        Ok(sent) => sent,
        Err(refusal) => return Some(outside(place, &refusal, terms)),
    };
    let pixels: u32 = segments.iter().map(|s| s.pixels).sum();
    let remedy = if segments.iter().any(|s| s.branch.is_some()) {
        "spread them over another port, tell the same start universe for what shows the same behind a splitter, or take fewer frames a second"
    } else {
        "spread them over another port, or take fewer frames a second"
    };
    Some(Finding::new(
        Level::Mend,
        "port_pixels",
        place.to_owned(),
        format!("too many pixels for {target} frames a second ({} at most)", figure(sent.max_fps, 1)),
        Amount::count(f64::from(pixels), "pixels"),
        Amount::count(f64::from(sent.max_pixels_at_target), "pixels"),
        remedy,
    ))
}

/// The timing of a chip: the row whose name it has. Beside it may stand what says nothing of time, as "RGB", and what
/// says that it is slow; with any other word the timing is not known.
fn timing(chip: &str) -> Option<&'static ChipTiming> {
    const SAYS_NOTHING: [&str; 12] =
        ["RGB", "RGBW", "GRB", "GRBW", "LED", "LEDS", "PIXEL", "PIXELS", "IC", "FAST", "800", "800KHZ"];
    // "WS 2811" is one word.
    let upper = match chip.to_uppercase().split_once([' ', '-']) {
        Some((maker, rest))
            if maker.chars().all(char::is_alphabetic) && rest.starts_with(|c: char| c.is_ascii_digit()) =>
        {
            format!("{maker}{rest}")
        }
        _ => chip.to_uppercase(),
    };
    if let Some(row) = CHIPS.iter().find(|t| t.chip.to_uppercase() == upper) {
        return Some(row);
    }
    let mut words = upper.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty());
    // "WS2812" is read as its later issue "WS2812B", with the longer pause; "UCS1903B" as "UCS1903".
    let name = words.next()?;
    let mut slow = false;
    for word in words {
        match word {
            "SLOW" | "400" | "400KHZ" => slow = true,
            "MODE" | "KHZ" | "LOW" | "SPEED" => slow |= word == "LOW",
            other if SAYS_NOTHING.contains(&other) => {}
            _ => return None,
        }
    }
    let letter = |a: &str, b: &str| a.strip_prefix(b).is_some_and(|rest| rest.len() <= 1);
    let wanted = if slow { format!("{name} SLOW") } else { name.to_owned() };
    CHIPS.iter().find(|t| {
        let row = t.chip.to_uppercase();
        row == wanted || (!slow && !row.contains(' ') && (letter(name, &row) || letter(&row, name)))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ports_by_number_and_by_letter() {
        for (port, outputs, has) in [
            ("4", 4, Some(true)),
            ("5", 4, Some(false)),
            ("Port 04", 4, Some(true)),
            ("A9", 4, Some(false)),
            ("b", 4, Some(true)),
            ("E", 4, Some(false)),
            ("banana", 4, None),
            ("0", 4, Some(false)),
        ] {
            assert_eq!(has_port(port, outputs), has, "{port}");
        }
    }
}
