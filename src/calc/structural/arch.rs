//! A half-circle arch of tube, the wind square on.

use super::force::{Drag, PartForce, Wind, on_part};
use super::{sensible, within};
use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::{Metres, Newtons, SquareMetres};

pub const SOURCE: Source = Source {
    title: "Geometry of a semicircular arc",
    edition: "",
    clause: "area pi R d, centre of area 2R/pi above the springing; two feet share alike",
    standing: Standing::Published,
};

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    pub wind: Wind,
    /// Of the middle of the tube.
    pub radius: Metres,
    pub tube: Metres,
    pub drag: Drag,
    /// Height of the springing above the ground; stub pipes below it carry no wind here.
    pub springing: Metres,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Output {
    pub area: SquareMetres,
    pub centroid: Metres,
    pub wind: PartForce,
    /// About the ground, N m.
    pub moment: f64,
    pub force_a_foot: Newtons,
    /// N m.
    pub moment_a_foot: f64,
}

/// Force and moment on an arch and on each of its feet.
pub fn solve(input: Input) -> Result<Output, Refusal> {
    let radius =
        within("arch_radius", "radius of the arch", input.radius.get(), "m", (0.1, 5.0), "ask an engineer")?;
    let tube =
        within("arch_tube", "width of the tube", input.tube.get(), "m", (0.005, 0.5), "measure the tube")?;
    let area = SquareMetres::new(std::f64::consts::PI * radius * tube).map_err(sensible)?;
    let centroid =
        Metres::new(input.springing.get() + 2.0 * radius / std::f64::consts::PI).map_err(sensible)?;
    let wind = on_part(input.wind, area, centroid, input.drag)?;
    let moment = wind.force.get() * centroid.get();
    Ok(Output {
        area,
        centroid,
        wind,
        moment,
        force_a_foot: Newtons::new(wind.force.get() / 2.0).map_err(sensible)?,
        moment_a_foot: moment / 2.0,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::structural::pressure::Method;
    use crate::units::si::MetresPerSecond;
    use proptest::prelude::*;

    fn arch(radius: f64, springing: f64) -> Input {
        let m = |v| Metres::new(v).unwrap();
        let method = Method::Simple { air_density: 1.25 };
        let wind = Wind { gust: MetresPerSecond::new(20.0).unwrap(), method, gust_factor: 1.0 };
        Input { wind, radius: m(radius), tube: m(0.05), drag: Drag::Told(1.2), springing: m(springing) }
    }

    /// By hand: q 250 Pa on pi × 1.5 × 0.05 m2 at 0.955 m.
    #[test]
    fn worked_by_hand() {
        let got = solve(arch(1.5, 0.0)).unwrap();
        assert!((got.wind.force.get() - 250.0 * 1.2 * 0.235_619_449).abs() < 1e-6);
        assert!((got.moment_a_foot - got.moment / 2.0).abs() < 1e-12);
        assert_eq!(solve(arch(6.0, 0.0)).unwrap_err().code, "arch_radius");
    }

    proptest! {
        #[test]
        fn raising_the_springing_raises_the_moment_alone(r in 0.2..3.0_f64, z in 0.1..3.0_f64) {
            let (low, high) = (solve(arch(r, 0.0)).unwrap(), solve(arch(r, z)).unwrap());
            prop_assert!((low.wind.force.get() - high.wind.force.get()).abs() < 1e-9);
            prop_assert!((high.moment - low.moment - z * low.wind.force.get()).abs() < 1e-6);
        }
    }
}
