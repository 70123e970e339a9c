//! When there is light: sunrise, sunset and civil twilight of a date and place.
//!
//! Not here: which step may be done in which light (`planner`), zone names and sessions (`domain`, `planner`).

mod sun;

pub use sun::{DaylightError, SOURCE, SunTimes, Twilight, is_dark, sun_times};
