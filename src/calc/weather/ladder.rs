//! How far out a leaning ladder's foot stands, and how long it must be.

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::{Degrees, Metres};

pub const SOURCE: Source = Source {
    title: "29 CFR 1926.1053 Ladders",
    edition: "OSHA, construction",
    clause: "(b)(5)(i) foot out a quarter of the working length; (b)(1) rails 3 ft above the landing",
    standing: Standing::Published,
};

/// Side rails above the landing: 3 ft.
pub const ABOVE_LANDING_M: f64 = 0.9144;
/// Highest support taken, as for the masts of this program: 10 m is beyond home extension ladders.
const HIGHEST_M: f64 = 10.0;

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    /// Height of the top support above the foot.
    pub support: Metres,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Output {
    /// From foot to top support along the ladder.
    pub working_length: Metres,
    /// Foot from the wall: a quarter of the working length.
    pub foot_out: Metres,
    pub angle: Degrees,
    /// Least length when it is used to step off onto a landing.
    pub least_length: Metres,
}

/// How to set a leaning ladder whose top rests at `support`.
pub fn set_up(input: Input) -> Result<Output, Refusal> {
    let height = Refusal {
        code: "ladder_height",
        what: "height of the ladder's top support",
        value: input.support.get(),
        unit: "m",
        range: (0.5, HIGHEST_M),
        remedy: "use a lift or scaffold, or correct the height",
    }
    .unless_within()?;
    let sine = (1.0_f64 - 1.0 / 16.0).sqrt();
    let length = height / sine;
    let bad = |_| Refusal {
        code: "ladder_height",
        what: "height of the ladder's top support",
        value: height,
        unit: "m",
        range: (0.5, HIGHEST_M),
        remedy: "correct the height",
    };
    Ok(Output {
        working_length: Metres::new(length).map_err(bad)?,
        foot_out: Metres::new(length / 4.0).map_err(bad)?,
        angle: Degrees::new(sine.asin().to_degrees()).map_err(bad)?,
        least_length: Metres::new(length + ABOVE_LANDING_M / sine).map_err(bad)?,
    })
}

/// Sections of an extension ladder of up to 36 ft overlap by 3 ft (ANSI A14.2, from memory): it is sold by their sum.
pub const OVERLAP_M: f64 = 0.9144;
/// Whoever stands no higher than a step ladder allows reaches about 4 ft above its size; common practice.
pub const STEP_REACH_M: f64 = 1.2192;

/// The least size, as it is sold, of an extension ladder that rests at `support`, with 3 ft of rails above it where it is
/// stepped off.
pub fn leaning_size(support: Metres, steps_off: bool) -> Result<Metres, Refusal> {
    let out = set_up(Input { support })?;
    let length = if steps_off { out.least_length } else { out.working_length };
    Metres::new(length.get() + OVERLAP_M).map_err(|_| too_long(length.get()))
}

/// The least size of a step ladder from which `height` is reached.
pub fn step_size(height: Metres) -> Metres {
    Metres::new((height.get() - STEP_REACH_M).max(0.0)).unwrap_or_default()
}

const fn too_long(value: f64) -> Refusal {
    Refusal {
        code: "ladder_height",
        what: "length of the ladder",
        value,
        unit: "m",
        range: (0.5, HIGHEST_M),
        remedy: "use a lift or scaffold, or correct the height",
    }
}

/// Metres to keep from an overhead line of so many volts to ground: 10 ft to 50 kV and 4 in more for each further
/// 10 kV (29 CFR 1910.333(c)(3), unqualified persons). The line to the house counts as live.
pub fn line_clearance(kilovolts: f64) -> Result<Metres, Refusal> {
    let refusal = Refusal {
        code: "line_voltage",
        what: "voltage of the overhead line",
        value: kilovolts,
        unit: "kV",
        range: (0.0, 1000.0),
        remedy: "ask the power company",
    };
    let kv = refusal.unless_within()?;
    let more = ((kv - 50.0) / 10.0).ceil().max(0.0);
    Metres::new(3.048 + 0.1016 * more).map_err(|_| refusal)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The four-to-one rule of 29 CFR 1926.1053(b)(5)(i): about 75.5 degrees.
    #[test]
    fn ten_feet_up() {
        let out = set_up(Input { support: Metres::new(3.048).unwrap() }).unwrap();
        assert!((out.angle.get() - 75.5225).abs() < 1e-4);
        assert!((out.working_length.get() / 0.3048 - 10.328).abs() < 1e-3);
        assert!((out.least_length.get() / 0.3048 - 13.4263).abs() < 1e-3);
    }

    /// A 24 ft ladder extends to 21 ft: it rests at 20 ft 4 in at most, and at 17 ft 4 in where it is stepped off.
    #[test]
    fn size_as_sold() {
        let size =
            |feet: f64, off| leaning_size(Metres::new(feet * 0.3048).unwrap(), off).unwrap().get() / 0.3048;
        assert!((size(20.333, false) - 24.0).abs() < 0.01, "{}", size(20.333, false));
        assert!((size(17.333, true) - 24.0).abs() < 0.01, "{}", size(17.333, true));
        assert!((step_size(Metres::new(12.0 * 0.3048).unwrap()).get() / 0.3048 - 8.0).abs() < 1e-9);
    }

    /// 29 CFR 1910.333(c)(3): 10 ft to 50 kV, 4 in for every 10 kV over.
    #[test]
    fn clear_of_the_line() {
        assert!((line_clearance(0.24).unwrap().get() - 3.048).abs() < 1e-9);
        assert!((line_clearance(70.0).unwrap().get() - 3.2512).abs() < 1e-9);
        assert_eq!(line_clearance(-1.0).unwrap_err().code, "line_voltage");
    }

    proptest! {
        #[test]
        fn foot_wall_and_ladder_make_a_right_angle(h in 0.5..10.0_f64) {
            let out = set_up(Input { support: Metres::new(h).unwrap() }).unwrap();
            let (l, f) = (out.working_length.get(), out.foot_out.get());
            prop_assert!((l * l - f * f - h * h).abs() < 1e-9);
        }
    }
}
