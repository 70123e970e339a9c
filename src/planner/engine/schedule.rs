//! What comes out: starts, who and what does it, what is left out and why, goals with bounds.

use super::problem::Time;

/// Where an activity was put.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Placed {
    pub start: Time,
    pub end: Time,
    /// Minutes of moving right before `start`.
    pub setup: Time,
    pub session: Option<u32>,
    /// Sorted.
    pub workers: Vec<usize>,
    /// One unit for each of the activity's tool needs, in that order.
    pub units: Vec<usize>,
}

/// What keeps an activity from being placed: the constraint that was met last on the way to a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reason {
    /// The caller holds it back.
    Held,
    /// It and others wait for each other.
    Circle,
    /// This activity before it is not placed.
    PredecessorUnplaced(usize),
    /// No window of its calendar at all.
    NoWindow,
    /// The longest window still to come is shorter than the activity with its set-up.
    NoWindowLongEnough { longest: Time, needed: Time },
    /// The windows left after its predecessors, waits and release are over: nothing comes after this time.
    TooLate { earliest: Time },
    /// Its own deadline passes first.
    Deadline { deadline: Time, earliest: Time },
    /// The latest start after this predecessor (or its day) passes first.
    Within(usize),
    /// Never as many workers present at once.
    Hands { needed: u32, most: u32 },
    /// Nobody present in its windows has this skill bit.
    Skill { bit: u32 },
    /// Its hands ask for more than those present at once have between them.
    Needs,
    /// Never two present at once in its windows.
    Alone,
    /// This tool need has no unit.
    NoTool { need: usize },
    /// This resource never has enough.
    Capacity { resource: usize, needed: i32, most: i32 },
    /// Workers, tools, modes or resources are taken by other work in every window that is left.
    Taken,
}

/// One activity that was left out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unplaced {
    pub activity: usize,
    pub reason: Reason,
}

/// One goal: its value and what no schedule can better.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Goal {
    pub value: i64,
    pub bound: i64,
}

/// The goals in their order; all but `worth` are to be small.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Goals {
    /// Worth of groups that are ready by the due time.
    pub worth: Goal,
    /// Activities left out.
    pub unplaced: Goal,
    /// Days by which the finish passes the comfort time.
    pub days_over: Goal,
    /// Minutes that people give besides the work: set-up, waiting, and what each session used costs.
    pub given: Goal,
    /// End of the last activity that counts as work.
    pub finish: Goal,
}

impl Goals {
    /// Every value meets its bound.
    pub fn proven(&self) -> bool {
        [self.worth, self.unplaced, self.days_over, self.given, self.finish]
            .iter()
            .all(|g| g.value == g.bound)
    }

    /// Smaller is better, in the order of the goals.
    pub fn row(&self) -> [i64; 5] {
        [-self.worth.value, self.unplaced.value, self.days_over.value, self.given.value, self.finish.value]
    }

    /// As [`Goals::row`], as a search ranks them.
    pub fn ranked(&self, finish_first: bool) -> [i64; 5] {
        let [worth, unplaced, days, given, finish] = self.row();
        if finish_first {
            [worth, unplaced, days, finish, given]
        } else {
            [worth, unplaced, days, given, finish]
        }
    }
}

/// What ended the search.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum StoppedBy {
    /// Its share of schedules is used up.
    #[default]
    Schedules,
    /// Every goal met its bound.
    Bound,
    /// The caller's stop: a time cap or a key.
    Stop,
}

/// The best schedule found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Solution {
    /// One entry an activity; `None`: left out, see `unplaced`.
    pub placed: Vec<Option<Placed>>,
    pub unplaced: Vec<Unplaced>,
    pub goals: Goals,
    /// Forward and backward passes made.
    pub schedules: u64,
    pub stopped_by: StoppedBy,
}

/// How far to go.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Limits {
    /// Forward and backward passes in total, over all islands.
    pub schedules: u64,
    pub seed: u64,
}

/// Told while the search runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    pub schedules: u64,
    pub of: u64,
    pub goals: Goals,
}

/// What no schedule of a problem can better, goal by goal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bound(pub(super) [i64; 5]);

impl Bound {
    /// Worth lost, left out, days over, given, finish (the last two the other way round where the finish comes first).
    pub const fn row(&self) -> [i64; 5] {
        self.0
    }
}

/// The caller's side of a run.
#[derive(Clone, Copy)]
pub struct Control<'a> {
    /// Asked at fixed schedule counts; `true` ends the search with the best so far.
    pub stop: &'a (dyn Fn() -> bool + Sync),
    pub progress: &'a (dyn Fn(Progress) + Sync),
    /// Activities in the order of a plan that people expect: the search starts from it and, all else equal, stays.
    pub kept: Option<&'a [usize]>,
    /// Bound of a wider problem, all that is asked of this one: taken as it is, and nothing is proven beyond it.
    pub bound: Option<Bound>,
}

impl Default for Control<'_> {
    fn default() -> Self {
        Self { stop: &|| false, progress: &|_| (), kept: None, bound: None }
    }
}
