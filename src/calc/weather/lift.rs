//! How heavy a tote one person may lift.

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::{Degrees, Fraction, Kilograms, Metres};

use super::duty::KG_PER_LB;

pub const SOURCE: Source = Source {
    title: "NIOSH Applications Manual for the Revised Lifting Equation",
    edition: "DHHS (NIOSH) 94-110, 1994",
    clause: "RWL = LC HM VM DM AM FM CM, US customary form, multipliers unrounded",
    standing: Standing::Published,
};

const INCH_M: f64 = 0.0254;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grip {
    Good,
    Fair,
    Poor,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    /// Hands from the ankles, forward; at most 25 in.
    pub reach: Metres,
    /// Hands above the floor; at most 70 in.
    pub height: Metres,
    /// How far up or down; at most 70 in.
    pub travel: Metres,
    /// Twist of the body, at most 135°.
    pub twist: Degrees,
    /// Frequency multiplier, 1 for a rare lift.
    pub frequency: Fraction,
    pub grip: Grip,
}

/// The recommended weight limit.
pub fn limit(input: Input) -> Result<Kilograms, Refusal> {
    let inches = |m: Metres| m.get() / INCH_M;
    let within = |code, what, value, unit, range| {
        Refusal { code, what, value, unit, range, remedy: "outside the lifting equation: lift it with two" }
            .unless_within()
    };
    let h = within("lift_reach", "reach of the hands", inches(input.reach), "in", (0.0, 25.0 + 1e-9))?;
    let v = within("lift_height", "height of the hands", inches(input.height), "in", (0.0, 70.0 + 1e-9))?;
    let d = within("lift_travel", "lifting distance", inches(input.travel), "in", (0.0, 70.0 + 1e-9))?;
    let a = within("lift_twist", "twist", input.twist.get(), "°", (0.0, 135.0))?;
    let coupling = match input.grip {
        Grip::Good => 1.0,
        Grip::Fair if v >= 30.0 - 1e-9 => 1.0,
        Grip::Fair => 0.95,
        Grip::Poor => 0.90,
    };
    let pounds = 51.0
        * (10.0 / h.max(10.0))
        * (1.0 - 0.0075 * (v - 30.0).abs())
        * (0.82 + 1.8 / d.max(10.0)).min(1.0)
        * (1.0 - 0.0032 * a)
        * input.frequency.get()
        * coupling;
    Kilograms::new(pounds * KG_PER_LB).map_err(|_| Refusal {
        code: "lift_limit",
        what: "weight limit",
        value: pounds,
        unit: "lb",
        range: (0.0, 51.0),
        remedy: "check the figures",
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn input(h: f64, v: f64, d: f64, a: f64) -> Input {
        let m = |inches: f64| Metres::new(inches * INCH_M).unwrap();
        let (twist, frequency) = (Degrees::new(a).unwrap(), Fraction::new(1.0).unwrap());
        Input { reach: m(h), height: m(v), travel: m(d), twist, frequency, grip: Grip::Fair }
    }

    /// NIOSH 94-110, example 1: 16.3 lb at the origin, 14.5 lb at the destination, with multipliers rounded to two
    /// digits in the manual (figures from memory); so 2 %.
    #[test]
    fn example_one_of_the_manual() {
        for (v, printed) in [(15.0, 16.3), (63.0, 14.5)] {
            let lb = limit(input(23.0, v, 48.0, 0.0)).unwrap().get() / KG_PER_LB;
            assert!((lb / printed - 1.0).abs() < 0.02, "{lb} against {printed}");
        }
    }

    #[test]
    fn out_of_reach_is_refused() {
        assert_eq!(limit(input(26.0, 30.0, 10.0, 0.0)).unwrap_err().code, "lift_reach");
        assert_eq!(limit(input(10.0, 71.0, 10.0, 0.0)).unwrap_err().code, "lift_height");
        assert_eq!(limit(input(10.0, 30.0, 71.0, 0.0)).unwrap_err().code, "lift_travel");
        assert_eq!(limit(input(10.0, 30.0, 10.0, 136.0)).unwrap_err().code, "lift_twist");
    }

    proptest! {
        #[test]
        fn never_above_the_load_constant(
            h in 0.0..25.0_f64, v in 0.0..70.0_f64, d in 0.0..70.0_f64, a in 0.0..135.0_f64,
        ) {
            let kg = limit(input(h, v, d, a)).unwrap().get();
            prop_assert!((0.0..=51.0 * KG_PER_LB + 1e-9).contains(&kg));
        }
    }
}
