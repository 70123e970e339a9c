//! The record written out, as text and as a document.

use std::fmt::Write as _;

use crate::answers::record::dark::dark_words;
use crate::answers::record::findings::{findings, interval_words, percent};
use crate::answers::record::groups::By;
use crate::answers::record::history::{History, rate_words};
use crate::exchange::json::{
    ComparisonDoc, CountRowDoc, DarkDoc, DurationDoc, GroupDoc, HistoryDoc, IntervalDoc, LastingDoc, RateDoc,
    SideDoc,
};
use crate::stats::Interval;
use crate::units::figure;

fn interval(i: &Interval) -> IntervalDoc {
    IntervalDoc { estimate: i.estimate, lower: i.lower, upper: i.upper }
}

pub(crate) fn document(h: &History) -> HistoryDoc {
    let groups = h
        .failures
        .groups
        .iter()
        .map(|g| GroupDoc {
            by: g.by.word().to_owned(),
            name: g.name.clone(),
            unit_seasons: g.units(),
            failed: g.failed,
            faults: g.faults,
            share: interval(&g.share),
            thousand_pixel_hours: g.pixel_hours.as_ref().map(|(t, _)| *t),
            per_thousand_pixel_hours: g.pixel_hours.as_ref().map(|(_, r)| interval(r)),
            shrunk_share: g.drawn.mean,
            weight_on_data: g.drawn.weight_on_data,
        })
        .collect();
    let side = |(failed, sound): (u64, u64)| SideDoc { failed, unit_seasons: failed + sound };
    let comparisons = h
        .failures
        .verdicts
        .iter()
        .map(|v| ComparisonDoc {
            by: v.names.iter().map(|(by, ..)| by.word().to_owned()).collect(),
            first: v.names.iter().map(|n| n.1.clone()).collect(),
            second: v.names.iter().map(|n| n.2.clone()).collect(),
            within: v.within.clone(),
            first_counts: side(v.counts.0),
            second_counts: side(v.counts.1),
            p: v.p,
            adjusted_p: v.adjusted,
            differ: v.differ,
            rate: v.rates.as_ref().map(|r| RateDoc {
                ratio: r.ratio,
                p: r.p,
                adjusted_p: r.adjusted,
                differ: r.differ,
            }),
            tied: v.tied.clone(),
        })
        .collect();
    HistoryDoc {
        confidence: crate::answers::record::CONFIDENCE,
        alpha: crate::answers::record::ALPHA,
        unit_seasons: h.failures.unit_seasons,
        failed: h.failures.failed,
        groups,
        comparisons,
        survival: h
            .failures
            .lasting
            .iter()
            .map(|l| LastingDoc {
                kind: l.name.clone(),
                season_of_use: l.season,
                without_failure: l.at.alive,
                lower: l.at.bounds.map(|b| b.0),
                upper: l.at.bounds.map(|b| b.1),
                pieces: l.at.at_risk_start,
            })
            .collect(),
        durations: h
            .durations
            .iter()
            .map(|d| DurationDoc {
                recipe_step: d.code.clone(),
                title: d.title.clone(),
                times: d.times,
                planned_minutes: tenth(d.planned_min),
                taken_minutes: tenth(d.taken_min),
                factor: d.factor,
                spread: d.spread,
                weight_on_record: d.weight_on_record,
            })
            .collect(),
        durations_left_out: h.left_out,
        faults_by_week: rows(&h.failures.weeks),
        faults_by_weather: rows(&h.failures.weather),
        dark: h
            .dark
            .iter()
            .map(|d| DarkDoc {
                season: d.season.clone(),
                placement: d.placement.clone(),
                name: d.name.clone(),
                nights: d.nights,
                minutes: d.dark.minutes_up(),
                why: d.why.clone(),
            })
            .collect(),
        findings: findings(&h.failures),
    }
}

fn rows<S: AsRef<str>>(list: &[(S, u64)]) -> Vec<CountRowDoc> {
    list.iter().map(|(w, n)| CountRowDoc { name: w.as_ref().to_owned(), faults: *n }).collect()
}

fn tenth(minutes: f64) -> f64 {
    (minutes * 10.0).round() / 10.0
}

/// How wide a bar of the whole is.
const BAR: usize = 20;

/// "..-##=====-....": the interval and, as `#`, the estimate.
fn bar(i: &Interval) -> String {
    let at = |x: f64| ((x * BAR as f64) as usize).min(BAR - 1);
    (0..BAR)
        .map(|c| match c {
            _ if c == at(i.estimate) => '#',
            _ if (at(i.lower)..=at(i.upper)).contains(&c) => '=',
            _ => '.',
        })
        .collect()
}

fn dark(out: &mut String, h: &History) {
    if !h.dark.is_empty() {
        out.push_str("\nTime dark\n");
    }
    for d in &h.dark {
        let _ = writeln!(out, "  - {}", dark_words(d));
    }
}

pub(crate) fn text(h: &History) -> String {
    if h.failures.unit_seasons == 0 {
        let mut out = "nothing was out for a season yet: the record says nothing\n".to_owned();
        dark(&mut out, h);
        return out;
    }
    let mut out = String::from("What the record says\n");
    for line in findings(&h.failures) {
        let _ = writeln!(out, "  - {line}");
    }
    for by in By::ALL {
        let list: Vec<_> = h.failures.groups.iter().filter(|g| g.by == by && g.failed > 0).collect();
        let sound = h.failures.groups.iter().filter(|g| g.by == by && g.failed == 0).count();
        if list.is_empty() {
            continue;
        }
        let _ =
            writeln!(out, "\nFailed unit-seasons by {}  (0 to 100 %; # share, = 95 % interval)", by.word());
        for g in list {
            let _ = write!(out, "  {:<32} [{}] {:>2} of {:<3}", g.name, bar(&g.share), g.failed, g.units());
            let _ = write!(out, " {}", interval_words(&g.share));
            let _ = write!(out, "; {}", rate_words(g));
            out.push('\n');
        }
        if sound > 0 {
            let _ = writeln!(out, "  {sound} more without a failure");
        }
    }
    if !h.failures.lasting.is_empty() {
        out.push_str("\nWithout a failure after so many seasons of use\n");
        for l in &h.failures.lasting {
            let bounds = l.at.bounds.map_or_else(
                || "interval not known".to_owned(),
                |(a, b)| format!("95 % interval {} to {}", percent(a), percent(b)),
            );
            let _ = writeln!(
                out,
                "  {:<32} {}: {} of {} pieces ({bounds})",
                l.name,
                l.season,
                percent(l.at.alive),
                l.at.at_risk_start
            );
        }
    }
    for (title, list) in [
        ("Faults by week of the season", h.failures.weeks.clone()),
        ("Faults by weather", h.failures.weather.iter().map(|(w, n)| ((*w).to_owned(), *n)).collect()),
    ] {
        if !list.is_empty() {
            let _ = writeln!(out, "\n{title}");
        }
        for (name, n) in list {
            let _ = writeln!(out, "  {name:<32} {} {n}", "#".repeat((n as usize).min(60)));
        }
    }
    dark(&mut out, h);
    if !h.durations.is_empty() {
        out.push_str("\nMinutes planned and taken; plans use the factor\n");
    }
    for d in &h.durations {
        let _ = writeln!(
            out,
            "  {:<60} {:>3} times, planned {}, taken {}, factor {}, record weighs {}",
            d.title,
            d.times,
            figure(d.planned_min, 0),
            figure(d.taken_min, 0),
            figure(d.factor, 2),
            percent(d.weight_on_record)
        );
    }
    if h.left_out > 0 {
        let _ = writeln!(out, "  {} doings left out as pauses or slips", h.left_out);
    }
    out
}
