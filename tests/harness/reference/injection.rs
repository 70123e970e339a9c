//! KIND injection: as few added feeds as the file, and an own lowest pixel at or above the limit.

use ladderday::calc::electrical::feed_points::{Input, best_feeds, feed_points, lowest_voltage};
use ladderday::units::si::{Amps, Metres, OhmsPerMetre, OutOfRange, Volts};
use serde::Deserialize;
use serde_json::Value;

use super::compare::{Differences, Tolerance, each_case};

/// Feeds that the file tries at most.
const MOST_ADDED: u32 = 3;
const NEAR: Tolerance = Tolerance::absolute(1e-6);

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Case {
    #[serde(rename = "id")]
    _id: String,
    #[serde(default, rename = "title")]
    _title: Value,
    #[serde(default, rename = "notes")]
    _notes: Value,
    pixels: u32,
    pitch_m: f64,
    string: Wire,
    volts: f64,
    amps: f64,
    base_m: f64,
    feeder: Wire,
    limit_v: f64,
    expected: Expected,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Wire {
    #[serde(default, rename = "label")]
    _label: Value,
    ohm_per_m: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Expected {
    #[serde(default)]
    by_count: Vec<Count>,
    fewest_added: Value,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Count {
    added: u32,
    best_min_v: f64,
    #[serde(default)]
    best: Vec<Vec<u32>>,
}

pub fn check(text: &str) -> Vec<String> {
    each_case(text, one)
}

fn input(case: &Case) -> Result<Input, OutOfRange> {
    Ok(Input {
        pixels: case.pixels,
        pitch: Metres::new(case.pitch_m)?,
        rail: OhmsPerMetre::new(case.string.ohm_per_m)?,
        volts: Volts::new(case.volts)?,
        amps: Amps::new(case.amps)?,
        base: Metres::new(case.base_m)?,
        feeder: OhmsPerMetre::new(case.feeder.ohm_per_m)?,
        limit: Volts::new(case.limit_v)?,
        most_added: MOST_ADDED,
    })
}

fn one(case: &Case, differences: &mut Differences) {
    let input = match input(case) {
        Ok(input) => input,
        Err(error) => return differences.say(format_args!("not computed: {error}")),
    };
    match feed_points(input) {
        Err(error) => differences.say(format_args!("not computed: {error}")),
        Ok(output) => {
            let fewest = output.plan.as_ref().map(|plan| plan.added.len());
            differences.same(
                "fewest_added",
                fewest.map_or(Value::Null, Value::from),
                case.expected.fewest_added.clone(),
            );
            if let Some(plan) = &output.plan {
                let lowest = lowest_voltage(input, &plan.added).unwrap_or(f64::NEG_INFINITY);
                if lowest < case.limit_v - 1e-9 {
                    differences.say(format_args!("lowest pixel {lowest} below the limit {}", case.limit_v));
                }
            }
        }
    }
    for row in &case.expected.by_count {
        match best_feeds(input, row.added) {
            Err(error) => differences.say(format_args!("{} added not computed: {error}", row.added)),
            Ok(plan) if plan.all_tried => {
                differences.number(&format!("{} added", row.added), plan.lowest_v, row.best_min_v, NEAR);
            }
            // A search that skips plans may stay a little below the best.
            Ok(plan) if plan.lowest_v < row.best_min_v - 0.01 => {
                differences
                    .say(format_args!("{} added: {} below {}", row.added, plan.lowest_v, row.best_min_v));
            }
            Ok(_) => {}
        }
        for feeds in &row.best {
            let lowest = lowest_voltage(input, feeds).unwrap_or(f64::NEG_INFINITY);
            differences.number(&format!("feeds {feeds:?}"), lowest, row.best_min_v, NEAR);
        }
    }
}
