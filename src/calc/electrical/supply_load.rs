//! Loading of a low-voltage supply.

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::{Amps, Fraction, Volts, Watts};

/// Continuous load at most 80 % of the rating: the branch-circuit rule, taken over.
pub const SOURCE: Source = Source {
    title: "Continuous loading of switch-mode supplies, after the NEC rule for branch circuits",
    edition: "",
    clause: "",
    standing: Standing::CommonPractice,
};

/// Continuous share of a supply's rating where its maker tells no other.
pub const CONTINUOUS: f64 = 0.8;

const ROUNDING: f64 = 1e-9;

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    /// Rated voltage, 1 V or more; turning a supply up does not raise its amps.
    pub volts: Volts,
    /// Rated power, more than 0 W.
    pub rated: Watts,
    pub load: Amps,
    /// Share of the rating for continuous load; 0.8 is usual.
    pub continuous: Fraction,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Output {
    pub rated_a: f64,
    /// Load over rated current.
    pub used: f64,
    pub within_limit: bool,
    pub over_rating: bool,
}

/// What the supply carries against what it may.
///
/// # Errors
/// `supply_voltage` outside 1 to 60 V, `supply_rating` below 0.1 W, `load_current` below 0 A.
pub fn supply_load(input: Input) -> Result<Output, Refusal> {
    let refusal = Refusal {
        code: "supply_voltage",
        what: "supply voltage",
        value: input.volts.get(),
        unit: "V",
        range: (1.0, 60.0),
        remedy: "read the output voltage off the supply's label",
    };
    let volts = refusal.unless_within()?;
    let rated = Refusal {
        code: "supply_rating",
        what: "supply rating",
        value: input.rated.get(),
        unit: "W",
        range: (0.1, 1e5),
        remedy: "read the rated watts off the supply's label",
    }
    .unless_within()?;
    let load = Refusal {
        code: "load_current",
        what: "current",
        value: input.load.get(),
        unit: "A",
        range: (0.0, 10_000.0),
        remedy: "current into a supply is a fault of the wiring",
    }
    .unless_within()?;
    let rated_a = rated / volts;
    let used = load / rated_a;
    Ok(Output {
        rated_a,
        used,
        within_limit: used <= input.continuous.get() + ROUNDING,
        over_rating: used > 1.0 + ROUNDING,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn on(load: f64) -> Output {
        supply_load(Input {
            volts: Volts::new(5.0).unwrap(),
            rated: Watts::new(350.0).unwrap(),
            load: Amps::new(load).unwrap(),
            continuous: Fraction::new(0.8).unwrap(),
        })
        .unwrap()
    }

    /// Common practice, no published source: a 5 V, 350 W supply gives 70 A, 56 A of it without end.
    #[test]
    fn fifty_six_of_seventy_amps_are_full() {
        assert!((on(56.0).rated_a - 70.0).abs() < 1e-12);
        assert!(on(56.0).within_limit && !on(56.1).within_limit);
        assert!(!on(70.0).over_rating && on(70.1).over_rating);
    }

    proptest! {
        #[test]
        fn more_load_never_uses_less(load in 0.0..100.0_f64, more in 0.0..100.0_f64) {
            prop_assert!(on(load + more).used >= on(load).used);
        }
    }
}
