//! What a plan is asked for: of what, how far the search goes, and what people expect already.

use std::hash::{DefaultHasher, Hash, Hasher};

use chrono::{DateTime, Utc};

use super::plan::SetUpMinutes;
use crate::domain::{Phase, Season};
use crate::steps::{Derived, Facts, StepKey};

/// Minutes to go to another place where the site does not tell.
const ASSUMED_PLACE_MINUTES: i64 = 5;
/// Minutes to set up a ladder where the site does not tell.
const ASSUMED_LADDER_MINUTES: i64 = 10;

/// Minutes that a session costs in which anything is done: fetching, opening, tidying up (common practice, no published
/// source).
const SESSION_MINUTES: i64 = 30;

/// Tests side by side at the bench where the site does not tell (common practice, no published source).
pub(super) const BENCH_TESTS: i64 = 4;

/// Answers of earlier searches. The key is made of all that a search is given and of nothing else, so what is known is
/// what would be found again.
pub trait Known: Sync {
    fn get(&self, key: u128) -> Option<Vec<i64>>;
    fn put(&self, key: u128, answer: Vec<i64>);
}

/// A number for all that a search is given.
pub(super) fn key_of(given: &impl Hash) -> u128 {
    let half = |salt: u8| {
        let mut hasher = DefaultHasher::new();
        (salt, given).hash(&mut hasher);
        u128::from(hasher.finish())
    };
    half(0) << 64 | half(1)
}

/// What an owner prefers, once worth, steps left out and days over are what they can be.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Prefer {
    /// Least of people's time: few evenings, few climbs, little waiting.
    #[default]
    Few,
    /// Done early.
    Early,
    /// Few, a week before it has to be.
    Ahead,
}

/// Days by which [`Prefer::Ahead`] is ahead.
pub(super) const AHEAD_DAYS: i32 = 7;

/// How far the search goes.
#[derive(Clone, Copy)]
pub struct Effort<'a> {
    /// Forward and backward passes.
    pub schedules: u64,
    /// Asked now and then; true ends the search with the best so far, and the plan says `time`.
    pub stop: &'a (dyn Fn() -> bool + Sync),
    /// Told the schedules made so far.
    pub progress: &'a (dyn Fn(u64) + Sync),
    /// What was found before, where it is kept.
    pub known: Option<&'a dyn Known>,
    pub prefer: Prefer,
}

impl Effort<'_> {
    /// So many schedules, without a stop, and nothing kept.
    pub fn of(schedules: u64) -> Self {
        Self { schedules, stop: &|| false, progress: &|_| (), known: None, prefer: Prefer::Few }
    }
}

/// What is planned.
pub struct Request<'a> {
    pub facts: &'a Facts<'a>,
    pub derived: &'a Derived,
    pub season: &'a Season,
    pub phase: Phase,
    pub now: DateTime<Utc>,
    pub seed: u64,
    /// Keys in the order that people expect, where a plan was kept.
    pub kept: &'a [StepKey],
}

impl Request<'_> {
    pub(super) fn setup(&self) -> SetUpMinutes {
        let site = self.facts.yard.sites.first();
        SetUpMinutes {
            place: site.and_then(|s| s.place_minutes).unwrap_or(ASSUMED_PLACE_MINUTES),
            ladder: site.and_then(|s| s.ladder_minutes).unwrap_or(ASSUMED_LADDER_MINUTES),
            session: site.and_then(|s| s.session_minutes).unwrap_or(SESSION_MINUTES),
            indoors_breaks: true,
        }
    }
}

/// A step of a plan that was kept: when it is expected to begin, and by whom.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Expected {
    pub key: StepKey,
    pub from: DateTime<Utc>,
    pub people: Vec<String>,
}
