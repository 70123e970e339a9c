//! What goes into which port at a connect step, with what the tags say.

use crate::answers::Outlook;
use crate::answers::view::ConnectLine;
use crate::domain::{Link, Placement};
use crate::steps::Facts;

/// What goes into which port for a placement, with what the tags say.
pub(crate) fn connect_lines(
    outlook: &Outlook,
    facts: &Facts,
    season: crate::domain::SeasonId,
    pl: &Placement,
) -> Vec<ConnectLine> {
    let mut lines: Vec<ConnectLine> = Vec::new();
    for link in facts.links_in(season).into_iter().filter(|l| l.to_placement_id == Some(pl.id)) {
        let from = match (link.from_piece_id, link.from_placement_id) {
            (Some(p), _) => facts.piece(p).map_or_else(String::new, |p| p.code.clone()),
            (None, Some(p)) => facts.placement(p).map_or_else(String::new, |p| p.name.clone()),
            (None, None) => "not told".to_owned(),
        };
        let port = link.from_port.as_deref().map_or_else(String::new, |p| format!(" port {p}"));
        let end = link.to_end.as_deref().map_or_else(String::new, |e| format!(", end {e}"));
        let at = link.at_pixel.map_or_else(String::new, |n| format!(", at pixel {n}"));
        lines.push(ConnectLine {
            link: link.code.clone(),
            port: format!("{from}{port}"),
            to: format!("{}{end}{at}", pl.name),
            lead: lead_words(outlook, facts, link),
            check: tag_check(outlook, facts, link, pl),
        });
    }
    lines
}

fn lead_words(outlook: &Outlook, facts: &Facts, link: &Link) -> String {
    let units = outlook.units();
    let mut words: Vec<String> = Vec::new();
    if let Some(lead) = link.lead_id.and_then(|l| facts.piece(l)) {
        words.push(lead.code.clone());
    }
    words.extend(link.length_mm.map(|l| l.show(units)));
    words.extend(link.wire.map(crate::units::Gauge::show));
    if !link.colour.is_empty() {
        words.push(link.colour.clone());
    }
    if words.is_empty() { "lead not told".to_owned() } else { words.join(", ") }
}

/// What the tag says against what the prop takes; not known where either was not told.
fn tag_check(outlook: &Outlook, facts: &Facts, link: &Link, pl: &Placement) -> String {
    let prop = facts.product_of(pl).and_then(|p| p.volts_mv);
    let lead = link.lead_id.and_then(|l| facts.piece(l));
    let tag = lead.and_then(|l| l.tag_mv);
    let units = outlook.units();
    match (prop, tag) {
        (Some(p), Some(t)) if p != t => {
            format!("STOP: tag says {}, the prop takes {}: do not plug", t.show(units), p.show(units))
        }
        (Some(p), Some(_)) => format!("tag {}, as the prop", p.show(units)),
        (Some(p), None) => format!("prop takes {}; tag not told", p.show(units)),
        _ => "voltage not told".to_owned(),
    }
}
