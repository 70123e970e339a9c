//! The gust at which a thing must be lowered or taken in.

use super::force::Wind;
use super::{FASTEST_MS, ballast, guyed, sensible};
use crate::calc::refusal::Refusal;
use crate::units::si::MetresPerSecond;

/// Steps of the search, in m/s.
const STEP: f64 = 0.25;

/// The strongest gust at which a free-standing thing still holds; nothing where it does not stand in calm air.
pub fn ballast_holds_to(input: &ballast::Input) -> Result<Option<MetresPerSecond>, Refusal> {
    strongest(input.wind, |wind| Ok(ballast::check(&ballast::Input { wind, ..input.clone() })?.ok))
}

/// The strongest gust, from any direction, at which anchors and straps of a mast still hold; nothing where they do
/// not hold its pretension. Anchors and straps that are not told are not checked.
pub fn mast_holds_to(input: &guyed::Input) -> Result<Option<MetresPerSecond>, Refusal> {
    strongest(input.wind, |wind| {
        let out = guyed::solve(&guyed::Input { wind, ..input.clone() })?;
        Ok(out.anchors.iter().all(|a| a.ok) && out.straps_ok.unwrap_or(true))
    })
}

/// The end of the first stretch of gusts, from calm upwards, that hold, to 0.01 m/s on the safe side. Step by step,
/// because the force on round members falls at one speed and a search by halving could miss a failing stretch.
fn strongest(
    wind: Wind,
    holds: impl Fn(Wind) -> Result<bool, Refusal>,
) -> Result<Option<MetresPerSecond>, Refusal> {
    let at = |v: f64| {
        let gust = MetresPerSecond::new(v).map_err(sensible)?;
        holds(Wind { gust, ..wind })
    };
    if !at(0.0)? {
        return Ok(None);
    }
    let mut low = 0.0;
    loop {
        let mut high = f64::min(low + STEP, FASTEST_MS);
        if at(high)? {
            if high >= FASTEST_MS {
                return MetresPerSecond::new(high).map(Some).map_err(sensible);
            }
            low = high;
            continue;
        }
        while high - low > 0.01 {
            let middle = f64::midpoint(low, high);
            if at(middle)? { low = middle } else { high = middle }
        }
        return MetresPerSecond::new(low).map(Some).map_err(sensible);
    }
}
