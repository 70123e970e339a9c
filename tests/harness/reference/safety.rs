//! Kind `safety`: wind chill, concrete strength, ladder set-up and duty, go or no-go, lift limit.

use ladderday::calc::weather::{cure, duty, go, ladder, lift, wind_chill};
use ladderday::units::si::{Celsius, Degrees, Fraction, Kilograms, Metres, MetresPerSecond};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

use super::compare::{Differences, Tolerance, row};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[serde(default, rename = "note")]
    _note: String,
    #[serde(default = "one_in_ten_thousand")]
    rel_tol: f64,
    cases: Vec<Value>,
}

const fn one_in_ten_thousand() -> f64 {
    1e-4
}

/// A case with the tolerance of its file.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    #[serde(rename = "id")]
    _id: String,
    #[serde(default, rename = "note")]
    _note: String,
    #[serde(default, rename = "title")]
    _title: String,
    rel_tol: f64,
    kind: String,
    input: Value,
    expect: Value,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ChillInput {
    t: f64,
    v: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ChillExpect {
    defined: bool,
    value: Option<f64>,
    #[serde(default)]
    rounded: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CureInput {
    temps: Vec<f64>,
    typ: String,
    target: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CureExpect {
    equivalent_age_days: f64,
    fraction_end: f64,
    fraction_by_day: Vec<f64>,
    first_day_at_target: Option<usize>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LadderInput {
    h_ft: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LadderExpect {
    working_length_ft: f64,
    base_out_ft: f64,
    angle_deg: f64,
    min_total_length_ft: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DutyInput {
    person: f64,
    clothes: f64,
    tools: f64,
    load: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DutyExpect {
    total_lb: f64,
    lightest_ok: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct GoInput {
    task: String,
    mean: f64,
    gust: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct GoExpect {
    decision: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(non_snake_case)]
struct NioshInput {
    H: f64,
    V: f64,
    D: f64,
    A: f64,
    FM: f64,
    coupling: String,
    load: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct NioshExpect {
    rwl_lb: f64,
    lifting_index: Option<f64>,
}

pub fn check(text: &str) -> Vec<String> {
    let file: File = match serde_json::from_str(text) {
        Ok(file) => file,
        Err(error) => return vec![format!("file: {error}")],
    };
    if file.cases.is_empty() {
        return vec!["file: no cases".to_owned()];
    }
    let mut lines = Vec::new();
    for mut case in file.cases {
        let id = case.get("id").and_then(Value::as_str).unwrap_or("case without id").to_owned();
        if let Some(object) = case.as_object_mut() {
            object.insert("rel_tol".to_owned(), Value::from(file.rel_tol));
        }
        lines.extend(row(&id, case, one));
    }
    lines
}

fn one(case: &Case, d: &mut Differences) {
    let near = Tolerance::relative(case.rel_tol);
    let (input, expect) = (&case.input, &case.expect);
    let done = match case.kind.as_str() {
        "wind_chill_f" => two(input, expect).and_then(|(i, e)| chill(&i, &e, wind_chill::Form::Us, near, d)),
        "wind_chill_c" => {
            two(input, expect).and_then(|(i, e)| chill(&i, &e, wind_chill::Form::Metric, near, d))
        }
        "cure" => two(input, expect).and_then(|(i, e)| concrete(&i, &e, near, d)),
        "ladder" => two(input, expect).and_then(|(i, e)| ladder_set_up(&i, &e, near, d)),
        "duty" => two(input, expect).and_then(|(i, e)| duty_rating(&i, &e, near, d)),
        "go_nogo" => two(input, expect).and_then(|(i, e)| decision(&i, &e, d)),
        "niosh" => two(input, expect).and_then(|(i, e)| lift_limit(&i, &e, near, d)),
        other => Err(format!("no kind {other}").into()),
    };
    if let Err(why) = done {
        d.say(format_args!("not computed: {why}"));
    }
}

type Failure = Box<dyn std::error::Error>;
type Done = Result<(), Failure>;

/// Reads both halves of a case, refusing fields that are not known.
fn two<I: DeserializeOwned, E: DeserializeOwned>(input: &Value, expect: &Value) -> Result<(I, E), Failure> {
    Ok((serde_json::from_value(input.clone())?, serde_json::from_value(expect.clone())?))
}

fn chill(
    input: &ChillInput,
    expect: &ChillExpect,
    form: wind_chill::Form,
    near: Tolerance,
    d: &mut Differences,
) -> Done {
    let (air, wind) = match form {
        wind_chill::Form::Us => ((input.t - 32.0) / 1.8, input.v * 0.447_04),
        wind_chill::Form::Metric => (input.t, input.v / 3.6),
    };
    let input = wind_chill::Input { air: Celsius::new(air)?, wind: MetresPerSecond::new(wind)?, form };
    let got = wind_chill::wind_chill(input).ok().map(|c| match form {
        wind_chill::Form::Us => c * 1.8 + 32.0,
        wind_chill::Form::Metric => c,
    });
    d.same("defined", got.is_some(), expect.defined);
    match (got, expect.value) {
        (Some(got), Some(want)) => d.number("value", got, want, near),
        (got, want) => d.same("value", got.is_some(), want.is_some()),
    }
    if let Some(rounded) = expect.rounded {
        d.same("rounded", got.map(f64::round), Some(rounded));
    }
    Ok(())
}

fn concrete(input: &CureInput, expect: &CureExpect, near: Tolerance, d: &mut Differences) -> Done {
    let daily = input.temps.iter().map(|t| Celsius::new(*t)).collect::<Result<Vec<_>, _>>()?;
    let cement = match input.typ.as_str() {
        "I" => cure::Cement::TypeI,
        "III" => cure::Cement::TypeIII,
        other => return Err(format!("no cement type {other}").into()),
    };
    let got = cure::strength(cure::Input { daily: &daily, cement, target: Fraction::new(input.target)? })?;
    d.number("equivalent_age_days", got.equivalent_age_days, expect.equivalent_age_days, near);
    d.number("fraction_end", got.by_day.last().copied().unwrap_or(0.0), expect.fraction_end, near);
    d.same("days", got.by_day.len(), expect.fraction_by_day.len());
    for (day, (got, want)) in got.by_day.iter().zip(&expect.fraction_by_day).enumerate() {
        d.number(&format!("fraction_by_day[{day}]"), *got, *want, near);
    }
    d.same("first_day_at_target", got.first_day, expect.first_day_at_target);
    Ok(())
}

fn ladder_set_up(input: &LadderInput, expect: &LadderExpect, near: Tolerance, d: &mut Differences) -> Done {
    let got = ladder::set_up(ladder::Input { support: Metres::new(input.h_ft * 0.3048)? })?;
    d.number("working_length_ft", got.working_length.get() / 0.3048, expect.working_length_ft, near);
    d.number("base_out_ft", got.foot_out.get() / 0.3048, expect.base_out_ft, near);
    d.number("angle_deg", got.angle.get(), expect.angle_deg, near);
    d.number("min_total_length_ft", got.least_length.get() / 0.3048, expect.min_total_length_ft, near);
    Ok(())
}

fn duty_rating(input: &DutyInput, expect: &DutyExpect, near: Tolerance, d: &mut Differences) -> Done {
    let kg = |pounds: f64| Kilograms::new(pounds * duty::KG_PER_LB);
    let input = duty::Input {
        person: kg(input.person)?,
        clothes: kg(input.clothes)?,
        tools: kg(input.tools)?,
        load: kg(input.load)?,
    };
    d.number("total_lb", input.total() / duty::KG_PER_LB, expect.total_lb, near);
    let got = duty::lightest(input).ok().map(|o| o.lightest.name());
    d.same("lightest_ok", got, expect.lightest_ok.as_deref());
    Ok(())
}

fn decision(input: &GoInput, expect: &GoExpect, d: &mut Differences) -> Done {
    let task = match input.task.as_str() {
        "roof" => go::Task::Roof,
        "ladder" => go::Task::Ladder,
        "large_panel" => go::Task::LargePanel,
        other => return Err(format!("no task {other}").into()),
    };
    let ms = |mph: f64| MetresPerSecond::new(mph * go::MS_PER_MPH);
    let got = task.decide(go::Input { mean: ms(input.mean)?, gust: ms(input.gust)?, slippery: false });
    d.same("decision", got.name(), expect.decision.as_str());
    Ok(())
}

fn lift_limit(input: &NioshInput, expect: &NioshExpect, near: Tolerance, d: &mut Differences) -> Done {
    let m = |inches: f64| Metres::new(inches * 0.0254);
    let grip = match input.coupling.as_str() {
        "good" => lift::Grip::Good,
        "fair" => lift::Grip::Fair,
        "poor" => lift::Grip::Poor,
        other => return Err(format!("no coupling {other}").into()),
    };
    let got = lift::limit(lift::Input {
        reach: m(input.H)?,
        height: m(input.V)?,
        travel: m(input.D)?,
        twist: Degrees::new(input.A)?,
        frequency: Fraction::new(input.FM)?,
        grip,
    });
    // Outside the equation's range nothing may be lifted.
    let pounds = got.map_or(0.0, |kg| kg.get() / duty::KG_PER_LB);
    d.number("rwl_lb", pounds, expect.rwl_lb, near);
    match expect.lifting_index {
        Some(want) => d.number("lifting_index", input.load / pounds, want, near),
        None => d.same("lifting_index", pounds > 0.0, false),
    }
    Ok(())
}
