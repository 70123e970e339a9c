//! A finished plan in the yard's terms.

use std::collections::{BTreeSet, HashMap};
use std::sync::{Arc, OnceLock};

use chrono::{DateTime, Utc};

use super::calendar::SessionSpan;
use super::refusal::Refusal;
use super::resources::EquipmentUnit;
use crate::domain::{BoxMode, Phase, PieceId, PlacementId};
use crate::steps::{Reason, State, Step, StepKey};

/// Which tables hold something.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Told {
    pub sessions: bool,
    pub people: bool,
    pub equipment: bool,
}

/// A goal with its value and what no plan can better, in its own unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct GoalRow {
    pub name: &'static str,
    pub value: i64,
    pub bound: i64,
}

#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Moves {
    pub ladder: usize,
    pub place: usize,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SetUpMinutes {
    pub place: i64,
    pub ladder: i64,
    /// What a session used costs besides: fetching, opening, tidying up.
    pub session: i64,
    /// Coming out again from desk or bench is a change of place.
    pub indoors_breaks: bool,
}

/// An order edge with the wait in force at the planned time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AfterEdge {
    pub key: StepKey,
    pub wait_min: i64,
    pub within_min: Option<i64>,
    pub same_day: bool,
    /// A test runs until then: in the same session, with somebody there.
    pub watched: bool,
    pub reason: Reason,
    pub why: String,
}

/// A step with what the plan says of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlannedStep {
    pub step: Arc<Step>,
    pub state: State,
    /// How many are done, where it has a count.
    pub done: i64,
    pub why: String,
    pub after: Vec<AfterEdge>,
    /// Minutes left; the whole of it where done; of the part alone where only a part is planned.
    pub minutes: i64,
    /// How many of its pieces are planned where no session has room for all that are left; the rest is planned once
    /// these are counted.
    pub part: Option<i64>,
    pub setup_minutes: i64,
    /// Index into [`Plan::sessions`].
    pub session: Option<usize>,
    pub from: Option<DateTime<Utc>>,
    pub to: Option<DateTime<Utc>>,
    /// It can't begin earlier, nor end later without losing worth, a step or a day, whatever the others do; of what is
    /// placed, where known.
    pub earliest: Option<DateTime<Utc>>,
    pub latest: Option<DateTime<Utc>>,
    pub people: Vec<String>,
    /// Name and count; ladders by their very name.
    pub equipment: Vec<(String, i64)>,
    pub box_mode: Option<(PieceId, BoxMode)>,
    pub order: usize,
    pub late: bool,
    /// On the chain that decides the finish.
    pub critical: bool,
}

impl PlannedStep {
    /// Minutes that are left of the whole step, whatever part of it is planned.
    pub fn minutes_left(&self) -> i64 {
        match (self.part, self.step.of) {
            (Some(_), Some(of)) => minutes_of(&self.step, of - self.done, of),
            _ => self.minutes,
        }
    }
}

/// Minutes of so many of the `of` pieces of a step, a begun one counted whole.
pub(super) fn minutes_of(step: &Step, pieces: i64, of: i64) -> i64 {
    if of > 0 { (step.minutes() * pieces + of - 1) / of } else { step.minutes() }
}

/// The plan of one phase.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plan {
    pub season: String,
    pub phase: Phase,
    pub zone: chrono_tz::Tz,
    pub now: DateTime<Utc>,
    pub lights_on: Option<DateTime<Utc>>,
    pub rehearsal: Option<DateTime<Utc>>,
    pub finish: Option<DateTime<Utc>>,
    pub finish_lower_bound: Option<DateTime<Utc>>,
    pub seed: u64,
    /// `schedules`, `bound` or `time`.
    pub stopped_by: &'static str,
    pub schedules: u64,
    pub told: Told,
    pub goals: Vec<GoalRow>,
    pub proven: bool,
    pub moves: Moves,
    pub setup: SetUpMinutes,
    pub sessions: Vec<SessionSpan>,
    pub equipment: Vec<EquipmentUnit>,
    pub steps: Vec<PlannedStep>,
    pub unplaced: Vec<Refusal>,
    /// What can't be ready in time and would keep others waiting: planned without it.
    pub left_out: BTreeSet<PlacementId>,
    /// One line a kind of thing assumed.
    pub assumed: Vec<String>,
    /// Faults of sessions that were left out.
    pub faults: Vec<String>,
    /// Looked up from the first question on: of a finished plan no step comes, goes or moves.
    pub(super) lookup: Lookup,
}

/// Where the steps of a plan stand. Two plans are the same by their steps, whoever has asked for them.
#[derive(Debug, Default)]
pub(super) struct Lookup(OnceLock<Standing>);

#[derive(Debug)]
struct Standing {
    at: HashMap<StepKey, usize>,
    before: Vec<Vec<usize>>,
}

impl Clone for Lookup {
    /// A copy may be changed, and finds its steps itself.
    fn clone(&self) -> Self {
        Self::default()
    }
}

impl PartialEq for Lookup {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

impl Eq for Lookup {}

impl Plan {
    pub fn step(&self, key: &StepKey) -> Option<&PlannedStep> {
        self.steps.get(self.at(key.as_str())?)
    }

    /// Where a step stands in [`Plan::steps`].
    pub(crate) fn at(&self, key: &str) -> Option<usize> {
        self.standing().at.get(key).copied()
    }

    /// What each step waits for, in the order of the steps; what is no step of this plan is waited for no more.
    pub(crate) fn before(&self) -> &[Vec<usize>] {
        &self.standing().before
    }

    fn standing(&self) -> &Standing {
        self.lookup.0.get_or_init(|| {
            let at: HashMap<StepKey, usize> =
                self.steps.iter().map(|p| p.step.key.clone()).zip(0..).collect();
            let before =
                |p: &PlannedStep| p.after.iter().filter_map(|e| at.get(e.key.as_str()).copied()).collect();
            let before = self.steps.iter().map(before).collect();
            Standing { at, before }
        })
    }

    /// Minutes of people planned in a session, moving among them.
    pub fn load_minutes(&self, session: usize) -> i64 {
        let here = self.steps.iter().filter(|p| p.session == Some(session) && p.state == State::Open);
        here.map(|p| (p.minutes + p.setup_minutes) * p.step.hands).sum()
    }

    /// Minutes for which people are there in a session from now on.
    pub fn room_minutes(&self, session: usize) -> i64 {
        let people = self.sessions.get(session).map_or(&[][..], |s| s.people.as_slice());
        people.iter().map(|p| (p.to - p.from.max(self.now)).num_minutes().max(0)).sum()
    }
}
