//! Wearing out or dying young: the Weibull life.

use statrs::function::gamma::gamma;

use super::error::{StatsError, positive, within};
use super::survival::UnitLife;

/// A Weibull distribution; a shape above 1 means wearing out, below 1 dying young.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weibull {
    pub shape: f64,
    /// In the unit of the times.
    pub scale: f64,
}

/// Fewer failures than this make a fit that must say so (common practice).
const FEW: usize = 5;

impl Weibull {
    pub fn new(shape: f64, scale: f64) -> Result<Self, StatsError> {
        Ok(Self {
            shape: within("stats.shape", "shape", shape, (0.01, 1000.0))?,
            scale: positive("stats.scale", "scale", scale)?,
        })
    }

    /// Chance to live to time `t`.
    pub fn survival(self, t: f64) -> f64 {
        (-(t.max(0.0) / self.scale).powf(self.shape)).exp()
    }

    /// Chance that a unit of this age fails within the next `t`.
    pub fn fails_within(self, age: f64, t: f64) -> f64 {
        let hazard = |t: f64| (t.max(0.0) / self.scale).powf(self.shape);
        -(hazard(age) - hazard(age + t)).exp_m1()
    }

    pub fn mean_life(self) -> f64 {
        self.scale * gamma(1.0 + 1.0 / self.shape)
    }
}

/// The fit of greatest likelihood, units still alive counted as such, and whether it rests on fewer than five failures.
pub fn fit_weibull(lives: &[UnitLife]) -> Result<(Weibull, bool), StatsError> {
    for life in lives {
        positive("stats.time", "time watched", life.time)?;
    }
    let failures = lives.iter().filter(|l| l.failed).count();
    within("stats.failures", "failures", failures as f64, (1.0, 1e9))?;
    let longest = lives.iter().map(|l| l.time).fold(0.0, f64::max);
    let logs: Vec<f64> = lives.iter().map(|l| (l.time / longest).ln()).collect();
    let mean =
        lives.iter().zip(&logs).filter(|(l, _)| l.failed).map(|(_, x)| x).sum::<f64>() / failures as f64;
    // The derivative of the profile likelihood falls from plus infinity as the shape grows.
    let slope = |shape: f64| {
        let (mut sum, mut weighed) = (0.0, 0.0);
        for x in &logs {
            let w = (shape * x).exp();
            sum += w;
            weighed += w * x;
        }
        1.0 / shape + mean - weighed / sum
    };
    let (mut low, mut high) = (0.01, 1000.0);
    if slope(low) <= 0.0 || slope(high) >= 0.0 {
        return Err(StatsError {
            code: "stats.no_fit",
            what: "failures that differ in time",
            value: failures as f64,
            range: (2.0, 1e9),
            remedy: "no shape fits times that are all the same; watch more units",
        });
    }
    while high - low > 1e-12 * high {
        let middle = f64::midpoint(low, high);
        if middle <= low || middle >= high {
            break;
        }
        if slope(middle) > 0.0 { low = middle } else { high = middle }
    }
    let shape = f64::midpoint(low, high);
    let sum: f64 = logs.iter().map(|x| (shape * x).exp()).sum();
    let scale = longest * (sum / failures as f64).powf(1.0 / shape);
    Ok((Weibull::new(shape, scale)?, failures < FEW))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// NIST/SEMATECH e-Handbook 8.4.1.2 (figures from memory): ten failures of twenty, shape 1.7208, scale 606.5280.
    #[test]
    fn example_of_the_handbook() {
        let failed = [54.0, 187.0, 216.0, 240.0, 244.0, 335.0, 361.0, 373.0, 375.0, 386.0];
        let mut units: Vec<_> = failed.into_iter().map(|time| UnitLife { time, failed: true }).collect();
        units.extend([UnitLife { time: 500.0, failed: false }; 10]);
        let (fit, few) = fit_weibull(&units).unwrap();
        assert!(
            (fit.shape / 1.7208 - 1.0).abs() < 1e-4 && (fit.scale / 606.528 - 1.0).abs() < 1e-4,
            "{fit:?}"
        );
        assert!(!few);
    }

    #[test]
    fn too_little_is_refused_and_little_is_said() {
        let unit = |time, failed| UnitLife { time, failed };
        assert_eq!(fit_weibull(&[unit(3.0, false)]).unwrap_err().code, "stats.failures");
        assert_eq!(fit_weibull(&[unit(3.0, true), unit(3.0, true)]).unwrap_err().code, "stats.no_fit");
        assert_eq!(fit_weibull(&[unit(0.0, true)]).unwrap_err().code, "stats.time");
        assert!(fit_weibull(&[unit(2.0, true), unit(3.0, true)]).unwrap().1);
    }

    proptest! {
        #[test]
        fn times_in_another_unit_scale_the_scale(times in prop::collection::vec(0.5..40.0_f64, 3..20), by in 0.1..30.0_f64) {
            let units = |by: f64| times.iter().map(|t| UnitLife { time: t * by, failed: true }).collect::<Vec<_>>();
            if let (Ok((a, _)), Ok((b, _))) = (fit_weibull(&units(1.0)), fit_weibull(&units(by))) {
                prop_assert!((a.shape / b.shape - 1.0).abs() < 1e-6);
                prop_assert!((a.scale * by / b.scale - 1.0).abs() < 1e-6);
            }
        }
    }
}
