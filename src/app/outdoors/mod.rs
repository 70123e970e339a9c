//! What the weather does to the yard: what stands in the wind and from which gust it is lowered.
//!
//! Not here: formulas (`calc`), steps of the watch (`steps`).

mod wind;

pub(in crate::app) use wind::{wind_findings, wind_lines};
