//! Can two groups be told apart? Exact tests, and the price of asking often.

use super::error::{StatsError, count, positive};

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
    let mode = (row + 1.0) * (failed + 1.0) / (all + 2.0);
    let sides = sides(low, high, mode as u64, first.0, |k| {
        (row - k) * (failed - k) / ((k + 1.0) * (c + d - failed + k + 1.0))
    });
    let odds = a * d / (b * c);
    Ok(Fisher {
        two_sided: sides.two,
        greater: sides.greater,
        less: sides.less,
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
    let n = x1 + x2;
    let mode = (n + 1.0) * (t1 / (t1 + t2));
    let sides = sides(0, first.0 + second.0, mode as u64, first.0, |k| (n - k) / (k + 1.0) * (t1 / t2));
    let ratio = (second.0 > 0).then(|| x1 / t1 / (x2 / t2));
    Ok(RateRatio { two_sided: sides.two, greater: sides.greater, ratio })
}

struct Sides {
    two: f64,
    greater: f64,
    less: f64,
}

/// Tails of a distribution on `low..=high` with one peak, at `mode`, about what was `seen`; `rise(k)` is the chance of
/// k + 1 over that of k. Chances are taken as parts of the peak's, so nothing overflows and far tails fall to 0.
fn sides(low: u64, high: u64, mode: u64, seen: u64, rise: impl Fn(f64) -> f64) -> Sides {
    let mode = mode.clamp(low, high);
    let below = (low..mode).rev().scan(1.0, |part, k| {
        *part /= rise(k as f64);
        Some((k, *part))
    });
    let above = (mode..high).scan(1.0, |part, k| {
        *part *= rise(k as f64);
        Some((k + 1, *part))
    });
    let parts: Vec<(u64, f64)> = below.chain([(mode, 1.0)]).chain(above).collect();
    let all: f64 = parts.iter().map(|(_, part)| part).sum();
    let share = |of: &dyn Fn(u64, f64) -> bool| {
        let sum: f64 = parts.iter().filter(|(k, part)| of(*k, *part)).map(|(_, part)| part).sum();
        (sum / all).min(1.0)
    };
    let likely = parts.iter().find(|(k, _)| *k == seen).map_or(0.0, |(_, part)| part * TIE);
    Sides {
        two: share(&|_, part| part <= likely),
        greater: share(&|k, _| k >= seen),
        less: share(&|k, _| k <= seen),
    }
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
