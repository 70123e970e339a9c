//! How strong concrete is after cool days.

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::{Celsius, Fraction};

pub const SOURCE: Source = Source {
    title: "ACI 209R strength with time; equivalent age by Nurse-Saul maturity (ASTM C1074, datum 0 °C)",
    edition: "1992 (2008); C1074-19",
    clause: "f(t)/f28 = t/(4 + 0.85 t) Type I, t/(2.3 + 0.92 t) Type III; te = sum max(0, T)/20",
    standing: Standing::Published,
};

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cement {
    TypeI,
    /// Early strength.
    TypeIII,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input<'a> {
    /// Mean of each day and night from the pour on; at most [`MOST_DAYS`].
    pub daily: &'a [Celsius],
    pub cement: Cement,
    /// Share of the 28-day strength that is waited for.
    pub target: Fraction,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Output {
    /// Days at 20 °C that would have done the same.
    pub equivalent_age_days: f64,
    /// Share of the 28-day strength at the end of each day.
    pub by_day: Vec<f64>,
    /// The day (1 = the first) at whose end the target is reached.
    pub first_day: Option<usize>,
    /// Days on which nothing was gained. Below 0 °C fresh concrete is harmed, not only slow.
    pub frozen_days: usize,
}

/// Longest row of days, a year.
pub const MOST_DAYS: usize = 366;

/// Strength gained over `daily` temperatures, moist cured.
pub fn strength(input: Input) -> Result<Output, Refusal> {
    if input.daily.is_empty() || input.daily.len() > MOST_DAYS {
        return Err(Refusal {
            code: "cure_days",
            what: "days of curing",
            value: input.daily.len() as f64,
            unit: "d",
            range: (1.0, MOST_DAYS as f64),
            remedy: "give the mean temperature of each day",
        });
    }
    let mut age = 0.0;
    let mut by_day = Vec::with_capacity(input.daily.len());
    for day in input.daily {
        age += day.get().max(0.0) / 20.0;
        by_day.push(share(age, input.cement));
    }
    // The printed fractions reach 70 % at seven days to a part in a billion of each other whatever the rounding.
    let first_day = by_day.iter().position(|f| *f >= input.target.get() - 1e-12).map(|d| d + 1);
    let frozen_days = input.daily.iter().filter(|d| d.get() <= 0.0).count();
    Ok(Output { equivalent_age_days: age, by_day, first_day, frozen_days })
}

/// Share of the 28-day strength at an age in days at 20 °C, not above 1.
pub fn share(age_days: f64, cement: Cement) -> f64 {
    let (a, b) = match cement {
        Cement::TypeI => (4.0, 0.85),
        Cement::TypeIII => (2.3, 0.92),
    };
    (age_days / (a + b * age_days)).min(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn days(c: &[f64]) -> Vec<Celsius> {
        c.iter().map(|c| Celsius::new(*c).unwrap()).collect()
    }

    /// ACI 209R, Type I moist cured: 0.46 at 3 days, 0.70 at 7, 0.88 at 14, 1.0 at 28.
    #[test]
    fn printed_strengths() {
        for (day, want) in [(3.0, 0.46), (7.0, 0.70), (14.0, 0.88), (28.0, 1.0)] {
            assert!((share(day, Cement::TypeI) - want).abs() < 0.005, "{day}");
        }
    }

    #[test]
    fn frost_gains_nothing() {
        let daily = days(&[-2.0, -3.0, 0.0]);
        let target = Fraction::new(0.25).unwrap();
        let out = strength(Input { daily: &daily, cement: Cement::TypeI, target }).unwrap();
        assert_eq!((out.first_day, out.frozen_days), (None, 3));
        assert!(out.equivalent_age_days.abs() < f64::EPSILON);
        assert_eq!(
            strength(Input { daily: &[], cement: Cement::TypeI, target }).unwrap_err().code,
            "cure_days"
        );
    }

    proptest! {
        #[test]
        fn strength_never_falls(c in prop::collection::vec(-20.0..35.0_f64, 1..60)) {
            let target = Fraction::new(0.5).unwrap();
            for cement in [Cement::TypeI, Cement::TypeIII] {
                let out = strength(Input { daily: &days(&c), cement, target }).unwrap();
                prop_assert!(out.by_day.windows(2).all(|w| w[0] <= w[1]));
                prop_assert!(out.by_day.iter().all(|f| (0.0..=1.0).contains(f)));
            }
        }
    }
}
