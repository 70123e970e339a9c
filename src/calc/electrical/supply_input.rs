//! What a supply takes from the mains.

use super::branch_load::{checked_power_factor, mains_volts};
use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::{Fraction, Volts, Watts};

/// Definitions of efficiency and power factor.
pub const SOURCE: Source = Source {
    title: "IEC 60050, efficiency and power factor",
    edition: "",
    clause: "131-11-46, 151-15-25",
    standing: Standing::FromMemory,
};

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    pub output: Watts,
    /// 0.1 to 1; 0.82 to 0.88 for cheap supplies, by common practice.
    pub efficiency: Fraction,
    /// 0.1 to 1; 0.55 to 0.65 without correction, by common practice.
    pub power_factor: Fraction,
    pub mains: Volts,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Output {
    pub input_w: f64,
    pub input_va: f64,
    pub amps: f64,
}

/// Input W = output / efficiency, VA = W / power factor, A = VA / V.
///
/// # Errors
/// `efficiency` or `power_factor` below 0.1, `mains_voltage` outside 50 to 500 V.
pub fn supply_input(input: Input) -> Result<Output, Refusal> {
    let efficiency = Refusal {
        code: "efficiency",
        what: "efficiency",
        value: input.efficiency.get(),
        unit: "",
        range: (0.1, 1.0),
        remedy: "0.82 to 0.88 for cheap supplies",
    }
    .unless_within()?;
    let input_w = input.output.get() / efficiency;
    let input_va = input_w / checked_power_factor(input.power_factor)?;
    Ok(Output { input_w, input_va, amps: input_va / mains_volts(input.mains)? })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn amps(watts: f64, power_factor: f64) -> f64 {
        supply_input(Input {
            output: Watts::new(watts).unwrap(),
            efficiency: Fraction::new(0.85).unwrap(),
            power_factor: Fraction::new(power_factor).unwrap(),
            mains: Volts::new(120.0).unwrap(),
        })
        .unwrap()
        .amps
    }

    /// Worked by hand: 280 W out, 0.85, 120 V take 4.58 A at power factor 0.60, 2.75 A at 1.
    #[test]
    fn a_poor_power_factor_costs_amps() {
        assert!((amps(280.0, 0.6) - 4.575_163).abs() < 1e-6);
        assert!((amps(280.0, 1.0) - 2.745_098).abs() < 1e-6);
    }

    proptest! {
        #[test]
        fn more_output_never_takes_less(watts in 0.0..1000.0_f64, more in 0.0..1000.0_f64, pf in 0.1..1.0_f64) {
            prop_assert!(amps(watts + more, pf) >= amps(watts, pf));
        }
    }
}
