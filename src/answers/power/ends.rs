//! Ends that must not be plugged together: voltages that differ, plugs that don't mate, a string fed from its out end.

use crate::answers::Outlook;
use crate::answers::power::wiring::{bus_of, set_point};
use crate::answers::view::{Finding, Level};
use crate::domain::{Direction, Link, LinkKind, Placement, ProductEnd, Season};
use crate::steps::Facts;

/// How far a supply may be set off its nominal voltage (common practice, no published source).
const SET_POINT: f64 = 0.1;
const LIVE: &str = "Supply off before any plug is made or parted; a plug made up live takes the first pixel and the port with it.";

pub(crate) fn look(outlook: &Outlook, facts: &Facts, season: &Season) -> Vec<Finding> {
    let mut found = Vec::new();
    for link in facts.links_in(season.id) {
        if !matches!(link.kind, LinkKind::Dc | LinkKind::Data) {
            continue;
        }
        let Some(prop) = link.to_placement_id.and_then(|p| facts.placement(p)) else { continue };
        found.extend(tag(outlook, facts, link, prop));
        found.extend(supply(outlook, facts, season, link, prop));
        found.extend(plug(facts, link, prop));
        found.extend(fed_from_out(facts, link, prop));
    }
    found
}

fn finding(
    level: Level,
    code: &str,
    place: String,
    what: String,
    value: String,
    limit: String,
    remedy: &str,
) -> Finding {
    Finding { caution: Some(LIVE.to_owned()), ..Finding::new(level, code, place, what, value, limit, remedy) }
}

/// The tag of the lead against what the prop takes.
fn tag(outlook: &Outlook, facts: &Facts, link: &Link, prop: &Placement) -> Vec<Finding> {
    let units = outlook.units();
    let Some(takes) = facts.product_of(prop).and_then(|p| p.volts_mv) else { return Vec::new() };
    let mut found = Vec::new();
    let lead = link.lead_id.and_then(|l| facts.piece(l));
    if let Some((lead, tag)) = lead.and_then(|l| l.tag_mv.map(|t| (l, t)))
        && tag != takes
    {
        found.push(finding(
            Level::Stop,
            "tag_voltage",
            format!("{} ({})", prop.name, prop.code),
            format!("lead {} has another voltage on its tag than the prop takes", lead.code),
            tag.show(units),
            takes.show(units),
            "swap the lead, or meter it and correct its tag",
        ));
    }
    found
}

/// The supply behind the port against what the prop takes.
fn supply(
    outlook: &Outlook,
    facts: &Facts,
    season: &Season,
    link: &Link,
    prop: &Placement,
) -> Option<Finding> {
    let takes = facts.product_of(prop)?.volts_mv?;
    let piece = link.from_piece_id.filter(|_| link.kind == LinkKind::Dc)?;
    let bus = bus_of(link.from_port.as_deref()?);
    let feeders = facts.links_in(season.id).into_iter().filter(|l| {
        l.kind == LinkKind::Dc
            && l.to_piece_id == Some(piece)
            && l.to_end.as_deref().unwrap_or_default().eq_ignore_ascii_case(&bus)
    });
    let (code, gives) = feeders.filter_map(|l| facts.piece(l.from_piece_id?)).find_map(|p| {
        let gives = set_point(p, facts.product(p.product_id)?)?;
        let off = (gives.volts() - takes.volts()).abs();
        (off > takes.volts() * SET_POINT).then(|| (p.code.clone(), gives))
    })?;
    let units = outlook.units();
    Some(finding(
        Level::Stop,
        "supply_voltage",
        format!("{} ({})", prop.name, prop.code),
        format!("supply {code} behind its port gives another voltage than the prop takes"),
        gives.show(units),
        takes.show(units),
        "plug it into a port of its own voltage",
    ))
}

/// The families of the lead's end and the prop's end.
fn plug(facts: &Facts, link: &Link, prop: &Placement) -> Option<Finding> {
    let lead = link.lead_id.and_then(|l| facts.piece(l))?;
    let product = facts.product_of(prop)?;
    let ends: Vec<&ProductEnd> =
        facts.yard.product_ends.iter().filter(|e| e.product_id == product.id).collect();
    let wanted = match link.to_end.as_deref() {
        Some(name) => ends.iter().find(|e| e.end_name.eq_ignore_ascii_case(name)).or(ends.first()),
        None => ends.iter().find(|e| e.direction == Direction::In).or(ends.first()),
    }?;
    let takes = wanted.plug_family.as_deref()?;
    let own = facts.yard.product_ends.iter().filter(|e| e.product_id == lead.product_id);
    let far = own.clone().find(|e| e.direction == Direction::Out).or_else(|| own.clone().next_back());
    let has = lead.out_plug.as_deref().or_else(|| far.and_then(|e| e.plug_family.as_deref()))?;
    (has != takes).then(|| {
        finding(
            Level::Stop,
            "plug_family",
            format!("{} ({})", prop.name, prop.code),
            format!(
                "the plug of lead {} does not mate with the prop's end \"{}\"",
                lead.code, wanted.end_name
            ),
            has.to_owned(),
            takes.to_owned(),
            "take another lead or an adaptor; never force or re-pin it in the yard",
        )
    })
}

/// Data enters a string at its in end only.
fn fed_from_out(facts: &Facts, link: &Link, prop: &Placement) -> Option<Finding> {
    if link.kind != LinkKind::Data {
        return None;
    }
    let product = facts.product_of(prop)?;
    let name = link.to_end.as_deref()?;
    let end = facts
        .yard
        .product_ends
        .iter()
        .find(|e| e.product_id == product.id && e.end_name.eq_ignore_ascii_case(name))?;
    (end.direction == Direction::Out).then(|| {
        finding(
            Level::Stop,
            "data_into_out_end",
            format!("{} ({})", prop.name, prop.code),
            format!("data lead {} goes into the out end", link.code),
            name.to_owned(),
            "in end".to_owned(),
            "turn the string, or plug into its other end",
        )
    })
}
