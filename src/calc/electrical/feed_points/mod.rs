//! Where to feed a string: fewest added feeds that keep its lowest pixel above a limit.
//!
//! One string of constant-current pixels on equal rails, the supply standing at pixel 1, which is always fed. Each
//! added feed is a cable of its own from the supply, `base` plus the way along the string long. Between two feeds the
//! drop is a parabola, so that a plan of m feeds is judged by m + 1 equations, whatever the pixels; every plan is tried
//! where there are not too many, and a pattern search with shrinking steps is used where there are.
//!
//! Not here: other loads and networks that hang together (`added_feeds`), prices of cable.

mod line;
mod search;

use line::{Line, Room};
pub(super) use search::pattern_search;

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::{Amps, Metres, OhmsPerMetre, Volts};

/// Closed form of a uniformly loaded ladder; the search is ours.
pub const SOURCE: Source = Source {
    title: "Kirchhoff's laws for a uniformly loaded line fed at several points",
    edition: "",
    clause: "one feed: v(N) = V - N I Rf - I r N (N - 1) / 2",
    standing: Standing::CommonPractice,
};

/// Volts of rounding when compared with the limit.
const ROUNDING_V: f64 = 1e-9;

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    /// 1 to 10,000.
    pub pixels: u32,
    pub pitch: Metres,
    /// Of one rail.
    pub rail: OhmsPerMetre,
    pub volts: Volts,
    /// Of one pixel, 0 A or more.
    pub amps: Amps,
    /// Length of the feed to pixel 1, one way.
    pub base: Metres,
    /// Of one conductor of a feed.
    pub feeder: OhmsPerMetre,
    /// The lowest voltage wanted at any pixel.
    pub limit: Volts,
    /// The most feeds to add, 0 to 6.
    pub most_added: u32,
}

/// The best places found for a number of feeds.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// Pixels fed beside pixel 1, in order.
    pub added: Vec<u32>,
    pub lowest_v: f64,
    pub lowest_pixel: u32,
    /// Cable of the added feeds, one way, in metres.
    pub cable_m: f64,
    /// Whether every other plan with as many feeds was tried.
    pub all_tried: bool,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Output {
    /// The plan with the fewest added feeds that meets the limit; nothing where `most_added` are not enough.
    pub plan: Option<Plan>,
    /// The best plans with 0, 1, … feeds, up to the one that is enough.
    pub by_count: Vec<Plan>,
    /// Whether every plan with fewer feeds was tried and falls short.
    pub proven: bool,
}

/// The fewest added feeds and their places.
///
/// # Errors
/// `string_pixels` outside 1 to 10,000, `added_feeds` above 6, `load_current` below 0 A.
pub fn feed_points(input: Input) -> Result<Output, Refusal> {
    let line = Line::of(input)?;
    let most = input.most_added.min(input.pixels - 1);
    let mut by_count = Vec::new();
    let mut proven = true;
    for count in 0..=most {
        let plan = line.best(count as usize);
        by_count.push(plan.clone());
        if plan.lowest_v >= input.limit.get() - ROUNDING_V {
            return Ok(Output { plan: Some(plan), by_count, proven });
        }
        proven &= plan.all_tried;
    }
    Ok(Output { plan: None, by_count, proven })
}

/// The best places for exactly `added` feeds.
///
/// # Errors
/// As [`feed_points`].
pub fn best_feeds(input: Input, added: u32) -> Result<Plan, Refusal> {
    let line = Line::of(Input { most_added: added, ..input })?;
    Ok(line.best(added.min(input.pixels - 1) as usize))
}

/// The lowest pixel's voltage with these added feeds, which are sorted; a feed outside the string is ignored.
///
/// # Errors
/// As [`feed_points`].
pub fn lowest_voltage(input: Input, added: &[u32]) -> Result<f64, Refusal> {
    let line = Line::of(input)?;
    let mut feeds = vec![0];
    feeds.extend(added.iter().filter(|&&at| at > 1 && at <= input.pixels).map(|&at| at as usize - 1));
    feeds.sort_unstable();
    feeds.dedup();
    Ok(line.volts - line.largest_drop(&feeds, &mut Room::default()).0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn input(pixels: u32, amps: f64, base: f64, limit: f64) -> Input {
        Input {
            pixels,
            pitch: Metres::new(0.1).unwrap(),
            rail: OhmsPerMetre::new(0.020_947_775).unwrap(),
            volts: Volts::new(5.0).unwrap(),
            amps: Amps::new(amps).unwrap(),
            base: Metres::new(base).unwrap(),
            feeder: OhmsPerMetre::new(0.008_285_327).unwrap(),
            limit: Volts::new(limit).unwrap(),
            most_added: 3,
        }
    }

    /// The closed form of the source, worked by hand for 50 pixels.
    #[test]
    fn one_feed_follows_the_closed_form() {
        let (n, i) = (50.0, 0.055);
        let (r, feed) = (2.0 * 0.020_947_775 * 0.1, 2.0 * 0.008_285_327);
        let by_hand = 5.0 - n * i * feed - i * r * n * (n - 1.0) / 2.0;
        let got = lowest_voltage(input(50, i, 1.0, 4.0), &[]).unwrap();
        assert!((got - by_hand).abs() < 1e-12, "{got} against {by_hand}");
    }

    #[test]
    fn a_limit_that_no_plan_meets_is_said() {
        let got = feed_points(input(60, 0.055, 5.0, 4.99)).unwrap();
        assert_eq!((got.plan, got.by_count.len(), got.proven), (None, 4, true));
    }

    #[test]
    fn too_many_feeds_are_refused() {
        let refused = best_feeds(input(60, 0.055, 1.0, 4.0), 7);
        assert_eq!(refused.map_err(|refusal| refusal.code), Err("added_feeds"));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(40))]

        #[test]
        fn one_more_feed_never_lowers_the_lowest_pixel(a in 2_u32..100, b in 2_u32..100, base in 0.0..5.0_f64) {
            let input = input(100, 0.055, base, 4.0);
            let one = lowest_voltage(input, &[a]).unwrap();
            prop_assert!(lowest_voltage(input, &[a, b]).unwrap() >= one - 1e-12);
            prop_assert!(one >= lowest_voltage(input, &[]).unwrap() - 1e-12);
        }

        #[test]
        fn a_longer_feed_never_drops_less(base in 0.0..5.0_f64, more in 0.0..5.0_f64, at in 2_u32..80) {
            let short = lowest_voltage(input(80, 0.055, base, 4.0), &[at]).unwrap();
            prop_assert!(lowest_voltage(input(80, 0.055, base + more, 4.0), &[at]).unwrap() <= short + 1e-12);
        }

        /// The search stays within a thousandth of a volt of the best of all plans.
        #[test]
        fn the_search_comes_close_to_trying_all(pixels in 20_u32..90, base in 0.0..5.0_f64, added in 1_usize..=3) {
            let line = Line::of(input(pixels, 0.055, base, 4.0)).unwrap();
            let drop = |feeds: &[usize]| line.largest_drop(feeds, &mut Room::default()).0;
            let (all, search) = (drop(&line.try_all(added)), drop(&line.search(added)));
            prop_assert!(search >= all - 1e-12 && search <= all + 0.001, "{search} against {all}");
        }
    }
}
