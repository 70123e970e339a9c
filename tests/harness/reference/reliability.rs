//! Kind `reliability`: rates, comparisons, survival and spares, in CSV rows with JSON cells.

use std::collections::BTreeMap;

use ladderday::stats::{
    BetaPrior, Demand, GammaPrior, Posterior, Spares, StatsError, UnitLife, Weibull, fisher, fit_weibull,
    holm, kaplan_meier, log_rank, mtbf, newsvendor, newsvendor_normal, proportion, rate, rate_ratio, spares,
    zero_failures_bound,
};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

use super::compare::{Differences, Tolerance};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    case_id: String,
    kind: String,
    inputs_json: String,
    expected_json: String,
    rel_tol: f64,
    #[serde(default, rename = "note")]
    _note: String,
}

pub fn check(text: &str) -> Vec<String> {
    let mut lines = Vec::new();
    let mut rows = 0;
    for row in csv::Reader::from_reader(text.as_bytes()).deserialize::<Row>() {
        rows += 1;
        match row {
            Ok(row) => lines.extend(one(&row)),
            Err(error) => lines.push(format!("file: row {rows}: {error}")),
        }
    }
    if rows == 0 {
        lines.push("file: no rows".to_owned());
    }
    lines
}

fn one(row: &Row) -> Vec<String> {
    let mut differences = Differences::new(&row.case_id);
    let expected: Result<BTreeMap<String, Value>, _> = serde_json::from_str(&row.expected_json);
    match (compute(&row.kind, &row.inputs_json), expected) {
        (Ok(got), Ok(expected)) => {
            for (name, want) in &expected {
                match got.iter().find(|(n, _)| n == name) {
                    None => differences.say(format_args!("{name} is not computed")),
                    Some((_, got)) => compare(name, got, want, row.rel_tol, &mut differences),
                }
            }
        }
        (Err(why), _) => differences.say(format_args!("not computed: {why}")),
        (_, Err(why)) => differences.say(format_args!("can't be read: {why}")),
    }
    differences.done()
}

enum Got {
    Number(f64),
    /// A count or a whole number: exact.
    Count(u64),
    /// Told as null, infinity or left out where there is none.
    Maybe(Option<f64>),
    List(Vec<f64>),
}

fn compare(name: &str, got: &Got, want: &Value, rel_tol: f64, differences: &mut Differences) {
    let near = Tolerance { absolute: 1e-12, relative: rel_tol };
    match (got, want, want.as_f64()) {
        (Got::Number(got) | Got::Maybe(Some(got)), _, Some(want)) => {
            differences.number(name, *got, want, near);
        }
        (Got::Count(got), _, Some(want)) => differences.same(name, *got as f64, want),
        (Got::Maybe(None), Value::Null, _) => {}
        (Got::List(got), Value::Array(want), _) => {
            differences.same(name, got.len(), want.len());
            for (at, (got, want)) in got.iter().zip(want).enumerate() {
                let want = want.as_f64().unwrap_or(f64::NAN);
                differences.number(&format!("{name}[{at}]"), *got, want, near);
            }
        }
        _ => differences.say(format_args!("{name}: file {want} is not what this kind gives")),
    }
}

type Failure = Box<dyn std::error::Error>;
type Answer = Vec<(&'static str, Got)>;

fn read<T: DeserializeOwned>(text: &str) -> Result<T, Failure> {
    Ok(serde_json::from_str(text)?)
}

macro_rules! inputs {
    ($text:expr, { $($field:ident: $kind:ty),+ }) => {{
        #[derive(Deserialize)]
        #[serde(deny_unknown_fields)]
        #[allow(non_snake_case)]
        struct Inputs { $($field: $kind),+ }
        let Inputs { $($field),+ } = read($text)?;
        ($($field),+)
    }};
}

const NINETY_FIVE: f64 = 0.95;

fn compute(kind: &str, text: &str) -> Result<Answer, Failure> {
    use Got::{Count, List, Maybe, Number};
    Ok(match kind {
        "clopper_pearson" => {
            let (x, n, c) = inputs!(text, { x: u64, n: u64, c: f64 });
            let got = proportion(x, n, c)?;
            vec![("rate", Number(got.estimate)), ("lower", Number(got.lower)), ("upper", Number(got.upper))]
        }
        "garwood" => {
            let (x, t, c) = inputs!(text, { x: u64, t: f64, c: f64 });
            let got = rate(x, t, c)?;
            vec![("rate", Number(got.estimate)), ("lower", Number(got.lower)), ("upper", Number(got.upper))]
        }
        "fisher" => {
            let (a, b, c, d) = inputs!(text, { a: u64, b: u64, c: u64, d: u64 });
            let got = fisher((a, b), (c, d))?;
            vec![
                ("p_two_sided", Number(got.two_sided)),
                ("p_greater", Number(got.greater)),
                ("p_less", Number(got.less)),
                ("odds_ratio_sample", Maybe(got.odds_ratio)),
            ]
        }
        "rate_ratio_exact" => {
            let (x1, t1, x2, t2) = inputs!(text, { x1: u64, t1: f64, x2: u64, t2: f64 });
            let got = rate_ratio((x1, t1), (x2, t2))?;
            vec![
                ("p_two_sided", Number(got.two_sided)),
                ("p_greater", Number(got.greater)),
                ("rate_ratio", Maybe(got.ratio)),
            ]
        }
        "gamma_poisson" => {
            let (a, b, x, t, c) = inputs!(text, { a: f64, b: f64, x: u64, t: f64, c: f64 });
            posterior("post_shape", "post_rate", GammaPrior { shape: a, rate: b }.after(x, t, c)?)
        }
        "beta_binomial" => {
            let (a, b, x, n, c) = inputs!(text, { a: f64, b: f64, x: u64, n: u64, c: f64 });
            posterior("post_a", "post_b", BetaPrior { a, b }.after(x, n, c)?)
        }
        "spares_poisson" => {
            let (mean, sl) = inputs!(text, { mean: f64, sl: f64 });
            carry(Demand::Poisson { mean }, sl)?
        }
        #[allow(non_snake_case)]
        "spares_negbin" => {
            let (A, B, t, sl) = inputs!(text, { A: f64, B: f64, t: f64, sl: f64 });
            carry(Demand::Rate { shape: A, rate: B, exposure: t }, sl)?
        }
        "spares_betabinom" => {
            let (a, b, m, sl) = inputs!(text, { a: f64, b: f64, m: u64, sl: f64 });
            carry(Demand::Share { a, b, n: m }, sl)?
        }
        "spares_binom" => {
            let (n, p, sl) = inputs!(text, { n: u64, p: f64, sl: f64 });
            carry(Demand::Binomial { n, p }, sl)?
        }
        "newsvendor" => {
            #[derive(Deserialize)]
            #[serde(deny_unknown_fields)]
            struct Inputs {
                cu: f64,
                co: f64,
                mean: Option<f64>,
                mu: Option<f64>,
                sd: Option<f64>,
            }
            let i: Inputs = read(text)?;
            let got = match (i.mean, i.mu, i.sd) {
                (Some(mean), None, None) => newsvendor(Demand::Poisson { mean }, i.cu, i.co)?,
                (None, Some(mu), Some(sd)) => newsvendor_normal(mu, sd, i.cu, i.co)?,
                _ => return Err("either mean, or mu and sd".into()),
            };
            vec![
                ("critical_ratio", Number(got.critical_ratio)),
                ("order_qty", Count(got.quantity)),
                ("order_qty_real", Number(got.exact)),
                ("expected_cost", Number(got.expected_cost)),
            ]
        }
        "kaplan_meier" => {
            let (times, events, at) = inputs!(text, { times: Vec<f64>, events: Vec<u8>, at: f64 });
            let got = kaplan_meier(&lives(&times, &events)?, at, NINETY_FIVE)?;
            let bound = |side: fn((f64, f64)) -> f64| Maybe(got.bounds.map(side).or(Some(got.alive)));
            vec![
                ("survival", Number(got.alive)),
                ("greenwood_se", Maybe(got.error)),
                ("at_risk_start", Count(got.at_risk_start as u64)),
                ("lower_loglog", bound(|b| b.0)),
                ("upper_loglog", bound(|b| b.1)),
            ]
        }
        "weibull_mle" => {
            let (times, events) = inputs!(text, { times: Vec<f64>, events: Vec<u8> });
            let (got, _) = fit_weibull(&lives(&times, &events)?)?;
            vec![("shape", Number(got.shape)), ("scale", Number(got.scale))]
        }
        "weibull_use" => {
            let (shape, scale, t, age) = inputs!(text, { shape: f64, scale: f64, t: f64, age: f64 });
            let life = Weibull::new(shape, scale)?;
            vec![
                ("survival", Number(life.survival(t))),
                ("conditional_fail_next", Number(life.fails_within(age, t))),
                ("mean_life", Number(life.mean_life())),
            ]
        }
        #[allow(non_snake_case)]
        "mtbf_interval" => {
            let (r, T, c) = inputs!(text, { r: u64, T: f64, c: f64 });
            let got = mtbf(r, T, c)?;
            vec![("mtbf", Maybe(got.estimate)), ("lower", Number(got.lower)), ("upper", Maybe(got.upper))]
        }
        "zero_failures" => {
            let (n, c) = inputs!(text, { n: u64, c: f64 });
            vec![
                ("upper_one_sided", Number(zero_failures_bound(n, c)?)),
                ("rule_of_three", Number(3.0 / n as f64)),
            ]
        }
        "logrank" => {
            let (ta, ea, tb, eb) = inputs!(text, { ta: Vec<f64>, ea: Vec<u8>, tb: Vec<f64>, eb: Vec<u8> });
            let got = log_rank(&lives(&ta, &ea)?, &lives(&tb, &eb)?)?;
            vec![("chi2", Number(got.chi_square)), ("p", Number(got.p))]
        }
        "holm" => {
            #[derive(Deserialize)]
            #[serde(deny_unknown_fields)]
            struct Inputs {
                ps: Vec<f64>,
            }
            vec![("adjusted", List(holm(&read::<Inputs>(text)?.ps)))]
        }
        other => return Err(format!("no kind {other}").into()),
    })
}

fn posterior(first: &'static str, second: &'static str, got: Posterior) -> Answer {
    vec![
        (first, Got::Number(got.first)),
        (second, Got::Number(got.second)),
        ("mean", Got::Number(got.mean)),
        ("lower", Got::Number(got.lower)),
        ("upper", Got::Number(got.upper)),
        ("weight_on_data", Got::Number(got.weight_on_data)),
    ]
}

fn carry(demand: Demand, service: f64) -> Result<Answer, StatsError> {
    let Spares { quantity, achieved, one_less } = spares(demand, service)?;
    Ok(vec![
        ("mean", Got::Number(demand.mean())),
        ("variance", Got::Number(demand.variance())),
        ("spares", Got::Count(quantity)),
        ("achieved", Got::Number(achieved)),
        ("one_less", Got::Number(one_less)),
    ])
}

fn lives(times: &[f64], events: &[u8]) -> Result<Vec<UnitLife>, Failure> {
    if times.len() != events.len() || events.iter().any(|e| *e > 1) {
        return Err("times and events (0 or 1) do not match".into());
    }
    Ok(times.iter().zip(events).map(|(&time, &e)| UnitLife { time, failed: e == 1 }).collect())
}
