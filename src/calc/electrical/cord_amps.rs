//! The most an extension cord may carry.

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::Gauge;
use crate::units::si::{Amps, Metres};

/// Cord sets by gauge and length (US), flexible cords by size (UK).
pub const SOURCE: Source = Source {
    title: "UL 817, cord sets and power-supply cords; BS 7671, flexible cords",
    edition: "",
    clause: "UL 817 ampacity by gauge and length; BS 7671 table 4F3A",
    standing: Standing::Published,
};

/// AWG, longest length in feet, amps; the first row that is long enough holds.
const UL_817: [(i64, f64, f64); 6] = [
    (16, 50.0, 13.0),
    (16, 100.0, 10.0),
    (14, 50.0, 15.0),
    (14, 100.0, 13.0),
    (12, 100.0, 15.0),
    (10, 100.0, 15.0),
];

/// Hundredths of a square millimetre, amps; fully uncoiled; the last row from memory.
const TABLE_4F3A: [(i64, f64); 8] =
    [(50, 3.0), (75, 6.0), (100, 10.0), (125, 13.0), (150, 16.0), (250, 25.0), (400, 32.0), (600, 40.0)];

const METRES_PER_FOOT: f64 = 0.3048;

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    pub gauge: Gauge,
    /// One way.
    pub length: Metres,
}

/// The most the cord may carry, uncoiled.
///
/// # Errors
/// `cord_not_listed` where no value is published: not known is never ok.
pub fn cord_amps(input: Input) -> Result<Amps, Refusal> {
    let not_listed = Refusal {
        code: "cord_not_listed",
        what: "this size of cord at its length",
        value: input.length.get(),
        unit: "m",
        range: (0.0, 100.0 * METRES_PER_FOOT),
        remedy: "no value is published for this size and length: take a listed cord (16 to 10 AWG, up to 100 ft)",
    };
    // A foot's rounding to whole millimetres must not make a 50 ft cord longer than 50 ft.
    let feet = (input.length.get() - 0.0006) / METRES_PER_FOOT;
    let amps = if let Some(awg) = input.gauge.awg_number() {
        UL_817.iter().find(|row| row.0 == awg && feet <= row.1).map(|row| row.2)
    } else {
        let hundredths = (input.gauge.area_mm2() * 100.0).round() as i64;
        TABLE_4F3A.iter().find(|row| row.0 == hundredths).map(|row| row.1)
    };
    Amps::new(amps.ok_or(not_listed)?).map_err(|_| not_listed)
}

/// What a cord of 18 AWG with two loaded conductors may carry, as lamps and small things have it (NEC 400.5(A)(1), column B);
/// extension cords are not made of it. Nothing beyond 50 ft, and for other sizes.
pub fn thin_cord_amps(input: Input) -> Option<Amps> {
    let feet = (input.length.get() - 0.0006) / METRES_PER_FOOT;
    let thin = input.gauge.awg_number() == Some(18) && feet <= 50.0;
    thin.then(|| Amps::new(10.0).ok()).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn amps(gauge: Gauge, feet: f64) -> Result<f64, &'static str> {
        let length = Metres::new(feet * METRES_PER_FOOT).unwrap();
        cord_amps(Input { gauge, length }).map(Amps::get).map_err(|refusal| refusal.code)
    }

    /// UL 817 as transcribed by two cord makers: 16 AWG 13 A to 50 ft and 10 A to 100 ft.
    #[test]
    fn listed_cords_carry_what_is_published() {
        let awg = |number| Gauge::awg(number).unwrap();
        assert_eq!(amps(awg(16), 50.0), Ok(13.0));
        assert_eq!(amps(awg(16), 51.0), Ok(10.0));
        assert_eq!(amps(awg(14), 100.0), Ok(13.0));
        assert_eq!(amps(awg(10), 100.0), Ok(15.0));
        assert_eq!(amps(awg(12), 101.0), Err("cord_not_listed"));
        assert_eq!(amps(awg(18), 25.0), Err("cord_not_listed"));
        assert_eq!(amps(Gauge::mm2(1.5).unwrap(), 80.0), Ok(16.0));
    }

    #[test]
    fn a_thin_cord_carries_ten_amps_as_far_as_it_is_short() {
        let thin = |awg, feet: f64| {
            let (gauge, length) = (Gauge::awg(awg).unwrap(), Metres::new(feet * METRES_PER_FOOT).unwrap());
            thin_cord_amps(Input { gauge, length }).map(Amps::get)
        };
        assert_eq!([thin(18, 50.0), thin(18, 51.0), thin(20, 5.0)], [Some(10.0), None, None]);
    }

    proptest! {
        #[test]
        fn a_longer_cord_never_carries_more(half in 5_i64..=8, feet in 0.0..99.0_f64, more in 0.0..60.0_f64) {
            let gauge = Gauge::awg(2 * half).unwrap();
            if let Ok(long) = amps(gauge, feet + more) {
                prop_assert!(amps(gauge, feet).unwrap() >= long);
            }
        }
    }
}
