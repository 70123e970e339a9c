//! Loading of a mains circuit.

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::{Amps, Fraction, Volts, Watts};

/// A load on for three hours or more takes at most 80 % of the circuit's protective device.
pub const SOURCE: Source = Source {
    title: "NFPA 70 (NEC), continuous loads on branch circuits",
    edition: "",
    clause: "210.19(A)(1), 210.20(A)",
    standing: Standing::Published,
};

/// Continuous share of a breaker's rating.
pub const CONTINUOUS: f64 = 0.8;

const ROUNDING: f64 = 1e-9;

/// One load of the circuit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    pub watts: Watts,
    /// 0.1 to 1.
    pub power_factor: Fraction,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Input {
    pub volts: Volts,
    /// Rating of breaker or fuse, more than 0 A.
    pub breaker: Amps,
    /// Share of the rating for continuous load: 0.8 by the NEC; a planner's choice elsewhere.
    pub continuous: Fraction,
    pub loads: Vec<Load>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Output {
    pub amps: f64,
    pub limit_a: f64,
    /// Load over limit; 1 is full.
    pub used: f64,
    pub within_limit: bool,
    pub over_breaker: bool,
}

/// What the circuit carries against what it may. The currents of unlike power factors are added as they are, the safe
/// side.
///
/// # Errors
/// `mains_voltage` outside 50 to 500 V, `breaker_rating` outside 0.5 to 400 A, `power_factor` below 0.1,
/// `continuous_share` of zero.
pub fn branch_load(input: &Input) -> Result<Output, Refusal> {
    let volts = mains_volts(input.volts)?;
    let breaker = Refusal {
        code: "breaker_rating",
        what: "breaker rating",
        value: input.breaker.get(),
        unit: "A",
        range: (0.5, 400.0),
        remedy: "read the rating off the breaker's handle",
    }
    .unless_within()?;
    let share = Refusal {
        code: "continuous_share",
        what: "continuous share",
        value: input.continuous.get(),
        unit: "",
        range: (0.01, 1.0),
        remedy: "0.8 is the rule for loads of three hours or more",
    }
    .unless_within()?;
    let mut amps = 0.0;
    for load in &input.loads {
        amps += load.watts.get() / (volts * checked_power_factor(load.power_factor)?);
    }
    let limit_a = breaker * share;
    Ok(Output {
        amps,
        limit_a,
        used: amps / limit_a,
        within_limit: amps <= limit_a * (1.0 + ROUNDING),
        over_breaker: amps > breaker * (1.0 + ROUNDING),
    })
}

/// Mains voltage, 50 to 500 V.
pub(super) fn mains_volts(volts: Volts) -> Result<f64, Refusal> {
    Refusal {
        code: "mains_voltage",
        what: "mains voltage",
        value: volts.get(),
        unit: "V",
        range: (50.0, 500.0),
        remedy: "120 or 230 V are usual",
    }
    .unless_within()
}

/// Power factor, 0.1 to 1.
pub(super) fn checked_power_factor(power_factor: Fraction) -> Result<f64, Refusal> {
    Refusal {
        code: "power_factor",
        what: "power factor",
        value: power_factor.get(),
        unit: "",
        range: (0.1, 1.0),
        remedy: "0.6 for cheap supplies, 1 for plain lamps",
    }
    .unless_within()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn on(breaker: f64, watts: &[f64]) -> Output {
        let load =
            |&watts| Load { watts: Watts::new(watts).unwrap(), power_factor: Fraction::new(1.0).unwrap() };
        branch_load(&Input {
            volts: Volts::new(120.0).unwrap(),
            breaker: Amps::new(breaker).unwrap(),
            continuous: Fraction::new(0.8).unwrap(),
            loads: watts.iter().map(load).collect(),
        })
        .unwrap()
    }

    /// NEC 210.20(A) at 120 V: a 15 A circuit bears 12 A or 1440 W without end, a 20 A circuit 16 A or 1920 W.
    #[test]
    fn eighty_percent_is_full() {
        assert!(on(15.0, &[1440.0]).within_limit && !on(15.0, &[1441.0]).within_limit);
        assert!(on(20.0, &[1920.0]).within_limit && !on(20.0, &[1921.0]).within_limit);
        assert!(!on(15.0, &[1800.0]).over_breaker && on(15.0, &[1801.0]).over_breaker);
    }

    #[test]
    fn a_missing_power_factor_is_refused() {
        let load = Load { watts: Watts::new(10.0).unwrap(), power_factor: Fraction::new(0.0).unwrap() };
        let input = Input {
            volts: Volts::new(230.0).unwrap(),
            breaker: Amps::new(16.0).unwrap(),
            continuous: Fraction::new(0.8).unwrap(),
            loads: vec![load],
        };
        assert_eq!(branch_load(&input).map_err(|refusal| refusal.code), Err("power_factor"));
    }

    proptest! {
        #[test]
        fn one_more_load_never_takes_less(a in 0.0..2000.0_f64, b in 0.0..2000.0_f64) {
            prop_assert!(on(15.0, &[a, b]).amps >= on(15.0, &[a]).amps);
        }
    }
}
