//! When each step is done, by whom, with which ladder, and whether the date holds.
//!
//! [`engine`] solves the scheduling problem and knows nothing of yards. Around it: `calendar` (sessions, people and
//! light as moments), `resources` (ladders and tools), `stretches` (what is done in one session), `map` (steps to activities), `plan` (the answer in the yard's
//! terms), `refusal` (why a step is not placed, and what would help), `order` (no sessions told: order without
//! dates), `explain` (why a step is where it is), `odds` (whether the date holds), `drop_list` (what to leave out), `leave` (what keeps others waiting in vain), `cure` (waits in the cold),
//! `windows` (when a kind of step may lie), `fixed` (done and begun work), `rounds` (rounds of a box that were interrupted), `lit` (what another show keeps while it is lit), `steady` (planning again with little disturbance), `searches` (several searches, and whose answer stands), `expected` (a kept plan that holds), `bench` (tests that run by themselves), `ask`, `moves`, `telling` (the answer in words), and `check`, which judges a finished plan and shares no code with what made it.
//!
//! Not here: clock, SQL, JSON, screens.

mod ask;
mod bench;
mod calendar;
pub mod check;
mod cure;
mod drop_list;
mod drying;
pub mod engine;
mod expected;
mod explain;
mod fixed;
mod items;
mod leave;
mod lit;
mod make;
mod map;
mod moves;
mod odds;
mod order;
mod plan;
mod refusal;
mod resources;
mod rounds;
mod searches;
mod steady;
mod stretches;
mod telling;
mod windows;

pub use ask::{Effort, Expected, Known, Prefer, Request};
pub use calendar::{Attendance, Broken, Calendar, Forecast, SessionSpan};
pub use cure::{NEVER_MIN, cold_wait};
pub use drop_list::{Drop, DropList, drop_list};
pub use explain::{Bound, Explainer, Why};
pub(crate) use lit::LitShows;
pub use make::make_plan;
pub use odds::{
    Chances, Difference, Guess, LOST_BY_MONTH, Odds, OddsRequest, RUNS, Risk, odds, runs_in_time,
};
pub use plan::{AfterEdge, GoalRow, Moves, Plan, PlannedStep, SetUpMinutes, Told};
pub use refusal::Refusal;
pub use resources::{Equipment, EquipmentUnit};
