//! The most an extension cord may carry.

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::Gauge;
use crate::units::si::{Amps, Metres};

/// Cord sets by gauge and length (US), flexible cords by size (UK).
pub const SOURCE: Source = Source {
    title: "UL 817, cord sets and power-supply cords; NFPA 70 (NEC) and BS 7671, flexible cords",
    edition: "",
    clause: "UL 817 ampacity by gauge and length; NEC table 400.5(A)(1), from memory; BS 7671 table 4F3A",
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

/// AWG, amps of a cord with two loaded conductors (NEC 400.5(A)(1), column B). In sets as thick as these UL 817 rates the
/// plug, not the wire.
const NEC_400_5: [(i64, f64); 6] = [(12, 25.0), (10, 30.0), (8, 40.0), (6, 55.0), (4, 70.0), (2, 95.0)];

const METRES_PER_FOOT: f64 = 0.3048;

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    pub gauge: Gauge,
    /// One way.
    pub length: Metres,
}

/// The most a cord set with plugs of 15 A may carry, or a cord by its size in mm², uncoiled.
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

/// The most the wire of a cord may carry, whatever its plugs are: heat asks no more of a cord that is longer than those
/// listed, and what it loses is another check's. One of 18 AWG, as lamps and small things have it, carries 10 A, beyond 50 ft
/// as with three loaded conductors 7 A (NEC 400.5(A)(1), columns B and A).
///
/// # Errors
/// `cord_not_listed` where it is thinner than any.
pub fn cord_wire_amps(input: Input) -> Result<Amps, Refusal> {
    let listed = input.length.get().min(100.0 * METRES_PER_FOOT);
    let set = Input { length: Metres::new(listed).unwrap_or(input.length), ..input };
    let amps = match input.gauge.awg_number() {
        Some(18) => Some(if input.length.get() - 0.0006 > 50.0 * METRES_PER_FOOT { 7.0 } else { 10.0 }),
        Some(awg) => NEC_400_5.iter().find(|row| row.0 == awg).map(|row| row.1),
        None => None,
    };
    let own = amps.and_then(|amps| Amps::new(amps).ok()).map_or_else(|| cord_amps(set), Ok);
    own.or_else(|refusal| {
        thinner(input.gauge).map_or(Err(refusal), |gauge| cord_wire_amps(Input { gauge, ..input }))
    })
}

/// The next thinner size that is listed, of one that is not: the safe side.
fn thinner(gauge: Gauge) -> Option<Gauge> {
    match gauge.awg_number() {
        Some(awg) if awg < 18 && (awg % 2 == 1 || awg == 0) => Gauge::awg((awg + 1).max(2)),
        Some(_) => None,
        None => {
            let hundredths = (gauge.area_mm2() * 100.0).round() as i64;
            let row = TABLE_4F3A.iter().rev().find(|row| row.0 < hundredths)?;
            Gauge::mm2(row.0 as f64 / 100.0)
        }
    }
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

    /// NEC table 400.5(A)(1), from memory; 14 and 16 AWG as UL 817 lists them at 100 ft.
    #[test]
    fn the_wire_of_a_cord_carries_what_it_does_at_any_length() {
        let may = |awg, feet: f64| {
            let (gauge, length) = (Gauge::awg(awg).unwrap(), Metres::new(feet * METRES_PER_FOOT).unwrap());
            cord_wire_amps(Input { gauge, length }).map(Amps::get).map_err(|refusal| refusal.code)
        };
        assert_eq!([may(18, 50.0), may(18, 51.0), may(16, 300.0)], [Ok(10.0), Ok(7.0), Ok(10.0)]);
        assert_eq!([may(12, 6.0), may(12, 131.0), may(8, 10.0)], [Ok(25.0), Ok(25.0), Ok(40.0)]);
        assert_eq!([may(17, 5.0), may(13, 5.0), may(1, 5.0)], [Ok(10.0), Ok(15.0), Ok(95.0)]);
        assert_eq!(may(20, 5.0), Err("cord_not_listed"));
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
