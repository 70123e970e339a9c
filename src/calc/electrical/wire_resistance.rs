//! Resistance of copper wire for pixel wiring.

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::{Celsius, OhmsPerMetre};
use crate::units::{Gauge, GaugeSystem};

/// AWG by its diameter rule; square millimetres by the table for flexible conductors.
pub const SOURCE: Source = Source {
    title: "ASTM B258 (AWG diameters), IEC 60028 (annealed copper), IEC 60228 class 5 (flexible, plain copper)",
    edition: "",
    clause: "IEC 60228 table 3, maximum resistance at 20 °C",
    standing: Standing::Published,
};

/// Ohm mm² a metre of annealed copper at 20 °C (IEC 60028).
const RHO_20: f64 = 0.017_241;
/// A kelvin, from 20 °C (IEC 60028).
const ALPHA_20: f64 = 0.003_93;

/// IEC 60228 class 5, plain copper: hundredths of a square millimetre, ohm a kilometre at 20 °C.
const CLASS_5: [(i64, f64); 9] = [
    (50, 39.0),
    (75, 26.0),
    (100, 19.5),
    (150, 13.3),
    (250, 7.98),
    (400, 4.95),
    (600, 3.30),
    (1000, 1.91),
    (1600, 1.21),
];

/// The highest of that table in ohm mm² a kilometre, for sizes that it does not list, as 0.22, 0.34 or 1.25 mm².
const CLASS_5_WORST: f64 = 19.95;

/// What the resistance depends on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    pub gauge: Gauge,
    /// Of the copper, -40 to 100 °C; 20 °C is used for pixel wiring on a cold evening, which is the safe side.
    pub temperature: Celsius,
}

/// Ohms a metre of one conductor.
///
/// # Errors
/// `wire_size_not_listed` for a size of more than 16 mm², `wire_temperature` outside
/// -40 to 100 °C.
pub fn wire_resistance(input: Input) -> Result<OhmsPerMetre, Refusal> {
    let t = Refusal {
        code: "wire_temperature",
        what: "wire temperature",
        value: input.temperature.get(),
        unit: "°C",
        range: (-40.0, 100.0),
        remedy: "the straight-line factor for copper holds only here",
    }
    .unless_within()?;
    let area = input.gauge.area_mm2();
    let not_listed = Refusal {
        code: "wire_size_not_listed",
        what: "wire size",
        value: area,
        unit: "mm²",
        range: (0.05, 16.0),
        remedy: "use 0.05 to 16 mm²",
    };
    let at_20 = match input.gauge.system() {
        GaugeSystem::Awg => RHO_20 / area,
        GaugeSystem::Mm2 => {
            let hundredths = (area * 100.0).round() as i64;
            let row = CLASS_5.iter().find(|(size, _)| *size == hundredths).map(|row| row.1);
            let between = (area <= 16.0).then_some(CLASS_5_WORST / area);
            row.or(between).ok_or(not_listed)? / 1000.0
        }
    };
    OhmsPerMetre::new(at_20 * (1.0 + ALPHA_20 * (t - 20.0))).map_err(|_| not_listed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn ohm_per_m(gauge: Gauge, celsius: f64) -> f64 {
        wire_resistance(Input { gauge, temperature: Celsius::new(celsius).unwrap() }).unwrap().get()
    }

    /// NBS Handbook 100, "Copper Wire Tables", ohm/kft at 20 °C; the diameter rule is good to 0.05 %.
    #[test]
    fn awg_agrees_with_the_copper_wire_tables() {
        for (awg, per_kft) in [
            (24, 25.67),
            (22, 16.14),
            (20, 10.15),
            (18, 6.385),
            (16, 4.016),
            (14, 2.525),
            (12, 1.588),
            (10, 0.9989),
            (8, 0.6282),
            (6, 0.3951),
        ] {
            let got = ohm_per_m(Gauge::awg(awg).unwrap(), 20.0) * 304.8;
            assert!((got / per_kft - 1.0).abs() < 5e-4, "{awg} AWG: {got} against {per_kft}");
        }
    }

    /// BS 7671 table 4F3B rounds two-way class 5 resistance at 60 °C up, by no more than 5 %.
    #[test]
    fn class_5_agrees_with_the_cord_table_at_60_c() {
        for (mm2, mv) in [(0.5, 93.0), (0.75, 62.0), (1.0, 46.0), (1.5, 32.0), (2.5, 19.0), (4.0, 12.0)] {
            let two_way = 2000.0 * ohm_per_m(Gauge::mm2(mm2).unwrap(), 60.0);
            assert!((1.0..=1.05).contains(&(mv / two_way)), "{mm2} mm²: {mv} against {two_way}");
        }
    }

    #[test]
    fn a_size_between_the_listed_ones_lies_between_them_and_a_huge_one_is_refused() {
        let ohm = |area| ohm_per_m(Gauge::mm2(area).unwrap(), 20.0);
        assert!(ohm(1.5) > ohm(1.7) && ohm(1.7) > ohm(2.5) && ohm(0.34) > ohm(0.5));
        let input = Input { gauge: Gauge::mm2(50.0).unwrap(), temperature: Celsius::new(20.0).unwrap() };
        assert_eq!(wire_resistance(input).map_err(|refusal| refusal.code), Err("wire_size_not_listed"));
        let input = Input { temperature: Celsius::new(-60.0).unwrap(), gauge: Gauge::mm2(1.5).unwrap() };
        assert_eq!(wire_resistance(input).map_err(|refusal| refusal.code), Err("wire_temperature"));
    }

    proptest! {
        #[test]
        fn thinner_or_warmer_wire_never_has_less(awg in 0_i64..40, t in -40.0..99.0_f64) {
            let thick = ohm_per_m(Gauge::awg(awg).unwrap(), t);
            prop_assert!(ohm_per_m(Gauge::awg(awg + 1).unwrap(), t) > thick);
            prop_assert!(ohm_per_m(Gauge::awg(awg).unwrap(), t + 1.0) > thick);
        }
    }
}
