//! The wire needed to keep a drop: K-factor form in circular mils.

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::Gauge;
use crate::units::si::{Amps, Fraction, Metres, Volts};

/// Circular mils = K × amps × round-trip feet / volts that may drop.
pub const SOURCE: Source = Source {
    title: "ABYC E-11, conductor sizing for voltage drop",
    edition: "",
    clause: "CM = K I L / E",
    standing: Standing::Published,
};

const METRES_PER_FOOT: f64 = 0.3048;
/// Square millimetres of one circular mil (a circle a thousandth of an inch across).
const MM2_PER_CMIL: f64 = std::f64::consts::FRAC_PI_4 * 0.0254 * 0.0254;

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    pub volts: Volts,
    /// Share of `volts` that may drop, more than 0.
    pub limit: Fraction,
    pub amps: Amps,
    /// Out and back together.
    pub round_trip: Metres,
    /// Ohm circular mils a foot, 9 to 15: 10.75 for copper at 25 °C, 12.9 at 75 °C.
    pub k: f64,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Output {
    pub cmil: f64,
    /// The thinnest even gauge that has them; nothing where 0 AWG is too thin.
    pub gauge: Option<Gauge>,
}

/// Volts lost by the same rule in a conductor of `cmil` circular mils.
pub fn k_factor_drop(k: f64, amps: Amps, round_trip: Metres, cmil: f64) -> Result<f64, Refusal> {
    let cmil = Refusal {
        code: "conductor_area",
        what: "conductor area",
        value: cmil,
        unit: "cmil",
        range: (1.0, 2e6),
        remedy: "give the area in circular mils",
    }
    .unless_within()?;
    Ok(checked_k(k)? * amps.get() * round_trip.get() / METRES_PER_FOOT / cmil)
}

fn checked_k(k: f64) -> Result<f64, Refusal> {
    Refusal {
        code: "k_factor",
        what: "K",
        value: k,
        unit: "ohm cmil/ft",
        range: (9.0, 15.0),
        remedy: "copper has 10.4 to 12.9 between 20 and 75 °C",
    }
    .unless_within()
}

/// The area needed, and the gauge that has it.
///
/// # Errors
/// `k_factor` outside 9 to 15, `drop_limit` where no drop is allowed or the source has no voltage.
pub fn conductor_size(input: Input) -> Result<Output, Refusal> {
    let may_drop = Refusal {
        code: "drop_limit",
        what: "drop allowed",
        value: input.volts.get() * input.limit.get(),
        unit: "V",
        range: (1e-3, 1000.0),
        remedy: "allow some drop: 3 % is common",
    }
    .unless_within()?;
    let feet = input.round_trip.get() / METRES_PER_FOOT;
    let cmil = checked_k(input.k)? * input.amps.get() * feet / may_drop;
    let gauge = (0..=12).rev().filter_map(|half| Gauge::awg(2 * half)).find(|gauge| cmil_of(*gauge) >= cmil);
    Ok(Output { cmil, gauge })
}

/// Circular mils of a gauge.
pub fn cmil_of(gauge: Gauge) -> f64 {
    gauge.area_mm2() / MM2_PER_CMIL
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn size(feet: f64, limit: f64) -> Output {
        conductor_size(Input {
            volts: Volts::new(12.0).unwrap(),
            limit: Fraction::new(limit).unwrap(),
            amps: Amps::new(10.0).unwrap(),
            round_trip: Metres::new(feet * METRES_PER_FOOT).unwrap(),
            k: 10.75,
        })
        .unwrap()
    }

    /// Marine catalogue of 2021, pages 52 and 53 (ABYC form): 12 V, 10 A; 21 ft at 10 % need 16 AWG, 25 ft (the
    /// chart's next length) at 3 % need 10 AWG.
    #[test]
    fn the_marine_chart_gives_the_same_gauges() {
        let ten = size(21.0, 0.10);
        assert_eq!(ten.gauge, Gauge::awg(16));
        assert!((ten.cmil - 1881.25).abs() < 0.01, "{ten:?}");
        let three = size(25.0, 0.03);
        assert_eq!(three.gauge, Gauge::awg(10));
        assert!((three.cmil - 7465.3).abs() < 0.05, "{three:?}");
    }

    /// Exam lesson, K 12.9: 100 ft, 20 A, 12 AWG of 6530 cmil lose 7.9 V, 8 AWG of 16510 cmil 3.1 V.
    #[test]
    fn the_exam_lesson_drops() {
        for (cmil, published) in [(6530.0, 7.9), (16_510.0, 3.1)] {
            let round_trip = Metres::new(200.0 * METRES_PER_FOOT).unwrap();
            let got = k_factor_drop(12.9, Amps::new(20.0).unwrap(), round_trip, cmil).unwrap();
            assert!((got - published).abs() < 0.05, "{got} against {published}");
        }
    }

    proptest! {
        #[test]
        fn a_longer_run_never_needs_less(feet in 1.0..200.0_f64, more in 0.0..100.0_f64) {
            prop_assert!(size(feet + more, 0.03).cmil >= size(feet, 0.03).cmil);
        }
    }
}
