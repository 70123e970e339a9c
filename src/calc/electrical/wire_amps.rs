//! The most a low-voltage wire may carry: the bound of its fuse.

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::Gauge;
use crate::units::si::Amps;

/// Small-conductor limits; 22 and 20 AWG are common practice only, thinner ones as in machines (NFPA 79, table 12.5.1); those, 18
/// and 16 AWG and what is thicker than small from memory.
pub const SOURCE: Source = Source {
    title: "NFPA 70 (NEC), small conductors and those of 60 °C; BS 7671, flexible cords and cables; 22 and 20 AWG common practice",
    edition: "",
    clause: "NEC 240.4(D), table 310.16; BS 7671 tables 4F3A, 4D1A",
    standing: Standing::FromMemory,
};

/// AWG, amps, standing of that row.
const SMALL: [(i64, f64, Standing); 15] = [
    (30, 0.5, Standing::FromMemory),
    (28, 0.8, Standing::FromMemory),
    (26, 1.0, Standing::FromMemory),
    (24, 2.0, Standing::FromMemory),
    (22, 3.0, Standing::CommonPractice),
    (20, 5.0, Standing::CommonPractice),
    (18, 7.0, Standing::FromMemory),
    (16, 10.0, Standing::FromMemory),
    (14, 15.0, Standing::Published),
    (12, 20.0, Standing::Published),
    (10, 30.0, Standing::Published),
    (8, 40.0, Standing::FromMemory),
    (6, 55.0, Standing::FromMemory),
    (4, 70.0, Standing::FromMemory),
    (2, 95.0, Standing::FromMemory),
];

/// AWG sizes whose amps no standard fuse has, and the next one that there is.
const NEXT_FUSE: [(i64, f64); 2] = [(6, 60.0), (2, 100.0)];

/// Hundredths of a square millimetre, amps: two loaded cores in conduit on a wall; 6 mm² as a flexible cord.
const TABLE_4D1A: [(i64, f64); 3] = [(600, 40.0), (1000, 57.0), (1600, 76.0)];

/// Hundredths of a square millimetre, amps (BS 7671 table 4F3A).
const TABLE_4F3A: [(i64, f64); 7] =
    [(50, 3.0), (75, 6.0), (100, 10.0), (125, 13.0), (150, 16.0), (250, 25.0), (400, 32.0)];

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Output {
    pub amps: Amps,
    /// The biggest fuse that protects it: what is thicker than small may have the next standard one (NEC 240.4(B), from memory).
    pub fuse: Amps,
    pub standing: Standing,
}

/// The most the wire may carry; of a size between those listed as the next thinner one.
///
/// # Errors
/// `wire_not_listed` where it is thinner than any.
pub fn wire_amps(gauge: Gauge) -> Result<Output, Refusal> {
    let not_listed = Refusal {
        code: "wire_not_listed",
        what: "wire size",
        value: gauge.area_mm2(),
        unit: "mm²",
        range: (0.05, 33.63),
        remedy: "no limit is known for a wire so thin: use 30 to 2 AWG, or 0.14 to 16 mm² as sold",
    };
    let hundredths = (gauge.area_mm2() * 100.0).round() as i64;
    let flexible = TABLE_4F3A.iter().map(|row| (row, Standing::Published));
    let metric = flexible.chain(TABLE_4D1A.iter().map(|row| (row, Standing::FromMemory)));
    let metric = metric.filter(|(row, _)| gauge.awg_number().is_none() && row.0 <= hundredths);
    let metric = metric.map(|(row, standing)| (row.0 == hundredths, row.1, row.1, standing)).next_back();
    let awg = || {
        let thinner = |row: &&(i64, f64, Standing)| match gauge.awg_number() {
            Some(awg) => row.0 >= awg,
            None => Gauge::awg(row.0).is_some_and(|listed| listed.area_mm2() <= gauge.area_mm2()),
        };
        let row = SMALL.iter().rev().find(thinner)?;
        let fuse = NEXT_FUSE.iter().find(|(awg, _)| *awg == row.0).map_or(row.1, |(_, fuse)| *fuse);
        Some((gauge.awg_number() == Some(row.0), row.1, fuse, row.2))
    };
    let (listed, amps, fuse, standing) = metric.or_else(awg).ok_or(not_listed)?;
    let take = |amps| Amps::new(amps).map_err(|_| not_listed);
    let standing = if listed { standing } else { Standing::FromMemory };
    Ok(Output { amps: take(amps)?, fuse: take(fuse)?, standing })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NEC 240.4(D): 14, 12, 10 AWG copper are protected at 15, 20, 30 A.
    #[test]
    fn house_sizes_have_their_published_limits() {
        for (awg, amps) in [(14, 15.0), (12, 20.0), (10, 30.0)] {
            let got = wire_amps(Gauge::awg(awg).unwrap()).unwrap();
            assert_eq!((got.amps.get(), got.standing), (amps, Standing::Published));
        }
    }

    #[test]
    fn thicker_wire_never_carries_less_and_unlisted_is_refused() {
        assert!(SMALL.is_sorted_by(|a, b| a.0 > b.0 && a.1 <= b.1));
        let mm2: Vec<_> = TABLE_4F3A.iter().chain(&TABLE_4D1A).collect();
        assert!(mm2.is_sorted_by(|a, b| a.0 < b.0 && a.1 <= b.1));
        assert_eq!(wire_amps(Gauge::awg(34).unwrap()).map_err(|r| r.code), Err("wire_not_listed"));
        let amps = |gauge| wire_amps(gauge).map(|w| w.amps);
        for (mm2, may) in [(0.34, 3.0), (0.25, 2.0), (3.0, 25.0), (1.25, 13.0)] {
            assert_eq!(amps(Gauge::mm2(mm2).unwrap()), Ok(Amps::new(may).unwrap()), "{mm2} mm²");
        }
        assert_eq!(amps(Gauge::awg(17).unwrap()), Ok(Amps::new(7.0).unwrap()));
    }
}
