//! Seasons: what each took, planned against taken, and what the record says.

use crate::app::owner::App;
use crate::app::record::{Corrections, corrections};
use crate::app::view::{SeasonRow, Seasons};
use crate::domain::{Tick, TickKind};
use crate::units::Span;

/// A tick longer than this after its beginning is no measure of the work.
const LONGEST_MIN: i64 = 8 * 60;

impl App {
    /// Seasons with their work, durations by recipe step, and what the record says.
    pub fn seasons_page(&self) -> Seasons {
        let today = self.record_day();
        if let Some((_, page)) = self.known.seasons.borrow().as_ref().filter(|(day, _)| *day == today) {
            return page.clone();
        }
        let page = self.seasons_of(today.0);
        self.known.seasons.replace(Some((today, page.clone())));
        page
    }

    fn seasons_of(&self, today: chrono::NaiveDate) -> Seasons {
        let corrections = corrections(&self.yard);
        let mut rows: Vec<SeasonRow> = self
            .yard
            .seasons
            .iter()
            .map(|s| {
                let ticks: Vec<&Tick> = self
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
                    hours: self.lit_hours(s),
                    placements: self.yard.placements.iter().filter(|p| p.season_id == s.id).count(),
                    steps_done: ticks.len(),
                    planned_min: ticks.iter().filter_map(|t| t.planned_s).map(Span::minutes_up).sum(),
                    taken_min: ticks.iter().filter_map(|t| taken_minutes(t, &corrections)).sum(),
                    faults: self.yard.faults.iter().filter(|f| f.season_id == Some(s.id)).count(),
                    state: state.to_owned(),
                    differences: self.differences(&s.code),
                }
            })
            .collect();
        rows.sort_by(|a, b| b.code.cmp(&a.code));
        let lit = |code: &str| self.yard.seasons.iter().find(|s| s.code == code).and_then(|s| s.lights_on);
        rows.sort_by_key(|r| std::cmp::Reverse(lit(&r.code)));
        Seasons { rows, ..self.record_view() }
    }
}

/// Minutes a tick took: corrected, recorded, or between its beginning and end.
fn taken_minutes(t: &Tick, corrections: &Corrections) -> Option<i64> {
    if let Some(corrected) = t.at_ms.and_then(|at| corrections.get(&(&*t.step_key, at))) {
        return corrected.map(Span::minutes_up);
    }
    let span = t.began_ms.zip(t.at_ms).map(|(a, b)| (b.0 - a.0) / 60_000);
    t.taken_s.map(Span::minutes_up).or(span).filter(|m| (0..=LONGEST_MIN).contains(m))
}
