//! Where the slots of props lie in the universes.

use super::packet::SLOTS;
use super::universe::LAST_UNIVERSE;
use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};

/// 512 slots a universe; the three ways of numbering are common practice.
pub const SOURCE: Source = Source {
    title: "ANSI E1.31 (512 slots a universe, universes 1 to 63999); ways of numbering by common practice",
    edition: "E1.31-2018",
    clause: "",
    standing: Standing::CommonPractice,
};

const SLOTS_PER_UNIVERSE: u64 = SLOTS as u64;

/// How numbers follow each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mode {
    /// Numbers run on; a pixel may straddle two universes.
    Packed,
    /// No pixel is split; left-over slots at a universe's end stay empty.
    WholePixel,
    /// No pixel is split, and each prop starts a universe of its own.
    OwnUniverse,
}

/// A universe and a slot in it, both counted from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    pub universe: u64,
    pub slot: u32,
}

impl Place {
    fn offset(self) -> u64 {
        self.universe * SLOTS_PER_UNIVERSE + u64::from(self.slot) - 1
    }

    fn at(offset: u64) -> Self {
        Self { universe: offset / SLOTS_PER_UNIVERSE, slot: (offset % SLOTS_PER_UNIVERSE) as u32 + 1 }
    }
}

/// What one prop needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Prop {
    /// 1 to 1,000,000.
    pub pixels: u32,
    /// Slots a pixel, 1 to 512: 3 for RGB, 4 for RGBW.
    pub channels: u32,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Input {
    pub start: Place,
    pub mode: Mode,
    pub props: Vec<Prop>,
}

/// The slots of one prop.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Span {
    pub first: Place,
    pub last: Place,
    pub channels_used: u64,
    /// How many universes it touches.
    pub universes: u64,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Output {
    pub spans: Vec<Span>,
    /// From the start to the last slot, all counted.
    pub universes_used: u64,
    /// False where a universe above 63999 is needed.
    pub valid: bool,
}

/// Numbers the props one after another.
///
/// # Errors
/// `start_universe` below 1, `start_slot` outside 1 to 512, `prop_pixels` outside 1 to 1,000,000, `pixel_channels`
/// outside 1 to 512.
pub fn allocation(input: &Input) -> Result<Output, Refusal> {
    let refusal = Refusal {
        code: "start_universe",
        what: "first universe",
        value: input.start.universe as f64,
        unit: "",
        range: (1.0, f64::from(LAST_UNIVERSE)),
        remedy: "universes count from 1",
    };
    refusal.unless_within()?;
    Refusal {
        code: "start_slot",
        what: "first slot",
        value: f64::from(input.start.slot),
        range: (1.0, SLOTS as f64),
        remedy: "slots count from 1 to 512",
        ..refusal
    }
    .unless_within()?;
    let mut next = input.start.offset();
    let mut spans: Vec<Span> = Vec::with_capacity(input.props.len());
    for prop in &input.props {
        let span = place(*prop, input.mode, next)?;
        next = span.last.offset() + 1;
        spans.push(span);
    }
    let last = spans.last().map_or(input.start.universe, |span| span.last.universe);
    Ok(Output {
        universes_used: if spans.is_empty() { 0 } else { last - spans[0].first.universe + 1 },
        valid: last <= u64::from(LAST_UNIVERSE),
        spans,
    })
}

fn place(prop: Prop, mode: Mode, next: u64) -> Result<Span, Refusal> {
    let refusal = Refusal {
        code: "prop_pixels",
        what: "pixels of the prop",
        value: f64::from(prop.pixels),
        unit: "",
        range: (1.0, 1e6),
        remedy: "give the number of pixels",
    };
    refusal.unless_within()?;
    Refusal {
        code: "pixel_channels",
        what: "slots a pixel",
        value: f64::from(prop.channels),
        range: (1.0, SLOTS as f64),
        remedy: "3 for RGB, 4 for RGBW",
        ..refusal
    }
    .unless_within()?;
    let (pixels, channels) = (u64::from(prop.pixels), u64::from(prop.channels));
    let channels_used = pixels * channels;
    let (begin, end) = match mode {
        Mode::Packed => (next, next + channels_used - 1),
        Mode::WholePixel => whole(next, pixels, channels),
        Mode::OwnUniverse => whole(next.next_multiple_of(SLOTS_PER_UNIVERSE), pixels, channels),
    };
    let (first, last) = (Place::at(begin), Place::at(end));
    Ok(Span { first, last, channels_used, universes: last.universe - first.universe + 1 })
}

/// First and last slot of pixels that are never split, from `next` on.
fn whole(next: u64, pixels: u64, channels: u64) -> (u64, u64) {
    let left = SLOTS_PER_UNIVERSE - next % SLOTS_PER_UNIVERSE;
    let begin = if left < channels { next + left } else { next };
    let room = (SLOTS_PER_UNIVERSE - begin % SLOTS_PER_UNIVERSE) / channels;
    if pixels <= room {
        return (begin, begin + pixels * channels - 1);
    }
    let each = SLOTS_PER_UNIVERSE / channels;
    let after = pixels - room;
    let universe = begin / SLOTS_PER_UNIVERSE + after.div_ceil(each);
    let in_last = (after - 1) % each + 1;
    (begin, universe * SLOTS_PER_UNIVERSE + in_last * channels - 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn number(start: (u64, u32), mode: Mode, props: &[(u32, u32)]) -> Output {
        let props = props.iter().map(|&(pixels, channels)| Prop { pixels, channels }).collect();
        allocation(&Input { start: Place { universe: start.0, slot: start.1 }, mode, props }).unwrap()
    }

    /// Common practice, no published source: 170 RGB or 128 RGBW pixels fill a universe.
    #[test]
    fn a_universe_holds_170_rgb_or_128_rgbw_pixels() {
        for (pixels, channels, slot) in [(170, 3, 510), (128, 4, 512)] {
            let full = number((1, 1), Mode::WholePixel, &[(pixels, channels)]);
            assert_eq!(full.spans[0].last, Place { universe: 1, slot });
            let more = number((1, 1), Mode::WholePixel, &[(pixels + 1, channels)]);
            assert_eq!(more.spans[0].last, Place { universe: 2, slot: channels });
        }
    }

    #[test]
    fn numbers_above_the_last_universe_are_not_valid() {
        assert!(number((63_999, 1), Mode::Packed, &[(170, 3)]).valid);
        assert!(!number((63_999, 1), Mode::Packed, &[(171, 3)]).valid);
    }

    proptest! {
        #[test]
        fn no_slot_is_used_twice_and_no_pixel_split(
            start in 1_u32..=512,
            props in prop::collection::vec((1_u32..700, 1_u32..=12), 1..8),
            mode in prop::sample::select(vec![Mode::Packed, Mode::WholePixel, Mode::OwnUniverse]),
        ) {
            let got = number((1, start), mode, &props);
            for pair in got.spans.windows(2) {
                prop_assert!(pair[0].last < pair[1].first);
            }
            for (span, &(pixels, channels)) in got.spans.iter().zip(&props) {
                // Placing pixel by pixel must end at the same slot.
                let mut at = span.first.offset();
                for _ in 1..pixels {
                    at += u64::from(channels);
                    let left = SLOTS_PER_UNIVERSE - at % SLOTS_PER_UNIVERSE;
                    if mode != Mode::Packed && left < u64::from(channels) {
                        at += left;
                    }
                }
                prop_assert_eq!(Place::at(at + u64::from(channels) - 1), span.last);
            }
        }
    }
}
