//! The file's rows, and the network that they describe.

use std::collections::BTreeMap;

use ladderday::calc::electrical::network::{
    Cable, Chain, Conductors, LoadModel, NegativeBond, Network, Override, PixelLoad, Point, Supply,
};
use ladderday::units::si::{Amps, Fraction, Ohms, OutOfRange, Volts, Watts};
use serde::Deserialize;
use serde_json::Value;

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
    pub supplies: Vec<SupplyRow>,
    #[serde(default = "ideal")]
    pub negative_bond: String,
    pub chains: Vec<ChainRow>,
    #[serde(default)]
    pub junctions: Vec<String>,
    #[serde(default)]
    pub cables: Vec<CableRow>,
    /// `null` where the network must be refused.
    pub expected: Value,
}

fn ideal() -> String {
    "ideal".to_owned()
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SupplyRow {
    pub id: String,
    pub volts: f64,
    #[serde(default)]
    pub source_ohm: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ChainRow {
    pub id: String,
    pub pixels: u32,
    pub pitch_m: f64,
    #[serde(default, rename = "wire")]
    _wire: Value,
    #[serde(default, rename = "neg_wire")]
    _neg_wire: Value,
    pub ohm_per_m: f64,
    pub neg_ohm_per_m: Option<f64>,
    pub load: LoadFields,
    #[serde(default)]
    pub overrides: Vec<OverrideRow>,
    #[serde(default)]
    pub pos_cuts: Vec<u32>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CableRow {
    pub id: String,
    pub from: String,
    pub to: String,
    pub length_m: f64,
    #[serde(default, rename = "wire")]
    _wire: Value,
    #[serde(default, rename = "neg_wire")]
    _neg_wire: Value,
    pub ohm_per_m: f64,
    pub neg_ohm_per_m: Option<f64>,
    #[serde(default)]
    pub series_ohm: f64,
}

#[derive(Deserialize, Clone, Default, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct LoadFields {
    pub kind: Option<String>,
    pub amps: Option<f64>,
    pub watts: Option<f64>,
    pub cutoff_v: Option<f64>,
    pub v_knee: Option<f64>,
    pub v_off: Option<f64>,
    pub level: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OverrideRow {
    pub from: u32,
    pub to: u32,
    pub kind: Option<String>,
    pub amps: Option<f64>,
    pub watts: Option<f64>,
    pub cutoff_v: Option<f64>,
    pub v_knee: Option<f64>,
    pub v_off: Option<f64>,
    pub level: Option<f64>,
}

#[derive(Deserialize)]
#[serde(untagged)]
pub enum Expected {
    Refused(RefusedRow),
    Solved(Box<SolvedRow>),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RefusedRow {
    pub error: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SolvedRow {
    pub pixels: BTreeMap<String, PixelColumns>,
    pub supplies: Vec<SupplyColumns>,
    pub cables: Vec<CableColumns>,
    pub min_pixel: PixelRow,
    pub max_pixel: PixelRow,
    pub v_neg_max: f64,
    pub load_w: f64,
    pub wire_loss_w: f64,
    pub supply_w: f64,
    pub load_amps: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PixelColumns {
    pub v: Vec<f64>,
    pub v_pos: Vec<f64>,
    pub v_neg: Vec<f64>,
    pub amps: Vec<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SupplyColumns {
    pub id: String,
    pub amps: f64,
    pub watts: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CableColumns {
    pub id: String,
    pub amps_pos: f64,
    pub amps_neg: f64,
    pub loss_w: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PixelRow {
    pub chain: String,
    pub pixel: u32,
    pub v: f64,
}

/// The calculation's input; a case that it can't express is told in words.
pub fn network(case: &Case) -> Result<Network, String> {
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
