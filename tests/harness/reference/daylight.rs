//! Kind `daylight`: status and UTC times of a date and place, in CSV rows.

use std::collections::BTreeMap;

use super::compare::Differences;
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

pub fn check(text: &str) -> Vec<String> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let head = match reader.headers() {
        Ok(head) => head.clone(),
        Err(error) => return vec![format!("file: {error}")],
    };
    if let Some(unknown) = head.iter().find(|c| !COLUMNS.contains(c)) {
        return vec![format!("file: unknown column {unknown}")];
    }
    let mut lines = Vec::new();
    for row in reader.records() {
        match row {
            Ok(row) => lines.extend(one(&head.iter().zip(row.iter()).collect())),
            Err(error) => lines.push(format!("file: {error}")),
        }
    }
    lines
}

fn one(row: &BTreeMap<&str, &str>) -> Vec<String> {
    let mut differences = Differences::new(row.get("case_id").copied().unwrap_or("case without id"));
    if let Err(why) = compare(row, &mut differences) {
        differences.say(format_args!("not computed: {why}"));
    }
    differences.done()
}

fn compare(row: &BTreeMap<&str, &str>, differences: &mut Differences) -> Result<(), String> {
    let cell = |name: &str| row.get(name).copied().ok_or_else(|| format!("no column {name}"));
    let number = |name: &str| cell(name)?.parse::<f64>().map_err(|e| format!("{name}: {e}"));
    let zone: chrono_tz::Tz = cell("tz")?.parse().map_err(|_| "unknown zone".to_owned())?;
    let date: NaiveDate = cell("local_date")?.parse().map_err(|e| format!("local_date: {e}"))?;
    let sun =
        sun_times(number("lat_deg")?, number("lon_deg_east")?, date, &zone).map_err(|e| e.to_string())?;
    for (name, got) in [("sun_status", sun.sun_status()), ("civil_status", sun.civil_status())] {
        differences.same(name, got, cell(name)?);
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
            differences.say(format_args!("{name} computed {got:?}, file {want:?}, tolerance {tolerance} s"));
        }
    }
    Ok(())
}
