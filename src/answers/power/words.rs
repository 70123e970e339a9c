//! Names and figures as they are written everywhere in Power.

use crate::answers::view::{Finding, Level};
use crate::calc::refusal::Refusal;
use crate::domain::{Circuit, Terms};

/// "C1 Garage".
pub(crate) fn place(circuit: &Circuit) -> String {
    format!("{} {}", circuit.code, circuit.name).trim().to_owned()
}

/// What was told is outside what its formula covers: named, and never taken as fine.
pub(crate) fn outside(place: &str, refusal: &Refusal, terms: Terms) -> Finding {
    let unit = if refusal.unit.is_empty() { String::new() } else { format!(" {}", refusal.unit) };
    let figure = |x: f64| format!("{}", (x * 1000.0).round() / 1000.0);
    let (low, high) = refusal.range;
    Finding {
        level: Level::Mend,
        code: refusal.code.to_owned(),
        place: place.to_owned(),
        what: format!("{} is outside what can be computed: not checked", terms.say(refusal.what)),
        value: format!("{}{unit}", figure(refusal.value)),
        limit: format!("{} to {}{unit}", figure(low), figure(high)),
        remedy: terms.say(refusal.remedy),
        caution: None,
    }
}

/// "6.2 A"; what rounds to nothing carries no sign.
pub(crate) fn amps(a: f64) -> String {
    format!("{} A", tenths(a))
}

/// One decimal, never "-0.0".
fn tenths(x: f64) -> String {
    let text = format!("{x:.1}");
    if text == "-0.0" { "0.0".to_owned() } else { text }
}

/// "L-031, L-032, L-033 and 28 more".
pub(crate) fn some(names: impl ExactSizeIterator<Item = String>) -> String {
    const SHOWN: usize = 3;
    let more = names.len().saturating_sub(SHOWN);
    let first = names.take(SHOWN).collect::<Vec<_>>().join(", ");
    if more > 0 { format!("{first} and {more} more") } else { first }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_has_no_sign() {
        assert_eq!([amps(-0.04), amps(0.04), amps(-0.06)], ["0.0 A", "0.0 A", "-0.1 A"]);
    }
}
