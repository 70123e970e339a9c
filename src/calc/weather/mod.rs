//! People and work outdoors: cold, cure and bond times, ladders, lifting, go or no-go.
//!
//! Not here: when the Sun shines (`daylight`), what the wind does to a mast (`structural`), which steps a forecast
//! holds (`planner`).

pub mod cure;
pub mod duty;
pub mod go;
pub mod ladder;
pub mod lift;
pub mod set_time;
pub mod wind_chill;
