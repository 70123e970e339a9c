//! What a change brings: two sides compared run by run, in the plan as it is and in others that might have been found.

use super::Odds;

/// What a change brings, from runs that meet the same weather and durations, and follow the same order, on both sides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difference {
    /// Of the share in time, -1 to 1: the mean over the plans.
    pub by: f64,
    /// By the chance of weather and durations, and by that of the plan which the search happened to find.
    pub standard_error: f64,
    /// The plan as it is and others of the same yard, one where it was kept.
    pub plans: usize,
}

/// By 1, 2, 3 ... degrees of freedom: by how much two standard errors are to be widened so that 95 of 100 lie within, as they
/// do within 1.96 of the normal distribution (Student, "The probable error of a mean", Biometrika 6 (1908) 1-25; quantiles
/// of his t at 0.975).
const WIDER: [f64; 5] = [12.706, 4.303, 3.182, 2.776, 2.571];

impl Difference {
    /// Both sides have the same runs and the same plans. With one plan d runs run by run, its error is
    /// e² = (Σd² + 1 - (Σd)² / (n + 2)) / (n + 2)²: half a run is added to each kind of pair, so that it is never nothing
    /// (A. Agresti, Y. Min, "Simple improved confidence intervals for comparing matched proportions", Statistics in
    /// Medicine 24 (2005) 729-740). With K plans d is the mean of a run over them, and the chance of the plan adds
    /// w² s² / K, s² the variance of the plans' own differences, w that of `WIDER` over 1.96: runs and plans are
    /// drawn crosswise, and each adds the variance of its means (J. Cornfield, J. W. Tukey, "Average values of mean
    /// squares in factorials", Annals of Mathematical Statistics 27 (1956) 907-949).
    pub fn between(before: &Odds, after: &Odds) -> Self {
        let plans: Vec<(&[bool], &[bool])> = std::iter::once((&before.runs_in_time, &after.runs_in_time))
            .chain(before.others.iter().zip(&after.others))
            .map(|(b, a)| (b.as_slice(), a.as_slice()))
            .collect();
        let k = plans.len() as f64;
        let runs = plans.iter().map(|(b, a)| b.len().min(a.len())).min().unwrap_or(0);
        let brought = |(b, a): &(&[bool], &[bool]), r: usize| {
            f64::from(a.get(r).is_some_and(|x| *x)) - f64::from(b.get(r).is_some_and(|x| *x))
        };
        let mean = |sum: f64, n: f64| sum / n.max(1.0);
        let by_run: Vec<f64> =
            (0..runs).map(|r| mean(plans.iter().map(|p| brought(p, r)).sum(), k)).collect();
        let by_plan: Vec<f64> =
            plans.iter().map(|p| mean((0..runs).map(|r| brought(p, r)).sum(), runs as f64)).collect();
        let by = mean(by_plan.iter().sum(), k);
        let (sum, squares) = by_run.iter().fold((0.0, 1.0), |(s, q), d| (s + d, q + d * d));
        let n = runs as f64 + 2.0;
        let of_runs = (squares - sum * sum / n).max(0.0) / (n * n);
        let wider = plans.len().checked_sub(2).map(|free| WIDER.get(free).copied().unwrap_or(1.96) / 1.96);
        let spread: f64 = by_plan.iter().map(|d| (d - by).powi(2)).sum();
        let of_plans = wider.map_or(0.0, |w| w * w * spread / (k - 1.0) / k);
        Self { by, standard_error: (of_runs + of_plans).sqrt(), plans: plans.len() }
    }

    /// More than chance alone would bring: twice the standard error.
    pub fn is_real(self) -> bool {
        self.by.abs() > 2.0 * self.standard_error
    }
}
