//! The closed form of one string: drops for a choice of feeds, and the best choice.

use super::search::pattern_search;
use super::{Input, Plan};
use crate::calc::refusal::Refusal;

/// As many plans as are tried one by one.
const MOST_TRIED: f64 = 5e6;

/// The string in the terms of the formula.
pub(super) struct Line {
    pixels: usize,
    pub(super) volts: f64,
    amps: f64,
    /// Of one piece, both rails.
    piece: f64,
    /// Feed to pixel 1, both conductors, and what each further pixel adds.
    first: f64,
    more: f64,
    base_m: f64,
    pitch_m: f64,
}

/// Kept between plans so that judging one allocates nothing.
#[derive(Default)]
pub(super) struct Room {
    drops: Vec<f64>,
    factors: Vec<f64>,
}

impl Line {
    pub(super) fn of(input: Input) -> Result<Self, Refusal> {
        let refusal = Refusal {
            code: "string_pixels",
            what: "pixels of the string",
            value: f64::from(input.pixels),
            unit: "",
            range: (1.0, 10_000.0),
            remedy: "give one string at a time",
        };
        refusal.unless_within()?;
        Refusal {
            code: "added_feeds",
            what: "added feeds",
            value: f64::from(input.most_added),
            range: (0.0, 6.0),
            remedy: "split the string between supplies instead",
            ..refusal
        }
        .unless_within()?;
        let amps = Refusal {
            code: "load_current",
            what: "pixel current",
            value: input.amps.get(),
            unit: "A",
            range: (0.0, 10_000.0),
            remedy: "give the current as a positive number",
        }
        .unless_within()?;
        let (base_m, pitch_m) = (input.base.get(), input.pitch.get());
        Ok(Self {
            pixels: input.pixels as usize,
            volts: input.volts.get(),
            amps,
            piece: 2.0 * input.rail.get() * pitch_m,
            first: 2.0 * input.feeder.get() * base_m,
            more: 2.0 * input.feeder.get() * pitch_m,
            base_m,
            pitch_m,
        })
    }

    /// Largest drop and its pixel (from 0), with feeds at these pixels (from 0, ascending, the first is 0).
    pub(super) fn largest_drop(&self, feeds: &[usize], room: &mut Room) -> (f64, usize) {
        let (i, r) = (self.amps, self.piece);
        // Drops at the feeds: a tridiagonal system; half of what hangs between two feeds burdens either. Where neither
        // rail nor feed has resistance, nothing drops.
        let joint = |at: usize| 1.0 / (r * (feeds[at + 1] - feeds[at]) as f64).max(1e-12);
        room.drops.clear();
        room.factors.clear();
        let last = feeds.len() - 1;
        for (at, &feed) in feeds.iter().enumerate() {
            let to_supply = 1.0 / (self.first + self.more * feed as f64).max(1e-12);
            let (mut own, mut load) = (to_supply, i);
            if at < last {
                own += joint(at);
                load += i * (feeds[at + 1] - feed - 1) as f64 / 2.0;
            } else {
                load += i * (self.pixels - 1 - feed) as f64;
            }
            if at > 0 {
                let left = joint(at - 1);
                load += i * (feed - feeds[at - 1] - 1) as f64 / 2.0;
                own += left - left * room.factors[at - 1];
                load += left * room.drops[at - 1];
            }
            room.factors.push(if at < last { joint(at) / own } else { 0.0 });
            room.drops.push(load / own);
        }
        for at in (0..last).rev() {
            room.drops[at] += room.factors[at] * room.drops[at + 1];
        }
        let tail = (self.pixels - 1 - feeds[last]) as f64;
        let mut most = (room.drops[last] + i * r * tail * (tail + 1.0) / 2.0, self.pixels - 1);
        for at in 0..last {
            let n = feeds[at + 1] - feeds[at];
            let rise = room.drops[at + 1] - room.drops[at];
            let drop = |j: usize| {
                let (j, n) = (j as f64, n as f64);
                room.drops[at] + rise * j / n + i * r * j * (n - j) / 2.0
            };
            let top = if i * r > 0.0 { n as f64 / 2.0 + rise / (n as f64 * r * i) } else { 0.0 };
            let top = top.clamp(0.0, n as f64) as usize;
            for j in [top, (top + 1).min(n)] {
                if drop(j) > most.0 {
                    most = (drop(j), feeds[at] + j);
                }
            }
        }
        most
    }

    pub(super) fn best(&self, added: usize) -> Plan {
        let plans =
            (0..added).fold(1.0, |product, k| product * (self.pixels - 1 - k) as f64 / (k + 1) as f64);
        let all_tried = plans <= MOST_TRIED;
        let feeds = if all_tried { self.try_all(added) } else { self.search(added) };
        let (drop, pixel) = self.largest_drop(&feeds, &mut Room::default());
        Plan {
            added: feeds[1..].iter().map(|&feed| feed as u32 + 1).collect(),
            lowest_v: self.volts - drop,
            lowest_pixel: pixel as u32 + 1,
            cable_m: feeds[1..].iter().map(|&feed| self.base_m + feed as f64 * self.pitch_m).sum(),
            all_tried,
        }
    }

    /// Every choice of `added` pixels, in order.
    pub(super) fn try_all(&self, added: usize) -> Vec<usize> {
        let mut room = Room::default();
        let mut feeds: Vec<usize> = (0..=added).collect();
        let mut best = (f64::INFINITY, feeds.clone());
        loop {
            let drop = self.largest_drop(&feeds, &mut room).0;
            if drop < best.0 {
                best = (drop, feeds.clone());
            }
            let end = |at: usize| self.pixels - 1 - (added - at);
            let Some(at) = (1..=added).rev().find(|&at| feeds[at] < end(at)) else { return best.1 };
            feeds[at] += 1;
            for later in at + 1..=added {
                feeds[later] = feeds[later - 1] + 1;
            }
        }
    }

    pub(super) fn search(&self, added: usize) -> Vec<usize> {
        let mut room = Room::default();
        let even = (1..=added).map(|at| at * (self.pixels - 1) / (added + 1)).collect();
        let all = |feeds: &[usize]| std::iter::once(0).chain(feeds.iter().copied()).collect::<Vec<_>>();
        let found = pattern_search(even, 1..self.pixels, |feeds| self.largest_drop(&all(feeds), &mut room).0);
        all(&found)
    }
}
