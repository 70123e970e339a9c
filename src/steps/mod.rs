//! Placements × methods → steps, each order edge with its reason. Steps are derived, never stored.
//!
//! [`derive()`] takes the yard's facts and answers with the [`Step`]s of one season and phase. The parts: `mounts`
//! (once and look-over steps), `placements` (bench, up, down by recipe), `boxes` (the connect-and-test rounds of one
//! box at one place) with `rounds` (who is in which), `season` (power off, duties, desk work, rehearsal, lights on), and `rules` (the edges across
//! placements, one rule a file), `tonight` and `watch` (the nightly round, the watch on the wind), `yearly` (look-overs).
//! `progress` reads the ticks; `wind` hands facts to the wind formulas.
//!
//! Not here: dates, sessions, people (`planner`), clock, SQL, screens.

mod boxes;
mod build;
mod cautions;
mod derive;
mod facts;
mod index;
mod key;
mod mend;
mod mounts;
mod order;
mod placements;
mod progress;
mod pull;
mod rounds;
mod rules;
mod running;
mod sail;
mod season;
mod step;
mod stock;
mod thing;
mod tonight;
mod watch;
mod wind;
mod yearly;

pub use build::{handles, leads_bent};
pub use derive::{DeriveError, Derived, Scope, derive};
pub use facts::Facts;
pub use index::Index;
pub use key::{KeyParts, StepKey};
pub use mend::{Mend, PartState, Spare, cause_word, mend, spares_at_home, spares_for};
pub use order::{Cycle, topological};
pub use progress::{ALONE, Progress, State, progress};
pub use pull::{LEAST_M2, Pull, pulls};
pub use running::{looks, starts};
pub use step::{Edge, Light, Limits, Reason, Role, Step};
pub use stock::on_hand;
pub use tonight::{NightWeather, night_weather};
pub use wind::{FACTOR, Held, WindLook, stand_of, wind_at, wind_look, wind_looks};
