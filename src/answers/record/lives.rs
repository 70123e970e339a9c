//! How long pieces last, and when and in what weather faults come.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDateTime};

use crate::answers::record::CONFIDENCE;
use crate::answers::record::groups::{By, Group};
use crate::answers::record::units::{UnitSeason, own_failure, season_of};
use crate::domain::PieceId;
use crate::stats::{Survival, UnitLife, kaplan_meier};
use crate::steps::Facts;

/// The share of a kind's pieces that had no failure up to a season of use.
#[derive(Debug, Clone)]
pub(crate) struct Lasting {
    pub name: String,
    /// First, second … season of use.
    pub season: u64,
    pub at: Survival,
}

/// For each kind with a failure: the share without one after each season of use. Only labelled pieces have a life.
pub(crate) fn lasting(units: &[UnitSeason], groups: &[Group]) -> Vec<Lasting> {
    let mut out = Vec::new();
    for g in groups.iter().filter(|g| g.by == By::Kind && g.failed > 0) {
        let mut seasons: BTreeMap<PieceId, (u64, bool)> = BTreeMap::new();
        // Unit-seasons are in the order of their seasons.
        for unit in g.members.iter().filter_map(|m| units.get(*m)) {
            let Some(piece) = unit.piece else { continue };
            let life = seasons.entry(piece.id).or_insert((0, false));
            if !life.1 {
                *life = (life.0 + 1, unit.faults > 0);
            }
        }
        let lives: Vec<UnitLife> =
            seasons.values().map(|(n, failed)| UnitLife { time: *n as f64, failed: *failed }).collect();
        let longest = seasons.values().map(|l| l.0).max().unwrap_or(0);
        for season in 1..=longest {
            if let Ok(at) = kaplan_meier(&lives, season as f64, CONFIDENCE) {
                out.push(Lasting { name: g.name.clone(), season, at });
            }
        }
    }
    out
}

/// Faults by the week of their season: "before it is lit", "week 1" …, "after it".
pub(crate) fn by_week(facts: &Facts, zone: chrono_tz::Tz) -> Vec<(String, u64)> {
    let mut weeks: BTreeMap<i64, u64> = BTreeMap::new();
    for fault in &facts.yard.faults {
        let season = season_of(facts, fault).and_then(|s| facts.season(s));
        let Some((on, season)) = season.and_then(|s| Some((s.lights_on?, s))) else { continue };
        let Some(found) = found_at(fault.found_ms.0, zone) else { continue };
        let week = if found < on {
            0
        } else if season.lights_off.is_some_and(|off| found.date() > off) {
            i64::MAX
        } else {
            (found.date() - on.date()).num_days() / 7 + 1
        };
        *weeks.entry(week).or_default() += 1;
    }
    let word = |week: i64| match week {
        0 => "before it is lit".to_owned(),
        i64::MAX => "after it".to_owned(),
        n => format!("week {n}"),
    };
    weeks.into_iter().map(|(w, n)| (word(w), n)).collect()
}

/// Faults by the weather they were found in.
pub(crate) fn by_weather(facts: &Facts) -> Vec<(&'static str, u64)> {
    const WORDS: [(&str, &[&str]); 3] = [
        ("wet", &["rain", "sleet", "snow", "fog", "wet", "damp"]),
        ("ice or frost", &["ice", "frost", "frozen"]),
        ("wind", &["gust", "wind", "storm"]),
    ];
    let mut count: BTreeMap<&str, u64> = BTreeMap::new();
    for fault in facts.yard.faults.iter().filter(|f| own_failure(facts, f)) {
        let text = fault.weather.to_lowercase();
        let found = WORDS.iter().find(|(_, words)| words.iter().any(|w| text.contains(w)));
        let word = match found {
            Some((word, _)) => word,
            None if text.trim().is_empty() => "not told",
            None => "other",
        };
        *count.entry(word).or_default() += 1;
    }
    let mut list: Vec<_> = count.into_iter().collect();
    list.sort_by_key(|(w, n)| (std::cmp::Reverse(*n), *w));
    list
}

fn found_at(ms: i64, zone: chrono_tz::Tz) -> Option<NaiveDateTime> {
    Some(DateTime::from_timestamp_millis(ms)?.with_timezone(&zone).naive_local())
}
