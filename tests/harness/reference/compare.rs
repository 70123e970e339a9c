//! What every kind of check shares: reading cases one by one, comparing numbers with a tolerance.

use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

/// How far a computed number may lie from the one in the file.
#[derive(Clone, Copy)]
pub struct Tolerance {
    pub absolute: f64,
    pub relative: f64,
}

impl Tolerance {
    pub const fn absolute(absolute: f64) -> Self {
        Self { absolute, relative: 0.0 }
    }

    /// Relative, for numbers that the file rounds at its sixth decimal.
    pub const fn relative(relative: f64) -> Self {
        Self { absolute: 5.1e-7, relative }
    }

    fn holds(self, got: f64, wanted: f64) -> bool {
        (got - wanted).abs() <= self.absolute + self.relative * wanted.abs()
    }
}

/// Collects the differences of one case.
pub struct Differences<'a> {
    id: &'a str,
    lines: Vec<String>,
}

impl<'a> Differences<'a> {
    pub fn new(id: &'a str) -> Self {
        Self { id, lines: Vec::new() }
    }

    pub fn say(&mut self, text: impl std::fmt::Display) {
        self.lines.push(format!("{}: {text}", self.id));
    }

    pub fn number(&mut self, what: &str, got: f64, wanted: f64, tolerance: Tolerance) {
        if !tolerance.holds(got, wanted) {
            self.say(format_args!("{what} computed {got}, file {wanted}"));
        }
    }

    pub fn same<T: PartialEq + std::fmt::Debug>(&mut self, what: &str, got: T, wanted: T) {
        if got != wanted {
            self.say(format_args!("{what} computed {got:?}, file {wanted:?}"));
        }
    }

    pub fn done(self) -> Vec<String> {
        self.lines
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CaseFile {
    format: u32,
    #[serde(default, rename = "units")]
    _units: Value,
    cases: Vec<Value>,
}

/// Runs `one` on each case of a `{"format": 1, "cases": […]}` file, named by its `id`.
pub fn each_case<T: DeserializeOwned>(text: &str, one: fn(&T, &mut Differences)) -> Vec<String> {
    let file: CaseFile = match serde_json::from_str(text) {
        Ok(file) => file,
        Err(error) => return vec![format!("file: {error}")],
    };
    if file.format != 1 || file.cases.is_empty() {
        return vec![format!("file: format {} with {} cases", file.format, file.cases.len())];
    }
    file.cases
        .into_iter()
        .flat_map(|case| {
            let id = case.get("id").and_then(Value::as_str).unwrap_or("case without id").to_owned();
            row(&id, case, one)
        })
        .collect()
}

/// Runs `one` on a single row, its lines beginning with `id`.
pub fn row<T: DeserializeOwned>(id: &str, row: Value, one: fn(&T, &mut Differences)) -> Vec<String> {
    let mut differences = Differences::new(id);
    match serde_json::from_value(row) {
        Ok(row) => one(&row, &mut differences),
        Err(error) => differences.say(format_args!("can't be read: {error}")),
    }
    differences.done()
}

/// A section's name and what checks one of its rows.
pub type Section = (&'static str, fn(Value) -> Vec<String>);

/// Runs each section of a sectioned file through its own check; unknown sections are a difference.
pub fn each_section(text: &str, known: &[Section]) -> Vec<String> {
    let mut lines = Vec::new();
    let sections: serde_json::Map<String, Value> = match serde_json::from_str(text) {
        Ok(sections) => sections,
        Err(error) => return vec![format!("file: {error}")],
    };
    if sections.get("format") != Some(&Value::from(1)) {
        lines.push("file: format is not 1".to_owned());
    }
    for (name, rows) in sections.into_iter().filter(|(name, _)| name != "format") {
        let Some((_, check)) = known.iter().find(|(known, _)| *known == name) else {
            lines.push(format!("{name}: unknown section"));
            continue;
        };
        let Value::Array(rows) = rows else {
            lines.push(format!("{name}: not a list"));
            continue;
        };
        for (at, row) in rows.into_iter().enumerate() {
            lines.extend(check(row).into_iter().map(|line| format!("{name}[{at}] {line}")));
        }
    }
    lines
}
