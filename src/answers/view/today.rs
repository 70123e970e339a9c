//! The Today screen: will it be ready, what can be done now, what is in the way.

use crate::answers::view::{Level, Next, ScreenId};
use crate::domain::Phase;

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Today {
    /// "bench", "up", "tonight", "down", "change".
    pub phase: &'static str,
    /// The show that is over, where none is ahead: nothing of its way up is work any more.
    pub last_show: Option<String>,
    /// "Sun 3 Jan 2027, 17:00 to 21:30 each night".
    pub lit_until: Option<String>,
    /// Why no work has a date, where no session to come is told.
    pub no_session: Option<String>,
    /// Days to lights on; negative once it is past. Nothing where no date is told.
    pub days_to_lights_on: Option<i64>,
    /// "Fri 27 Nov 2026 17:00".
    pub lights_on: Option<String>,
    pub rehearsal: Option<String>,
    /// "Sat 14 Nov 15:40", the end of the last work step in the plan.
    pub finish: Option<String>,
    /// Chance of lights on in time, in percent, once computed.
    pub odds_pct: Option<u8>,
    pub steps_done: usize,
    pub steps_total: usize,
    /// Work left, minutes of one person's hands.
    pub work_left_min: i64,
    /// People's minutes in the sessions left; nothing where no sessions are told.
    pub sessions_left_min: Option<i64>,
    pub sessions_left: usize,
    /// "Sat 17 Oct 09:00 to 16:30, three people".
    pub next_session: Option<String>,
    /// Whether that one runs now.
    pub session_runs: bool,
    /// The one thing to do next.
    pub next: Option<Next>,
    pub ready: Vec<ReadyPlace>,
    pub held: Vec<HeldRow>,
    pub alarms: Vec<Alarm>,
    /// One line a kind of thing not told.
    pub not_told: Vec<String>,
    /// What was assumed, one line each.
    pub assumed: Vec<String>,
}

/// Steps of one place that could be done now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadyPlace {
    pub place: String,
    pub steps: usize,
    pub minutes: i64,
    /// The step to begin with.
    pub key: String,
    /// That step: "Boats 5 and 6: Mend".
    pub first: String,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeldRow {
    pub title: String,
    pub why: String,
}

/// Something in the way, with what to do about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Alarm {
    pub level: Level,
    pub what: String,
    pub remedy: String,
    /// The screen where the remedy is.
    pub screen: ScreenId,
    /// What is marked there.
    pub aim: Aim,
}

/// The very thing that a line of Today is about.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub enum Aim {
    /// The first row of its screen.
    #[default]
    First,
    /// A step, by its key, and the phase whose list has it; nothing is that of the day.
    Step(String, Option<Phase>),
    /// A fault, by its code.
    Fault(String),
    /// A row of its screen, by its code: a season, a tote.
    Row(String),
    /// The steps of a phase, whatever the date asks for.
    Phase(Phase),
    /// The steps without a place.
    Unplaced,
    /// What copies told apart, each to be decided.
    Apart(Vec<ToldApart>),
}

/// One thing of which copies told different values.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ToldApart {
    /// The code of the conflict.
    pub code: String,
    /// "name of place PORCH".
    pub what: String,
    /// Each value, with who told it and when; the first stands.
    pub values: Vec<(String, String)>,
}
