//! Small samples drawn towards what is usual, with how much weight the data carry.

use super::error::{StatsError, count, open_share, positive, within};
use super::quantile;

/// A posterior in two parameters with its mean and interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Posterior {
    /// Gamma shape, or beta a.
    pub first: f64,
    /// Gamma rate, or beta b.
    pub second: f64,
    pub mean: f64,
    pub lower: f64,
    pub upper: f64,
    /// Share of the answer that comes from the data, 0 to 1.
    pub weight_on_data: f64,
}

/// A belief about a rate: `shape` events seen in `rate` units of exposure (NIST/SEMATECH e-Handbook 8.4.6).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GammaPrior {
    pub shape: f64,
    pub rate: f64,
}

impl GammaPrior {
    /// After `events` in `exposure`, with a two-sided interval of confidence `c`.
    pub fn after(self, events: u64, exposure: f64, c: f64) -> Result<Posterior, StatsError> {
        let shape = positive("stats.prior", "prior shape", self.shape)?
            + count("stats.events", "events", events, u64::MAX)?;
        let t = within("stats.exposure", "exposure", exposure, (0.0, 1e12))?;
        let rate = positive("stats.prior", "prior rate", self.rate)? + t;
        let tail = (1.0 - open_share("stats.confidence", "confidence", c)?) / 2.0;
        Ok(Posterior {
            first: shape,
            second: rate,
            mean: shape / rate,
            lower: quantile::gamma(tail, shape) / rate,
            upper: quantile::gamma(1.0 - tail, shape) / rate,
            weight_on_data: t / rate,
        })
    }
}

/// A belief about a share: `a` failed and `b` sound seen before.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BetaPrior {
    pub a: f64,
    pub b: f64,
}

impl BetaPrior {
    /// After `failed` of `n`.
    pub fn after(self, failed: u64, n: u64, c: f64) -> Result<Posterior, StatsError> {
        let x = count("stats.failed", "failures", failed, n)?;
        let units = count("stats.units", "units", n, u64::MAX)?;
        let a = positive("stats.prior", "prior a", self.a)? + x;
        let b = positive("stats.prior", "prior b", self.b)? + units - x;
        let tail = (1.0 - open_share("stats.confidence", "confidence", c)?) / 2.0;
        Ok(Posterior {
            first: a,
            second: b,
            mean: a / (a + b),
            lower: quantile::beta(tail, a, b),
            upper: quantile::beta(1.0 - tail, a, b),
            weight_on_data: units / (a + b),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// NIST/SEMATECH e-Handbook 8.4.6: a' = a + r, b' = b + T.
    #[test]
    fn parameters_add_up() {
        let got = GammaPrior { shape: 2.863, rate: 1522.46 }.after(2, 800.0, 0.8).unwrap();
        assert!((got.first - 4.863).abs() < 1e-12 && (got.second - 2322.46).abs() < 1e-9);
        assert_eq!(GammaPrior { shape: 0.0, rate: 1.0 }.after(0, 1.0, 0.9).unwrap_err().code, "stats.prior");
        assert_eq!(BetaPrior { a: 1.0, b: 1.0 }.after(3, 2, 0.9).unwrap_err().code, "stats.failed");
    }

    proptest! {
        #[test]
        fn the_mean_lies_between_belief_and_data(x in 0_u64..40, t in 0.5..50.0_f64, a in 0.2..9.0_f64, b in 0.2..50.0_f64) {
            let got = GammaPrior { shape: a, rate: b }.after(x, t, 0.9).unwrap();
            let (believed, seen) = (a / b, x as f64 / t);
            prop_assert!(got.mean >= believed.min(seen) - 1e-9 && got.mean <= believed.max(seen) + 1e-9);
            prop_assert!(got.lower <= got.upper);
        }
    }
}
