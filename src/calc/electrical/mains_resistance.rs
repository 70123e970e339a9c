//! Resistance of mains cords: warm copper, the safe side.

use super::wire_resistance;
use super::wire_resistance::wire_resistance;
use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::Gauge;
use crate::units::si::{Celsius, OhmsPerMetre};

/// AWG from NEC chapter 9 table 8; square millimetres from the flexible-cord table of BS 7671.
pub const SOURCE: Source = Source {
    title: "NFPA 70 (NEC), direct-current resistance at 75 °C; BS 7671, flexible cords at 60 °C",
    edition: "",
    clause: "NEC chapter 9 table 8, stranded, uncoated; BS 7671 table 4F3B",
    standing: Standing::Published,
};

/// NEC chapter 9 table 8: AWG, ohm/kft at 75 °C, stranded.
#[expect(clippy::approx_constant, reason = "3.14 ohm/kft is the table's figure for 14 AWG")]
const TABLE_8: [(i64, f64); 7] =
    [(18, 7.95), (16, 4.99), (14, 3.14), (12, 1.98), (10, 1.24), (8, 0.778), (6, 0.491)];

/// BS 7671 table 4F3B: hundredths of a square millimetre, mV a metre and ampere, both conductors; the last row from memory.
const TABLE_4F3B: [(i64, f64); 8] =
    [(50, 93.0), (75, 62.0), (100, 46.0), (125, 37.0), (150, 32.0), (250, 19.0), (400, 12.0), (600, 7.8)];

const METRES_PER_KFT: f64 = 304.8;
/// A stranded wire of a size that neither table lists resists by so much more than the copper in it, as those listed do.
const LAY: f64 = 1.03;

/// Ohms a metre of one conductor of a cord.
///
/// # Errors
/// `cord_size_not_listed` above 16 mm².
pub fn mains_resistance(gauge: Gauge) -> Result<OhmsPerMetre, Refusal> {
    let not_listed = Refusal {
        code: "cord_size_not_listed",
        what: "cord size",
        value: gauge.area_mm2(),
        unit: "mm²",
        range: (0.05, 16.0),
        remedy: "use 18, 16, 14, 12, 10, 8, 6 AWG, or 0.5 to 6 mm² as sold",
    };
    let (table, size, per_m): (&[(i64, f64)], i64, f64) = if let Some(number) = gauge.awg_number() {
        (&TABLE_8, number, METRES_PER_KFT)
    } else {
        // The table counts both conductors, in thousandths.
        (&TABLE_4F3B, (gauge.area_mm2() * 100.0).round() as i64, 2000.0)
    };
    if let Some(row) = table.iter().find(|row| row.0 == size) {
        return OhmsPerMetre::new(row.1 / per_m).map_err(|_| not_listed);
    }
    let warm = Celsius::new(75.0).map_err(|_| not_listed)?;
    let copper =
        wire_resistance(wire_resistance::Input { gauge, temperature: warm }).map_err(|_| not_listed)?;
    OhmsPerMetre::new(copper.get() * LAY).map_err(|_| not_listed)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Stranded 18, 16, 14, 12 AWG are sold as 26.1, 16.4, 10.3, 6.50 ohm/km (makers' metric tables of table 8).
    #[test]
    fn table_8_agrees_with_its_metric_form() {
        for (awg, per_km) in [(18, 26.1), (16, 16.4), (14, 10.3), (12, 6.50)] {
            let got = mains_resistance(Gauge::awg(awg).unwrap()).unwrap().get() * 1000.0;
            assert!((got - per_km).abs() < 0.06, "{awg} AWG: {got} against {per_km}");
        }
    }

    /// Solid copper by the diameter rule at 75 °C; table 8 is stranded, 1.8 to 2.5 % above solid for its lay, and its
    /// solid column itself lies within 0.4 % of the rule.
    #[test]
    fn table_8_lies_a_little_above_solid_copper() {
        for (awg, per_kft) in TABLE_8 {
            let area = Gauge::awg(awg).unwrap().area_mm2();
            let solid = 0.017_241 / area * (1.0 + 0.003_93 * 55.0) * METRES_PER_KFT;
            assert!((1.014..=1.029).contains(&(per_kft / solid)), "{awg} AWG: {per_kft} against {solid}");
        }
    }

    #[test]
    fn an_unlisted_size_lies_between_its_neighbours_and_a_huge_one_is_refused() {
        let ohm = |awg| mains_resistance(Gauge::awg(awg).unwrap()).unwrap().get();
        assert!(ohm(18) > ohm(17) && ohm(17) > ohm(16) && ohm(4) < ohm(6));
        let refused = mains_resistance(Gauge::mm2(50.0).unwrap());
        assert_eq!(refused.map_err(|refusal| refusal.code), Err("cord_size_not_listed"));
    }
}
