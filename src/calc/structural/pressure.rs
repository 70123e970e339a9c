//! Velocity pressure of the wind by named methods.

use super::{FASTEST_MS, HIGHEST_M, sensible, within};
use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::{Metres, MetresPerSecond, Pascals};

pub const SOURCE: Source = Source {
    title: "ASCE/SEI 7 Minimum Design Loads",
    edition: "7-16 (Kd moved out of the pressure in 7-22)",
    clause: "eq 26.10-1, q = 0.613 Kz Kzt Kd V²; Kz = 2.01 (z/zg)^(2/alpha), z not below 15 ft; V a 3 s gust at 10 m",
    standing: Standing::Published,
};

pub const SOURCE_SIMPLE: Source = Source {
    title: "Stagnation pressure, Bernoulli",
    edition: "",
    clause: "q = rho V²/2, V the gust at the thing itself",
    standing: Standing::Published,
};

pub const SOURCE_EN: Source = Source {
    title: "EN 1991-1-4 Wind actions",
    edition: "2005",
    clause: "eq 4.3 to 4.10: q_p = (1 + 7 Iv) rho v_m²/2, v_m = c_r v_b, c_r = k_r ln(z/z0)",
    standing: Standing::Published,
};

/// What lies around.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Exposure {
    /// Suburb, wood.
    B,
    /// Open country.
    C,
    /// Flat, along open water.
    D,
}

impl Exposure {
    /// (alpha, zg in metres), ASCE 7-05 to 7-16 Table 26.9-1: 1200, 900 and 700 ft.
    const fn profile(self) -> (f64, f64) {
        match self {
            Self::B => (7.0, 365.76),
            Self::C => (9.5, 274.32),
            Self::D => (11.5, 213.36),
        }
    }

    /// Kz at a height in metres; the same below 15 ft as at it.
    pub fn kz(self, z: f64) -> f64 {
        let (alpha, zg) = self.profile();
        2.01 * (z.max(4.572) / zg).powf(2.0 / alpha)
    }
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Method {
    Asce716 {
        exposure: Exposure,
        /// Directionality, 0.85 to 1: 0.85 signs and lattices, 0.95 round.
        kd: f64,
        /// Hills and escarpments, 1 to 3; 1 on flat ground.
        kzt: f64,
    },
    Simple {
        /// kg/m3, 0.9 to 1.5.
        air_density: f64,
    },
}

impl Method {
    /// Name and edition as they are shown with each figure.
    pub const fn source(self) -> Source {
        match self {
            Self::Asce716 { .. } => SOURCE,
            Self::Simple { .. } => SOURCE_SIMPLE,
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    pub gust: MetresPerSecond,
    /// Height of the centre of the area above the ground.
    pub height: Metres,
    pub method: Method,
}

/// Velocity pressure, without gust factor and force coefficient.
pub fn pressure(input: Input) -> Result<Pascals, Refusal> {
    let v = within(
        "wind_speed",
        "gust",
        input.gust.get(),
        "m/s",
        (0.0, FASTEST_MS),
        "take it down; ask an engineer",
    )?;
    let z = within("wind_height", "height", input.height.get(), "m", (0.0, HIGHEST_M), "ask an engineer")?;
    let q = match input.method {
        Method::Asce716 { exposure, kd, kzt } => {
            let kd = within("wind_kd", "Kd", kd, "", (0.8, 1.0), "0.85 for signs and lattices, 0.95 round")?;
            let kzt = within("wind_kzt", "Kzt", kzt, "", (1.0, 3.0), "1 on flat ground")?;
            0.613 * exposure.kz(z) * kzt * kd * v * v
        }
        Method::Simple { air_density } => {
            let rho = within("wind_air", "air density", air_density, "kg/m3", (0.9, 1.5), "1.25 is usual")?;
            0.5 * rho * v * v
        }
    };
    Pascals::new(q).map_err(sensible)
}

/// Terrain and wind of EN 1991-1-4 on flat ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EnInput {
    /// Basic wind, ten-minute mean.
    pub basic: MetresPerSecond,
    /// Roughness length z0, 0.003 to 1 m.
    pub roughness: Metres,
    /// Reference height.
    pub height: Metres,
    /// kg/m3.
    pub air_density: f64,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EnOutput {
    pub terrain_factor: f64,
    pub roughness_factor: f64,
    pub turbulence: f64,
    pub basic: Pascals,
    pub mean: MetresPerSecond,
    pub peak: Pascals,
}

/// Peak velocity pressure by EN 1991-1-4, shown beside the others for sites outside the US.
pub fn peak_pressure_en(input: EnInput) -> Result<EnOutput, Refusal> {
    let vb =
        within("wind_speed", "basic wind", input.basic.get(), "m/s", (0.0, FASTEST_MS), "ask an engineer")?;
    let z0 =
        within("wind_roughness", "roughness", input.roughness.get(), "m", (0.003, 1.0), "0.05 open country")?;
    // Below z_min, 1 m to 10 m by terrain, the code holds the value of z_min; only the lowest is taken here.
    let z = within(
        "wind_height",
        "height",
        input.height.get(),
        "m",
        (z0.max(1.0), HIGHEST_M),
        "ask an engineer",
    )?;
    let rho = within("wind_air", "air density", input.air_density, "kg/m3", (0.9, 1.5), "1.25 is usual")?;
    let terrain_factor = 0.19 * (z0 / 0.05).powf(0.07);
    let roughness_factor = terrain_factor * (z / z0).ln();
    let mean = roughness_factor * vb;
    let turbulence = 1.0 / (z / z0).ln();
    Ok(EnOutput {
        terrain_factor,
        roughness_factor,
        turbulence,
        basic: Pascals::new(0.5 * rho * vb * vb).map_err(sensible)?,
        mean: MetresPerSecond::new(mean).map_err(sensible)?,
        peak: Pascals::new((1.0 + 7.0 * turbulence) * 0.5 * rho * mean * mean).map_err(sensible)?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn asce(v: f64, z: f64, exposure: Exposure) -> Result<f64, Refusal> {
        let method = Method::Asce716 { exposure, kd: 0.85, kzt: 1.0 };
        let input = Input { gust: MetresPerSecond::new(v).unwrap(), height: Metres::new(z).unwrap(), method };
        pressure(input).map(Pascals::get)
    }

    /// ASCE 7-05 6.5.10 classroom example: 100 mph, Kz 0.90 (exposure C, 20 ft), Kd 0.85: 19.58 psf.
    #[test]
    fn hundred_miles_an_hour() {
        let psf = asce(44.704, 6.096, Exposure::C).unwrap() / 47.880_259;
        assert!((psf / 19.58 - 1.0).abs() < 0.004, "{psf}");
    }

    #[test]
    fn outside_the_range_is_refused() {
        assert_eq!(asce(51.5, 3.0, Exposure::C).unwrap_err().code, "wind_speed");
        assert_eq!(asce(20.0, 9.2, Exposure::C).unwrap_err().code, "wind_height");
        let method = Method::Simple { air_density: f64::NAN };
        let v = MetresPerSecond::new(10.0).unwrap();
        assert_eq!(
            pressure(Input { gust: v, height: Metres::default(), method }).unwrap_err().code,
            "wind_air"
        );
    }

    proptest! {
        #[test]
        fn pressure_goes_with_the_square_and_rises_with_height(v in 1.0..25.0_f64, z in 0.0..9.0_f64) {
            for exposure in [Exposure::B, Exposure::C, Exposure::D] {
                let one = asce(v, z, exposure).unwrap();
                prop_assert!((asce(2.0 * v, z, exposure).unwrap() / one - 4.0).abs() < 1e-9);
                prop_assert!(asce(v, z + 0.1, exposure).unwrap() >= one);
            }
        }
    }
}
