//! What is not to be done yet, whatever comes before it: its day is still to come, or a lit show has its pieces.

use chrono::NaiveDateTime;

use crate::answers::Outlook;
use crate::domain::SeasonId;
use crate::planner::LitShows;
use crate::steps::{Facts, State, Step, StepKey};

/// "it dries before it is packed: until Sun 10 Jan 2027 10:00 at the earliest", while what was done before still dries
/// or cures.
pub(crate) fn waits_until(outlook: &Outlook, before: &StepKey, wait_min: i64, why: &str) -> Option<String> {
    let progress = outlook.progress();
    let done = progress.get(before).filter(|p| p.state == State::Done && wait_min > 0)?.to?;
    let until = done.0 + wait_min * 60_000;
    (until > outlook.now_ms()).then(|| format!("{why}: until {} at the earliest", outlook.say_ms(until)))
}

/// Asked for one season at the moment of the outlook.
pub(crate) struct NotYet<'a> {
    lit: LitShows<'a>,
    now: NaiveDateTime,
}

impl<'a> NotYet<'a> {
    pub(crate) fn of(outlook: &Outlook, facts: &'a Facts<'a>, season: SeasonId) -> Self {
        let now = outlook.local_now();
        Self { lit: LitShows::new(facts, season, now), now }
    }

    /// "not before Sun 1 Nov 2026", "Glow is lit until Sun 1 Nov 2026 00:00".
    pub(crate) fn why(&self, step: &Step) -> Option<String> {
        if let Some(day) = step.not_before.filter(|t| *t > self.now) {
            return Some(format!("not before {}", day.format("%a %-d %b %Y")));
        }
        let (until, show) = self.lit.keeps(step, self.now)?;
        Some(format!("{show} is lit until {}", until.format("%a %-d %b %Y %H:%M")))
    }
}
