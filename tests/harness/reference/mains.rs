//! KIND mains: circuits, supplies, cords, fuses, energy, published voltage-drop examples.

use ladderday::calc::electrical::branch_load::{self, branch_load};
use ladderday::calc::electrical::conductor_size::{self, conductor_size, k_factor_drop};
use ladderday::calc::electrical::cord_amps::{self, cord_amps};
use ladderday::calc::electrical::energy::{self, energy};
use ladderday::calc::electrical::fuse::{self, Choice, fuse};
use ladderday::calc::electrical::mains_resistance::mains_resistance;
use ladderday::calc::electrical::supply_input::{self, supply_input};
use ladderday::calc::electrical::supply_load::{self, supply_load};
use ladderday::calc::electrical::voltage_drop::{self, voltage_drop};
use ladderday::units::Gauge;
use ladderday::units::si::{Amps, Fraction, Metres, OhmsPerMetre, Volts, Watts};
use serde::Deserialize;
use serde_json::Value;

use super::compare::{Differences, Tolerance, each_section, row};

/// The file rounds at the sixth decimal.
const NEAR: Tolerance = Tolerance::relative(1e-6);
const METRES_PER_FOOT: f64 = 0.3048;

/// Anything the calculation refuses, in words.
type Words = Box<dyn std::error::Error>;

pub fn check(text: &str) -> Vec<String> {
    each_section(
        text,
        &[
            ("branch", |value| row("circuit", value, |row, out| told(branch(row, out), out))),
            ("supply", |value| row("supply", value, |row, out| told(supply(row, out), out))),
            ("supply_mains", |value| row("input", value, |row, out| told(supply_mains(row, out), out))),
            ("cord", |value| row("cord", value, |row, out| told(cord(row, out), out))),
            ("cord_mm2", |value| row("cord", value, |row, out| told(cord_mm2(row, out), out))),
            ("fuse", |value| row("fuse", value, |row, out| told(fuse_row(row, out), out))),
            ("energy", |value| row("season", value, |row, out| told(energy_row(row, out), out))),
            ("published_examples", |value| {
                let id = value.get("id").and_then(Value::as_str).unwrap_or("example").to_owned();
                row(&id, value, |row, out| told(published(row, out), out))
            }),
        ],
    )
}

fn told(result: Result<(), Words>, differences: &mut Differences) {
    if let Err(error) = result {
        differences.say(format_args!("not computed: {error}"));
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LoadRow {
    watts: f64,
    power_factor: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BranchRow {
    volts: f64,
    breaker_a: f64,
    continuous_factor: f64,
    loads: Vec<LoadRow>,
    amps: f64,
    limit_a: f64,
    #[serde(rename = "use")]
    used: f64,
    ok: bool,
    over_breaker: bool,
}

fn branch(wanted: &BranchRow, differences: &mut Differences) -> Result<(), Words> {
    let mut loads = Vec::new();
    for load in &wanted.loads {
        loads.push(branch_load::Load {
            watts: Watts::new(load.watts)?,
            power_factor: Fraction::new(load.power_factor)?,
        });
    }
    let got = branch_load(&branch_load::Input {
        volts: Volts::new(wanted.volts)?,
        breaker: Amps::new(wanted.breaker_a)?,
        continuous: Fraction::new(wanted.continuous_factor)?,
        loads,
    })?;
    differences.number("amps", got.amps, wanted.amps, NEAR);
    differences.number("limit_a", got.limit_a, wanted.limit_a, NEAR);
    differences.number("use", got.used, wanted.used, NEAR);
    differences.same("ok", got.within_limit, wanted.ok);
    differences.same("over_breaker", got.over_breaker, wanted.over_breaker);
    Ok(())
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SupplyRow {
    volts: f64,
    rated_w: f64,
    rated_a: f64,
    load_a: f64,
    factor: f64,
    #[serde(rename = "use")]
    used: f64,
    ok: bool,
    over_rating: bool,
}

fn supply(wanted: &SupplyRow, differences: &mut Differences) -> Result<(), Words> {
    let got = supply_load(supply_load::Input {
        volts: Volts::new(wanted.volts)?,
        rated: Watts::new(wanted.rated_w)?,
        load: Amps::new(wanted.load_a)?,
        continuous: Fraction::new(wanted.factor)?,
    })?;
    differences.number("rated_a", got.rated_a, wanted.rated_a, NEAR);
    differences.number("use", got.used, wanted.used, NEAR);
    differences.same("ok", got.within_limit, wanted.ok);
    differences.same("over_rating", got.over_rating, wanted.over_rating);
    Ok(())
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SupplyMainsRow {
    output_w: f64,
    efficiency: f64,
    power_factor: f64,
    mains_v: f64,
    input_w: f64,
    input_va: f64,
    amps: f64,
}

fn supply_mains(wanted: &SupplyMainsRow, differences: &mut Differences) -> Result<(), Words> {
    let got = supply_input(supply_input::Input {
        output: Watts::new(wanted.output_w)?,
        efficiency: Fraction::new(wanted.efficiency)?,
        power_factor: Fraction::new(wanted.power_factor)?,
        mains: Volts::new(wanted.mains_v)?,
    })?;
    differences.number("input_w", got.input_w, wanted.input_w, NEAR);
    differences.number("input_va", got.input_va, wanted.input_va, NEAR);
    differences.number("amps", got.amps, wanted.amps, NEAR);
    Ok(())
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CordRow {
    volts: f64,
    awg: i64,
    length_ft: f64,
    amps: f64,
    ohm_per_kft: f64,
    limit_pct: f64,
    drop_v: f64,
    drop_pct: f64,
    end_v: f64,
    cord_amps_allowed: Option<f64>,
    amps_ok: bool,
    drop_ok: bool,
}

fn cord(wanted: &CordRow, differences: &mut Differences) -> Result<(), Words> {
    let gauge = Gauge::awg(wanted.awg).ok_or_else(|| format!("{} AWG is no gauge", wanted.awg))?;
    let length = Metres::new(wanted.length_ft * METRES_PER_FOOT)?;
    let amps = Amps::new(wanted.amps)?;
    let ohm_per_m = match mains_resistance(gauge) {
        Ok(listed) => {
            let per_kft = listed.get() * 1000.0 * METRES_PER_FOOT;
            differences.number("ohm_per_kft", per_kft, wanted.ohm_per_kft, NEAR);
            listed
        }
        // A gauge that the table lacks: the drop can be computed from the file's own figure.
        Err(_) => OhmsPerMetre::new(wanted.ohm_per_kft / 1000.0 / METRES_PER_FOOT)?,
    };
    let got = voltage_drop(voltage_drop::Input {
        volts: Volts::new(wanted.volts)?,
        ohm_per_m,
        length,
        amps,
        limit: Fraction::new(wanted.limit_pct / 100.0)?,
    })?;
    differences.number("drop_v", got.drop_v, wanted.drop_v, NEAR);
    differences.number("drop_pct", got.drop_pct, wanted.drop_pct, NEAR);
    differences.number("end_v", got.end_v, wanted.end_v, NEAR);
    differences.same("drop_ok", got.within_limit, wanted.drop_ok);
    let allowed = cord_amps(cord_amps::Input { gauge, length }).ok();
    differences.same("cord_amps_allowed", allowed.map(Amps::get), wanted.cord_amps_allowed);
    differences.same("amps_ok", allowed.is_some_and(|allowed| amps <= allowed), wanted.amps_ok);
    Ok(())
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CordMm2Row {
    volts: f64,
    mv_per_a_m: f64,
    length_m: f64,
    amps: f64,
    limit_pct: f64,
    drop_v: f64,
    drop_pct: f64,
    drop_ok: bool,
}

fn cord_mm2(wanted: &CordMm2Row, differences: &mut Differences) -> Result<(), Words> {
    let got = voltage_drop(voltage_drop::Input {
        volts: Volts::new(wanted.volts)?,
        // The table counts both conductors, in thousandths.
        ohm_per_m: OhmsPerMetre::new(wanted.mv_per_a_m / 2000.0)?,
        length: Metres::new(wanted.length_m)?,
        amps: Amps::new(wanted.amps)?,
        limit: Fraction::new(wanted.limit_pct / 100.0)?,
    })?;
    differences.number("drop_v", got.drop_v, wanted.drop_v, NEAR);
    differences.number("drop_pct", got.drop_pct, wanted.drop_pct, NEAR);
    differences.same("drop_ok", got.within_limit, wanted.drop_ok);
    Ok(())
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FuseRow {
    load_a: f64,
    wire_ampacity_a: f64,
    margin: f64,
    needed_a: f64,
    fuse_a: Option<f64>,
    verdict: String,
}

fn fuse_row(wanted: &FuseRow, differences: &mut Differences) -> Result<(), Words> {
    let (load, wire) = (Amps::new(wanted.load_a)?, Amps::new(wanted.wire_ampacity_a)?);
    let got = fuse(fuse::Input { load, wire, margin: wanted.margin })?;
    differences.number("needed_a", got.needed_a, wanted.needed_a, NEAR);
    let (amps, verdict) = match got.choice {
        Choice::Fuse { amps, .. } => (Some(amps), "ok"),
        Choice::WireTooThin => (None, "wire_too_thin"),
        Choice::NoStandardRating => (None, "no_standard_rating"),
    };
    differences.same("fuse_a", amps, wanted.fuse_a);
    differences.same("verdict", verdict, wanted.verdict.as_str());
    Ok(())
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ItemRow {
    watts: f64,
    hours_a_day: f64,
    days: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct EnergyRow {
    items: Vec<ItemRow>,
    price_per_kwh: f64,
    kwh: f64,
    cost: f64,
}

fn energy_row(wanted: &EnergyRow, differences: &mut Differences) -> Result<(), Words> {
    let mut items = Vec::new();
    for row in &wanted.items {
        let watts = Watts::new(row.watts)?;
        items.push(energy::Item { watts, hours_a_day: row.hours_a_day, days: row.days });
    }
    let got = energy(&energy::Input { items, price_per_kwh: wanted.price_per_kwh })?;
    differences.number("kwh", got.kwh, wanted.kwh, NEAR);
    differences.number("cost", got.cost, wanted.cost, NEAR);
    Ok(())
}

/// A published example names the constant that it was computed with; the shapes differ.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PublishedRow {
    #[serde(rename = "id")]
    _id: String,
    #[serde(rename = "source")]
    _source: String,
    volts: f64,
    amps: f64,
    awg: Option<i64>,
    #[serde(default, rename = "strand")]
    _strand: Value,
    ohm_per_kft: Option<f64>,
    k: Option<f64>,
    cmil: Option<f64>,
    rho_ohm_mm2_per_km: Option<f64>,
    mm2: Option<f64>,
    length_ft: Option<f64>,
    length_m: Option<f64>,
    round_trip_ft: Option<f64>,
    limit_pct: Option<f64>,
    published_drop_v: Option<f64>,
    published_pct: Option<f64>,
    computed_drop_v: Option<f64>,
    tol_v: Option<f64>,
    published_awg: Option<i64>,
    computed_cmil: Option<f64>,
}

fn published(wanted: &PublishedRow, differences: &mut Differences) -> Result<(), Words> {
    let (volts, amps) = (Volts::new(wanted.volts)?, Amps::new(wanted.amps)?);
    if let (Some(k), Some(feet), Some(limit)) = (wanted.k, wanted.round_trip_ft, wanted.limit_pct) {
        let got = conductor_size(conductor_size::Input {
            volts,
            limit: Fraction::new(limit / 100.0)?,
            amps,
            round_trip: Metres::new(feet * METRES_PER_FOOT)?,
            k,
        })?;
        let awg = got.gauge.and_then(Gauge::awg_number);
        differences.same("published_awg", awg, wanted.published_awg);
        if let Some(cmil) = wanted.computed_cmil {
            // Rounded at the first decimal.
            differences.number("computed_cmil", got.cmil, cmil, Tolerance::absolute(0.0501));
        }
        return Ok(());
    }
    let length = match (wanted.length_ft, wanted.length_m) {
        (Some(feet), None) => Metres::new(feet * METRES_PER_FOOT)?,
        (None, Some(metres)) => Metres::new(metres)?,
        _ => return Err("neither or both of length_ft and length_m".into()),
    };
    let drop_v = match (wanted.ohm_per_kft, wanted.k, wanted.rho_ohm_mm2_per_km) {
        (Some(per_kft), None, None) => {
            if let Some(listed) = wanted.awg.and_then(Gauge::awg).map(mains_resistance) {
                differences.number("ohm_per_kft", listed?.get() * 304.8, per_kft, NEAR);
            }
            drop_of(volts, per_kft / 304.8, length, amps)?
        }
        (None, Some(k), None) => {
            let cmil = wanted.cmil.ok_or("no cmil")?;
            k_factor_drop(k, amps, Metres::new(2.0 * length.get())?, cmil)?
        }
        (None, None, Some(rho)) => drop_of(volts, rho / 1000.0 / wanted.mm2.ok_or("no mm2")?, length, amps)?,
        _ => return Err("no single resistance constant".into()),
    };
    let tol_v = wanted.tol_v.ok_or("no tol_v")?;
    let published = wanted.published_drop_v.ok_or("no published_drop_v")?;
    differences.number("published_drop_v", drop_v, published, Tolerance::absolute(tol_v));
    if let Some(computed) = wanted.computed_drop_v {
        // Rounded at the fourth decimal.
        differences.number("computed_drop_v", drop_v, computed, Tolerance::absolute(5.1e-5));
    }
    if let Some(pct) = wanted.published_pct {
        let tolerance = Tolerance::absolute(100.0 * tol_v / volts.get());
        differences.number("published_pct", 100.0 * drop_v / volts.get(), pct, tolerance);
    }
    Ok(())
}

fn drop_of(volts: Volts, ohm_per_m: f64, length: Metres, amps: Amps) -> Result<f64, Words> {
    let ohm_per_m = OhmsPerMetre::new(ohm_per_m)?;
    let limit = Fraction::new(1.0)?;
    Ok(voltage_drop(voltage_drop::Input { volts, ohm_per_m, length, amps, limit })?.drop_v)
}
