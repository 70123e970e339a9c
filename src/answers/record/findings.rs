//! What the record says, one plain sentence each.

use crate::answers::record::CONFIDENCE;
use crate::answers::record::groups::By;
use crate::answers::record::history::Failures;
use crate::answers::record::verdicts::{REST, Verdict};
use crate::stats::{Interval, proportion};
use crate::units::figure;

/// "9 of 12 unit-seasons failed (75 %, 95 % 43 to 95 %)".
fn share_words((failed, sound): (u64, u64)) -> String {
    let n = failed + sound;
    let interval = proportion(failed, n, CONFIDENCE).map_or_else(|_| String::new(), |i| interval_words(&i));
    format!("{failed} of {n} unit-seasons failed ({interval})")
}

/// "75 %, 95 % 43 to 95 %": estimate, confidence, bounds.
pub(crate) fn interval_words(i: &Interval) -> String {
    format!(
        "{}; {} % interval {} to {}",
        percent(i.estimate),
        figure(CONFIDENCE * 100.0, 0),
        percent(i.lower),
        percent(i.upper)
    )
}

pub(crate) fn percent(share: f64) -> String {
    let p = share * 100.0;
    if p > 0.0 && p < 1.0 { format!("{} %", figure(p, 1)) } else { format!("{} %", figure(p, 0)) }
}

/// "0.03", "less than 0.0001".
fn chance_words(p: f64) -> String {
    if p < 0.000_1 { "p below 0.0001".to_owned() } else { format!("p {}", figure(p, 4)) }
}

/// All sentences, the differences first.
pub(crate) fn findings(failures: &Failures) -> Vec<String> {
    if failures.unit_seasons == 0 {
        return Vec::new();
    }
    let mut out = vec![format!(
        "{} of {} unit-seasons (one thing out for one season) had a failure of their own; loose mounts, slack guys, \
         tripped outlets, wrong settings and missing things are not counted",
        failures.failed, failures.unit_seasons
    )];
    let tests = failures.verdicts.len();
    out.extend(failures.verdicts.iter().filter(|v| v.differ).map(|v| difference(v, tests)));
    let open = |v: &&Verdict| !v.differ;
    out.extend(
        failures
            .verdicts
            .iter()
            .filter(open)
            .filter(|v| v.names.iter().any(|(by, ..)| *by == By::IpClass || *by == By::Batch))
            .map(|v| cannot_tell(v, tests)),
    );
    let rest = failures.verdicts.iter().filter(open).filter(|v| !is_told(v)).count();
    if rest > 0 {
        out.push(format!(
            "for {rest} further comparisons of kinds, products, methods and places the data can't tell a difference"
        ));
    }
    if failures.beside > 0 {
        out.push(format!(
            "{} failures belong to things that were not out that season, as spares; they are in no rate",
            failures.beside
        ));
    }
    out
}

fn is_told(v: &Verdict) -> bool {
    v.differ || v.names.iter().any(|(by, ..)| *by == By::IpClass || *by == By::Batch)
}

fn sides(v: &Verdict) -> (String, String) {
    let Some((by, first, second)) = v.names.first() else { return (String::new(), String::new()) };
    let name = |by: By, name: &str| match by {
        _ if name == REST => REST.to_owned(),
        By::Batch => format!("batch {name}"),
        By::Method | By::Place => format!("{} {name}", by.word()),
        _ => name.to_owned(),
    };
    (name(*by, first), name(*by, second))
}

/// The other names that the very same things go by.
fn also(v: &Verdict) -> String {
    let others: Vec<String> = v
        .names
        .iter()
        .skip(1)
        .map(
            |(by, a, b)| {
                if b == REST { format!("{} {a}", by.word()) } else { format!("{} {a} and {b}", by.word()) }
            },
        )
        .collect();
    if others.is_empty() {
        String::new()
    } else {
        format!("; the same things are {}: which of these it is, can't be told", others.join(", "))
    }
}

fn within(v: &Verdict) -> String {
    v.within.as_ref().map_or_else(String::new, |k| format!("among {k}: "))
}

/// "; per pixel-hour 24.1 times as often (p below 0.0001)".
fn rate_words(v: &Verdict) -> String {
    let Some(r) = &v.rates else { return String::new() };
    let how = r
        .ratio
        .map_or_else(|| "the other had none".to_owned(), |x| format!("{} times as often", figure(x, 1)));
    let can = if r.differ { "" } else { ", which the data can't tell from equal" };
    format!("; per pixel-hour {how} ({}){can}", chance_words(r.adjusted))
}

fn difference(v: &Verdict, tests: usize) -> String {
    let (first, second) = sides(v);
    let share = |(x, n): (u64, u64)| x as f64 / (x + n).max(1) as f64;
    let (a, b) = (v.counts.0, v.counts.1);
    let more = if share(a) > share(b) { "more" } else { "less" };
    let tied = v.tied.as_ref().map_or_else(String::new, |t| format!("; {t}"));
    format!(
        "{}{first} fail {more} often than {second}: {} against {}; the data support a difference ({} after {tests} \
         comparisons){}{}{tied}",
        within(v),
        share_words(a),
        share_words(b),
        chance_words(v.adjusted),
        rate_words(v),
        also(v)
    )
}

fn cannot_tell(v: &Verdict, tests: usize) -> String {
    let (first, second) = sides(v);
    let tied = v.tied.as_ref().map_or_else(String::new, |t| format!("; {t}"));
    format!(
        "{}{first} against {second}: {} against {}; the data can't tell a difference ({} after {tests} comparisons){}\
         {tied}",
        within(v),
        share_words(v.counts.0),
        share_words(v.counts.1),
        chance_words(v.adjusted),
        also(v)
    )
}
