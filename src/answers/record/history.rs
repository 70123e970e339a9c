//! The record as one answer: for the Seasons screen, `history` as text and as JSON.

use std::collections::BTreeMap;

use crate::answers::Outlook;
use crate::answers::record::dark::{DarkTotal, dark_totals};
use crate::answers::record::findings::{findings, interval_words, percent};
use crate::answers::record::groups::{By, Group, group, groups, usual};
use crate::answers::record::lives::{Lasting, by_weather, by_week, lasting};
use crate::answers::record::units::{UnitSeason, beside, unit_seasons};
use crate::answers::record::verdicts::{Verdict, verdicts};
use crate::answers::record::{Learned, learned};
use crate::answers::view::{RecordBar, Seasons};
use crate::answers::words::n_of;
use crate::domain::ProductId;
use crate::steps::Facts;
use crate::units::figure;

/// Everything the record comes to.
pub(crate) struct History {
    pub failures: Failures,
    pub durations: Vec<Duration>,
    pub left_out: usize,
    pub dark: Vec<DarkTotal>,
}

/// What failed, how often, and what differs: nothing of it follows from ticks.
pub(crate) struct Failures {
    pub unit_seasons: usize,
    pub failed: usize,
    /// Failures of things that were not out.
    pub beside: usize,
    pub groups: Vec<Group>,
    pub verdicts: Vec<Verdict>,
    pub lasting: Vec<Lasting>,
    pub weeks: Vec<(String, u64)>,
    pub weather: Vec<(&'static str, u64)>,
}

/// Planned against taken of one recipe step.
#[derive(Debug, Clone)]
pub(crate) struct Duration {
    pub code: String,
    /// "Ground stake: drive stakes".
    pub title: String,
    pub times: usize,
    pub planned_min: f64,
    pub taken_min: f64,
    /// Factor on the recipe's estimate, as plans use it.
    pub factor: f64,
    pub spread: f64,
    pub weight_on_record: f64,
}

/// Failure rates, comparisons, survival, durations, and what they say.
pub(crate) fn history(outlook: &Outlook) -> History {
    let learned = learned(outlook.yard);
    History {
        failures: failures(outlook),
        durations: step_durations(outlook, &learned),
        left_out: learned.left_out,
        dark: dark_totals(outlook.yard),
    }
}

pub(crate) fn failures(outlook: &Outlook) -> Failures {
    let facts = outlook.facts();
    let units = units_of(outlook, &facts);
    let groups = groups(&facts, &units);
    Failures {
        unit_seasons: units.len(),
        failed: units.iter().filter(|u| u.faults > 0).count(),
        beside: if units.is_empty() { 0 } else { beside(&facts, &units).len() },
        verdicts: verdicts(&facts, &units, &groups),
        lasting: lasting(&units, &groups),
        groups,
        weeks: by_week(&facts, outlook.zone()),
        weather: by_weather(&facts),
    }
}

/// For the Seasons screen: sentences, bars, durations; its rows are still empty.
pub(crate) fn record_view(outlook: &Outlook) -> Seasons {
    let mut durations = step_durations(outlook, &learned(outlook.yard));
    // Method by method, that which was done most first.
    let method = |d: &Duration| d.title.split(": ").next().unwrap_or_default().to_owned();
    let mut most: BTreeMap<String, usize> = BTreeMap::new();
    for d in &durations {
        let times = most.entry(method(d)).or_default();
        *times = d.times.max(*times);
    }
    durations.sort_by_cached_key(|d| {
        let method = method(d);
        (std::cmp::Reverse(most.get(&method).copied().unwrap_or(0)), method)
    });
    let durations = durations
        .into_iter()
        .map(|d| (d.title, d.planned_min.round() as i64, d.taken_min.round() as i64, d.times))
        .collect();
    let (findings, bars) = outlook.of_failures(|failed| {
        failed.remembered.failures_told.get(failed.record_day(), || failures_told(failed))
    });
    Seasons { durations, findings, bars, ..Seasons::default() }
}

/// The failures as sentences and bars: exact intervals of many groups take a while.
pub(crate) fn failures_told(outlook: &Outlook) -> (Vec<String>, Vec<RecordBar>) {
    let failures = failures(outlook);
    let mut bars: Vec<RecordBar> = failures
        .groups
        .iter()
        .filter(|g| g.failed > 0)
        .map(|g| RecordBar {
            by: g.by.word(),
            name: g.name.clone(),
            lower: permille(g.share.lower),
            estimate: permille(g.share.estimate),
            upper: permille(g.share.upper),
            text: format!("{} of {}", g.failed, g.units()),
            drawn: Some(permille(g.drawn.mean)),
            note: rate_words(g),
        })
        .collect();
    bars.extend(failures.lasting.iter().map(|l| {
        let (low, high) = l.at.bounds.unwrap_or((l.at.alive, l.at.alive));
        RecordBar {
            by: "seasons of use",
            name: format!("{}, season {}", l.name, l.season),
            lower: permille(low),
            estimate: permille(l.at.alive),
            upper: permille(high),
            text: format!("{} % of {}", (l.at.alive * 100.0).round(), l.at.at_risk_start),
            drawn: None,
            note: String::new(),
        }
    }));
    let weather: Vec<(String, u64)> = failures.weather.iter().map(|(w, n)| ((*w).to_owned(), *n)).collect();
    bars.extend(counted("week", &failures.weeks));
    bars.extend(counted("weather", &weather));
    (findings(&failures), bars)
}

fn step_durations(outlook: &Outlook, learned: &Learned) -> Vec<Duration> {
    let methods: BTreeMap<_, &str> = outlook.yard.methods.iter().map(|m| (m.id, m.name.as_str())).collect();
    let titles: BTreeMap<&str, String> = outlook
        .yard
        .recipe_steps
        .iter()
        .map(|r| {
            let method = methods.get(&r.method_id).copied().unwrap_or_default();
            (r.code.as_str(), format!("{method}: {}", r.title))
        })
        .collect();
    let mut list: Vec<Duration> = learned
        .by
        .iter()
        .map(|(code, known)| Duration {
            code: code.clone(),
            title: titles.get(code.as_str()).cloned().unwrap_or_else(|| code.clone()),
            times: known.observations.len(),
            planned_min: known.observations.iter().map(|o| o.planned_minutes).sum(),
            taken_min: known.observations.iter().map(|o| o.taken_minutes).sum(),
            factor: known.estimate.minutes,
            spread: known.estimate.spread,
            weight_on_record: known.estimate.weight_on_record,
        })
        .collect();
    list.sort_by(|a, b| b.times.cmp(&a.times).then_with(|| a.title.cmp(&b.title)));
    list
}

/// How a product has done, in one line; nothing where it was never out.
pub(crate) fn product_record(outlook: &Outlook, product: ProductId) -> Option<String> {
    outlook.of_failures(|failed| {
        let of = (failed.record_day(), product);
        failed.remembered.by_product.get(of, || product_failures(failed, product))
    })
}

fn product_failures(outlook: &Outlook, product: ProductId) -> Option<String> {
    let facts = outlook.facts();
    let units = units_of(outlook, &facts);
    let own = (0..).zip(&units).filter(|(_, u)| u.product.id == product).map(|(at, _)| at).collect();
    group(&units, By::Product, String::new(), own, usual(&units)).map(|g| {
        let share = interval_words(&g.share);
        format!("{} of {} unit-seasons failed ({share})", g.failed, g.units())
    })
}

pub(crate) fn units_of<'a>(outlook: &Outlook, facts: &Facts<'a>) -> Vec<UnitSeason<'a>> {
    unit_seasons(facts, outlook.now().with_timezone(&outlook.zone()).naive_local())
}

/// Counts as shares of the largest, with nothing uncertain about them.
fn counted(by: &'static str, rows: &[(String, u64)]) -> Vec<RecordBar> {
    let most = rows.iter().map(|r| r.1).max().unwrap_or(1).max(1);
    rows.iter()
        .map(|(name, n)| {
            let share = permille(*n as f64 / most as f64);
            RecordBar {
                by,
                name: name.clone(),
                lower: 0,
                estimate: share,
                upper: share,
                text: n_of(*n, "fault"),
                drawn: None,
                note: String::new(),
            }
        })
        .collect()
}

/// "nearer the usual share: 21 % (its own record weighs 64 %); 0.0123 (0.005 to 0.03) per 1000 pixel-hours".
pub(crate) fn rate_words(g: &Group) -> String {
    let drawn = format!(
        "nearer the usual share: {} (its own record weighs {})",
        percent(g.drawn.mean),
        percent(g.drawn.weight_on_data)
    );
    match &g.pixel_hours {
        Some((_, r)) => {
            format!(
                "{drawn}; {} ({} to {}) per 1000 pixel-hours",
                figure(r.estimate, 4),
                figure(r.lower, 4),
                figure(r.upper, 4)
            )
        }
        None => drawn,
    }
}

fn permille(share: f64) -> u16 {
    (share.clamp(0.0, 1.0) * 1000.0).round() as u16
}
