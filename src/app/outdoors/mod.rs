//! What the weather does to the yard: what stands in the wind and from which gust it is lowered; what a forecast does to work.
//!
//! Not here: formulas (`calc`), steps of the watch (`steps`).

mod ladder;
mod light;
mod weather;
mod wind;

pub(in crate::app) use weather::weather_findings;
pub(in crate::app) use wind::{wind_findings, wind_line, wind_short};
