//! Whether the date holds: many runs of the plan, in which steps take longer or shorter and sessions are lost.
//!
//! `chances` are what may happen, `frame` is what all runs share, `run` is one run with `fits` for what can be
//! begun, `rounds` for what is done in one session or begun again, and `hands` for who does it, `risks` says what the late runs have in common. Each run has its own random figures
//! by number and key, so the answer is the same whatever the threads.
//!
//! Not here: learning durations from the record (`stats`), making plans (`make`).

mod begin;
mod chances;
mod difference;
mod fits;
mod frame;
mod hands;
mod looks;
mod risks;
mod rounds;
mod run;

use std::collections::BTreeSet;

use chrono::{DateTime, Duration, Utc};
use rayon::prelude::*;

pub use chances::{Chances, Guess, LOST_BY_MONTH};
pub use difference::Difference;
pub use risks::Risk;

use self::chances::Draw;
use self::frame::Frame;
use self::run::{Outcome, Run};
use super::ask::Request;
use super::engine::Time;
use super::plan::Plan;
use crate::domain::PlacementId;

/// Runs where nobody asks for another number.
pub const RUNS: u32 = 1000;

/// What the odds are asked for.
pub struct OddsRequest<'a, 'r> {
    pub request: &'r Request<'a>,
    /// The plan that is weighed: its sessions, its dates, what it could not place.
    pub plan: &'r Plan,
    /// The plan whose order people follow, and whom it names: mostly the same one.
    pub followed: &'r Plan,
    pub chances: &'r Chances,
    pub runs: u32,
    /// Placements left out.
    pub without: &'r BTreeSet<PlacementId>,
}

/// How sure the date is.
#[derive(Debug, Clone, PartialEq)]
pub struct Odds {
    pub runs: u32,
    /// Share of the runs, 0 to 1, in which all work is done and the rehearsal held before lights on.
    pub in_time: f64,
    /// Of `in_time`: how far another thousand runs may lie from these by chance alone.
    pub standard_error: f64,
    /// Which runs were in time: two sides of a what-if are compared run by run.
    pub runs_in_time: Vec<bool>,
    /// Chance from 0 to 1 that a session is lost, January to December.
    pub lost: Vec<f64>,
    /// The end of the work that 50, 80 and 95 of 100 runs meet; nothing where it is not met by the last session.
    pub p50: Option<DateTime<Utc>>,
    pub p80: Option<DateTime<Utc>>,
    pub p95: Option<DateTime<Utc>>,
    /// Share of the runs whose work is not done by the last session.
    pub never: f64,
    pub last_session: Option<DateTime<Utc>>,
    /// The strongest first, at most five.
    pub risks: Vec<Risk>,
    /// Steps held back or left out, which don't count.
    pub not_counted: usize,
    /// Where the chances come from.
    pub basis: Vec<String>,
    /// The same of the first runs where people follow other plans of the yard, for each of them: what a what-if weighs the
    /// chance of the plan by.
    pub others: Vec<Vec<bool>>,
    /// Room that was added stays unused here: with it the runs, which decide as the work goes on, were less sure.
    pub unused: bool,
}

/// The odds of a plan; nothing where no sessions or no lights on are told.
pub fn odds(ask: &OddsRequest) -> Option<Odds> {
    let frame = Frame::new(ask)?;
    let outcomes = outcomes(&frame, ask.request.seed, ask.runs);
    let mut ends: Vec<Option<Time>> = outcomes.iter().map(|o| o.finish).collect();
    // What is never done comes last.
    ends.sort_unstable_by_key(|t| (t.is_none(), *t));
    let moment = |t: Time| frame.origin + Duration::minutes(i64::from(t));
    let share = |n: usize| n as f64 / f64::from(ask.runs.max(1));
    let at = |percent: usize| {
        let rank = (ends.len() * percent).div_ceil(100).max(1);
        ends.get(rank - 1).copied().flatten().map(moment)
    };
    Some(Odds {
        runs: ask.runs,
        in_time: share(outcomes.iter().filter(|o| o.in_time).count()),
        standard_error: standard_error(outcomes.iter().filter(|o| o.in_time).count(), outcomes.len()),
        runs_in_time: outcomes.iter().map(|o| o.in_time).collect(),
        lost: ask.chances.lost.to_vec(),
        p50: at(50),
        p80: at(80),
        p95: at(95),
        never: share(ends.iter().filter(|t| t.is_none()).count()),
        last_session: ask.plan.sessions.iter().map(|s| s.to).max(),
        risks: risks::risks(&frame, ask.plan, ask.request.seed, &outcomes),
        not_counted: frame.not_counted,
        basis: ask.chances.basis.clone(),
        others: Vec::new(),
        unused: false,
    })
}

/// Of a share of `n` runs: two more of each kind, so that it is never nothing (A. Agresti, B. A. Coull, "Approximate is
/// better than exact for interval estimation of binomial proportions", The American Statistician 52 (1998) 119-126).
fn standard_error(hits: usize, n: usize) -> f64 {
    let n = n as f64 + 4.0;
    let p = (hits as f64 + 2.0) / n;
    (p * (1.0 - p) / n).sqrt()
}

/// Which runs are in time, and nothing else.
pub fn runs_in_time(ask: &OddsRequest) -> Option<Vec<bool>> {
    let frame = Frame::new(ask)?;
    Some(outcomes(&frame, ask.request.seed, ask.runs).iter().map(|o| o.in_time).collect())
}

/// The outcome of each run, in their order.
fn outcomes(frame: &Frame, seed: u64, runs: u32) -> Vec<Outcome> {
    (0..runs)
        .into_par_iter()
        .map_init(|| Run::new(frame), |run, n| run.go(Draw { seed, run: u64::from(n) }))
        .collect()
}
