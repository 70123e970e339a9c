//! Names and figures as they are written everywhere in Power.

use crate::answers::view::{Amount, Figure, Finding, Level};
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
    let (name, scale) = si(refusal.unit);
    let mut found = Finding::new(
        Level::Mend,
        refusal.code,
        place.to_owned(),
        format!("{} is outside what can be computed: not checked", terms.say(refusal.what)),
        Amount::figure(format!("{}{unit}", figure(refusal.value)), name, refusal.value * scale),
        format!("{} to {}{unit}", figure(low), figure(high)),
        &terms.say(refusal.remedy),
    );
    for (end, value) in [("least", low), ("most", high)] {
        found.from.push(Figure { name: format!("limit_{end}_{name}"), value: value * scale });
    }
    found
}

/// How a unit ends a figure's name, and what it is in SI.
fn si(unit: &str) -> (&'static str, f64) {
    match unit {
        "A" => ("a", 1.0),
        "V" => ("v", 1.0),
        "W" => ("w", 1.0),
        "m" => ("m", 1.0),
        "mm²" => ("m2", 1e-6),
        "°C" => ("c", 1.0),
        "kHz" => ("hz", 1000.0),
        "µs" => ("s", 1e-6),
        "fps" => ("hz", 1.0),
        _ => ("count", 1.0),
    }
}

/// "6.2 A"; what rounds to nothing carries no sign.
pub(crate) fn amps(a: f64) -> String {
    Amount::amps(a).to_string()
}

/// Sums of many small currents end in noise: what is at its limit is within it.
const NOISE: f64 = 1e-9;

/// Whether a figure passes a limit that it may reach.
pub(crate) fn over(value: f64, limit: f64) -> bool {
    value - limit > NOISE * limit.abs()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_has_no_sign() {
        assert_eq!([amps(-0.04), amps(0.04), amps(-0.06)], ["0.0 A", "0.0 A", "-0.1 A"]);
    }
}
