//! How long pieces last, with those still alive counted in.

use super::error::{StatsError, open_share, positive, within};
use super::quantile;

/// One unit: how long it was watched and whether it failed then (false: still alive, sold, lent).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnitLife {
    pub time: f64,
    pub failed: bool,
}

/// The share alive at a time (Kaplan and Meier 1958; NIST/SEMATECH e-Handbook 8.2.1.5).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Survival {
    pub alive: f64,
    /// Greenwood's error; missing where all have failed.
    pub error: Option<f64>,
    /// Units watched from the start.
    pub at_risk_start: usize,
    /// Log(-log) bounds; missing where no or all units have failed.
    pub bounds: Option<(f64, f64)>,
}

/// Checks the lives and sorts them by time.
fn sorted(lives: &[UnitLife]) -> Result<Vec<UnitLife>, StatsError> {
    positive("stats.units", "units", lives.len() as f64)?;
    for life in lives {
        within("stats.time", "time watched", life.time, (0.0, 1e12))?;
    }
    let mut lives = lives.to_vec();
    lives.sort_by(|a, b| a.time.total_cmp(&b.time));
    Ok(lives)
}

/// The curve at time `at`, bounds of confidence `c`. A unit that leaves at the time of a failure is still at risk.
pub fn kaplan_meier(lives: &[UnitLife], at: f64, c: f64) -> Result<Survival, StatsError> {
    let lives = sorted(lives)?;
    within("stats.time", "time asked", at, (0.0, 1e12))?;
    let tail = (1.0 - open_share("stats.confidence", "confidence", c)?) / 2.0;
    let (mut alive, mut greenwood, mut begun) = (1.0, 0.0, 0);
    while let Some(first) = lives.get(begun).filter(|l| l.time <= at) {
        let same: Vec<_> =
            lives.get(begun..).unwrap_or_default().iter().take_while(|l| l.time <= first.time).collect();
        let failed = same.iter().filter(|l| l.failed).count() as f64;
        let risk = (lives.len() - begun) as f64;
        alive *= 1.0 - failed / risk;
        greenwood += failed / (risk * (risk - failed));
        begun += same.len();
    }
    let open = alive > 0.0 && alive < 1.0;
    let bounds = open.then(|| {
        let spread = quantile::normal(1.0 - tail) * greenwood.sqrt() / alive.ln();
        (alive.powf((-spread).exp()), alive.powf(spread.exp()))
    });
    Ok(Survival {
        alive,
        error: (alive > 0.0).then(|| alive * greenwood.sqrt()),
        at_risk_start: lives.len(),
        bounds,
    })
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LogRank {
    pub chi_square: f64,
    /// Chance of a difference at least so large where there is none; one degree of freedom.
    pub p: f64,
}

/// Do two groups last equally long? (Mantel 1966.)
pub fn log_rank(first: &[UnitLife], second: &[UnitLife]) -> Result<LogRank, StatsError> {
    let (first, second) = (sorted(first)?, sorted(second)?);
    let mut times: Vec<f64> = first.iter().chain(&second).filter(|l| l.failed).map(|l| l.time).collect();
    times.sort_by(f64::total_cmp);
    times.dedup();
    let (mut surplus, mut variance) = (0.0, 0.0);
    for time in times {
        let risk = |group: &[UnitLife]| group.iter().filter(|l| l.time >= time).count() as f64;
        // The times are copies of these very numbers.
        let failed = |group: &[UnitLife]| {
            group.iter().filter(|l| l.failed && l.time.total_cmp(&time).is_eq()).count() as f64
        };
        let (n1, d1) = (risk(&first), failed(&first));
        let (n, d) = (n1 + risk(&second), d1 + failed(&second));
        surplus += d1 - d * n1 / n;
        if n > 1.0 {
            variance += d * (n1 / n) * (1.0 - n1 / n) * (n - d) / (n - 1.0);
        }
    }
    if variance <= 0.0 {
        return Err(StatsError {
            code: "stats.no_failures",
            what: "failures while both groups were watched",
            value: 0.0,
            range: (1.0, 1e12),
            remedy: "nothing failed that could tell the groups apart",
        });
    }
    let chi_square = surplus * surplus / variance;
    Ok(LogRank { chi_square, p: statrs::function::erf::erfc((chi_square / 2.0).sqrt()) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn lives(failed: &[f64], alive: &[f64]) -> Vec<UnitLife> {
        let failed = failed.iter().map(|&time| UnitLife { time, failed: true });
        failed.chain(alive.iter().map(|&time| UnitLife { time, failed: false })).collect()
    }

    /// NIST/SEMATECH e-Handbook 8.2.1.5: 20 units, six failures; printed reliability after the last 0.6704.
    #[test]
    fn example_of_the_handbook() {
        let mut alive = vec![50.0, 100.0, 125.0, 150.0];
        alive.extend([200.0; 10]);
        let units = lives(&[10.0, 32.0, 56.0, 98.0, 122.0, 181.0], &alive);
        let got = kaplan_meier(&units, 181.0, 0.95).unwrap();
        assert!((got.alive - 0.6704).abs() < 5e-5, "{got:?}");
        assert_eq!(got.at_risk_start, 20);
    }

    #[test]
    fn no_failure_and_all_failed_have_no_bounds() {
        let none = kaplan_meier(&lives(&[], &[3.0, 4.0]), 5.0, 0.9).unwrap();
        assert_eq!((none.alive, none.bounds), (1.0, None));
        let all = kaplan_meier(&lives(&[1.0, 2.0], &[]), 2.0, 0.9).unwrap();
        assert_eq!((all.alive, all.error, all.bounds), (0.0, None, None));
        assert_eq!(kaplan_meier(&[], 2.0, 0.9).unwrap_err().code, "stats.units");
        let both = lives(&[], &[1.0]);
        assert_eq!(log_rank(&both, &both).unwrap_err().code, "stats.no_failures");
    }

    proptest! {
        #[test]
        fn the_curve_only_falls(times in prop::collection::vec((0.0..50.0_f64, any::<bool>()), 1..40), at in 0.0..50.0_f64, more in 0.0..20.0_f64) {
            let units: Vec<_> = times.into_iter().map(|(time, failed)| UnitLife { time, failed }).collect();
            let (a, b) = (kaplan_meier(&units, at, 0.9).unwrap(), kaplan_meier(&units, at + more, 0.9).unwrap());
            prop_assert!(b.alive <= a.alive && b.alive >= 0.0);
            if let Some((low, high)) = a.bounds {
                prop_assert!(low <= a.alive && a.alive <= high);
            }
        }
    }
}
