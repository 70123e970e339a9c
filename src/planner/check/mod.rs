//! Judges a finished plan from the plan and the facts alone.
//!
//! [`check`] answers with every breach: a code, the step (or session, person, tool) it is about, and the figures.
//! `given` looks at what the plan says of the facts, `shape` at the list of steps, `cautions` at what must be said on
//! a step, `time` at when each step lies, `hands` at who and what does it, `load` at what is taken twice, `moves` at
//! the minutes and counts of moving, `ends` at finish, bounds and lateness. `order`, `placed`, `firsts`, `rounds`, `running` and
//! `climbs` read the order of the steps from the facts once more, so that a rule that was forgotten is seen; `lit` at what another show keeps.
//!
//! Not here: anything that makes a plan. No code is shared with `map`, `make`, `order` or `engine`, so that one
//! mistake is not made on both sides.

mod cautions;
mod climbs;
mod ends;
mod firsts;
mod given;
mod hands;
mod lit;
mod load;
mod moves;
mod order;
mod placed;
mod rounds;
mod running;
mod shape;
mod time;

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, NaiveDateTime, TimeZone, Utc};
use chrono_tz::Tz;

use super::{Plan, PlannedStep};
use crate::domain::{Phase, Season};
use crate::steps::{Derived, Facts, Role, State, StepKey};

/// One thing that is wrong with a plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Breach {
    /// Stable, as `too_soon`.
    pub code: &'static str,
    /// The step's key, or the name of a session, person or tool; empty where it is about the plan as a whole.
    pub key: String,
    /// In words, with the figures.
    pub what: String,
}

/// Everything that is wrong with `plan`, made from these facts at `now`; nothing where it holds.
pub fn check(
    plan: &Plan,
    facts: &Facts,
    derived: &Derived,
    season: &Season,
    now: DateTime<Utc>,
) -> Vec<Breach> {
    let view = View {
        plan,
        facts,
        derived,
        season,
        now,
        steps: plan.steps.iter().map(|p| (&p.step.key, p)).collect(),
        again: BTreeSet::new(),
    };
    let mut again = rounds::begun_again(&view);
    again.extend(running::started_again(&view));
    let view = View { again, ..view };
    let mut found = Found::default();
    given::look(&view, &mut found);
    shape::look(&view, &mut found);
    cautions::look(&view, &mut found);
    let steps = order::Steps::new(&view);
    order::look(&view, &steps, &mut found);
    placed::look(&view, &steps, &mut found);
    firsts::look(&view, &steps, &mut found);
    rounds::look(&view, &steps, &mut found);
    running::look(&view, &mut found);
    if plan.told.sessions {
        time::look(&view, &mut found);
        hands::look(&view, &mut found);
        load::look(&view, &mut found);
        moves::look(&view, &mut found);
        ends::look(&view, &mut found);
        climbs::look(&view, &steps, &mut found);
        lit::look(&view, &mut found);
    } else {
        shape::look_undated(&view, &mut found);
    }
    found.0
}

/// The plan with what it was made from.
struct View<'a> {
    plan: &'a Plan,
    facts: &'a Facts<'a>,
    derived: &'a Derived,
    season: &'a Season,
    now: DateTime<Utc>,
    steps: BTreeMap<&'a StepKey, &'a PlannedStep>,
    /// Steps of rounds that were left between off and on, and starts of tests that nobody looked at: due again,
    /// whatever was ticked.
    again: BTreeSet<&'a StepKey>,
}

/// An order edge in force, skipped steps bridged.
struct Before<'a> {
    step: &'a PlannedStep,
    wait_min: i64,
    within_min: Option<i64>,
    same_day: bool,
    watched: bool,
}

impl<'a> View<'a> {
    /// Open steps that have a time.
    fn placed(&self) -> impl Iterator<Item = (&'a PlannedStep, DateTime<Utc>, DateTime<Utc>)> {
        self.plan
            .steps
            .iter()
            .filter(|p| p.state == State::Open)
            .filter_map(|p| p.from.zip(p.to).map(|(from, to)| (p, from, to)))
    }

    /// Whether the plan leaves out the prop whose step it is; making its mount is work for years to come.
    fn leaves_out(&self, step: &crate::steps::Step) -> bool {
        let built = matches!(step.phase, Phase::Up | Phase::Bench) && step.role == Role::Work;
        let mount = step.key.as_str().starts_with("mount:");
        let open = self.steps.get(&step.key).is_some_and(|p| p.state == State::Open);
        open && built && !mount && step.placement.is_some_and(|p| self.plan.left_out.contains(&p))
    }

    /// What comes before a step. The edges of a skipped step stand in for it, its own wait falls away.
    fn before(&self, p: &'a PlannedStep) -> Vec<Before<'a>> {
        let mut all = Vec::new();
        let mut seen: Vec<&StepKey> = vec![&p.step.key];
        let mut todo = vec![p];
        while let Some(at) = todo.pop() {
            for edge in &at.after {
                let Some(step) = self.steps.get(&edge.key).copied() else { continue };
                if step.state != State::Skipped {
                    all.push(Before {
                        step,
                        wait_min: edge.wait_min,
                        within_min: edge.within_min,
                        same_day: edge.same_day,
                        watched: edge.watched,
                    });
                } else if !seen.contains(&&edge.key) {
                    seen.push(&edge.key);
                    todo.push(step);
                }
            }
        }
        all
    }
}

#[derive(Default)]
struct Found(Vec<Breach>);

impl Found {
    fn say(&mut self, code: &'static str, key: impl ToString, what: impl Into<String>) {
        self.0.push(Breach { code, key: key.to_string(), what: what.into() });
    }
}

/// A date of the season as a moment: the earlier reading where it comes twice, and where the clocks are put forward
/// over it, the first half hour after it that exists.
fn moment(zone: Tz, local: NaiveDateTime) -> Option<DateTime<Utc>> {
    (0..8)
        .map(|n| local + chrono::Duration::minutes(30 * n))
        .find_map(|t| zone.from_local_datetime(&t).earliest())
        .map(|t| t.with_timezone(&Utc))
}
