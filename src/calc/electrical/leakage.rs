//! Leakage of everything that hangs on one residual-current device.

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::Amps;

/// Trip values; that standing leakage should stay below 30 % of them is a common design rule, from memory.
pub const SOURCE: Source = Source {
    title: "UL 943 (class A: trips at 6 mA), IEC 61008/61009 (30 mA); 30 % planning share from memory",
    edition: "",
    clause: "",
    standing: Standing::FromMemory,
};

/// Share of the trip value that is planned with.
const PLANNED_SHARE: f64 = 0.3;

#[derive(Debug, Clone, PartialEq)]
pub struct Input {
    /// Trip value of the device, 1 mA to 1 A: 6 mA or 30 mA are usual.
    pub trip: Amps,
    /// Standing leakage of each supply and cord on it, 0 A or more; 0.25 to 1 mA a small supply by common practice.
    pub leaks: Vec<Amps>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Output {
    pub leak_a: f64,
    pub planned_a: f64,
    pub within_plan: bool,
}

/// The leakage that adds up on the device.
///
/// # Errors
/// `trip_current` outside 1 mA to 1 A, `leak_current` below 0 A.
pub fn leakage(input: &Input) -> Result<Output, Refusal> {
    let refusal = Refusal {
        code: "trip_current",
        what: "trip current",
        value: input.trip.get(),
        unit: "A",
        range: (0.001, 1.0),
        remedy: "read it off the device: 0.006 or 0.03 A are usual",
    };
    let trip = refusal.unless_within()?;
    let mut leak_a = 0.0;
    for leak in &input.leaks {
        leak_a += Refusal {
            code: "leak_current",
            what: "leakage",
            value: leak.get(),
            unit: "A",
            range: (0.0, 1.0),
            remedy: "give the leakage as a positive number",
        }
        .unless_within()?;
    }
    let planned_a = PLANNED_SHARE * trip;
    Ok(Output { leak_a, planned_a, within_plan: leak_a <= planned_a * (1.0 + 1e-9) })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// From memory: 1.5 mA of leakage are planned on a 6 mA device (rounded down from 1.8), 9 mA on one of 30 mA.
    #[test]
    fn leakage_of_many_supplies_adds_up() {
        let of = |trip: f64, count: usize| {
            let leaks = vec![Amps::new(0.000_5).unwrap(); count];
            leakage(&Input { trip: Amps::new(trip).unwrap(), leaks }).unwrap()
        };
        assert!(of(0.006, 3).within_plan && !of(0.006, 4).within_plan);
        assert!((of(0.03, 0).planned_a - 0.009).abs() < 1e-12);
        assert!(of(0.03, 18).within_plan && !of(0.03, 19).within_plan);
    }
}
