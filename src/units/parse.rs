//! Lenient reading of numbers with units.

use std::fmt;

/// Why a typed quantity was refused: what was typed and what would be taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnitError {
    /// The quantity wanted, as "length".
    pub what: &'static str,
    /// The text as typed.
    pub typed: String,
    /// Examples of what is taken, as `7'6", 2.3 m, 230 cm`.
    pub takes: &'static str,
    /// What could be kept of a quantity that is told finer, as `12 mA or 13 mA`.
    pub near: Option<String>,
}

impl UnitError {
    pub(crate) fn new(what: &'static str, typed: &str, takes: &'static str) -> Self {
        Self { what, typed: typed.to_owned(), takes, near: None }
    }

    /// What is wrong with it.
    pub fn says(&self) -> String {
        match self.near {
            Some(_) => format!("this {} is finer than what is kept, and would be rounded too far", self.what),
            None => format!("this is no {}", self.what),
        }
    }

    pub fn remedy(&self) -> String {
        self.near.as_ref().map_or_else(|| format!("write it like {}", self.takes), |n| format!("write {n}"))
    }
}

impl fmt::Display for UnitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.near {
            Some(_) => write!(f, "{:?}: {}; {}", self.typed, self.says(), self.remedy()),
            None => write!(f, "{:?} is not a {}; {}", self.typed, self.what, self.remedy()),
        }
    }
}

impl std::error::Error for UnitError {}

/// Reads a decimal number that stands alone: digits, one point or comma, an optional sign. No exponent, no
/// `inf`, no `nan`. `1,5` is one and a half; `1,500` is fifteen hundred.
pub fn parse_number(text: &str) -> Option<f64> {
    let t = text.trim();
    let body = t.strip_prefix(['-', '+']).unwrap_or(t);
    if body.is_empty() || !body.chars().all(|c| c.is_ascii_digit() || c == '.' || c == ',') {
        return None;
    }
    let plain = match (body.matches('.').count(), body.matches(',').count()) {
        (0 | 1, 0) => body.to_owned(),
        (0, 1) if body.len() - body.find(',').unwrap_or(0) != 4 => body.replace(',', "."),
        (0 | 1, _) if groups_of_three(body) => body.replace(',', ""),
        _ => return None,
    };
    let n: f64 = plain.parse().ok()?;
    (n.is_finite() && n.abs() < 1e15).then_some(if t.starts_with('-') { -n } else { n })
}

fn groups_of_three(body: &str) -> bool {
    let whole = body.split('.').next().unwrap_or(body);
    let mut groups = whole.split(',');
    groups.next().is_some_and(|g| (1..=3).contains(&g.len())) && groups.all(|g| g.len() == 3)
}

/// Splits `12.5 mm` into its number and its lower-case unit; the unit is empty when none was typed.
pub(crate) fn split_unit(text: &str) -> Option<(f64, String)> {
    let t = text.trim();
    let end = t
        .char_indices()
        .find(|(i, c)| !(c.is_ascii_digit() || matches!(c, '.' | ',') || (*i == 0 && matches!(c, '-' | '+'))))
        .map_or(t.len(), |(i, _)| i);
    let number = parse_number(t.get(..end)?)?;
    Some((number, t.get(end..)?.trim().to_lowercase()))
}

/// Rounds to the nearest whole number, refusing what an `i64` column can't hold exactly.
pub(crate) fn whole(x: f64) -> Option<i64> {
    (x.is_finite() && x.abs() < 9.0e15).then(|| x.round() as i64)
}

/// How far rounding may change what is typed, as a share of it.
#[derive(Clone, Copy)]
pub(crate) struct Slack {
    most: f64,
    /// Never to less than was typed.
    up: bool,
}

/// Of voltages, loads and times about a hundredth.
pub(crate) const FINE: Slack = Slack { most: 0.011, up: false };
/// Of lengths and masses, which are told in inches and ounces too: from ten millimetres or grams on to the whole one.
pub(crate) const COARSE: Slack = Slack { most: 0.05, up: false };
/// Of currents as much: what a lamp takes is a few milliamperes, and no load becomes smaller than it was told.
pub(crate) const LOADS: Slack = Slack { most: 0.05, up: true };

/// The whole number of units that is kept of `typed`, refused where that is too far away.
pub(crate) fn keep(typed: f64, unit: &str, slack: Slack, refused: UnitError) -> Result<i64, UnitError> {
    // A hair above a whole number comes of the arithmetic, not of the hand that typed.
    let hair = typed.abs() * 1e-9;
    let Some(kept) = whole(if slack.up { (typed - hair).ceil() } else { typed }) else { return Err(refused) };
    if (kept as f64 - typed).abs() <= slack.most * typed.abs() {
        return Ok(kept);
    }
    let near = [typed.floor(), typed.ceil()].into_iter().filter(|n| *n != 0.0);
    let near: Vec<String> = near.map(|n| format!("{n} {unit}")).collect();
    Err(UnitError { near: Some(near.join(" or ")), ..refused })
}

/// With so many decimals; what rounds to nothing carries no sign. Every figure that people read is written by this.
pub fn figure(x: f64, places: usize) -> String {
    let text = format!("{x:.places$}");
    match text.strip_prefix('-') {
        Some(bare) if bare.chars().all(|c| matches!(c, '0' | '.')) => bare.to_owned(),
        _ => text,
    }
}

/// Up to `places` decimals, without trailing zeros.
pub(crate) fn trim_number(x: f64, places: usize) -> String {
    let text = figure(x, places);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}
