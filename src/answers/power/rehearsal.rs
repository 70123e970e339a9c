//! The load part of the rehearsal: the currents to expect, and what the meter showed.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::Outlook;
use crate::answers::power::feeds::rating;
use crate::answers::power::load::{Drawn, Mains, Thing};
use crate::answers::power::mains::circuit_load;
use crate::answers::power::study;
use crate::answers::power::study::Study;
use crate::answers::power::words::amps;
use crate::answers::view::ReadingLine;
use crate::domain::{CircuitId, LimitIn, LinkKind, MeterReading, PieceId, Season};
use crate::steps::Facts;
use crate::units::{Percent, figure};

/// How far a reading may lie off where the owner told none (common practice, no published source).
const READING_LIMIT: i64 = 20;
/// A difference below this is the meter's (common practice, no published source).
const METER_A: f64 = 0.2;

/// Where a meter is put, and what it should show.
#[derive(Debug, Clone, PartialEq)]
pub struct Expected {
    /// Code of the supply, box or circuit.
    pub(crate) target: String,
    /// "in BOX-MAST", "at its plug", "the whole circuit".
    pub(crate) at: String,
    pub(crate) piece: Option<PieceId>,
    pub(crate) circuit: Option<CircuitId>,
    /// Nothing where it is not known.
    pub(crate) amps: Option<f64>,
    /// What it carries at most, in words.
    pub(crate) of: String,
    /// On the mains side the power factor is assumed on the high side: a lower reading is no fault.
    pub(crate) only_above: bool,
}

impl Expected {
    /// Whether a reading lies further off than the limit allows; nothing where nothing is known to compare with.
    pub(crate) fn off(&self, read: f64, limit: Percent) -> Option<bool> {
        let expected = self.amps?;
        let far = (read - expected).abs() > (expected * limit.fraction()).max(METER_A);
        Some(far && (read > expected || !self.only_above))
    }
}

/// How far a reading may lie off, and whether that is assumed.
pub(crate) fn reading_limit(outlook: &Outlook) -> (Percent, bool) {
    let told = outlook.yard.sites.first().and_then(|s| s.reading_limit_pct);
    (told.or(Percent::new(READING_LIMIT)).unwrap_or_default(), told.is_none())
}

/// Box by box its supplies, then its plug; then the circuits.
pub(crate) fn expected(facts: &Facts, season: &Season, study: &Study) -> Vec<Expected> {
    let links = facts.links_in(season.id);
    let supplies = study.supplies();
    let solved = study.at_level.is_ok();
    let mut boxes: BTreeMap<String, (PieceId, BTreeSet<(String, PieceId)>)> = BTreeMap::new();
    for link in &links {
        let Some((id, code)) = link.to_piece_id.and_then(|p| facts.piece(p)).map(|p| (p.id, p.code.clone()))
        else {
            continue;
        };
        let supply = link.from_piece_id.filter(|p| link.kind == LinkKind::Dc && supplies.contains_key(p));
        if let Some(supply) = supply.and_then(|p| facts.piece(p)) {
            boxes.entry(code).or_insert((id, BTreeSet::new())).1.insert((supply.code.clone(), supply.id));
        }
    }
    let mains = Mains::of(facts, season, study);
    let known = |drawn: &Drawn| drawn.unknown.is_empty();
    let mut all = Vec::new();
    for (code, (piece, inside)) in &boxes {
        for (name, supply) in inside {
            // What also feeds something whose load is not reckoned gives more than is reckoned.
            let whole = solved && !study.left_out.contains_key(supply);
            let load = supplies.get(supply).map(|(a, _)| *a).filter(|_| whole);
            let of = rating(facts, *supply)
                .map_or_else(|| "rating not known".to_owned(), |(_, r)| format!("rated {} A", figure(r, 0)));
            all.push(Expected {
                target: name.clone(),
                at: format!("in {code}"),
                piece: Some(*supply),
                circuit: None,
                amps: load,
                of,
                only_above: false,
            });
        }
        let cord = mains.cords().find(|c| mains.ends(c).contains(&Thing::Piece(*piece)));
        let volts = cord
            .and_then(|c| mains.outlet(c))
            .and_then(|id| facts.yard.outlets.iter().find(|o| o.id == id))
            .and_then(|o| facts.yard.circuits.iter().find(|c| Some(c.id) == o.circuit_id))
            .and_then(|c| c.volts_mv)
            .map(crate::units::Voltage::volts)
            .filter(|v| *v > 0.0 && solved);
        all.push(Expected {
            target: code.clone(),
            at: "at its plug".to_owned(),
            piece: Some(*piece),
            circuit: None,
            amps: volts.zip(cord.map(|c| mains.on_cord(c)).filter(known)).map(|(v, drawn)| drawn.va / v),
            of: "at most, by power factor".to_owned(),
            only_above: true,
        });
    }
    for circuit in &facts.yard.circuits {
        if mains.of_circuit(circuit.id).is_empty() {
            continue;
        }
        let drawn = mains.on_circuit(circuit.id);
        let answer = circuit_load(circuit, drawn.va);
        all.push(Expected {
            target: circuit.code.clone(),
            at: "the whole circuit".to_owned(),
            piece: None,
            circuit: Some(circuit.id),
            amps: answer.as_ref().filter(|_| solved && known(&drawn)).map(|a| a.amps),
            of: answer
                .map_or_else(|| "rating not known".to_owned(), |a| format!("carries {}", amps(a.limit_a))),
            only_above: true,
        });
    }
    all
}

/// Where the meter goes, what it should show, and what it showed last.
pub(crate) fn lines(outlook: &Outlook, facts: &Facts, season: &Season, step: &str) -> Vec<ReadingLine> {
    let study = study(outlook, facts, season, None);
    let last = |e: &Expected| -> Option<&MeterReading> {
        let mine = |r: &&MeterReading| {
            r.step_key == step
                && r.season_id == season.id
                && r.piece_id == e.piece
                && r.circuit_id == e.circuit
        };
        facts.yard.meter_readings.iter().filter(mine).max_by_key(|r| (r.at_ms.0, r.id))
    };
    expected(facts, season, &study)
        .iter()
        .map(|e| {
            let read = last(e);
            ReadingLine {
                target: e.target.clone(),
                at: e.at.clone(),
                expected: e.amps.map_or_else(|| "not known".to_owned(), amps),
                of: e.of.clone(),
                read: read.map(|r| amps(r.read_ma.amps())),
                fault: read
                    .and_then(|r| r.fault_id)
                    .and_then(|id| facts.yard.faults.iter().find(|f| f.id == id))
                    .map(|f| f.code.clone()),
            }
        })
        .collect()
}

/// What the key of the load part says.
pub(crate) const LOAD_STEP: &str = "rehearsal_load";

/// On the level and where its limit sits, how far a reading may lie off, and what the figures leave out.
pub(crate) fn notes(outlook: &Outlook, facts: &Facts, season: &Season) -> Vec<String> {
    let site = outlook.yard.sites.first();
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
    let (limit, assumed) = reading_limit(outlook);
    lines.push(format!(
        "a reading more than {} % off is a fault{}",
        limit.get(),
        if assumed { " (assumed; tell your own as reading_limit_pct)" } else { "" }
    ));
    let study = study(outlook, facts, season, None);
    if let Err(why) = &study.at_level {
        lines.push(format!("currents to expect not known: {}", why.why));
    }
    lines.extend(study.not_told.iter().map(|l| format!("not in these figures: {l}")));
    lines
}
