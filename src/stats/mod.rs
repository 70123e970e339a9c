//! What the record says: rates with exact intervals, comparisons, survival, spares, learned durations.
//!
//! Intervals are two-sided with equal tails. Counts are exact; nothing here is a large-sample approximation but the
//! bounds of the survival curve and the log-rank test.
//!
//! Not here: which faults count for what (`app`), facts (`domain`), the order of the work (`planner`).

mod compare;
mod durations;
mod error;
mod prior;
mod quantile;
mod rate;
mod spares;
mod survival;
mod weibull;

pub use compare::{Fisher, RateRatio, fisher, holm, rate_ratio};
pub use durations::{Estimate, Observation, Tick, learn, share_out};
pub use error::StatsError;
pub use prior::{BetaPrior, GammaPrior, Posterior};
pub use rate::{Interval, Mtbf, mtbf, proportion, rate, zero_failures_bound};
pub use spares::{Demand, Order, Spares, newsvendor, newsvendor_normal, spares};
pub use survival::{LogRank, Survival, UnitLife, kaplan_meier, log_rank};
pub use weibull::{Weibull, fit_weibull};
