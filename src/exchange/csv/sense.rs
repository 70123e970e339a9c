//! What makes no sense together: cells of a row, rings of parents, a scrapped piece placed again.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDateTime;
use uuid::Uuid;

use super::code::{self, Codes};
use super::fault::CsvFault;
use super::table::Draft;
use super::{Target, clean::clean, cycle};
use crate::domain::limit::{AIR_MC, GUST_MMS, LONGEST_SESSION_H, bad_season_code};
use crate::domain::{RepairDeed, Value};

/// What the cells of a row must be to each other, and rows to their parents.
pub(super) fn check(drafts: &[Draft<'_>], target: &Target<'_>, codes: &Codes, faults: &mut Vec<CsvFault>) {
    for draft in drafts {
        let of = |column: &str| draft.cells.get(column).filter(|v| **v != Value::Null);
        for column in ["name", "code", "title"] {
            let Some(Value::Text(text)) = of(column) else { continue };
            if !text.is_empty() && clean(text).trim().is_empty() {
                let what = format!("nothing of this {column} shows");
                let fault =
                    CsvFault::new("nothing-shows", draft.file, draft.line, what, "write it in letters");
                faults.push(fault.at(column, ""));
            }
        }
        match draft.table.name {
            "fall_line" if of("upper_place_id").is_some() && of("upper_place_id") == of("lower_place_id") => {
                let what = "a place does not lie below itself";
                faults.push(CsvFault::new("above-itself", draft.file, draft.line, what, "name two places"));
            }
            "session" => {
                if let (Some(Value::Text(starts)), Some(Value::Text(ends))) = (of("starts"), of("ends"))
                    && ends <= starts
                {
                    let what = format!("the session ends before it starts ({starts})");
                    let fault = CsvFault::new(
                        "ends-before-start",
                        draft.file,
                        draft.line,
                        what,
                        "correct one of them",
                    );
                    faults.push(fault.at("ends", ends));
                } else if let Some(what) = too_long(&of) {
                    let remedy = "a session is one stretch of work: write one for each day";
                    faults.push(CsvFault::new("session-too-long", draft.file, draft.line, what, remedy));
                }
                weather(draft, &of, faults);
            }
            "night" => weather(draft, &of, faults),
            "season" => {
                if let Some(Value::Text(code)) = of("code")
                    && let Some(why) = bad_season_code(code)
                {
                    let what = format!("a season's code that {why}");
                    let fault =
                        CsvFault::new("bad-code", draft.file, draft.line, what, "write it like lights-2026");
                    faults.push(fault.at("code", code));
                }
                if let (Some(Value::Text(on)), Some(Value::Text(off))) = (of("lights_on"), of("lights_off"))
                    && on.get(..10).is_some_and(|on| off.as_str() < on)
                {
                    let what = format!("the last night is before the lights go on ({on})");
                    let remedy = "correct one of them; look at the year";
                    let fault = CsvFault::new("ends-before-start", draft.file, draft.line, what, remedy);
                    faults.push(fault.at("lights_off", off));
                }
            }
            "offer" => offer_faults(draft, &of, faults),
            _ => {}
        }
    }
    placed_again(drafts, target, faults);
    fault_facts(drafts, target, faults);
    let existing = target.existing.rows();
    for (table, column, words) in cycle::PARENTS {
        let mut parents: BTreeMap<Uuid, Uuid> = BTreeMap::new();
        let mut lines: BTreeMap<Uuid, &Draft<'_>> = BTreeMap::new();
        let parent = |value: &Value| match value {
            Value::Text(id) => Uuid::parse_str(id).ok(),
            _ => None,
        };
        for row in existing.iter().filter(|r| r.table == *table) {
            if let Some(up) = parent(&code::cell(row, column)) {
                parents.insert(row.id, up);
            }
        }
        for draft in drafts.iter().filter(|d| d.table.name == *table) {
            let (Some(id), Some(value)) = (draft.id, draft.cells.get(column)) else { continue };
            lines.insert(id, draft);
            match parent(value) {
                Some(up) => parents.insert(id, up),
                None => parents.remove(&id),
            };
        }
        for ring in cycle::rings(&parents) {
            let Some(draft) = ring.iter().find_map(|id| lines.get(id)) else { continue };
            let Some(table) = code::table_name(table) else { continue };
            let names: Vec<_> =
                ring.iter().chain(ring.first()).map(|id| codes.name(table, *id).unwrap_or("?")).collect();
            let what = names.join(&format!(" {words} "));
            let title = column.strip_suffix("_id").unwrap_or(column);
            let value =
                draft.id.and_then(|id| parents.get(&id)).and_then(|up| codes.name(table, *up)).unwrap_or("");
            let fault = CsvFault::new("ring", draft.file, draft.line, what, "break the ring at one of them");
            faults.push(fault.at(title, value));
        }
    }
}

fn too_long<'a>(of: &impl Fn(&str) -> Option<&'a Value>) -> Option<String> {
    let at = |column| match of(column) {
        Some(Value::Text(t)) => NaiveDateTime::parse_from_str(t, "%Y-%m-%dT%H:%M").ok(),
        _ => None,
    };
    let hours = (at("ends")? - at("starts")?).num_hours();
    (hours > LONGEST_SESSION_H).then(|| format!("the session lasts {hours} h, at most {LONGEST_SESSION_H} h"))
}

/// Refuses gusts and temperatures that are no weather.
fn weather<'a>(draft: &Draft<'_>, of: &impl Fn(&str) -> Option<&'a Value>, faults: &mut Vec<CsvFault>) {
    for (column, (least, most), what, remedy) in [
        ("gust_mms", GUST_MMS, "a gust stronger than any storm", "at most 90 m/s, 200 mph; look at the unit"),
        (
            "low_mc",
            AIR_MC,
            "a lowest temperature that is no weather",
            "-60 to 50 °C, -76 to 122 °F; look at the unit",
        ),
    ] {
        if let Some(Value::Int(n)) = of(column)
            && !(least..=most).contains(n)
        {
            let fault = CsvFault::new("no-weather", draft.file, draft.line, what, remedy);
            faults.push(fault.at(column, &n.to_string()));
        }
    }
}

/// A sale window runs forward, and the most packs are not below the fewest.
fn offer_faults<'a>(draft: &Draft<'_>, of: &impl Fn(&str) -> Option<&'a Value>, faults: &mut Vec<CsvFault>) {
    if let (Some(Value::Text(from)), Some(Value::Text(to))) = (of("sale_from"), of("sale_to"))
        && to < from
    {
        let what = format!("the sale ends before it begins ({from})");
        let fault = CsvFault::new("ends-before-start", draft.file, draft.line, what, "correct one of them");
        faults.push(fault.at("sale_to", to));
    }
    if let (Some(Value::Int(least)), Some(Value::Int(most))) = (of("min_packs"), of("max_packs"))
        && most < least
    {
        let what = format!("at most {most} packs, but at least {least}");
        let fault = CsvFault::new("most-below-fewest", draft.file, draft.line, what, "correct one of them");
        faults.push(fault.at("max_packs", &most.to_string()));
    }
}

/// Refuses a repair before its fault was found, and a pixel beyond the prop.
fn fault_facts(drafts: &[Draft<'_>], target: &Target<'_>, faults: &mut Vec<CsvFault>) {
    let yard = target.existing;
    let id = |d: &Draft<'_>, column: &str| match d.cells.get(column) {
        Some(Value::Text(t)) => Uuid::parse_str(t).ok(),
        _ => None,
    };
    let int = |d: &Draft<'_>, column: &str| match d.cells.get(column) {
        Some(Value::Int(n)) => Some(*n),
        _ => None,
    };
    let of = |table: &'static str| drafts.iter().filter(move |d| d.table.name == table);
    let mut found: BTreeMap<Uuid, i64> = yard.faults.iter().map(|f| (f.id.0, f.found_ms.0)).collect();
    found.extend(of("fault").filter_map(|d| Some((d.id?, int(d, "found_ms")?))));
    for d in of("repair_entry") {
        let Some((at, since)) = int(d, "at_ms").zip(id(d, "fault_id").and_then(|f| found.get(&f))) else {
            continue;
        };
        if at < *since {
            let day = chrono::DateTime::from_timestamp_millis(*since)
                .map_or_else(String::new, |t| t.format("%-d %b %Y %H:%M UTC").to_string());
            let what = format!("this repair is before its fault was found ({day})");
            let remedy = "correct the time of one of them";
            faults.push(CsvFault::new("repair-before-fault", d.file, d.line, what, remedy).at("at", ""));
        }
    }
    let mut pixels: BTreeMap<Uuid, i64> =
        yard.products.iter().filter_map(|p| Some((p.id.0, p.pixels?))).collect();
    pixels.extend(of("product").filter_map(|d| Some((d.id?, int(d, "pixels")?))));
    let mut product_of: BTreeMap<Uuid, Uuid> = yard.pieces.iter().map(|p| (p.id.0, p.product_id.0)).collect();
    product_of.extend(yard.placements.iter().filter_map(|p| Some((p.id.0, p.product_id?.0))));
    product_of.extend(
        drafts
            .iter()
            .filter(|d| matches!(d.table.name, "piece" | "placement"))
            .filter_map(|d| Some((d.id?, id(d, "product_id")?))),
    );
    for d in of("fault") {
        let thing = id(d, "piece_id").or_else(|| id(d, "placement_id"));
        let most = thing.and_then(|t| product_of.get(&t)).and_then(|p| pixels.get(p));
        let Some((pixel, most)) = int(d, "at_pixel").zip(most) else { continue };
        if pixel > *most {
            let what = format!("pixel {pixel} is beyond the prop, which has {most}");
            let fault = CsvFault::new("bad-pixel", d.file, d.line, what, format!("1 to {most}"));
            faults.push(fault.at("at_pixel", &pixel.to_string()));
        }
    }
}

/// When a piece was scrapped, and by which fault.
struct Scrapped {
    at_ms: i64,
    fault: String,
}

/// Refuses to place a piece that the yard knows as scrapped in a season that is lit after that. Where the files bring
/// both, or the piece was placed before, it is what happened: a yard that was written out is read back as it was.
fn placed_again(drafts: &[Draft<'_>], target: &Target<'_>, faults: &mut Vec<CsvFault>) {
    let yard = target.existing;
    let text = |d: &Draft<'_>, column: &str| match d.cells.get(column) {
        Some(Value::Text(t)) => Some(t.clone()),
        _ => None,
    };
    let id = |d: &Draft<'_>, column: &str| text(d, column).and_then(|t| Uuid::parse_str(&t).ok());
    let of = |table: &'static str| drafts.iter().filter(move |d| d.table.name == table);
    // Existing rows first, then what the files say of them.
    let mut piece_of: BTreeMap<Uuid, (Option<Uuid>, String)> =
        yard.faults.iter().map(|f| (f.id.0, (f.piece_id.map(|p| p.0), f.code.clone()))).collect();
    piece_of.extend(of("fault").filter_map(|d| Some((d.id?, (id(d, "piece_id"), text(d, "code")?)))));
    let deeds = yard.repair_entries.iter().map(|e| (e.fault_id.0, e.at_ms.0, e.deed.as_str().to_owned()));
    let placed: BTreeSet<(Uuid, Uuid)> = (yard.placements.iter())
        .filter_map(|p| Some((p.id.0, p.piece_id?.0)))
        .chain(yard.placement_pieces.iter().map(|p| (p.placement_id.0, p.piece_id.0)))
        .collect();
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
        let Some(gone) = scrapped.get(&piece).filter(|_| !placed.contains(&(placement, piece))) else {
            continue;
        };
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
