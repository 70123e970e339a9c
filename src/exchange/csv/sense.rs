//! What contradicts the record: a scrapped piece placed again.

use std::collections::BTreeMap;

use chrono::NaiveDateTime;
use uuid::Uuid;

use super::Target;
use super::fault::CsvFault;
use super::table::Draft;
use crate::domain::{RepairDeed, Value};

/// When a piece was scrapped, and by which fault.
struct Scrapped {
    at_ms: i64,
    fault: String,
}

/// Refuses a placement of a piece in a season that is lit after the piece was scrapped.
pub(super) fn placed_again(drafts: &[Draft<'_>], target: &Target<'_>, faults: &mut Vec<CsvFault>) {
    let yard = target.existing;
    let text = |d: &Draft<'_>, column: &str| match d.cells.get(column) {
        Some(Value::Text(t)) => Some(t.clone()),
        _ => None,
    };
    let id = |d: &Draft<'_>, column: &str| text(d, column).and_then(|t| Uuid::parse_str(&t).ok());
    let int = |d: &Draft<'_>, column: &str| match d.cells.get(column) {
        Some(Value::Int(n)) => Some(*n),
        _ => None,
    };
    let of = |table: &'static str| drafts.iter().filter(move |d| d.table.name == table);
    // Existing rows first, then what the files say of them.
    let mut piece_of: BTreeMap<Uuid, (Option<Uuid>, String)> =
        yard.faults.iter().map(|f| (f.id.0, (f.piece_id.map(|p| p.0), f.code.clone()))).collect();
    piece_of.extend(of("fault").filter_map(|d| Some((d.id?, (id(d, "piece_id"), text(d, "code")?)))));
    let mut deeds: Vec<(Uuid, i64, String)> =
        yard.repair_entries.iter().map(|e| (e.fault_id.0, e.at_ms.0, e.deed.as_str().to_owned())).collect();
    deeds.extend(
        of("repair_entry").filter_map(|d| Some((id(d, "fault_id")?, int(d, "at_ms")?, text(d, "deed")?))),
    );
    let mut scrapped: BTreeMap<Uuid, Scrapped> = BTreeMap::new();
    for (fault, at_ms, deed) in deeds {
        if deed != RepairDeed::Scrapped.as_str() {
            continue;
        }
        if let Some((Some(piece), code)) = piece_of.get(&fault) {
            scrapped.insert(*piece, Scrapped { at_ms, fault: code.clone() });
        }
    }
    if scrapped.is_empty() {
        return;
    }
    let mut lit: BTreeMap<Uuid, NaiveDateTime> =
        yard.seasons.iter().filter_map(|s| Some((s.id.0, s.lights_on?))).collect();
    lit.extend(of("season").filter_map(|d| {
        Some((d.id?, NaiveDateTime::parse_from_str(&text(d, "lights_on")?, "%Y-%m-%dT%H:%M").ok()?))
    }));
    let mut season_of: BTreeMap<Uuid, Uuid> =
        yard.placements.iter().map(|p| (p.id.0, p.season_id.0)).collect();
    season_of.extend(of("placement").filter_map(|d| Some((d.id?, id(d, "season_id")?))));
    for draft in of("placement").chain(of("placement_piece")) {
        let placement = if draft.table.name == "placement" { draft.id } else { id(draft, "placement_id") };
        let Some((piece, placement)) = id(draft, "piece_id").zip(placement) else { continue };
        let Some(gone) = scrapped.get(&piece) else { continue };
        let on = season_of.get(&placement).and_then(|s| lit.get(s));
        if on.is_some_and(|t| t.and_utc().timestamp_millis() > gone.at_ms) {
            let day = chrono::DateTime::from_timestamp_millis(gone.at_ms)
                .map_or_else(String::new, |t| t.format("%-d %b %Y").to_string());
            let what = format!("this piece was scrapped on {day} ({})", gone.fault);
            let remedy = "place another piece, or open that fault again first";
            faults
                .push(CsvFault::new("scrapped-piece", draft.file, draft.line, what, remedy).at("piece", ""));
        }
    }
}
