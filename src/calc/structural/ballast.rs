//! A free-standing thing held by its weight: tipping over and sliding.

use super::force::{self, Load, Part, Wind};
use super::{sensible, within};
use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::{Kilograms, Metres, Newtons};

pub const SOURCE: Source = Source {
    title: "Statics: resisting over overturning moment, friction over push",
    edition: "Florida Building Code 1807.2.3 asks a factor of 1.5",
    clause: "W b / M and mu W / F; friction for planning is common practice",
    standing: Standing::Published,
};

const GRAVITY: f64 = 9.806_65;

#[derive(Debug, Clone, PartialEq)]
pub struct Input {
    pub wind: Wind,
    pub parts: Vec<Part>,
    /// Thing, base and ballast.
    pub weight: Newtons,
    /// From the middle of the weight to the edge it would tip over.
    pub half_base: Metres,
    /// Friction, 0 to 1: 0.5 to 0.6 concrete on dry paving, 0.2 to 0.3 on wet grass, none on ice.
    pub friction: f64,
    /// Factor asked, 1 to 10.
    pub required_factor: f64,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Output {
    pub load: Load,
    /// Nothing where there is no wind force.
    pub tipping_factor: Option<f64>,
    pub sliding_factor: Option<f64>,
    pub weight_for_tipping: Newtons,
    /// Nothing where there is no friction: weight can't help.
    pub weight_for_sliding: Option<Newtons>,
    /// The larger of both.
    pub weight_needed: Option<Newtons>,
    /// Ballast to add.
    pub extra: Option<Newtons>,
    pub extra_mass: Option<Kilograms>,
    /// Half base with which the weight as it is would not tip; nothing without weight.
    pub half_base_needed: Option<Metres>,
    pub ok: bool,
}

/// Factors against tipping and sliding, and what is missing.
pub fn check(input: &Input) -> Result<Output, Refusal> {
    let half_base = within(
        "ballast_base",
        "half base",
        input.half_base.get(),
        "m",
        (0.02, 10.0),
        "measure to the tipping edge",
    )?;
    let friction =
        within("ballast_friction", "friction", input.friction, "", (0.0, 1.0), "0.3 on wet grass")?;
    let required =
        within("ballast_factor", "factor asked", input.required_factor, "", (1.0, 10.0), "1.5 is usual")?;
    let load = force::on_parts(input.wind, &input.parts)?;
    let (weight, push, moment) = (input.weight.get(), load.force.get(), load.moment);
    let newtons = |n: f64| Newtons::new(n).map_err(sensible);
    let tipping = (moment > 0.0).then(|| weight * half_base / moment);
    let sliding = (push > 0.0).then(|| friction * weight / push);
    let for_tipping = required * moment / half_base;
    let for_sliding = match (push > 0.0, friction > 0.0) {
        (false, _) => Some(0.0),
        (true, true) => Some(required * push / friction),
        (true, false) => None,
    };
    let needed = for_sliding.map(|s| s.max(for_tipping));
    let extra = needed.map(|n| (n - weight).max(0.0));
    Ok(Output {
        tipping_factor: tipping,
        sliding_factor: sliding,
        weight_for_tipping: newtons(for_tipping)?,
        weight_for_sliding: for_sliding.map(newtons).transpose()?,
        weight_needed: needed.map(newtons).transpose()?,
        extra: extra.map(newtons).transpose()?,
        extra_mass: extra.map(|e| Kilograms::new(e / GRAVITY).map_err(sensible)).transpose()?,
        half_base_needed: (weight > 0.0)
            .then(|| Metres::new(required * moment / weight).map_err(sensible))
            .transpose()?,
        ok: tipping.is_none_or(|f| f >= required) && sliding.is_none_or(|f| f >= required),
        load,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::structural::force::Drag;
    use crate::calc::structural::pressure::Method;
    use crate::units::si::{MetresPerSecond, SquareMetres};
    use proptest::prelude::*;

    fn board(weight: f64, friction: f64) -> Input {
        Input {
            wind: Wind {
                gust: MetresPerSecond::new(15.0).unwrap(),
                method: Method::Simple { air_density: 1.25 },
                gust_factor: 1.0,
            },
            parts: vec![Part {
                name: "board".into(),
                area: SquareMetres::new(1.0).unwrap(),
                centroid: Metres::new(1.0).unwrap(),
                drag: Drag::Told(1.8),
            }],
            weight: Newtons::new(weight).unwrap(),
            half_base: Metres::new(0.5).unwrap(),
            friction,
            required_factor: 1.5,
        }
    }

    /// By hand: q 140.6 Pa, F = M = 253.1 N (N m), so 759 N against tipping and 949 N against sliding at 0.4.
    #[test]
    fn worked_by_hand() {
        let got = check(&board(900.0, 0.4)).unwrap();
        assert!((got.weight_for_tipping.get() - 759.375).abs() < 1e-6);
        assert!((got.weight_for_sliding.unwrap().get() - 949.218_75).abs() < 1e-6);
        assert!(!got.ok);
    }

    #[test]
    fn on_ice_no_weight_helps() {
        let got = check(&board(900.0, 0.0)).unwrap();
        assert_eq!((got.weight_needed, got.ok), (None, false));
        assert_eq!(check(&board(900.0, 1.5)).unwrap_err().code, "ballast_friction");
    }

    proptest! {
        #[test]
        fn with_the_weight_needed_it_stands(weight in 0.0..800.0_f64, friction in 0.05..0.9_f64) {
            let needed = check(&board(weight, friction)).unwrap().weight_needed.unwrap().get();
            prop_assert!(check(&board(needed * 1.000_001, friction)).unwrap().ok);
            prop_assert!(!check(&board(needed * 0.999, friction)).unwrap().ok);
        }
    }
}
