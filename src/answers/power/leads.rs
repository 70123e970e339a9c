//! A lead that is named for a way, against what was told of the way: it must reach, and have the wire that was reckoned
//! with.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::view::{Amount, Finding, Level};
use crate::answers::words::{n_of, some};
use crate::domain::{Link, LinkKind, Piece, PieceId, Role, Season};
use crate::steps::Facts;
use crate::units::{Current, Gauge, Length, System};

/// What a tape measure and a lead's own curl may differ by (common practice, no published source).
const MEASURED: f64 = 0.99;

/// The wire of a way: told for it, else that of the lead that is named for it.
pub(crate) fn wire(facts: &Facts, link: &Link) -> Option<Gauge> {
    let lead = || facts.product(lead_of(facts, link)?.product_id)?.wire;
    link.wire.or_else(lead)
}

/// The lead that is named for a way, or that is what the way leads to: a cord that is laid by itself.
fn lead_of<'a>(facts: &Facts<'a>, link: &Link) -> Option<&'a Piece> {
    let laid = || {
        let end = facts.piece(link.to_piece_id?)?;
        facts.product(end.product_id).is_some_and(|p| p.role == Role::Lead).then_some(end)
    };
    link.lead_id.and_then(|id| facts.piece(id)).or_else(laid)
}

/// Its length: told for it, else that of its lead.
pub(crate) fn length(facts: &Facts, link: &Link) -> Option<Length> {
    let lead = || {
        let lead = lead_of(facts, link)?;
        lead.long(facts.product(lead.product_id))
    };
    link.length_mm.or_else(lead)
}

/// The smallest fuse in a way: told for it, built into the lead or its plug, or into the output that it begins at.
pub(crate) fn fuse(facts: &Facts, link: &Link) -> Option<Current> {
    let of = |piece: PieceId| facts.product(facts.piece(piece)?.product_id);
    let lead = link.lead_id.and_then(of).and_then(|p| p.fuse_ma);
    let output = link.from_piece_id.and_then(of);
    let output = output.filter(|p| matches!(p.role, Role::Box | Role::Controller | Role::Supply));
    let output = output.filter(|_| link.kind == LinkKind::Dc).and_then(|p| p.fuse_ma);
    [link.fuse_ma, lead, output].into_iter().flatten().min()
}

/// Leads that are named for two ways at once; one that carries power and data has one way.
fn twice(facts: &Facts, season: &Season, kinds: &[LinkKind]) -> Vec<Finding> {
    let mut ways: BTreeMap<PieceId, Vec<&Link>> = BTreeMap::new();
    for link in facts.links_in(season.id).into_iter().filter(|l| kinds.contains(&l.kind)) {
        let Some(lead) = link.lead_id else { continue };
        let list = ways.entry(lead).or_default();
        let way = |l: &Link| {
            (
                l.from_outlet_id,
                l.from_piece_id,
                l.from_placement_id,
                l.to_piece_id,
                l.to_placement_id,
                l.at_pixel.unwrap_or(1),
            )
        };
        if list.iter().all(|l| way(l) != way(link)) {
            list.push(link);
        }
    }
    let twice = ways.into_iter().filter(|(_, links)| links.len() > 1);
    twice
        .filter_map(|(lead, links)| {
            let lead = &facts.piece(lead)?.code;
            let names: Vec<&str> = links.iter().map(|l| l.code.as_str()).collect();
            Some(Finding::new(
                Level::Mend,
                "lead_twice",
                format!("lead {lead}"),
                format!("this lead is named for several ways: {}", names.join(", ")),
                Amount::count(1.0, "lead"),
                Amount::count(names.len() as f64, "ways"),
                "tell another lead for the others",
            ))
        })
        .collect()
}

/// The leads of some kinds that are shorter than their way, or of thinner wire than is told for it.
pub(crate) fn look(
    facts: &Facts,
    season: &Season,
    units: System,
    kinds: &[LinkKind],
    not_told: &mut Vec<String>,
) -> Vec<Finding> {
    let mut found = twice(facts, season, kinds);
    let (mut ways, mut thin, mut long_untold) = (0, BTreeSet::new(), BTreeSet::new());
    for link in facts.links_in(season.id).into_iter().filter(|l| kinds.contains(&l.kind)) {
        let Some(lead) = link.lead_id.and_then(|l| facts.piece(l)) else { continue };
        let product = facts.product(lead.product_id);
        let place = format!("{}, lead {}", link.code, lead.code);
        let long = lead.long(product);
        ways += usize::from(long.is_some() && link.length_mm.is_none());
        if long.is_none() && link.length_mm.is_some() {
            long_untold.insert(lead.code.clone());
        }
        if let Some((long, way)) = long.zip(link.length_mm)
            && long.metres() < way.metres() * MEASURED
        {
            found.push(Finding::new(
                Level::Mend,
                "lead_short",
                place.clone(),
                "this lead is shorter than its way".to_owned(),
                Amount::length(long, units),
                Amount::length(way, units),
                "take a longer lead, or measure the way again",
            ));
        }
        let wire = product.and_then(|p| p.wire);
        if wire.is_none() && link.wire.is_some() {
            thin.insert(lead.code.clone());
        }
        if let Some((has, told)) = wire.zip(link.wire)
            && has.area_mm2() < told.area_mm2() * MEASURED
        {
            found.push(Finding::new(
                Level::Mend,
                "lead_wire",
                place,
                "this lead has thinner wire than is told for its way: its load and its fuse are reckoned too kindly"
                    .to_owned(),
                Amount::figure(has.show(), "m2", has.area_mm2() * 1e-6),
                Amount::figure(told.show(), "m2", told.area_mm2() * 1e-6),
                "correct the wire of the way, or take another lead",
            ));
        }
    }
    if !thin.is_empty() {
        not_told.push(format!("wire not told for the leads {}: that told for their ways taken", some(thin)));
    }
    if !long_untold.is_empty() {
        not_told.push(format!(
            "length not told for the leads {}: that told for their ways taken, whether they reach not checked",
            some(long_untold)
        ));
    }
    if ways > 0 {
        not_told.push(format!(
            "length of the way not told for {leads}: that of the lead taken, whether it reaches not checked",
            leads = n_of(ways, "lead")
        ));
    }
    found
}
