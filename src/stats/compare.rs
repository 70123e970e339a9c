//! Can two groups be told apart? Exact tests, and the price of asking often.

use super::error::{StatsError, count, positive};
use super::quantile::ln_choose;

/// Tables no more likely than the one seen are counted with this much room for rounding.
const TIE: f64 = 1.0 + 1e-7;

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fisher {
    pub two_sided: f64,
    /// The first group fails more often.
    pub greater: f64,
    pub less: f64,
    /// a d / (b c); missing where it is not finite.
    pub odds_ratio: Option<f64>,
}

/// Fisher's exact test of (failed, sound) in two groups. Two-sided: all tables no more likely than the one seen.
pub fn fisher(first: (u64, u64), second: (u64, u64)) -> Result<Fisher, StatsError> {
    let most = 1_000_000;
    let (a, b) =
        (count("stats.table", "failed", first.0, most)?, count("stats.table", "sound", first.1, most)?);
    let (c, d) =
        (count("stats.table", "failed", second.0, most)?, count("stats.table", "sound", second.1, most)?);
    let (row, failed, all) = (a + b, a + c, a + b + c + d);
    positive("stats.table", "units", all)?;
    let low = (failed - (c + d)).max(0.0) as u64;
    let high = row.min(failed) as u64;
    let total = ln_choose(all, failed);
    let chance = |k: u64| (ln_choose(row, k as f64) + ln_choose(c + d, failed - k as f64) - total).exp();
    let seen = chance(first.0) * TIE;
    let (mut two_sided, mut greater, mut less) = (0.0, 0.0, 0.0);
    for k in low..=high {
        let p = chance(k);
        two_sided += if p <= seen { p } else { 0.0 };
        greater += if k >= first.0 { p } else { 0.0 };
        less += if k <= first.0 { p } else { 0.0 };
    }
    let odds = a * d / (b * c);
    Ok(Fisher {
        two_sided: two_sided.min(1.0),
        greater: greater.min(1.0),
        less: less.min(1.0),
        odds_ratio: odds.is_finite().then_some(odds),
    })
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RateRatio {
    pub two_sided: f64,
    /// The first rate is the higher one.
    pub greater: f64,
    /// Missing where the second group had no event.
    pub ratio: Option<f64>,
}

/// Two rates with their exposures: given all events, those of the first group are binomial.
pub fn rate_ratio(first: (u64, f64), second: (u64, f64)) -> Result<RateRatio, StatsError> {
    let most = 1_000_000;
    let x1 = count("stats.events", "events", first.0, most)?;
    let x2 = count("stats.events", "events", second.0, most)?;
    let t1 = positive("stats.exposure", "exposure", first.1)?;
    let t2 = positive("stats.exposure", "exposure", second.1)?;
    let (n, p) = (x1 + x2, t1 / (t1 + t2));
    let chance = |k: u64| {
        let k = k as f64;
        (ln_choose(n, k) + k * p.ln() + (n - k) * (-p).ln_1p()).exp()
    };
    let seen = chance(first.0) * TIE;
    let (mut two_sided, mut greater) = (0.0, 0.0);
    for k in 0..=first.0 + second.0 {
        let q = chance(k);
        two_sided += if q <= seen { q } else { 0.0 };
        greater += if k >= first.0 { q } else { 0.0 };
    }
    let ratio = (second.0 > 0).then(|| x1 / t1 / (x2 / t2));
    Ok(RateRatio { two_sided: two_sided.min(1.0), greater: greater.min(1.0), ratio })
}

/// Holm 1979: p values of several comparisons, adjusted, in the order given.
pub fn holm(p: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..p.len()).collect();
    let value = |at: usize| p.get(at).copied().unwrap_or(1.0);
    order.sort_by(|a, b| value(*a).total_cmp(&value(*b)).then(a.cmp(b)));
    let mut adjusted = vec![0.0; p.len()];
    let mut so_far: f64 = 0.0;
    for (rank, at) in order.into_iter().enumerate() {
        so_far = so_far.max((value(at) * (p.len() - rank) as f64).min(1.0));
        if let Some(slot) = adjusted.get_mut(at) {
            *slot = so_far;
        }
    }
    adjusted
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Fisher's tea tasting, The Design of Experiments 1935: 3 of 4 right, p 0.2429 one-sided, 0.4857 two-sided.
    #[test]
    fn the_lady_tasting_tea() {
        let tea = fisher((3, 1), (1, 3)).unwrap();
        assert!((tea.greater - 0.2429).abs() < 5e-5 && (tea.two_sided - 0.4857).abs() < 5e-5);
        assert!(fisher((0, 0), (0, 0)).is_err());
        assert_eq!(fisher((1, 0), (0, 1)).unwrap().odds_ratio, None);
    }

    #[test]
    fn holm_never_falls_below_the_plain_value() {
        let adjusted = holm(&[0.01, 0.04, 0.03, 0.2]);
        for (got, want) in adjusted.iter().zip([0.04, 0.09, 0.09, 0.2]) {
            assert!((got - want).abs() < 1e-12);
        }
        assert!(holm(&[]).is_empty());
    }

    proptest! {
        #[test]
        fn swapping_the_groups_swaps_the_sides(a in 0_u64..30, b in 1_u64..30, c in 0_u64..30, d in 1_u64..30) {
            let (one, other) = (fisher((a, b), (c, d)).unwrap(), fisher((c, d), (a, b)).unwrap());
            prop_assert!((one.greater - other.less).abs() < 1e-9);
            prop_assert!((one.two_sided - other.two_sided).abs() < 1e-9);
        }

        #[test]
        fn both_tails_overlap_in_what_was_seen(x in 0_u64..40, y in 0_u64..40, t in 0.1..9.0_f64) {
            let r = rate_ratio((x, t), (y, 1.0)).unwrap();
            let s = rate_ratio((y, 1.0), (x, t)).unwrap();
            prop_assert!(r.greater + s.greater >= 1.0 - 1e-9);
            prop_assert!((r.two_sided - s.two_sided).abs() < 1e-9);
        }
    }
}
