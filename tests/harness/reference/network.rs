//! KIND network: DC networks with the voltage at every pixel; 1e-4 V and A, watts in = watts out within 1e-6 W.

use std::collections::BTreeMap;

use ladderday::calc::electrical::network::{
    Cable, Chain, Conductors, LoadModel, NegativeBond, Network, NetworkError, Override, PixelLoad,
    PixelPoint, Point, Solution, Supply, solve,
};
use ladderday::units::si::{Amps, Fraction, Ohms, OutOfRange, Volts, Watts};
use serde::Deserialize;
use serde_json::Value;

use super::compare::{Differences, Tolerance, each_case};

const NEAR: Tolerance = Tolerance::absolute(1e-4);
const BALANCE_W: f64 = 1e-6;
/// The file rounds at the seventh decimal, so pixels this near each other are equals.
const TIE_V: f64 = 2e-7;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Case {
    #[serde(rename = "id")]
    _id: String,
    #[serde(default, rename = "title")]
    _title: String,
    #[serde(default, rename = "notes")]
    _notes: Value,
    #[serde(default, rename = "tags")]
    _tags: Value,
    supplies: Vec<SupplyRow>,
    #[serde(default = "ideal")]
    negative_bond: String,
    chains: Vec<ChainRow>,
    #[serde(default)]
    junctions: Vec<String>,
    #[serde(default)]
    cables: Vec<CableRow>,
    /// `null` where the network must be refused.
    expected: Value,
}

fn ideal() -> String {
    "ideal".to_owned()
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SupplyRow {
    id: String,
    volts: f64,
    #[serde(default)]
    source_ohm: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ChainRow {
    id: String,
    pixels: u32,
    pitch_m: f64,
    #[serde(default, rename = "wire")]
    _wire: Value,
    #[serde(default, rename = "neg_wire")]
    _neg_wire: Value,
    ohm_per_m: f64,
    neg_ohm_per_m: Option<f64>,
    load: LoadFields,
    #[serde(default)]
    overrides: Vec<OverrideRow>,
    #[serde(default)]
    pos_cuts: Vec<u32>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CableRow {
    id: String,
    from: String,
    to: String,
    length_m: f64,
    #[serde(default, rename = "wire")]
    _wire: Value,
    #[serde(default, rename = "neg_wire")]
    _neg_wire: Value,
    ohm_per_m: f64,
    neg_ohm_per_m: Option<f64>,
    #[serde(default)]
    series_ohm: f64,
}

#[derive(Deserialize, Clone, Default, PartialEq)]
#[serde(deny_unknown_fields)]
struct LoadFields {
    kind: Option<String>,
    amps: Option<f64>,
    watts: Option<f64>,
    cutoff_v: Option<f64>,
    v_knee: Option<f64>,
    v_off: Option<f64>,
    level: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct OverrideRow {
    from: u32,
    to: u32,
    kind: Option<String>,
    amps: Option<f64>,
    watts: Option<f64>,
    cutoff_v: Option<f64>,
    v_knee: Option<f64>,
    v_off: Option<f64>,
    level: Option<f64>,
}

#[derive(Deserialize)]
#[serde(untagged)]
enum Expected {
    Refused(RefusedRow),
    Solved(Box<SolvedRow>),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RefusedRow {
    error: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SolvedRow {
    pixels: BTreeMap<String, PixelColumns>,
    supplies: Vec<SupplyColumns>,
    cables: Vec<CableColumns>,
    min_pixel: PixelRow,
    max_pixel: PixelRow,
    v_neg_max: f64,
    load_w: f64,
    wire_loss_w: f64,
    supply_w: f64,
    load_amps: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PixelColumns {
    v: Vec<f64>,
    v_pos: Vec<f64>,
    v_neg: Vec<f64>,
    amps: Vec<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SupplyColumns {
    id: String,
    amps: f64,
    watts: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CableColumns {
    id: String,
    amps_pos: f64,
    amps_neg: f64,
    loss_w: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PixelRow {
    chain: String,
    pixel: u32,
    v: f64,
}

pub fn check(text: &str) -> Vec<String> {
    each_case(text, one)
}

fn one(case: &Case, differences: &mut Differences) {
    let network = match network(case) {
        Ok(network) => network,
        Err(why) => return differences.say(format_args!("not computed: {why}")),
    };
    let expected: Option<Expected> = match serde_json::from_value(case.expected.clone()) {
        Ok(expected) => expected,
        Err(error) => return differences.say(format_args!("expected can't be read: {error}")),
    };
    match (solve(&network), &expected) {
        (Ok(solution), Some(Expected::Solved(wanted))) => compare(&solution, wanted, differences),
        // Where the file gives the fallen state's numbers, they are compared all the same.
        (Err(NetworkError::NoWorkingPoint { fallen, .. }), Some(Expected::Solved(wanted))) => {
            compare(&fallen, wanted, differences);
        }
        (Err(error), Some(Expected::Solved(_))) => differences.say(format_args!("not computed: {error}")),
        (Err(error), Some(Expected::Refused(wanted))) => {
            differences.same("error", error.code(), wanted.error.as_str());
        }
        (Err(_), None) => {}
        (Ok(_), _) => differences.say("computed, where the file has no answer"),
    }
}

/// The calculation's input; a case that it can't express is told in words.
fn network(case: &Case) -> Result<Network, String> {
    let refused = |what: &str, error: OutOfRange| format!("{what}: {error}");
    let supplies = case
        .supplies
        .iter()
        .map(|row| {
            Ok(Supply {
                name: row.id.clone(),
                volts: Volts::new(row.volts)?,
                source: Ohms::new(row.source_ohm)?,
            })
        })
        .collect::<Result<_, OutOfRange>>()
        .map_err(|error| refused("supply", error))?;
    let bond = match case.negative_bond.as_str() {
        "ideal" => NegativeBond::Ideal,
        "none" => NegativeBond::None,
        other => return Err(format!("negative_bond {other}")),
    };
    let conductors = |pos: f64, neg: f64| Ok(Conductors { pos: Ohms::new(pos)?, neg: Ohms::new(neg)? });
    let mut chains = Vec::new();
    for row in &case.chains {
        let neg = row.neg_ohm_per_m.unwrap_or(row.ohm_per_m);
        chains.push(Chain {
            name: row.id.clone(),
            pixels: row.pixels,
            piece: conductors(row.pitch_m * row.ohm_per_m, row.pitch_m * neg)
                .map_err(|error| refused(&row.id, error))?,
            load: load(&row.load)?,
            overrides: overrides(row)?,
            pos_cuts: row.pos_cuts.clone(),
        });
    }
    let mut cables = Vec::new();
    for row in &case.cables {
        let neg = row.neg_ohm_per_m.unwrap_or(row.ohm_per_m);
        cables.push(Cable {
            name: row.id.clone(),
            from: point(&row.from)?,
            to: point(&row.to)?,
            conductors: conductors(row.length_m * row.ohm_per_m + row.series_ohm, row.length_m * neg)
                .map_err(|error| refused(&row.id, error))?,
        });
    }
    Ok(Network { supplies, bond, chains, junctions: case.junctions.clone(), cables })
}

fn point(text: &str) -> Result<Point, String> {
    let parts: Vec<&str> = text.split(':').collect();
    match parts.as_slice() {
        ["supply", name] => Ok(Point::Supply((*name).to_owned())),
        ["junction", name] => Ok(Point::Junction((*name).to_owned())),
        ["chain", name, pixel] => match pixel.parse() {
            Ok(pixel) => Ok(Point::Pixel((*name).to_owned(), pixel)),
            Err(_) => Err(format!("point {text}: no pixel number")),
        },
        _ => Err(format!("point {text}: none of supply:, junction:, chain:")),
    }
}

fn load(fields: &LoadFields) -> Result<PixelLoad, String> {
    let need = |what: &str, value: Option<f64>| value.ok_or_else(|| format!("load without {what}"));
    let volts = |what: &str, value| Volts::new(need(what, value)?).map_err(|error| error.to_string());
    let amps = |value| Amps::new(need("amps", value)?).map_err(|error| error.to_string());
    let model = match fields.kind.as_deref() {
        Some("constant_current") => LoadModel::ConstantCurrent { amps: amps(fields.amps)? },
        Some("constant_power") => LoadModel::ConstantPower {
            watts: Watts::new(need("watts", fields.watts)?).map_err(|error| error.to_string())?,
            cutoff: volts("cutoff_v", fields.cutoff_v)?,
        },
        Some("current_with_knee") => LoadModel::CurrentWithKnee {
            amps: amps(fields.amps)?,
            knee: volts("v_knee", fields.v_knee)?,
            off: volts("v_off", fields.v_off)?,
        },
        other => return Err(format!("load kind {other:?}")),
    };
    let level = Fraction::new(fields.level.unwrap_or(1.0)).map_err(|error| error.to_string())?;
    Ok(PixelLoad { model, level })
}

/// Replaces fields pixel by pixel, then joins neighbours that are alike again.
fn overrides(row: &ChainRow) -> Result<Vec<Override>, String> {
    let mut fields = vec![row.load.clone(); row.pixels as usize];
    for part in &row.overrides {
        let range = (part.from as usize).wrapping_sub(1)..part.to as usize;
        let Some(pixels) = fields.get_mut(range) else {
            return Err(format!(
                "{}: override {} to {} of {} pixels",
                row.id, part.from, part.to, row.pixels
            ));
        };
        for pixel in pixels {
            if part.kind.is_some() {
                pixel.kind.clone_from(&part.kind);
            }
            pixel.amps = part.amps.or(pixel.amps);
            pixel.watts = part.watts.or(pixel.watts);
            pixel.cutoff_v = part.cutoff_v.or(pixel.cutoff_v);
            pixel.v_knee = part.v_knee.or(pixel.v_knee);
            pixel.v_off = part.v_off.or(pixel.v_off);
            pixel.level = part.level.or(pixel.level);
        }
    }
    let mut found = Vec::new();
    let mut from = 1;
    for alike in fields.chunk_by(|a, b| a == b) {
        let to = from + alike.len() as u32 - 1;
        if alike[0] != row.load {
            found.push(Override { from, to, load: load(&alike[0])? });
        }
        from = to + 1;
    }
    Ok(found)
}

fn compare(got: &Solution, wanted: &SolvedRow, differences: &mut Differences) {
    let balance = got.supply_w - got.load_w - got.wire_loss_w;
    if balance.abs() > BALANCE_W || balance.is_nan() {
        differences.say(format_args!("watts in and out differ by {balance}"));
    }
    differences.same("chains", got.chains.len(), wanted.pixels.len());
    for chain in &got.chains {
        let Some(columns) = wanted.pixels.get(&chain.name) else {
            differences.say(format_args!("chain {} is not in the file's answer", chain.name));
            continue;
        };
        for (what, column, pick) in [
            ("v", &columns.v, (|p| p.v) as fn(&ladderday::calc::electrical::network::PixelState) -> f64),
            ("v_pos", &columns.v_pos, |p| p.v_pos),
            ("v_neg", &columns.v_neg, |p| p.v_neg),
            ("amps", &columns.amps, |p| p.amps),
        ] {
            differences.same(&format!("{} pixels ({what})", chain.name), chain.pixels.len(), column.len());
            for (at, (pixel, &value)) in chain.pixels.iter().zip(column).enumerate() {
                differences.number(&format!("{}:{} {what}", chain.name, at + 1), pick(pixel), value, NEAR);
            }
        }
    }
    differences.same("supplies", got.supplies.len(), wanted.supplies.len());
    for row in &wanted.supplies {
        match got.supplies.iter().find(|supply| supply.name == row.id) {
            None => differences.say(format_args!("no supply {}", row.id)),
            Some(supply) => {
                differences.number(&format!("{} amps", row.id), supply.amps, row.amps, NEAR);
                differences.number(&format!("{} watts", row.id), supply.watts, row.watts, NEAR);
            }
        }
    }
    differences.same("cables", got.cables.len(), wanted.cables.len());
    for row in &wanted.cables {
        match got.cables.iter().find(|cable| cable.name == row.id) {
            None => differences.say(format_args!("no cable {}", row.id)),
            Some(cable) => {
                differences.number(&format!("{} amps_pos", row.id), cable.amps_pos, row.amps_pos, NEAR);
                differences.number(&format!("{} amps_neg", row.id), cable.amps_neg, row.amps_neg, NEAR);
                differences.number(&format!("{} loss_w", row.id), cable.loss_w, row.loss_w, NEAR);
            }
        }
    }
    extreme("min_pixel", got, got.min_pixel.as_ref(), &wanted.min_pixel, differences);
    extreme("max_pixel", got, got.max_pixel.as_ref(), &wanted.max_pixel, differences);
    differences.number("v_neg_max", got.v_neg_max, wanted.v_neg_max, NEAR);
    differences.number("load_w", got.load_w, wanted.load_w, NEAR);
    differences.number("wire_loss_w", got.wire_loss_w, wanted.wire_loss_w, NEAR);
    differences.number("supply_w", got.supply_w, wanted.supply_w, NEAR);
    differences.number("load_amps", got.load_amps, wanted.load_amps, NEAR);
}

/// The pixel named in the file, or an equal of it.
fn extreme(
    what: &str,
    got: &Solution,
    point: Option<&PixelPoint>,
    wanted: &PixelRow,
    differences: &mut Differences,
) {
    let Some(point) = point else {
        return differences.say(format_args!("{what}: no pixels"));
    };
    differences.number(&format!("{what} v"), point.v, wanted.v, NEAR);
    let there = got
        .chains
        .iter()
        .find(|chain| chain.name == wanted.chain)
        .and_then(|chain| chain.pixels.get((wanted.pixel as usize).checked_sub(1)?));
    if there.is_none_or(|pixel| (pixel.v - point.v).abs() > TIE_V) {
        let PixelPoint { chain, pixel, .. } = point;
        differences
            .say(format_args!("{what} computed {chain}:{pixel}, file {}:{}", wanted.chain, wanted.pixel));
    }
}
