//! What a poured base weighs and how many bags it takes.

use super::{sensible, within};
use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::{CubicMetres, Fraction, Kilograms, KilogramsPerCubicMetre, Metres, Newtons};

pub const SOURCE: Source = Source {
    title: "Volume of a cylinder or frustum; normal-weight concrete 150 lb/ft3 (2400 kg/m3)",
    edition: "US gallon 231 in3",
    clause: "V = pi h (D1² + D1 D2 + D2²)/12",
    standing: Standing::Published,
};

const GRAVITY: f64 = 9.806_65;

#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Mould {
    Volume(CubicMetres),
    /// A bucket or tub, inside measures.
    Frustum {
        bottom: Metres,
        top: Metres,
        height: Metres,
    },
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    pub mould: Mould,
    /// Share of the mould that is filled.
    pub fill: Fraction,
    /// Diameter and length of a tube left in the concrete.
    pub sleeve: Option<(Metres, Metres)>,
    pub density: KilogramsPerCubicMetre,
    /// Concrete that a bag gives, where told.
    pub bag: Option<CubicMetres>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Output {
    pub volume: CubicMetres,
    pub mass: Kilograms,
    pub weight: Newtons,
    /// Rounded up.
    pub bags: Option<u32>,
}

/// Volume, mass and bags of a base.
pub fn base(input: Input) -> Result<Output, Refusal> {
    let mould = match input.mould {
        Mould::Volume(v) => v.get(),
        Mould::Frustum { bottom, top, height } => {
            let (a, b) = (bottom.get(), top.get());
            std::f64::consts::PI * height.get() * (a * a + a * b + b * b) / 12.0
        }
    };
    let poured =
        within("concrete_volume", "volume of the mould", mould, "m3", (0.0, 5.0), "order it by the truck")?
            * input.fill.get();
    let sleeve = input.sleeve.map_or(0.0, |(d, l)| std::f64::consts::FRAC_PI_4 * d.get() * d.get() * l.get());
    within(
        "concrete_sleeve",
        "volume of the sleeve",
        sleeve,
        "m3",
        (0.0, poured),
        "the sleeve is larger than the pour",
    )?;
    let density = within(
        "concrete_density",
        "density",
        input.density.get(),
        "kg/m3",
        (500.0, 4000.0),
        "2400 is usual",
    )?;
    let volume = poured - sleeve;
    let mass = volume * density;
    let bags = match input.bag {
        None => None,
        Some(bag) => {
            let each =
                within("concrete_bag", "yield of a bag", bag.get(), "m3", (0.001, 0.1), "see the bag")?;
            // A full number of bags stays so whatever the rounding.
            Some((volume / each - 1e-9).ceil().max(0.0) as u32)
        }
    };
    Ok(Output {
        volume: CubicMetres::new(volume).map_err(sensible)?,
        mass: Kilograms::new(mass).map_err(sensible)?,
        weight: Newtons::new(mass * GRAVITY).map_err(sensible)?,
        bags,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn input(mould: Mould) -> Input {
        Input {
            mould,
            fill: Fraction::new(1.0).unwrap(),
            sleeve: None,
            density: KilogramsPerCubicMetre::new(2400.0).unwrap(),
            bag: CubicMetres::new(0.016_990_1).ok(),
        }
    }

    /// Five US gallons of 150 lb/ft3 weigh 100.26 lb by the definition of the gallon (231 in3).
    #[test]
    fn five_gallons() {
        let volume = 5.0 * 231.0 * 0.0254_f64.powi(3);
        let density = 150.0 * 0.453_592_37 / 0.3048_f64.powi(3);
        let got = base(Input {
            density: KilogramsPerCubicMetre::new(density).unwrap(),
            ..input(Mould::Volume(CubicMetres::new(volume).unwrap()))
        })
        .unwrap();
        assert!((got.mass.get() / 0.453_592_37 - 100.26).abs() < 0.005);
        assert_eq!(got.bags, Some(2));
    }

    #[test]
    fn a_sleeve_larger_than_the_pour_is_refused() {
        let m = |v| Metres::new(v).unwrap();
        let bucket = Mould::Frustum { bottom: m(0.26), top: m(0.3), height: m(0.36) };
        let got = base(Input { sleeve: Some((m(0.05), m(0.36))), ..input(bucket) }).unwrap();
        assert!(got.volume.get() < base(input(bucket)).unwrap().volume.get());
        let refused = base(Input { sleeve: Some((m(0.5), m(0.5))), ..input(bucket) });
        assert_eq!(refused.unwrap_err().code, "concrete_sleeve");
    }

    proptest! {
        #[test]
        fn a_frustum_of_equal_ends_is_a_cylinder(d in 0.05..0.6_f64, h in 0.05..1.0_f64) {
            let m = |v| Metres::new(v).unwrap();
            let got = base(input(Mould::Frustum { bottom: m(d), top: m(d), height: m(h) })).unwrap();
            prop_assert!((got.volume.get() - std::f64::consts::FRAC_PI_4 * d * d * h).abs() < 1e-12);
        }
    }
}
