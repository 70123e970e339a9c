//! Seasons: what each took, planned against taken, and what the record says.

use crate::answers::Outlook;
use crate::answers::outdoors::light::lit_hours;
use crate::answers::record::history::record_view;
use crate::answers::record::{Corrections, corrections};
use crate::answers::view::{SeasonRow, Seasons};
use crate::domain::{Decision, Tick, TickKind};
use crate::units::Span;

/// A tick longer than this after its beginning is no measure of the work.
const LONGEST_MIN: i64 = 8 * 60;

/// Seasons with their work, durations by recipe step, and what the record says.
pub fn seasons_page(outlook: &Outlook) -> Seasons {
    let of = outlook.record_day();
    outlook.remembered.seasons.get(of, || seasons_of(outlook, of.0))
}

fn seasons_of(outlook: &Outlook, today: chrono::NaiveDate) -> Seasons {
    let corrections = corrections(outlook.yard);
    let mut rows: Vec<SeasonRow> = outlook
        .yard
        .seasons
        .iter()
        .map(|s| {
            let ticks: Vec<&Tick> = outlook
                .yard
                .ticks
                .iter()
                .filter(|t| t.season_id == Some(s.id) && t.kind == TickKind::Done)
                .collect();
            let lit = match (s.lights_on, s.lights_off) {
                (Some(a), Some(b)) => format!("{} to {}", a.format("%-d %b %Y"), b.format("%-d %b %Y")),
                (Some(a), None) => format!("from {}", a.format("%-d %b %Y")),
                _ => "not told".to_owned(),
            };
            let state = match (s.closed_on, s.lights_off, s.lights_on) {
                (Some(_), _, _) => "closed",
                (None, Some(off), _) if off < today => "over, not closed",
                (None, _, Some(on)) if on.date() <= today => "lit",
                _ => "planned",
            };
            SeasonRow {
                code: s.code.clone(),
                name: s.name.clone(),
                lit,
                hours: lit_hours(outlook, s),
                placements: outlook.yard.placements.iter().filter(|p| p.season_id == s.id).count(),
                steps_done: ticks.len(),
                planned_min: ticks.iter().filter_map(|t| t.planned_s).map(Span::minutes_up).sum(),
                taken_min: ticks.iter().filter_map(|t| taken_minutes(t, &corrections)).sum(),
                faults: outlook.yard.faults.iter().filter(|f| f.season_id == Some(s.id)).count(),
                state: state.to_owned(),
                differences: differences(outlook, &s.code),
            }
        })
        .collect();
    rows.sort_by(|a, b| b.code.cmp(&a.code));
    let lit = |code: &str| outlook.yard.seasons.iter().find(|s| s.code == code).and_then(|s| s.lights_on);
    rows.sort_by_key(|r| std::cmp::Reverse(lit(&r.code)));
    Seasons { rows, ..record_view(outlook) }
}

/// Minutes a tick took: corrected, recorded, or between its beginning and end.
fn taken_minutes(t: &Tick, corrections: &Corrections) -> Option<i64> {
    if let Some(corrected) = t.at_ms.and_then(|at| corrections.get(&(&*t.step_key, at))) {
        return corrected.map(Span::minutes_up);
    }
    let span = t.began_ms.zip(t.at_ms).map(|(a, b)| (b.0 - a.0) / 60_000);
    t.taken_s.map(Span::minutes_up).or(span).filter(|m| (0..=LONGEST_MIN).contains(m))
}

/// What was done differently in a season and is not decided on, one line each.
pub fn differences(outlook: &Outlook, season: &str) -> Vec<String> {
    let id = outlook.yard.seasons.iter().find(|s| s.code == season).map(|s| s.id);
    let yard = outlook.yard;
    let named = |id| yard.placements.iter().find(|p| p.id == id);
    yard.season_differences
        .iter()
        .filter(|d| Some(d.season_id) == id && d.decision == Decision::Open)
        .map(|d| {
            let name = d.placement_id.and_then(named).map_or("", |p| p.name.as_str());
            format!("{name}: {} {} instead of {}", d.what.as_str(), d.after_text, d.before_text)
        })
        .collect()
}
