//! Kind `wind`: guyed mast, free-standing ballast, concrete, arch.

use ladderday::calc::structural::force::{Drag, Load, Members, Part, PartForce, Wind};
use ladderday::calc::structural::pressure::{Exposure, Method};
use ladderday::calc::structural::{arch, ballast, concrete, guyed};
use ladderday::units::si::{
    CubicMetres, Degrees, Fraction, Kilograms, KilogramsPerCubicMetre, Metres, MetresPerSecond, Newtons,
    SquareMetres,
};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

use super::compare::{Differences, Tolerance};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[serde(default, rename = "note")]
    _note: String,
    /// That of pulls; everything else is compared at a fifth of it.
    #[serde(default = "half_a_percent")]
    rel_tol: f64,
    cases: Vec<Case>,
}

const fn half_a_percent() -> f64 {
    0.005
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    input: Value,
    expect: Value,
    #[serde(default, rename = "note")]
    _note: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WindRow {
    v_ms: f64,
    #[serde(default)]
    exposure: Option<String>,
    #[serde(default)]
    kd: Option<f64>,
    #[serde(default)]
    kzt: Option<f64>,
    method: String,
    gust_factor: f64,
    #[serde(default)]
    toward_deg: f64,
    #[serde(default)]
    rho: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PartRow {
    #[serde(default)]
    name: String,
    area_m2: f64,
    centroid_m: f64,
    cf: Option<f64>,
    solidity: Option<f64>,
    shape: Option<String>,
    member_d_m: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PartExpect {
    #[serde(default, rename = "name")]
    _name: String,
    q_pa: f64,
    cf: f64,
    force_n: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct GuyRow {
    azimuth_deg: f64,
    radius_m: f64,
    #[serde(default)]
    anchor_z_m: f64,
    ea_n: f64,
    #[serde(default)]
    pretension_n: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct AnchorRow {
    holding_n: f64,
    soil_factor: f64,
    count: u32,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct GuyedInput {
    #[serde(rename = "id")]
    _id: String,
    #[serde(rename = "kind")]
    _kind: String,
    #[serde(default, rename = "title")]
    _title: String,
    wind: WindRow,
    parts: Vec<PartRow>,
    guy_height_m: f64,
    guys: Vec<GuyRow>,
    #[serde(default)]
    pole_weight_n: f64,
    #[serde(default)]
    anchors: Vec<AnchorRow>,
    required_fs: Option<f64>,
    strap_wll_n: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct AnchorExpect {
    capacity_n: f64,
    fs: Option<f64>,
    ok: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct GuyedExpect {
    total_force_n: f64,
    moment_base_nm: f64,
    guy_level_horizontal_n: f64,
    base_shear_n: f64,
    parts: Vec<PartExpect>,
    tensions_n: Vec<f64>,
    anchor_uplift_n: Vec<f64>,
    anchor_horizontal_n: Vec<f64>,
    guy_lengths_m: Vec<f64>,
    /// Angles and guy numbers are not compared: on a symmetric ring several are right.
    #[serde(default, rename = "guy_slope_deg")]
    _guy_slope_deg: Value,
    pole_compression_n: f64,
    worst_tension_n: f64,
    #[serde(default, rename = "worst_toward_deg")]
    _worst_toward_deg: Value,
    #[serde(default, rename = "worst_guy_index")]
    _worst_guy_index: Value,
    max_tension_per_guy_n: Vec<f64>,
    anchor_checks: Option<Vec<AnchorExpect>>,
    strap_ok: Option<bool>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BallastInput {
    #[serde(rename = "id")]
    _id: String,
    #[serde(rename = "kind")]
    _kind: String,
    #[serde(default, rename = "title")]
    _title: String,
    wind: WindRow,
    parts: Vec<PartRow>,
    weight_n: f64,
    half_base_m: f64,
    mu: f64,
    required_fs: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BallastExpect {
    total_force_n: f64,
    moment_base_nm: f64,
    parts: Vec<PartExpect>,
    fs_overturning: Option<f64>,
    fs_sliding: Option<f64>,
    weight_needed_overturning_n: Option<f64>,
    weight_needed_sliding_n: Option<f64>,
    weight_needed_n: Option<f64>,
    extra_ballast_n: Option<f64>,
    extra_ballast_kg: Option<f64>,
    half_base_needed_m: Option<f64>,
    ok: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ConcreteInput {
    #[serde(rename = "id")]
    _id: String,
    #[serde(rename = "kind")]
    _kind: String,
    #[serde(default, rename = "title")]
    _title: String,
    volume_m3: Option<f64>,
    frustum: Option<FrustumRow>,
    fill: Option<f64>,
    sleeve_d_m: Option<f64>,
    sleeve_len_m: Option<f64>,
    density_kg_m3: f64,
    bag_yield_m3: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(clippy::struct_field_names, reason = "the names of the format")]
struct FrustumRow {
    d_bottom_m: f64,
    d_top_m: f64,
    height_m: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ConcreteExpect {
    concrete_volume_m3: f64,
    mass_kg: f64,
    weight_n: f64,
    mass_lb: f64,
    bags: Option<u32>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ArchInput {
    #[serde(rename = "id")]
    _id: String,
    #[serde(rename = "kind")]
    _kind: String,
    #[serde(default, rename = "title")]
    _title: String,
    wind: WindRow,
    radius_m: f64,
    tube_d_m: f64,
    cf: f64,
    #[serde(default)]
    springing_z_m: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ArchExpect {
    area_m2: f64,
    centroid_m: f64,
    q_pa: f64,
    force_n: f64,
    moment_base_nm: f64,
    moment_per_foot_nm: f64,
    force_per_foot_n: f64,
}

pub fn check(text: &str) -> Vec<String> {
    let file: File = match serde_json::from_str(text) {
        Ok(file) => file,
        Err(error) => return vec![format!("file: {error}")],
    };
    if file.cases.is_empty() {
        return vec!["file: no cases".to_owned()];
    }
    let near = Near {
        // Slack guys are told as a rounding error of zero.
        pull: Tolerance { absolute: 0.01, relative: file.rel_tol },
        rest: Tolerance { absolute: 5.1e-7, relative: file.rel_tol / 5.0 },
    };
    file.cases
        .iter()
        .flat_map(|case| {
            let id = case.input.get("id").and_then(Value::as_str).unwrap_or("case without id");
            let mut differences = Differences::new(id);
            if let Err(why) = one(case, near, &mut differences) {
                if case.expect.is_null() && why.is::<ladderday::calc::refusal::Refusal>() {
                    return Vec::new();
                }
                differences.say(format_args!("not computed: {why}"));
            } else if case.expect.is_null() {
                differences.say("computed, file says there is no solution");
            }
            differences.done()
        })
        .collect()
}

#[derive(Clone, Copy)]
struct Near {
    pull: Tolerance,
    rest: Tolerance,
}

type Failure = Box<dyn std::error::Error>;

fn one(case: &Case, near: Near, d: &mut Differences) -> Result<(), Failure> {
    match case.input.get("kind").and_then(Value::as_str) {
        Some("guyed") => {
            let got = guyed::solve(&guyed_input(&read(&case.input)?)?)?;
            compare(case, |e: GuyedExpect| guyed_differences(&got, &e, near, d))
        }
        Some("ballast") => {
            let i: BallastInput = read(&case.input)?;
            let got = ballast::check(&ballast::Input {
                wind: wind(&i.wind)?,
                parts: parts(&i.parts)?,
                weight: Newtons::new(i.weight_n)?,
                half_base: Metres::new(i.half_base_m)?,
                friction: i.mu,
                required_factor: i.required_fs,
            })?;
            compare(case, |e: BallastExpect| ballast_differences(&got, &e, near, d))
        }
        Some("concrete") => {
            let got = concrete::base(concrete_input(&read(&case.input)?)?)?;
            compare(case, |e: ConcreteExpect| {
                d.number("concrete_volume_m3", got.volume.get(), e.concrete_volume_m3, near.rest);
                d.number("mass_kg", got.mass.get(), e.mass_kg, near.rest);
                d.number("weight_n", got.weight.get(), e.weight_n, near.rest);
                d.number("mass_lb", got.mass.get() / 0.453_592_37, e.mass_lb, near.rest);
                d.same("bags", got.bags, e.bags);
            })
        }
        Some("arch") => {
            let i: ArchInput = read(&case.input)?;
            let got = arch::solve(arch::Input {
                wind: wind(&i.wind)?,
                radius: Metres::new(i.radius_m)?,
                tube: Metres::new(i.tube_d_m)?,
                drag: Drag::Told(i.cf),
                springing: Metres::new(i.springing_z_m)?,
            })?;
            compare(case, |e: ArchExpect| {
                d.number("area_m2", got.area.get(), e.area_m2, near.rest);
                d.number("centroid_m", got.centroid.get(), e.centroid_m, near.rest);
                d.number("q_pa", got.wind.pressure.get(), e.q_pa, near.rest);
                d.number("force_n", got.wind.force.get(), e.force_n, near.rest);
                d.number("moment_base_nm", got.moment, e.moment_base_nm, near.rest);
                d.number("moment_per_foot_nm", got.moment_a_foot, e.moment_per_foot_nm, near.rest);
                d.number("force_per_foot_n", got.force_a_foot.get(), e.force_per_foot_n, near.rest);
            })
        }
        other => Err(format!("no kind {other:?}").into()),
    }
}

fn read<T: DeserializeOwned>(value: &Value) -> Result<T, Failure> {
    Ok(serde_json::from_value(value.clone())?)
}

fn compare<E: DeserializeOwned>(case: &Case, with: impl FnOnce(E)) -> Result<(), Failure> {
    if !case.expect.is_null() {
        with(read(&case.expect)?);
    }
    Ok(())
}

fn wind(row: &WindRow) -> Result<Wind, Failure> {
    let method = match row.method.as_str() {
        "asce" => Method::Asce716 {
            exposure: match row.exposure.as_deref() {
                Some("B") => Exposure::B,
                Some("C") => Exposure::C,
                Some("D") => Exposure::D,
                other => return Err(format!("no exposure {other:?}").into()),
            },
            kd: row.kd.ok_or("no kd")?,
            kzt: row.kzt.unwrap_or(1.0),
        },
        "simple" => Method::Simple { air_density: row.rho.unwrap_or(1.25) },
        other => return Err(format!("no method {other}").into()),
    };
    Ok(Wind { gust: MetresPerSecond::new(row.v_ms)?, method, gust_factor: row.gust_factor })
}

fn parts(rows: &[PartRow]) -> Result<Vec<Part>, Failure> {
    rows.iter()
        .map(|row| {
            let drag = match (row.cf, row.solidity) {
                (Some(cf), _) => Drag::Told(cf),
                (None, Some(solidity)) => Drag::Open {
                    solidity: Fraction::new(solidity)?,
                    members: match row.shape.as_deref() {
                        Some("flat") => Members::Flat,
                        Some("round") => {
                            Members::Round { diameter: Metres::new(row.member_d_m.ok_or("no member_d_m")?)? }
                        }
                        other => return Err(format!("no shape {other:?}").into()),
                    },
                },
                (None, None) => return Err("neither cf nor solidity".into()),
            };
            Ok(Part {
                name: row.name.clone(),
                area: SquareMetres::new(row.area_m2)?,
                centroid: Metres::new(row.centroid_m)?,
                drag,
            })
        })
        .collect()
}

fn guyed_input(i: &GuyedInput) -> Result<guyed::Input, Failure> {
    let mut guys = Vec::new();
    for g in &i.guys {
        guys.push(guyed::Guy {
            azimuth: Degrees::new(g.azimuth_deg)?,
            radius: Metres::new(g.radius_m)?,
            anchor_height: g.anchor_z_m,
            stiffness: Newtons::new(g.ea_n)?,
            pretension: Newtons::new(g.pretension_n)?,
        });
    }
    let mut anchors = Vec::new();
    for a in &i.anchors {
        anchors.push(guyed::Anchor {
            holding: Newtons::new(a.holding_n)?,
            soil_factor: a.soil_factor,
            count: a.count,
            tested: false,
        });
    }
    Ok(guyed::Input {
        wind: wind(&i.wind)?,
        toward: Degrees::new(i.wind.toward_deg)?,
        parts: parts(&i.parts)?,
        guy_height: Metres::new(i.guy_height_m)?,
        guys,
        weight: Newtons::new(i.pole_weight_n)?,
        anchors,
        required_factor: i.required_fs.unwrap_or(1.5),
        strap_limit: i.strap_wll_n.map(Newtons::new).transpose()?,
    })
}

fn concrete_input(i: &ConcreteInput) -> Result<concrete::Input, Failure> {
    let mould = match (i.volume_m3, &i.frustum) {
        (Some(v), None) => concrete::Mould::Volume(CubicMetres::new(v)?),
        (None, Some(f)) => concrete::Mould::Frustum {
            bottom: Metres::new(f.d_bottom_m)?,
            top: Metres::new(f.d_top_m)?,
            height: Metres::new(f.height_m)?,
        },
        _ => return Err("either volume_m3 or frustum".into()),
    };
    let sleeve = match (i.sleeve_d_m, i.sleeve_len_m) {
        (Some(d), Some(l)) => Some((Metres::new(d)?, Metres::new(l)?)),
        (None, None) => None,
        _ => return Err("a sleeve has sleeve_d_m and sleeve_len_m".into()),
    };
    Ok(concrete::Input {
        mould,
        fill: Fraction::new(i.fill.unwrap_or(1.0))?,
        sleeve,
        density: KilogramsPerCubicMetre::new(i.density_kg_m3)?,
        bag: i.bag_yield_m3.map(CubicMetres::new).transpose()?,
    })
}

fn load_differences(load: &Load, expect: (f64, f64, &[PartExpect]), near: Near, d: &mut Differences) {
    let (force, moment, parts) = expect;
    d.number("total_force_n", load.force.get(), force, near.rest);
    d.number("moment_base_nm", load.moment, moment, near.rest);
    d.same("parts", load.parts.len(), parts.len());
    for (at, (PartForce { pressure, coefficient, force }, e)) in load.parts.iter().zip(parts).enumerate() {
        d.number(&format!("parts[{at}].q_pa"), pressure.get(), e.q_pa, near.rest);
        d.number(&format!("parts[{at}].cf"), *coefficient, e.cf, near.rest);
        d.number(&format!("parts[{at}].force_n"), force.get(), e.force_n, near.rest);
    }
}

fn guyed_differences(got: &guyed::Output, e: &GuyedExpect, near: Near, d: &mut Differences) {
    load_differences(&got.load, (e.total_force_n, e.moment_base_nm, &e.parts), near, d);
    d.number("guy_level_horizontal_n", got.guy_level.get(), e.guy_level_horizontal_n, near.rest);
    d.number("base_shear_n", got.base_shear, e.base_shear_n, near.rest);
    d.number("pole_compression_n", got.compression.get(), e.pole_compression_n, near.pull);
    d.number("worst_tension_n", got.worst.get(), e.worst_tension_n, near.pull);
    type Of = fn(&guyed::GuyPull) -> f64;
    let each: [(&str, Of, &[f64], Tolerance); 5] = [
        ("tensions_n", |g| g.pull.get(), &e.tensions_n, near.pull),
        ("anchor_uplift_n", |g| g.uplift.get(), &e.anchor_uplift_n, near.pull),
        ("anchor_horizontal_n", |g| g.horizontal.get(), &e.anchor_horizontal_n, near.pull),
        ("guy_lengths_m", |g| g.length.get(), &e.guy_lengths_m, near.rest),
        ("max_tension_per_guy_n", |g| g.worst.get(), &e.max_tension_per_guy_n, near.pull),
    ];
    for (name, of, want, tolerance) in each {
        d.same(name, got.guys.len(), want.len());
        for (at, (guy, want)) in got.guys.iter().zip(want).enumerate() {
            d.number(&format!("{name}[{at}]"), of(guy), *want, tolerance);
        }
    }
    if let Some(checks) = &e.anchor_checks {
        d.same("anchor_checks", got.anchors.len(), checks.len());
        for (at, (got, want)) in got.anchors.iter().zip(checks).enumerate() {
            d.number(
                &format!("anchor_checks[{at}].capacity_n"),
                got.capacity.get(),
                want.capacity_n,
                near.rest,
            );
            maybe(&format!("anchor_checks[{at}].fs"), got.factor, want.fs, near.pull, d);
            d.same(&format!("anchor_checks[{at}].ok"), got.ok, want.ok);
        }
    }
    if e.strap_ok.is_some() {
        d.same("strap_ok", got.straps_ok, e.strap_ok);
    }
}

fn ballast_differences(got: &ballast::Output, e: &BallastExpect, near: Near, d: &mut Differences) {
    load_differences(&got.load, (e.total_force_n, e.moment_base_nm, &e.parts), near, d);
    let newtons = |n: Option<Newtons>| n.map(Newtons::get);
    for (name, got, want) in [
        ("fs_overturning", got.tipping_factor, e.fs_overturning),
        ("fs_sliding", got.sliding_factor, e.fs_sliding),
        ("weight_needed_overturning_n", Some(got.weight_for_tipping.get()), e.weight_needed_overturning_n),
        ("weight_needed_sliding_n", newtons(got.weight_for_sliding), e.weight_needed_sliding_n),
        ("weight_needed_n", newtons(got.weight_needed), e.weight_needed_n),
        ("extra_ballast_n", newtons(got.extra), e.extra_ballast_n),
        ("extra_ballast_kg", got.extra_mass.map(Kilograms::get), e.extra_ballast_kg),
        ("half_base_needed_m", got.half_base_needed.map(Metres::get), e.half_base_needed_m),
    ] {
        maybe(name, got, want, near.rest, d);
    }
    d.same("ok", got.ok, e.ok);
}

fn maybe(name: &str, got: Option<f64>, want: Option<f64>, near: Tolerance, d: &mut Differences) {
    match (got, want) {
        (Some(got), Some(want)) => d.number(name, got, want, near),
        (got, want) => d.same(name, got, want),
    }
}
