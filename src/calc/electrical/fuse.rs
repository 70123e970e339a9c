//! The fuse of a low-voltage feeder, bounded by its wire.

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::Amps;

/// Blade-fuse ratings; the margin of 1.25 mirrors the rule for continuous load.
pub const SOURCE: Source = Source {
    title: "ISO 8820-3, blade fuses; margin by common practice",
    edition: "",
    clause: "rated currents and colours",
    standing: Standing::Published,
};

/// Rated amps and colour of the blade (ISO 8820-3).
pub const RATINGS: [(f64, &str); 11] = [
    (1.0, "black"),
    (2.0, "grey"),
    (3.0, "violet"),
    (4.0, "pink"),
    (5.0, "tan"),
    (7.5, "brown"),
    (10.0, "red"),
    (15.0, "blue"),
    (20.0, "yellow"),
    (25.0, "clear"),
    (30.0, "green"),
];

const ROUNDING: f64 = 1e-9;

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    /// What the feeder carries, 0 A or more.
    pub load: Amps,
    /// The most its thinnest wire may carry.
    pub wire: Amps,
    /// Rating over load, 1 to 3; 1.25 is usual.
    pub margin: f64,
}

/// The choice; never a bigger fuse than the wire bears.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Choice {
    Fuse {
        amps: f64,
        colour: &'static str,
    },
    /// The rating needed is more than the wire may carry: thicker wire, or split the load.
    WireTooThin,
    /// The load needs more than 30 A: split it.
    NoStandardRating,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Output {
    pub needed_a: f64,
    pub choice: Choice,
}

/// The smallest standard rating at or above load times margin.
///
/// # Errors
/// `fuse_margin` outside 1 to 3, `load_current` below 0 A.
pub fn fuse(input: Input) -> Result<Output, Refusal> {
    let refusal = Refusal {
        code: "fuse_margin",
        what: "fuse margin",
        value: input.margin,
        unit: "",
        range: (1.0, 3.0),
        remedy: "1.25 is usual",
    };
    let margin = refusal.unless_within()?;
    let load = Refusal {
        code: "load_current",
        what: "current",
        value: input.load.get(),
        unit: "A",
        range: (0.0, 10_000.0),
        remedy: "give the current as a positive number",
    }
    .unless_within()?;
    let needed_a = load * margin;
    let choice = match RATINGS.iter().find(|(amps, _)| *amps >= needed_a - ROUNDING) {
        None => Choice::NoStandardRating,
        Some((amps, _)) if *amps > input.wire.get() + ROUNDING => Choice::WireTooThin,
        Some(&(amps, colour)) => Choice::Fuse { amps, colour },
    };
    Ok(Output { needed_a, choice })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn choice(load: f64, wire: f64) -> Choice {
        let input = Input { load: Amps::new(load).unwrap(), wire: Amps::new(wire).unwrap(), margin: 1.25 };
        fuse(input).unwrap().choice
    }

    /// Common practice, no published source: 1.25 times the load, then the next rating up.
    #[test]
    fn the_next_rating_up_within_the_wire() {
        assert_eq!(choice(4.0, 10.0), Choice::Fuse { amps: 5.0, colour: "tan" });
        assert_eq!(choice(6.0, 10.0), Choice::Fuse { amps: 7.5, colour: "brown" });
        assert_eq!(choice(9.0, 10.0), Choice::WireTooThin);
        assert_eq!(choice(26.0, 30.0), Choice::NoStandardRating);
    }

    proptest! {
        #[test]
        fn a_fuse_never_exceeds_its_wire_nor_falls_below_its_load(load in 0.0..40.0_f64, wire in 0.0..40.0_f64) {
            if let Choice::Fuse { amps, .. } = choice(load, wire) {
                prop_assert!(amps <= wire + 1e-6 && amps + 1e-6 >= load);
            }
        }
    }
}
