//! Quantiles by halving, to full relative precision also near zero.

use statrs::function::beta::{beta_reg, ln_beta};
use statrs::function::gamma::{gamma_lr, ln_gamma};

/// The x in (low, high) where the rising `cdf` reaches `p`: Newton's steps by its `density`, halving where a step leaves
/// the bracket or shrinks too slowly (Press et al., Numerical Recipes, 9.4).
fn by_newton(
    cdf: impl Fn(f64) -> f64,
    density: impl Fn(f64) -> f64,
    p: f64,
    mut low: f64,
    mut high: f64,
) -> f64 {
    let mut x = low + (high - low) / 2.0;
    let mut last = high - low;
    for _ in 0..1200 {
        let over = cdf(x) - p;
        if over < 0.0 {
            low = x;
        } else {
            high = x;
        }
        let step = over / density(x);
        let next = x - step;
        let newton = next > low && next < high && step.abs() <= last / 2.0;
        let next = if newton { next } else { low + (high - low) / 2.0 };
        last = (next - x).abs();
        x = next;
        if last <= 1e-15 * x || high - low <= 1e-14 * high {
            break;
        }
    }
    x
}

/// The x in (low, high) where the rising `cdf` reaches `p`.
fn by_halving(cdf: impl Fn(f64) -> f64, p: f64, mut low: f64, mut high: f64) -> f64 {
    for _ in 0..1200 {
        let middle = low + (high - low) / 2.0;
        if middle <= low || middle >= high || high - low <= 1e-14 * high {
            break;
        }
        if cdf(middle) < p { low = middle } else { high = middle }
    }
    low + (high - low) / 2.0
}

/// Quantile of the beta distribution.
pub(super) fn beta(p: f64, a: f64, b: f64) -> f64 {
    let scale = ln_beta(a, b);
    let density = |x: f64| ((a - 1.0) * x.ln() + (b - 1.0) * (-x).ln_1p() - scale).exp();
    by_newton(|x| beta_reg(a, b, x), density, p, 0.0, 1.0)
}

/// Quantile of the gamma distribution of shape `a` and rate 1.
pub(super) fn gamma(p: f64, a: f64) -> f64 {
    let mut high = a + 1.0;
    while gamma_lr(a, high) < p && high < 1e15 {
        high *= 2.0;
    }
    by_halving(|x| if x > 0.0 { gamma_lr(a, x) } else { 0.0 }, p, 0.0, high)
}

/// Quantile of the standard normal distribution.
pub(super) fn normal(p: f64) -> f64 {
    std::f64::consts::SQRT_2 * statrs::function::erf::erf_inv(2.0 * p - 1.0)
}

/// ln of n over k.
pub(super) fn ln_choose(n: f64, k: f64) -> f64 {
    ln_gamma(n + 1.0) - ln_gamma(k + 1.0) - ln_gamma(n - k + 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Chi-square table, 0.95 quantile with 6 degrees of freedom 12.592, 0.05 with 4: 0.711; normal 0.975: 1.95996.
    #[test]
    fn printed_tables() {
        assert!((2.0 * gamma(0.95, 3.0) - 12.592).abs() < 5e-4);
        assert!((2.0 * gamma(0.05, 2.0) - 0.711).abs() < 5e-4);
        assert!((normal(0.975) - 1.959_964).abs() < 1e-6);
        assert!((beta(0.5, 3.0, 3.0) - 0.5).abs() < 1e-12);
    }

    #[test]
    fn newton_finds_what_halving_finds() {
        for a in [0.5, 1.0, 3.5, 40.0, 900.0] {
            for b in [0.5, 1.0, 7.0, 2000.0] {
                for p in [0.001, 0.025, 0.5, 0.95, 0.999] {
                    let halved = by_halving(|x| beta_reg(a, b, x), p, 0.0, 1.0);
                    assert!((beta(p, a, b) / halved - 1.0).abs() < 1e-10, "{a} {b} {p}");
                }
            }
        }
    }

    #[test]
    fn tiny_quantiles_keep_their_digits() {
        // The beta(1/2, 1) distribution function is the square root.
        assert!((beta(1e-6, 0.5, 1.0) / 1e-12 - 1.0).abs() < 1e-9);
    }
}
