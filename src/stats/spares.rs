//! How many spares to carry: the fewest that are enough with a chosen chance.

use statrs::function::gamma::ln_gamma;

use super::error::{StatsError, count, open_share, positive, within};
use super::quantile::{self, ln_choose};

/// What is believed about the number wanted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Demand {
    /// A known mean.
    Poisson { mean: f64 },
    /// A rate that is itself uncertain, gamma(`shape`, `rate`), over `exposure`: negative binomial, wider than Poisson.
    Rate { shape: f64, rate: f64, exposure: f64 },
    /// `n` units, each failing with chance `p`.
    Binomial { n: u64, p: f64 },
    /// `n` units with an uncertain chance, beta(`a`, `b`).
    Share { a: f64, b: f64, n: u64 },
}

impl Demand {
    fn check(self) -> Result<(), StatsError> {
        let most = 1_000_000;
        match self {
            Self::Poisson { mean } => within("stats.mean", "mean demand", mean, (0.0, 1e5)).map(|_| ()),
            Self::Rate { shape, rate, exposure } => {
                positive("stats.prior", "shape of the rate", shape)?;
                positive("stats.prior", "rate of the rate", rate)?;
                within("stats.exposure", "exposure", exposure, (0.0, 1e12))?;
                within("stats.mean", "mean demand", self.mean(), (0.0, 1e5)).map(|_| ())
            }
            Self::Binomial { n, p } => {
                count("stats.units", "units", n, most)?;
                within("stats.chance", "chance", p, (0.0, 1.0)).map(|_| ())
            }
            Self::Share { a, b, n } => {
                positive("stats.prior", "a of the share", a)?;
                positive("stats.prior", "b of the share", b)?;
                count("stats.units", "units", n, most).map(|_| ())
            }
        }
    }

    pub fn mean(self) -> f64 {
        match self {
            Self::Poisson { mean } => mean,
            Self::Rate { shape, rate, exposure } => shape * exposure / rate,
            Self::Binomial { n, p } => n as f64 * p,
            Self::Share { a, b, n } => n as f64 * a / (a + b),
        }
    }

    pub fn variance(self) -> f64 {
        let mean = self.mean();
        match self {
            Self::Poisson { .. } => mean,
            Self::Rate { rate, exposure, .. } => mean * (1.0 + exposure / rate),
            Self::Binomial { p, .. } => mean * (1.0 - p),
            Self::Share { a, b, n } => mean * b / (a + b) * (a + b + n as f64) / (a + b + 1.0),
        }
    }

    /// The chance that exactly `k` are wanted.
    fn chance(self, k: u64) -> f64 {
        let x = k as f64;
        // 0 × ln 0 = 0: no event of chance zero.
        let times_ln = |n: f64, p: f64| if n == 0.0 { 0.0 } else { n * p.ln() };
        match self {
            Self::Poisson { mean } => (times_ln(x, mean) - mean - ln_gamma(x + 1.0)).exp(),
            Self::Rate { shape, rate, exposure } => {
                let (stay, go) = (rate / (rate + exposure), exposure / (rate + exposure));
                (ln_gamma(shape + x) - ln_gamma(shape) - ln_gamma(x + 1.0)
                    + shape * stay.ln()
                    + times_ln(x, go))
                .exp()
            }
            Self::Binomial { n, .. } | Self::Share { n, .. } if k > n => 0.0,
            Self::Binomial { n, p } => {
                (ln_choose(n as f64, x) + times_ln(x, p) + times_ln(n as f64 - x, 1.0 - p)).exp()
            }
            Self::Share { a, b, n } => {
                let ln_beta = |a: f64, b: f64| ln_gamma(a) + ln_gamma(b) - ln_gamma(a + b);
                (ln_choose(n as f64, x) + ln_beta(a + x, b + n as f64 - x) - ln_beta(a, b)).exp()
            }
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spares {
    pub quantity: u64,
    /// The chance that they are enough.
    pub achieved: f64,
    /// The chance with one fewer; zero where none is needed.
    pub one_less: f64,
}

/// The fewest spares that are enough with a chance of at least `service` (0 to 1).
pub fn spares(demand: Demand, service: f64) -> Result<Spares, StatsError> {
    demand.check()?;
    let service = open_share("stats.service", "service level", service)?;
    let (mut quantity, mut one_less) = (0, 0.0);
    let mut achieved = demand.chance(0);
    // A hair of room, so that rounding of the sum does not ask for one more.
    while achieved < service * (1.0 - 1e-12) {
        if quantity > 10_000_000 {
            return Err(StatsError {
                code: "stats.mean",
                what: "mean demand",
                value: demand.mean(),
                range: (0.0, 1e5),
                remedy: "the demand is too uncertain to carry spares for",
            });
        }
        quantity += 1;
        one_less = achieved;
        achieved += demand.chance(quantity);
    }
    Ok(Spares { quantity, achieved: achieved.min(1.0), one_less })
}

/// How many to order where a missing one costs `under` and one too many costs `over`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Order {
    /// under / (under + over).
    pub critical_ratio: f64,
    pub quantity: u64,
    /// Before rounding up; equal to the quantity where demand is counted.
    pub exact: f64,
    /// Expected cost of too few and too many at that quantity.
    pub expected_cost: f64,
}

/// The order quantity of least expected cost: smallest k with P(D <= k) at or above the critical ratio.
pub fn newsvendor(demand: Demand, under: f64, over: f64) -> Result<Order, StatsError> {
    let under = positive("stats.cost", "cost of a missing one", under)?;
    let over = positive("stats.cost", "cost of one too many", over)?;
    let critical_ratio = under / (under + over);
    let quantity = spares(demand, critical_ratio)?.quantity;
    let q = quantity as f64;
    // E(q - D)+ over the counts up to q; E(D - q)+ follows from the mean.
    let too_many: f64 = (0..=quantity).map(|k| (q - k as f64) * demand.chance(k)).sum();
    let too_few = demand.mean() - q + too_many;
    Ok(Order { critical_ratio, quantity, exact: q, expected_cost: over * too_many + under * too_few })
}

/// The same for a demand taken as normal, for consumables by metre or weight.
pub fn newsvendor_normal(mean: f64, sd: f64, under: f64, over: f64) -> Result<Order, StatsError> {
    let mean = within("stats.mean", "mean demand", mean, (0.0, 1e9))?;
    let sd = within("stats.spread", "spread of the demand", sd, (0.0, 1e9))?;
    let under = positive("stats.cost", "cost of a missing one", under)?;
    let over = positive("stats.cost", "cost of one too many", over)?;
    let critical_ratio = open_share("stats.cost", "critical ratio", under / (under + over))?;
    let z = quantile::normal(critical_ratio);
    let exact = (mean + sd * z).max(0.0);
    let density = (-z * z / 2.0).exp() / (2.0 * std::f64::consts::PI).sqrt();
    Ok(Order {
        critical_ratio,
        quantity: exact.ceil() as u64,
        exact,
        expected_cost: (under + over) * sd * density,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn nonsense_is_refused() {
        assert_eq!(spares(Demand::Poisson { mean: -1.0 }, 0.9).unwrap_err().code, "stats.mean");
        assert_eq!(spares(Demand::Poisson { mean: 2.0 }, 1.0).unwrap_err().code, "stats.service");
        assert_eq!(spares(Demand::Binomial { n: 3, p: 1.1 }, 0.9).unwrap_err().code, "stats.chance");
        assert_eq!(newsvendor(Demand::Poisson { mean: 2.0 }, 0.0, 1.0).unwrap_err().code, "stats.cost");
    }

    /// Nothing fails: none to carry. Everything fails for sure: all.
    #[test]
    fn certain_demand() {
        assert_eq!(spares(Demand::Binomial { n: 7, p: 0.0 }, 0.99).unwrap().quantity, 0);
        assert_eq!(spares(Demand::Binomial { n: 7, p: 1.0 }, 0.99).unwrap().quantity, 7);
        assert_eq!(spares(Demand::Poisson { mean: 0.0 }, 0.99).unwrap().quantity, 0);
    }

    proptest! {
        #[test]
        fn an_uncertain_rate_never_needs_fewer_at_high_service(shape in 0.5..20.0_f64, mean in 0.2..20.0_f64) {
            let known = spares(Demand::Poisson { mean }, 0.95).unwrap();
            let unsure = Demand::Rate { shape, rate: shape, exposure: mean };
            prop_assert!((unsure.mean() - mean).abs() < 1e-9 && unsure.variance() > mean);
            let unsure = spares(unsure, 0.95).unwrap();
            prop_assert!(unsure.quantity + 1 >= known.quantity);
            prop_assert!(known.one_less < 0.95 && known.achieved >= 0.95 - 1e-9);
        }

        #[test]
        fn neighbours_of_the_order_cost_no_less(mean in 0.5..30.0_f64, under in 0.5..20.0_f64) {
            let demand = Demand::Poisson { mean };
            let best = newsvendor(demand, under, 1.0).unwrap();
            let cost = |q: u64| (0..400).map(|k| {
                let (k, q, p) = (k as f64, q as f64, demand.chance(k));
                p * ((k - q).max(0.0) * under + (q - k).max(0.0))
            }).sum::<f64>();
            prop_assert!((cost(best.quantity) - best.expected_cost).abs() < 1e-6);
            prop_assert!(cost(best.quantity + 1) + 1e-9 >= best.expected_cost);
            if best.quantity > 0 {
                prop_assert!(cost(best.quantity - 1) + 1e-9 >= best.expected_cost);
            }
        }
    }
}
