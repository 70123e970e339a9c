//! What the weather does to the yard: what stands in the wind and from which gust it is lowered; what a forecast does to work.
//!
//! Not here: formulas (`calc`), steps of the watch (`steps`).

mod cures;
mod fixed;
pub(crate) mod ladder;
pub(crate) mod light;
pub(crate) mod weather;
pub(crate) mod wind;

pub(crate) use ladder::ladder_line;
pub(crate) use weather::{cure_line, weather_findings};
pub(crate) use wind::{wind_findings, wind_line, wind_short};
