//! Voltage lost in a pair of conductors, out and back.

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::{Amps, Fraction, Metres, OhmsPerMetre, Volts};

/// Drop = 2 L R' I, single phase at unity power factor, or direct current.
pub const SOURCE: Source = Source {
    title: "IEC 60364-5-52, voltage drop in consumers' installations",
    edition: "",
    clause: "annex G, b = 2, reactance ignored below 50 mm²",
    standing: Standing::Published,
};

/// A share that drop limits are compared with; room for rounding, not for judgement.
const ROUNDING: f64 = 1e-9;

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    /// At the source, more than 0 V.
    pub volts: Volts,
    /// Of one conductor.
    pub ohm_per_m: OhmsPerMetre,
    /// One way.
    pub length: Metres,
    /// 0 A or more.
    pub amps: Amps,
    /// Highest drop wanted, as a share of `volts`.
    pub limit: Fraction,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Output {
    pub drop_v: f64,
    /// Of the source voltage.
    pub drop_pct: f64,
    /// At the far end.
    pub end_v: f64,
    pub within_limit: bool,
}

/// What arrives at the far end.
///
/// # Errors
/// `source_voltage` below 0.1 V, `load_current` below 0 A, `drop_over_source` where more than the source has would drop.
pub fn voltage_drop(input: Input) -> Result<Output, Refusal> {
    let volts = Refusal {
        code: "source_voltage",
        what: "source voltage",
        value: input.volts.get(),
        unit: "V",
        range: (0.1, 1000.0),
        remedy: "give the voltage at the source",
    }
    .unless_within()?;
    let amps = Refusal {
        code: "load_current",
        what: "current",
        value: input.amps.get(),
        unit: "A",
        range: (0.0, 10_000.0),
        remedy: "give the current as a positive number",
    }
    .unless_within()?;
    let drop_v = Refusal {
        code: "drop_over_source",
        what: "voltage drop",
        value: 2.0 * input.length.get() * input.ohm_per_m.get() * amps,
        unit: "V",
        range: (0.0, volts),
        remedy: "this much current can't flow: shorter or thicker conductors, or less load",
    }
    .unless_within()?;
    let share = drop_v / volts;
    Ok(Output {
        drop_v,
        drop_pct: 100.0 * share,
        end_v: volts - drop_v,
        within_limit: share <= input.limit.get() + ROUNDING,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::electrical::mains_resistance::mains_resistance;
    use crate::units::Gauge;
    use proptest::prelude::*;

    fn drop(volts: f64, ohm_per_m: f64, length: f64, amps: f64, limit: f64) -> Result<Output, Refusal> {
        voltage_drop(Input {
            volts: Volts::new(volts).unwrap(),
            ohm_per_m: OhmsPerMetre::new(ohm_per_m).unwrap(),
            length: Metres::new(length).unwrap(),
            amps: Amps::new(amps).unwrap(),
            limit: Fraction::new(limit).unwrap(),
        })
    }

    /// Electrician training lesson on NEC table 8: 16 AWG stranded, 100 ft, 4 A at 24 V lose 4.0 V, 16.7 %.
    #[test]
    fn sixteen_gauge_at_24_v_as_in_the_lesson() {
        let per_m = mains_resistance(Gauge::awg(16).unwrap()).unwrap().get();
        let got = drop(24.0, per_m, 100.0 * 0.3048, 4.0, 0.03).unwrap();
        assert!((got.drop_v - 4.0).abs() < 0.05 && (got.drop_pct - 16.7).abs() < 0.1, "{got:?}");
        assert!(!got.within_limit);
    }

    /// Electrical Installation Guide, chapter G, example 2: 2.5 mm² copper, 20 m, 20 A at 230 V; 7.2 V with
    /// 22.5 ohm mm²/km (2008), 7.6 V with 23.7 (2018; that constant from memory).
    #[test]
    fn the_installation_guide_example_with_either_constant() {
        for (rho, published) in [(22.5, 7.2), (23.7, 7.6)] {
            let got = drop(230.0, rho / 1000.0 / 2.5, 20.0, 20.0, 0.05).unwrap();
            assert!((got.drop_v - published).abs() < 0.05, "{got:?}");
        }
    }

    /// BS 7671 table 4F3B, 1.5 mm²: 32 mV/A/m, 25 m, 10 A: 8.0 V, 3.48 %.
    #[test]
    fn a_british_lead_loses_what_its_table_says() {
        let per_m = mains_resistance(Gauge::mm2(1.5).unwrap()).unwrap().get();
        let got = drop(230.0, per_m, 25.0, 10.0, 0.03).unwrap();
        assert!((got.drop_v - 8.0).abs() < 1e-9 && (got.drop_pct - 3.478_261).abs() < 1e-6, "{got:?}");
    }

    #[test]
    fn more_drop_than_voltage_is_refused() {
        let refused = drop(5.0, 0.05, 100.0, 10.0, 0.03);
        assert_eq!(refused.map_err(|refusal| refusal.code), Err("drop_over_source"));
    }

    proptest! {
        #[test]
        fn a_longer_run_never_drops_less(length in 0.0..50.0_f64, more in 0.0..50.0_f64, amps in 0.0..10.0_f64) {
            let short = drop(120.0, 0.013, length, amps, 0.03).unwrap();
            let long = drop(120.0, 0.013, length + more, amps, 0.03).unwrap();
            prop_assert!(long.drop_v >= short.drop_v);
        }
    }
}
