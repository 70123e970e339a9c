//! Shares and rates with exact intervals.

use super::error::{StatsError, count, open_share, positive};
use super::quantile;

/// An estimate with its two-sided interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    pub estimate: f64,
    pub lower: f64,
    pub upper: f64,
}

/// `failed` of `n` with confidence `c` (0 to 1): Clopper and Pearson 1934, beta quantiles.
pub fn proportion(failed: u64, n: u64, c: f64) -> Result<Interval, StatsError> {
    let units = positive("stats.units", "units", n as f64)?;
    let x = count("stats.failed", "failures", failed, n)?;
    let tail = (1.0 - open_share("stats.confidence", "confidence", c)?) / 2.0;
    let lower = if failed == 0 { 0.0 } else { quantile::beta(tail, x, units - x + 1.0) };
    let upper = if failed == n { 1.0 } else { quantile::beta(1.0 - tail, x + 1.0, units - x) };
    Ok(Interval { estimate: x / units, lower, upper })
}

/// `events` in `exposure` (unit-seasons, thousand pixel-hours …) with confidence `c`: Garwood 1936, chi-square
/// quantiles. No event still has an upper bound.
pub fn rate(events: u64, exposure: f64, c: f64) -> Result<Interval, StatsError> {
    let t = positive("stats.exposure", "exposure", exposure)?;
    let x = count("stats.events", "events", events, u64::MAX)?;
    let tail = (1.0 - open_share("stats.confidence", "confidence", c)?) / 2.0;
    let lower = if events == 0 { 0.0 } else { quantile::gamma(tail, x) / t };
    Ok(Interval { estimate: x / t, lower, upper: quantile::gamma(1.0 - tail, x + 1.0) / t })
}

/// Mean time between failures; estimate and upper bound are missing where nothing failed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mtbf {
    pub estimate: Option<f64>,
    pub lower: f64,
    pub upper: Option<f64>,
}

/// Observation that ends at time T (NIST/SEMATECH e-Handbook 8.4.5.1).
pub fn mtbf(failures: u64, exposure: f64, c: f64) -> Result<Mtbf, StatsError> {
    let rate = rate(failures, exposure, c)?;
    let told = failures > 0;
    Ok(Mtbf {
        estimate: told.then(|| 1.0 / rate.estimate),
        lower: 1.0 / rate.upper,
        upper: told.then(|| 1.0 / rate.lower),
    })
}

/// One-sided upper bound of the share that fails where none of `n` did.
pub fn zero_failures_bound(n: u64, c: f64) -> Result<f64, StatsError> {
    let units = positive("stats.units", "units", n as f64)?;
    let miss = 1.0 - open_share("stats.confidence", "confidence", c)?;
    Ok(-(miss.ln() / units).exp_m1())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Garwood 1936: 0 events 0 to 3.689, 10 events 4.795 to 18.390, at 95 %.
    #[test]
    fn garwoods_table() {
        let none = rate(0, 1.0, 0.95).unwrap();
        assert!(none.lower.abs() < 1e-12 && (none.upper - 3.689).abs() < 5e-4);
        let ten = rate(10, 1.0, 0.95).unwrap();
        assert!((ten.lower - 4.795).abs() < 5e-4 && (ten.upper - 18.390).abs() < 5e-4);
    }

    #[test]
    fn nonsense_is_refused() {
        assert_eq!(proportion(3, 2, 0.95).unwrap_err().code, "stats.failed");
        assert_eq!(proportion(0, 0, 0.95).unwrap_err().code, "stats.units");
        assert_eq!(rate(1, 0.0, 0.95).unwrap_err().code, "stats.exposure");
        assert_eq!(rate(1, 1.0, 1.0).unwrap_err().code, "stats.confidence");
        assert_eq!(rate(1, f64::NAN, 0.9).unwrap_err().code, "stats.exposure");
    }

    proptest! {
        #[test]
        fn the_interval_holds_the_estimate_and_narrows_with_data(x in 0_u64..50, more in 1_u64..50) {
            let n = x + more;
            let few = proportion(x, n, 0.9).unwrap();
            prop_assert!(few.lower <= few.estimate && few.estimate <= few.upper);
            let many = proportion(x * 10, n * 10, 0.9).unwrap();
            prop_assert!(many.upper - many.lower < few.upper - few.lower);
        }
    }
}
