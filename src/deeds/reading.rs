//! Meter readings of the load rehearsal: kept beside what was computed; one that lies too far off raises a fault.

use super::Desk;
use super::tick::{find_step, tick_row};
use super::{mistyped, next_code, refused};
use crate::answers::power::rehearsal::{Expected, LOAD_STEP, expected, reading_limit};
use crate::answers::power::study;
use crate::answers::power::words::amps;
use crate::answers::problem::Problem;
use crate::domain::{
    Fact, Fault, FaultId, MeterReading, MeterReadingId, Moment, RowChange, Season, TickKind,
};
use crate::units::Current;

/// Keeps readings, each a code and amperes as typed, with the faults they raise and, where wanted, the tick of the
/// step: one deed, taken back as one.
pub(super) fn read_meter(
    desk: &mut dyn Desk,
    key: &str,
    readings: &[(String, String)],
    done: bool,
    why: Option<&str>,
) -> Result<String, Problem> {
    let found = find_step(desk, key)?;
    if found.step.key.parts().is_none_or(|k| k.deed != LOAD_STEP) {
        return Err(refused("no-load-step", "currents are read at the load part of the rehearsal only")
            .hint("its key ends with rehearsal_load/up"));
    }
    if readings.is_empty() {
        return Err(refused("no-reading", "no reading is given").hint("SUP-01=21.8"));
    }
    let season = desk.yard().seasons.iter().find(|s| s.id == found.season).cloned();
    let season: Season = season.ok_or_else(|| refused("no-season", "the season of this step is gone"))?;
    let places = {
        let facts = desk.outlook().facts();
        let study = study(&desk.outlook(), &facts, &season, None);
        expected(&facts, &season, &study)
    };
    let (limit, _) = reading_limit(&desk.outlook());
    let now = desk.now();
    let at_ms = Moment(now.timestamp_millis());
    let mut codes: Vec<String> = desk.yard().faults.iter().map(|f| f.code.clone()).collect();
    let (mut rows, mut said): (Vec<RowChange>, Vec<String>) = (Vec::new(), Vec::new());
    for (target, typed) in readings {
        let place = places
            .iter()
            .find(|e| e.target.eq_ignore_ascii_case(target.trim()))
            .ok_or_else(|| no_place(target, &places))?;
        let read = Current::parse(typed, desk.outlook().units())
            .map_err(|e| mistyped("bad-reading", e.to_string()))?;
        if read.ma() < 0 {
            return Err(mistyped("bad-reading", format!("{typed:?} is negative"))
                .hint("turn the clamp round and give the amperes without a sign"));
        }
        let compared = place.off(read.amps(), limit);
        let want = place.amps.map_or_else(|| "nothing computed".to_owned(), amps);
        let words = format!("{} {}: {} read, {want} expected", place.target, place.at, amps(read.amps()));
        let mut fault_id = None;
        let mut more = String::new();
        if compared == Some(true) {
            let code = next_code(&desk.mark(), "F", codes.iter().map(String::as_str));
            codes.push(code.clone());
            let fault = Fault {
                id: FaultId(desk.id()),
                ended_at: None,
                code: code.clone(),
                piece_id: place.piece,
                placement_id: None,
                season_id: Some(season.id),
                symptom: "current_off".to_owned(),
                at_pixel: None,
                segment: None,
                found_ms: at_ms,
                person_id: None,
                weather: String::new(),
                dark_hours: None,
                note: format!("{words}, more than {} % off", limit.get()),
            };
            fault_id = Some(fault.id);
            rows.push(fault.to_row());
            more = format!(": more than {} % off, fault {code}", limit.get());
        }
        rows.push(
            MeterReading {
                id: MeterReadingId(desk.id()),
                ended_at: None,
                step_key: found.step.key.to_string(),
                season_id: season.id,
                piece_id: place.piece,
                circuit_id: place.circuit,
                read_ma: read,
                expected_ma: place.amps.and_then(|a| Current::from_amps(a.max(0.0))),
                limit_pct: limit,
                at_ms,
                fault_id,
                note: String::new(),
            }
            .to_row(),
        );
        said.push(format!("{words}{more}"));
    }
    if done {
        rows.push(tick_row(desk, &found, TickKind::Done, None, why).to_row());
        said.push(format!("ticked: {}", found.step.title));
    }
    let what = format!("Read: {}", said.join("; "));
    desk.write("meter-read", &what, rows)?;
    Ok(what)
}

fn no_place(target: &str, places: &[Expected]) -> Problem {
    let known: Vec<&str> = places.iter().map(|e| e.target.as_str()).collect();
    let hint = if known.is_empty() {
        "no supply is told with what it feeds; tell it in link.csv".to_owned()
    } else {
        known.join(", ")
    };
    refused("no-place-to-read", format!("nothing is read at {target:?}")).hint(hint)
}
