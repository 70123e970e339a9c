//! The currents to expect at the load part of the rehearsal.

use std::collections::BTreeMap;

use super::mains::{POWER_FACTOR, piece_watts};
use super::{WhatIf, feeds::rating};
use crate::app::owner::App;
use crate::domain::{LimitIn, LinkKind, PieceId, Season};
use crate::steps::Facts;

/// What the key of the load part says.
pub(in crate::app) const LOAD_STEP: &str = "/rehearsal_load/";

/// One line on the level and where its limit sits, then one a box.
pub(in crate::app) fn notes(app: &App, facts: &Facts, season: &Season) -> Vec<String> {
    let site = app.yard().sites.first();
    let mut lines = vec![match site.and_then(|s| s.level_limit_pct).map(crate::units::Percent::get) {
        None => "level limit not told: begin low, raise it slowly, watch the currents".to_owned(),
        Some(level) => match site.and_then(|s| s.level_limit_in) {
            Some(LimitIn::Hardware) => format!("white at level {level} %; the limit is set in hardware"),
            Some(LimitIn::Software) => format!(
                "white at level {level} %; this limit is only a setting: look at it before the first white, \
                 nothing else holds it back"
            ),
            None => format!(
                "white at level {level} %; whether hardware holds it is not known: take it as a setting only"
            ),
        },
    }];
    let study = app.study(facts, season, WhatIf::default());
    let supplies = study.supplies();
    if let Err(why) = &study.at_level {
        lines.push(format!("currents to expect not known: {why}"));
        return lines;
    }
    let links = facts.links_in(season.id);
    let mut boxes: BTreeMap<String, (PieceId, Vec<String>)> = BTreeMap::new();
    for link in links.iter().filter(|l| l.kind == LinkKind::Dc) {
        let (Some(supply), Some(to)) = (link.from_piece_id, link.to_piece_id) else { continue };
        let (Some((amps, _)), Some(code)) = (supplies.get(&supply), facts.piece(to).map(|p| p.code.clone()))
        else {
            continue;
        };
        let name = facts.piece(supply).map_or_else(String::new, |p| p.code.clone());
        let of = rating(facts, supply)
            .map_or_else(|| "rating not known".to_owned(), |(_, r)| format!("rated {r:.0} A"));
        boxes.entry(code).or_insert((to, Vec::new())).1.push(format!("{name} {amps:.1} A ({of})"));
    }
    for (code, (piece, parts)) in boxes {
        let volts = links
            .iter()
            .find(|l| l.kind == LinkKind::Mains && l.to_piece_id == Some(piece))
            .and_then(|l| facts.yard.outlets.iter().find(|o| Some(o.id) == l.from_outlet_id))
            .and_then(|o| facts.yard.circuits.iter().find(|c| Some(c.id) == o.circuit_id))
            .and_then(|c| c.volts_mv);
        let mains = volts.map_or_else(
            || "at the outlet not known".to_owned(),
            |v| {
                format!(
                    "at the outlet {:.1} A",
                    piece_watts(facts, &links, piece, &supplies) / v.volts() / POWER_FACTOR
                )
            },
        );
        lines.push(format!("expect at {code}: {}; {mains}", parts.join(", ")));
    }
    lines.extend(study.not_told.iter().map(|l| format!("not in these figures: {l}")));
    lines
}
