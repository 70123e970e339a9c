//! Three plans to choose from: least of people's time, done early, a week ahead; with the evenings, moves and odds of each.

use crate::planner::{Odds, Plan, Prefer};
use crate::steps::State;

/// What an owner asks for by a word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wish {
    /// Finish first.
    Early,
    /// Least of people's time.
    Few,
    /// Best odds first.
    Calm,
}

/// All that a wish is chosen from.
pub(crate) const ALL: [Prefer; 3] = [Prefer::Few, Prefer::Early, Prefer::Ahead];

/// A plan to choose, with its odds.
pub(crate) struct Choice {
    pub(crate) prefer: Prefer,
    pub(crate) plan: Plan,
    pub(crate) odds: Option<Odds>,
}

impl Choice {
    pub(crate) const fn word(&self) -> &'static str {
        match self.prefer {
            Prefer::Few => "few",
            Prefer::Early => "early",
            Prefer::Ahead => "ahead",
        }
    }

    /// Sessions in which work is still to be done.
    pub(crate) fn sessions(&self) -> usize {
        let open = self.plan.steps.iter().filter(|p| p.state == State::Open);
        open.filter_map(|p| p.session).collect::<std::collections::BTreeSet<_>>().len()
    }

    pub(crate) fn given(&self) -> i64 {
        self.plan.goals.iter().find(|g| g.name == "given_minutes").map_or(0, |g| g.value)
    }

    fn in_time(&self) -> f64 {
        self.odds.as_ref().map_or(0.0, |o| o.in_time)
    }
}

/// The one with the best odds; of those alike the one that takes least of people's time.
pub(crate) fn calmest(all: &[Choice]) -> Option<usize> {
    let better =
        |a: &Choice, b: &Choice| a.in_time().total_cmp(&b.in_time()).then_with(|| b.given().cmp(&a.given()));
    (0..all.len())
        .max_by(|a, b| all.get(*a).zip(all.get(*b)).map_or(std::cmp::Ordering::Equal, |(a, b)| better(a, b)))
}
