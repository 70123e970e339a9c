//! What is to be scheduled: activities, edges, resources, workers, tools, set-up, goals.

use std::fmt;

/// Minutes (or slots) from an origin that the caller chooses; may be negative.
pub type Time = i32;

/// Later than anything that may be scheduled; all times lie within plus or minus this.
pub const FAR: Time = 100_000_000;

/// One working session: the bounds within which an activity and its set-up lie.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Session {
    pub from: Time,
    pub to: Time,
}

/// A stretch of one session in which an activity may lie as a whole (the session cut by light and forecast).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Window {
    pub from: Time,
    pub to: Time,
    /// Index into [`Problem::sessions`].
    pub session: u32,
}

/// The wait after an activity's end, in elapsed minutes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Wait {
    /// In force when `table` is `None` or the activity lies in no session.
    pub minutes: Time,
    /// Index into [`Problem::wait_tables`]: the wait by the session in which the activity begins.
    pub table: Option<usize>,
}

impl Wait {
    /// A wait that is the same in every session.
    pub const fn fixed(minutes: Time) -> Self {
        Self { minutes, table: None }
    }
}

/// How two activities are bound to each other in time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Lag {
    /// The successor starts at least `wait` after the end; at most `within` after it; on the same local day if asked.
    FinishStart { wait: Wait, within: Option<Time>, same_day: bool },
    /// The successor starts at least `min` after the start.
    StartStart { min: Time },
}

/// An order edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Edge {
    pub pred: usize,
    pub succ: usize,
    pub lag: Lag,
}

impl Edge {
    /// Plain "after the end of" with a fixed wait.
    pub const fn after(pred: usize, succ: usize, wait: Time) -> Self {
        Self { pred, succ, lag: Lag::FinishStart { wait: Wait::fixed(wait), within: None, same_day: false } }
    }
}

/// Where work that is done or begun really lies. It is never moved and keeps what it holds.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct Fixed {
    pub start: Time,
    pub end: Time,
    /// The session it counts to, for the place a person or tool was last at.
    pub session: Option<u32>,
    pub workers: Vec<usize>,
    pub units: Vec<usize>,
    /// Done: nothing that is over can clash, so its people and tools are no longer taken; only the place counts.
    pub done: bool,
}

/// The state of a two-mode resource that an activity needs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mode {
    Off,
    On,
}

/// A resource kept until the wait after an activity is over (the drying place).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Hold {
    /// Index into [`Problem::resources`].
    pub resource: usize,
    pub amount: i32,
    /// Kept from the activity's start; otherwise from its end.
    pub from_start: bool,
    /// Kept until this long after the activity's end.
    pub wait: Wait,
}

/// Something that another activity started and that runs until this one: some worker is there from the end of the one
/// to the start of the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Run {
    /// What started it.
    pub from: usize,
    /// One of this resource is taken until this one ends, beyond what the start holds.
    pub takes: usize,
}

/// One piece of work.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct Activity {
    /// Not below 0.
    pub duration: Time,
    /// Index into [`Problem::calendars`]; `None`: any time.
    pub calendar: Option<usize>,
    /// Earliest start; `None`: from `now` on.
    pub release: Option<Time>,
    /// Latest end.
    pub deadline: Option<Time>,
    pub fixed: Option<Fixed>,
    /// Not to be placed (a step on hold, a wait whose beginning is not known).
    pub held: bool,
    /// (resource, amount) taken while it lasts.
    pub demands: Vec<(usize, i32)>,
    pub holds: Vec<Hold>,
    /// (two-mode resource, mode) needed while it lasts.
    pub modes: Vec<(usize, Mode)>,
    /// How many workers it takes; 0: nobody in particular.
    pub hands: u32,
    /// Bits that its workers must cover together.
    pub skills: u64,
    /// Bits that one worker each must have, every one by another worker.
    pub needs: Vec<u64>,
    /// At least two workers present (not necessarily free) while it lasts.
    pub not_alone: bool,
    /// For each need the tool units that would do; the solver takes one of each need.
    pub tools: Vec<Vec<usize>>,
    pub place: Option<u32>,
    /// Index into [`Problem::groups`].
    pub group: Option<usize>,
    /// Does its end count for the finish and the comfort time?
    pub work: bool,
    /// It looks at what another started.
    pub run: Option<Run>,
    /// Somebody goes up for it: what one worker does up at one place in one session is one unbroken run.
    pub up: bool,
    /// Comes before all that is `up` at its place in its session.
    pub before_up: bool,
}

/// Activities that are done in one session, in this order by their edges.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct Stretch {
    /// The first one first, the last one last.
    pub activities: Vec<usize>,
    /// This two-mode resource stays off from the start of the first to the start of the last.
    pub off: Option<usize>,
}

/// A cumulative resource.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct Resource {
    pub capacity: i32,
    /// (from, to, units) stretches in which fewer units are there; where they overlap the least counts.
    pub dips: Vec<(Time, Time, i32)>,
    /// Also taken during the set-up before an activity (a tool, not a mains supply).
    pub with_setup: bool,
}

/// One person.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct Worker {
    pub skills: u64,
    /// Comes for work that needs one of these skills, and is asked for nothing else.
    pub skilled_only: bool,
    /// Sorted, disjoint stretches; an activity with its set-up lies in one of them.
    pub present: Vec<(Time, Time)>,
}

/// Activities that are worth something only together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Group {
    pub worth: i64,
}

/// What going to another place costs, in minutes, and what else people give.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct SetUp {
    pub place_minutes: Time,
    pub tool_minutes: Time,
    /// What a session costs in which any work is done.
    pub session_minutes: Time,
    /// What a worker waits between their first and last activity of a session is given too.
    pub waiting: bool,
    /// A worker who comes to a place from an activity without one comes from elsewhere.
    pub inside_breaks: bool,
}

/// The whole problem.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct Problem {
    /// No activity that is not fixed starts, set-up included, before this.
    pub now: Time,
    pub sessions: Vec<Session>,
    /// Sorted, disjoint windows each; shared by activities.
    pub calendars: Vec<Vec<Window>>,
    pub activities: Vec<Activity>,
    pub edges: Vec<Edge>,
    pub resources: Vec<Resource>,
    /// An activity lies in one of them at most; the first of each comes before, the last after its others.
    pub stretches: Vec<Stretch>,
    /// How many two-mode resources there are.
    pub mode_resources: usize,
    pub workers: Vec<Worker>,
    /// How many single tool units (ladders) there are.
    pub units: usize,
    pub groups: Vec<Group>,
    pub wait_tables: Vec<Vec<Time>>,
    pub setup: SetUp,
    /// Local midnights, sorted; empty: every 1440 minutes from the origin.
    pub midnights: Vec<Time>,
    /// A group counts when all its activities end by then; `None`: when they are placed.
    pub due: Option<Time>,
    /// Days are counted from here on, each begun 1440 minutes as one.
    pub comfort: Option<Time>,
    /// The finish comes before what people give.
    pub finish_first: bool,
}

/// Why a problem is refused.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ProblemError {
    /// A field of an activity, edge or calendar names something that is not there.
    Index { what: &'static str, item: usize, index: usize, len: usize },
    /// A figure lies outside its range.
    Range { what: &'static str, item: usize, value: i64, limit: i64 },
    /// These activities wait for each other.
    Cycle { activities: Vec<usize> },
    /// A calendar's windows, a worker's stretches or the midnights are not sorted and disjoint.
    Unsorted { what: &'static str, item: usize },
}

impl ProblemError {
    /// A stable code.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Index { .. } => "engine_index",
            Self::Range { .. } => "engine_range",
            Self::Cycle { .. } => "engine_cycle",
            Self::Unsorted { .. } => "engine_unsorted",
        }
    }
}

impl fmt::Display for ProblemError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Index { what, item, index, len } => {
                write!(f, "{what} {item} names number {index}, but there are {len}; name one of them")
            }
            Self::Range { what, item, value, limit } => {
                write!(f, "{what} {item} is {value}, the limit is {limit}; bring it within the limit")
            }
            Self::Cycle { activities } => {
                write!(f, "activities {activities:?} wait for each other; take one of their edges away")
            }
            Self::Unsorted { what, item } => {
                write!(f, "{what} {item} is not sorted and disjoint; sort and join its stretches")
            }
        }
    }
}

impl std::error::Error for ProblemError {}

impl Problem {
    /// The wait in force after an activity that begins in `session`.
    pub fn wait(&self, wait: Wait, session: Option<u32>) -> Time {
        wait.table
            .and_then(|t| self.wait_tables.get(t))
            .zip(session)
            .and_then(|(table, s)| table.get(s as usize).copied())
            .unwrap_or(wait.minutes)
    }

    /// The number of the local day in which `t` lies.
    pub fn day(&self, t: Time) -> i32 {
        if self.midnights.is_empty() {
            t.div_euclid(1440)
        } else {
            self.midnights.partition_point(|m| *m <= t) as i32
        }
    }

    /// Days by which an end passes the comfort time.
    pub fn days_over(&self, finish: Time) -> i64 {
        self.comfort.map_or(0, |c| (i64::from((finish - c).max(0)) + 1439) / 1440)
    }
}
