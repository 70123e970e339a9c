//! Force of the wind on parts by their solidity and shape.

use super::pressure::{self, Method};
use super::{sensible, within};
use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::{Fraction, Metres, MetresPerSecond, Newtons, Pascals, SquareMetres};

pub const SOURCE: Source = Source {
    title: "ASCE/SEI 7 Minimum Design Loads",
    edition: "7-16",
    clause: "Table 29.4-2 force coefficients of open signs and lattices; F = q G Cf A",
    standing: Standing::Published,
};

/// Members of an open frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Members {
    Flat,
    Round { diameter: Metres },
}

/// How a part meets the wind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Drag {
    /// A coefficient that is told, 0.1 to 3.
    Told(f64),
    /// An open frame: solid share of its outline, at most 0.7.
    Open { solidity: Fraction, members: Members },
}

/// D sqrt(q) where a round member's flow changes, in m and Pa.
const ROUND_CHANGE: f64 = 5.3;

impl Drag {
    /// The force coefficient at a pressure; a table of steps, not interpolated.
    pub fn coefficient(self, q: Pascals) -> Result<f64, Refusal> {
        match self {
            Self::Told(cf) => {
                within("drag_told", "force coefficient", cf, "", (0.1, 3.0), "1.8 for a solid board")
            }
            Self::Open { solidity, members } => {
                let remedy = "count it as a solid board";
                let s = within("drag_solidity", "solidity", solidity.get(), "", (0.0, 0.7), remedy)?;
                let row = usize::from(s >= 0.1) + usize::from(s >= 0.3);
                let [flat, slow, fast] = match row {
                    0 => [2.0, 1.2, 0.8],
                    1 => [1.8, 1.3, 0.9],
                    _ => [1.6, 1.5, 1.1],
                };
                Ok(match members {
                    Members::Flat => flat,
                    Members::Round { diameter } if diameter.get() * q.get().sqrt() <= ROUND_CHANGE => slow,
                    Members::Round { .. } => fast,
                })
            }
        }
    }
}

/// A part that the wind meets.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    pub name: String,
    /// Solid area facing the wind; of strands count × length × width, none sheltering another.
    pub area: SquareMetres,
    /// Height of its centre.
    pub centroid: Metres,
    pub drag: Drag,
}

/// The wind of a calculation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wind {
    pub gust: MetresPerSecond,
    pub method: Method,
    /// Gust effect factor, 0.8 to 1.5; 0.85 rigid things by ASCE 7-16 26.11.
    pub gust_factor: f64,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PartForce {
    pub pressure: Pascals,
    pub coefficient: f64,
    pub force: Newtons,
}

/// Forces of all parts, their sum and their moment about the ground.
#[derive(Debug, Clone, PartialEq)]
pub struct Load {
    pub parts: Vec<PartForce>,
    pub force: Newtons,
    /// N m.
    pub moment: f64,
}

/// The force on one area.
pub fn on_part(wind: Wind, area: SquareMetres, centroid: Metres, drag: Drag) -> Result<PartForce, Refusal> {
    let gust_factor =
        within("wind_gust_factor", "gust factor", wind.gust_factor, "", (0.8, 1.5), "0.85 for rigid things")?;
    let q = pressure::pressure(pressure::Input { gust: wind.gust, height: centroid, method: wind.method })?;
    let coefficient = drag.coefficient(q)?;
    let force = Newtons::new(q.get() * gust_factor * coefficient * area.get()).map_err(sensible)?;
    Ok(PartForce { pressure: q, coefficient, force })
}

/// The wind on all parts.
pub fn on_parts(wind: Wind, parts: &[Part]) -> Result<Load, Refusal> {
    let mut out = Vec::with_capacity(parts.len());
    let (mut force, mut moment) = (0.0, 0.0);
    for part in parts {
        let one = on_part(wind, part.area, part.centroid, part.drag)?;
        force += one.force.get();
        moment += one.force.get() * part.centroid.get();
        out.push(one);
    }
    Ok(Load { parts: out, force: Newtons::new(force).map_err(sensible)?, moment })
}

/// Area of strands with an ice coat of radial thickness `ice`: each grows to d + 2 t (ASCE 7 chapter 10, from memory).
pub fn strands(count: u32, length: Metres, width: Metres, ice: Metres) -> Result<SquareMetres, Refusal> {
    within("strand_count", "strands", f64::from(count), "", (0.0, 10_000.0), "check the count")?;
    SquareMetres::new(f64::from(count) * length.get() * (width.get() + 2.0 * ice.get())).map_err(sensible)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::structural::pressure::Exposure;
    use proptest::prelude::*;

    fn open(solidity: f64, members: Members) -> Drag {
        Drag::Open { solidity: Fraction::new(solidity).unwrap(), members }
    }

    /// ASCE 7-16 Table 29.4-2 as reproduced in a public permit calculation (Everett WA, 2022): solidity 0.153, flat: 1.8.
    #[test]
    fn open_frame_of_a_permit() {
        let q = Pascals::new(500.0).unwrap();
        assert_eq!(open(0.153, Members::Flat).coefficient(q), Ok(1.8));
        let thick = Members::Round { diameter: Metres::new(0.3).unwrap() };
        assert_eq!(open(0.05, thick).coefficient(q), Ok(0.8));
        assert_eq!(open(0.71, Members::Flat).coefficient(q).unwrap_err().code, "drag_solidity");
        assert_eq!(Drag::Told(-1.0).coefficient(q).unwrap_err().code, "drag_told");
    }

    proptest! {
        #[test]
        fn two_halves_make_the_whole(area in 0.01..5.0_f64, z in 0.1..9.0_f64, v in 1.0..50.0_f64) {
            let wind = Wind {
                gust: MetresPerSecond::new(v).unwrap(),
                method: Method::Asce716 { exposure: Exposure::C, kd: 0.85, kzt: 1.0 },
                gust_factor: 0.85,
            };
            let part = |area: f64| Part {
                name: String::new(),
                area: SquareMetres::new(area).unwrap(),
                centroid: Metres::new(z).unwrap(),
                drag: Drag::Told(1.2),
            };
            let whole = on_parts(wind, &[part(area)]).unwrap();
            let halves = on_parts(wind, &[part(area / 2.0), part(area / 2.0)]).unwrap();
            prop_assert!((whole.moment - halves.moment).abs() < 1e-9 * (1.0 + whole.moment));
        }
    }
}
