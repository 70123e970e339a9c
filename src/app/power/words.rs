//! The trade's words at a site, and figures as they are written everywhere in Power.

use crate::domain::{Circuit, Terms, Yard};

/// The words of one site.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::app) struct Words {
    pub(in crate::app) us: bool,
}

impl Words {
    pub(in crate::app) fn of(yard: &Yard) -> Self {
        Self { us: yard.sites.first().is_none_or(|s| s.terms == Terms::Us) }
    }

    const fn pick(self, us: &'static str, elsewhere: &'static str) -> &'static str {
        if self.us { us } else { elsewhere }
    }

    pub(in crate::app) const fn breaker(self) -> &'static str {
        self.pick("breaker", "MCB")
    }

    /// The residual-current device.
    pub(in crate::app) const fn residual(self) -> &'static str {
        self.pick("GFCI", "RCD")
    }

    /// A flexible mains cable with plugs.
    pub(in crate::app) const fn cord(self) -> &'static str {
        self.pick("cord", "lead")
    }
}

/// "C1 Garage".
pub(super) fn place(circuit: &Circuit) -> String {
    format!("{} {}", circuit.code, circuit.name).trim().to_owned()
}

/// "6.2 A"; what rounds to nothing carries no sign.
pub(in crate::app) fn amps(a: f64) -> String {
    format!("{} A", tenths(a))
}

/// One decimal, never "-0.0".
pub(in crate::app) fn tenths(x: f64) -> String {
    let text = format!("{x:.1}");
    if text == "-0.0" { "0.0".to_owned() } else { text }
}

/// "L-031, L-032, L-033 and 28 more".
pub(super) fn some(names: impl ExactSizeIterator<Item = String>) -> String {
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
