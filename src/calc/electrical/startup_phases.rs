//! Switching supplies on in phases, so that their start-up currents do not trip the breaker together.

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::Amps;

/// Lowest current at which a breaker's magnetic release may act; from memory. Staggering is common practice.
pub const SOURCE: Source = Source {
    title: "IEC 60898-1, ranges of instantaneous tripping; staggered start by common practice",
    edition: "",
    clause: "B 3 to 5, C 5 to 10, D 10 to 20 times the rated current",
    standing: Standing::FromMemory,
};

/// A breaker's curve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Curve {
    B,
    C,
    D,
}

impl Curve {
    /// The multiple of the rated current below which it never trips at once.
    pub const fn safe_multiple(self) -> f64 {
        match self {
            Self::B => 3.0,
            Self::C => 5.0,
            Self::D => 10.0,
        }
    }
}

#[derive(Debug, Clone, PartialEq)]
pub struct Input {
    /// Start-up peak of each supply, as its label says, 0 A or more.
    pub peaks: Vec<Amps>,
    /// Rating, 0.5 to 400 A.
    pub breaker: Amps,
    pub curve: Curve,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Output {
    /// Supplies of each phase, by their place in the input.
    pub phases: Vec<Vec<usize>>,
    pub limit_a: f64,
    /// Supplies that pass the limit even alone; each has a phase of its own.
    pub over_alone: Vec<usize>,
}

/// The biggest first, each into the first phase that has room.
///
/// # Errors
/// `breaker_rating` outside 0.5 to 400 A, `startup_peak` below 0 A.
pub fn startup_phases(input: &Input) -> Result<Output, Refusal> {
    let refusal = Refusal {
        code: "breaker_rating",
        what: "breaker rating",
        value: input.breaker.get(),
        unit: "A",
        range: (0.5, 400.0),
        remedy: "read the rating off the breaker's handle",
    };
    let limit_a = refusal.unless_within()? * input.curve.safe_multiple();
    let mut order = Vec::new();
    for (at, peak) in input.peaks.iter().enumerate() {
        let value = peak.get();
        let remedy = "read the start-up current off the supply's label";
        let range = (0.0, 10_000.0);
        Refusal { code: "startup_peak", what: "start-up current", value, remedy, range, ..refusal }
            .unless_within()?;
        order.push((at, value));
    }
    order.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let mut phases: Vec<(f64, Vec<usize>)> = Vec::new();
    for (at, peak) in order {
        match phases.iter_mut().find(|(sum, _)| sum + peak <= limit_a) {
            Some((sum, members)) => {
                *sum += peak;
                members.push(at);
            }
            None => phases.push((peak, vec![at])),
        }
    }
    let over_alone = (0..input.peaks.len()).filter(|&at| input.peaks[at].get() > limit_a).collect();
    Ok(Output { phases: phases.into_iter().map(|(_, members)| members).collect(), limit_a, over_alone })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn phases(peaks: &[f64]) -> Output {
        let peaks = peaks.iter().map(|&peak| Amps::new(peak).unwrap()).collect();
        startup_phases(&Input { peaks, breaker: Amps::new(16.0).unwrap(), curve: Curve::B }).unwrap()
    }

    /// From memory (IEC 60898-1): a B16 breaker holds 48 A at once.
    #[test]
    fn two_small_supplies_start_together_and_a_big_one_alone() {
        let got = phases(&[20.0, 40.0, 25.0, 60.0]);
        assert_eq!(got.phases, [vec![3], vec![1], vec![2, 0]]);
        assert_eq!(got.over_alone, [3]);
    }

    proptest! {
        #[test]
        fn every_supply_starts_once_and_no_phase_passes_the_limit(peaks in prop::collection::vec(0.0..48.0_f64, 0..20)) {
            let got = phases(&peaks);
            let mut all: Vec<usize> = got.phases.concat();
            all.sort_unstable();
            prop_assert_eq!(all, (0..peaks.len()).collect::<Vec<_>>());
            for phase in &got.phases {
                prop_assert!(phase.iter().map(|&at| peaks[at]).sum::<f64>() <= got.limit_a + 1e-9);
            }
        }
    }
}
