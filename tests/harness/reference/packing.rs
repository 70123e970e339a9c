//! Kind `packing`: the fewest totes, what is too long, what fits no tote.

use std::collections::BTreeSet;

use ladderday::packing::{Item, Proof, Rules, Tote, pack};
use ladderday::units::{Length, Mass, Percent, Volume};
use serde::Deserialize;
use serde_json::Value;

use super::compare::{Differences, row};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[serde(default, rename = "note")]
    _note: String,
    cases: Vec<Value>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    input: Input,
    expect: Option<Expect>,
    #[serde(default, rename = "note")]
    _note: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Input {
    #[serde(rename = "id")]
    _id: String,
    #[serde(default, rename = "title")]
    _title: String,
    tote: ToteRow,
    mix_locations: bool,
    #[serde(default)]
    keep_apart: Vec<(String, String)>,
    items: Vec<ItemRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ToteRow {
    volume_ml: i64,
    fill_pct: i64,
    tare_g: i64,
    max_gross_g: i64,
    inner_longest_cm: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ItemRow {
    id: String,
    location: String,
    volume_ml: i64,
    weight_g: i64,
    class: Option<String>,
    keep_with: Option<String>,
    dims_cm: Option<Vec<f64>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Expect {
    totes: Option<usize>,
    #[serde(default)]
    too_long: Option<BTreeSet<String>>,
    error: Option<String>,
    units: Option<Vec<UnitRow>>,
    /// The packing itself may differ.
    #[serde(default, rename = "simple_lower_bound")]
    _simple_lower_bound: Value,
    #[serde(default, rename = "example_packing")]
    _example_packing: Value,
}

/// A unit by its group's or item's name, or by its items.
#[derive(Deserialize)]
#[serde(untagged)]
enum UnitRow {
    Name(String),
    Items(Vec<String>),
}

pub fn check(text: &str) -> Vec<String> {
    let file: File = match serde_json::from_str(text) {
        Ok(file) => file,
        Err(error) => return vec![format!("file: {error}")],
    };
    if file.cases.is_empty() {
        return vec!["file: no cases".to_owned()];
    }
    file.cases
        .into_iter()
        .flat_map(|case| {
            let id =
                case.pointer("/input/id").and_then(Value::as_str).unwrap_or("case without id").to_owned();
            row(&id, case, one)
        })
        .collect()
}

fn one(case: &Case, d: &mut Differences) {
    let (rules, items) = match read(&case.input) {
        Ok(read) => read,
        Err(why) => return d.say(why),
    };
    let got = match pack(&rules, &items) {
        Ok(got) => got,
        Err(error) if case.expect.is_none() => return drop(error),
        Err(error) => return d.say(format_args!("not computed: {error} ({})", error.code())),
    };
    let ids = |of: &[usize]| -> BTreeSet<&str> { of.iter().map(|&i| items[i].id.as_str()).collect() };
    let Some(expect) = &case.expect else {
        return d.same("units that fit no tote", got.oversize.is_empty(), false);
    };
    if let Some(want) = &expect.too_long {
        d.same("too_long", ids(&got.too_long), want.iter().map(String::as_str).collect());
    }
    let error = (!got.oversize.is_empty()).then_some("oversize");
    d.same("error", error, expect.error.as_deref());
    if error.is_none() {
        d.same("totes", Some(got.totes.len()), expect.totes);
        d.same("proof", got.proof, Proof::Proven);
    } else if let Some(units) = &expect.units {
        let long = ids(&got.too_long);
        let oversize: BTreeSet<BTreeSet<&str>> = got.oversize.iter().map(|u| ids(u)).collect();
        let want = units.iter().map(|u| members(u, &items).difference(&long).copied().collect());
        d.same("units", oversize, want.collect());
    }
}

/// The items of a unit named in the file.
fn members<'a>(unit: &'a UnitRow, items: &'a [Item]) -> BTreeSet<&'a str> {
    match unit {
        UnitRow::Items(ids) => ids.iter().map(String::as_str).collect(),
        UnitRow::Name(name) => {
            let group: BTreeSet<&str> =
                items.iter().filter(|i| i.keep_with.as_ref() == Some(name)).map(|i| i.id.as_str()).collect();
            if group.is_empty() { BTreeSet::from([name.as_str()]) } else { group }
        }
    }
}

fn read(input: &Input) -> Result<(Rules, Vec<Item>), String> {
    let cm = |cm: f64| Length::from_metres(cm / 100.0).ok_or_else(|| format!("no length: {cm} cm"));
    let mut items = Vec::new();
    for i in &input.items {
        let longest =
            i.dims_cm.as_ref().map(|d| d.iter().copied().fold(0.0, f64::max)).map(cm).transpose()?;
        items.push(Item {
            id: i.id.clone(),
            place: i.location.clone(),
            volume: Volume::from_ml(i.volume_ml),
            weight: Mass::from_g(i.weight_g),
            longest,
            class: i.class.clone(),
            keep_with: i.keep_with.clone(),
        });
    }
    let tote = &input.tote;
    let rules = Rules {
        tote: Tote {
            volume: Volume::from_ml(tote.volume_ml),
            fill: Percent::new(tote.fill_pct).ok_or_else(|| format!("no share: {} %", tote.fill_pct))?,
            tare: Mass::from_g(tote.tare_g),
            max_gross: Mass::from_g(tote.max_gross_g),
            longest: cm(tote.inner_longest_cm)?,
        },
        mix_places: input.mix_locations,
        keep_apart: input.keep_apart.clone(),
    };
    Ok((rules, items))
}
