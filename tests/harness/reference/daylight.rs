//! Kind `daylight`: status and UTC times of a date and place, in CSV rows.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate, Utc};
use ladderday::calc::daylight::sun_times;

/// Columns of the format; the local ones repeat the UTC ones and are not compared.
const COLUMNS: &[&str] = &[
    "case_id",
    "place",
    "lat_deg",
    "lon_deg_east",
    "tz",
    "local_date",
    "sun_status",
    "sunrise_local",
    "sunset_local",
    "civil_status",
    "civil_dawn_local",
    "civil_dusk_local",
    "solar_noon_local",
    "day_length_s",
    "max_alt_deg",
    "sunrise_utc",
    "sunset_utc",
    "civil_dawn_utc",
    "civil_dusk_utc",
    "tol_s",
];

/// One line a difference; each names its case.
pub(crate) fn check(text: &str) -> Result<Vec<String>, String> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let head = reader.headers().map_err(|e| e.to_string())?.clone();
    if let Some(unknown) = head.iter().find(|c| !COLUMNS.contains(c)) {
        return Err(format!("unknown column {unknown}"));
    }
    let mut out = Vec::new();
    for row in reader.records() {
        let row = row.map_err(|e| e.to_string())?;
        let row: BTreeMap<&str, &str> = head.iter().zip(row.iter()).collect();
        let id = row.get("case_id").copied().unwrap_or_default();
        match case(&row) {
            Ok(found) => out.extend(found.into_iter().map(|d| format!("{id}: {d}"))),
            Err(why) => out.push(format!("{id}: not computed: {why}")),
        }
    }
    Ok(out)
}

fn case(row: &BTreeMap<&str, &str>) -> Result<Vec<String>, String> {
    let cell = |name: &str| row.get(name).copied().ok_or_else(|| format!("no column {name}"));
    let number = |name: &str| cell(name)?.parse::<f64>().map_err(|e| format!("{name}: {e}"));
    let zone: chrono_tz::Tz = cell("tz")?.parse().map_err(|_| "unknown zone".to_owned())?;
    let date: NaiveDate = cell("local_date")?.parse().map_err(|e| format!("local_date: {e}"))?;
    let sun =
        sun_times(number("lat_deg")?, number("lon_deg_east")?, date, &zone).map_err(|e| e.to_string())?;
    let mut out = Vec::new();
    for (name, got) in [("sun_status", sun.sun_status()), ("civil_status", sun.civil_status())] {
        let want = cell(name)?;
        if got != want {
            out.push(format!("{name} {got}, expected {want}"));
        }
    }
    let tolerance = number("tol_s")?;
    for (name, got) in [
        ("sunrise_utc", sun.sunrise()),
        ("sunset_utc", sun.sunset()),
        ("civil_dawn_utc", sun.dawn()),
        ("civil_dusk_utc", sun.dusk()),
    ] {
        let want = match cell(name)? {
            "" => None,
            text => Some(text.parse::<DateTime<Utc>>().map_err(|e| format!("{name}: {e}"))?),
        };
        let same = match (got, want) {
            (None, None) => true,
            (Some(got), Some(want)) => (got - want).num_milliseconds().abs() as f64 <= tolerance * 1000.0,
            _ => false,
        };
        if !same {
            out.push(format!("{name} {got:?}, expected {want:?}, tolerance {tolerance} s"));
        }
    }
    Ok(out)
}
