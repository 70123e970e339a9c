//! What a check found: where, what, the value against its limit as written and as figures, and what to do.

use std::fmt;
use std::ops::Deref;

use crate::answers::view::Level;
use crate::units::{Length, System, figure};

/// A value or a limit: as the screen writes it, and, where it is one, the figure in SI with its unit.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Amount {
    shown: String,
    figure: Option<(&'static str, f64)>,
}

// Figures come from formulas that give no NaN.
impl Eq for Amount {}

impl Amount {
    /// A figure in SI; `unit` as it ends a field's name: "a", "v", "m", "count".
    pub(crate) fn figure(shown: String, unit: &'static str, value: f64) -> Self {
        // A sum of nothing is no less than nothing.
        Self { shown, figure: Some((unit, value + 0.0)) }
    }

    /// "6.2 A".
    pub(crate) fn amps(a: f64) -> Self {
        Self::figure(format!("{} A", figure(a, 1)), "a", a)
    }

    /// "4.83 V"; whole volts where there are no others.
    pub(crate) fn volts(v: f64) -> Self {
        let text = figure(v, 2);
        Self::figure(format!("{} V", text.strip_suffix(".00").unwrap_or(&text)), "v", v)
    }

    /// As the site writes lengths.
    pub(crate) fn length(l: Length, units: System) -> Self {
        Self::figure(l.show(units), "m", l.metres())
    }

    /// "2000 pixels".
    pub(crate) fn count(n: f64, of: &str) -> Self {
        Self::figure(format!("{} {of}", figure(n, 0)), "count", n)
    }

    /// Takes other words.
    pub(crate) fn say(&mut self, words: impl Fn(&str) -> String) {
        self.shown = words(&self.shown);
    }

    /// The figure by a name: "value" of amperes is `value_a`.
    pub(crate) fn named(&self, kind: &str) -> Option<Figure> {
        self.figure.map(|(unit, value)| Figure { name: format!("{kind}_{unit}"), value })
    }

    /// The figure in SI.
    pub fn si(&self) -> Option<f64> {
        self.figure.map(|(_, value)| value)
    }

    pub(crate) fn is_figure(&self) -> bool {
        self.figure.is_some()
    }
}

impl Deref for Amount {
    type Target = str;

    fn deref(&self) -> &str {
        &self.shown
    }
}

impl fmt::Display for Amount {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.shown)
    }
}

impl From<String> for Amount {
    fn from(shown: String) -> Self {
        Self { shown, figure: None }
    }
}

impl From<&str> for Amount {
    fn from(shown: &str) -> Self {
        shown.to_owned().into()
    }
}

impl PartialEq<str> for Amount {
    fn eq(&self, other: &str) -> bool {
        self.shown == other
    }
}

impl PartialEq<&str> for Amount {
    fn eq(&self, other: &&str) -> bool {
        self.shown == *other
    }
}

impl PartialEq<String> for Amount {
    fn eq(&self, other: &String) -> bool {
        self.shown == *other
    }
}

/// A named figure in SI, the unit in its name.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    pub name: String,
    pub value: f64,
}

impl Eq for Figure {}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    pub level: Level,
    pub code: String,
    pub place: String,
    pub what: String,
    pub value: Amount,
    pub limit: Amount,
    pub remedy: String,
    pub caution: Option<String>,
    /// What value and limit were computed from.
    pub from: Vec<Figure>,
    /// How, in the names of the figures: "limit_a = 0.8 * breaker_a"; several parted by "; ".
    pub formula: Option<&'static str>,
}

impl Finding {
    /// A finding without a caution.
    pub(crate) fn new(
        level: Level,
        code: &str,
        place: String,
        what: String,
        value: impl Into<Amount>,
        limit: impl Into<Amount>,
        remedy: &str,
    ) -> Self {
        Self {
            level,
            code: code.to_owned(),
            place,
            what,
            value: value.into(),
            limit: limit.into(),
            remedy: remedy.to_owned(),
            caution: None,
            from: Vec::new(),
            formula: None,
        }
    }

    pub(crate) fn caution(mut self, words: &str) -> Self {
        self.caution = Some(words.to_owned());
        self
    }

    /// How its figures follow from others.
    pub(crate) fn by(mut self, formula: &'static str, from: &[(&str, f64)]) -> Self {
        self.formula = Some(formula);
        self.from.extend(from.iter().map(|(name, value)| Figure { name: (*name).to_owned(), value: *value }));
        self
    }

    /// Value and limit in one line: "6.2 A, limit 5.0 A", "5.0 A, needs 6.2 A", "flat, 3 pins against round, 3 pins".
    pub fn measured(&self) -> String {
        let (value, limit) = (&*self.value, &*self.limit);
        match limit {
            "" => value.to_owned(),
            // What has less than its limit, and should not, needs more.
            _ if self.wants_more() => format!("{value}, needs {limit}"),
            _ if self.limit.is_figure() => format!("{value}, limit {limit}"),
            _ if limit.starts_with("to ") => format!("{value} {limit}"),
            _ => format!("{value} against {limit}"),
        }
    }

    /// Whether the value breaks its limit by being less; what a note says may keep within it.
    fn wants_more(&self) -> bool {
        let less = self.value.si().zip(self.limit.si()).is_some_and(|(value, limit)| value < limit);
        less && matches!(self.level, Level::Stop | Level::Mend)
    }

    /// All its figures by name: `value_a`, `limit_a`, and what they were computed from.
    pub fn figures(&self) -> Vec<Figure> {
        let own = [self.value.named("value"), self.limit.named("limit")];
        own.into_iter().flatten().chain(self.from.iter().cloned()).collect()
    }
}
