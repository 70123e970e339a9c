//! One line of a list to what it tells of a prop.

use std::collections::BTreeMap;

use uuid::Uuid;

use super::columns::Columns;
use super::mounting::{Reading, Way, says_how, understand};
use super::number;
use super::places::Places;
use super::titles::{Role, unit_of};
use crate::domain::Method;
use crate::exchange::csv::grid::Line;
use crate::exchange::csv::{CsvFault, Target, field};
use crate::units::{Length, System};

/// The method of what is just set out.
pub(super) const SET_OUT: &str = "set_out";

/// What a line tells; nothing where it tells nothing.
#[derive(Debug, Default)]
pub(super) struct Told {
    pub(super) line: u64,
    pub(super) code: String,
    pub(super) name: String,
    pub(super) place: Option<Uuid>,
    pub(super) place_text: String,
    pub(super) count: Option<i64>,
    pub(super) method: Option<Uuid>,
    pub(super) worth: Option<i64>,
    pub(super) length_mm: Option<i64>,
    pub(super) permanent: Option<bool>,
    pub(super) note: Option<String>,
    pub(super) carried_by: String,
}

/// The ways of mounting that the yard knows, and what was understood so far.
pub(super) struct Mounts<'a> {
    ways: Vec<Way<'a>>,
    ids: BTreeMap<&'a str, Uuid>,
    read: BTreeMap<(String, String), Reading<'a>>,
    /// What was understood other than by a name, as it is read back.
    pub(super) said: Vec<String>,
}

impl<'a> Mounts<'a> {
    pub(super) fn of(methods: &'a [Method]) -> Self {
        let holding = || methods.iter().filter(|m| m.ended_at.is_none());
        Self {
            ways: holding().map(|m| Way { code: &m.code, name: &m.name, also: &m.also }).collect(),
            ids: holding().map(|m| (m.code.as_str(), m.id.0)).collect(),
            read: BTreeMap::new(),
            said: Vec::new(),
        }
    }

    /// Whether words tell a way of mounting.
    pub(super) fn tells(&self, text: &str) -> bool {
        says_how(text, &self.ways)
    }

    pub(super) fn untold(&self) -> Option<Uuid> {
        self.ids.get(SET_OUT).copied()
    }

    fn name(&self, code: &str) -> String {
        self.ways.iter().find(|w| w.code == code).map_or_else(|| code.to_owned(), |w| w.name.to_owned())
    }

    /// The method of a phrase.
    fn read(&mut self, phrase: &str, place: &str) -> Result<Option<Uuid>, field::Refusal> {
        let key = (phrase.to_lowercase(), place.to_lowercase());
        let first = !self.read.contains_key(&key);
        let reading = self.read.entry(key).or_insert_with(|| understand(phrase, place, &self.ways)).clone();
        match reading {
            Reading::Understood { code, because } => {
                let name = self.name(code);
                let line = format!("{phrase:?} is {name}, because of {because:?}");
                if first && !name.eq_ignore_ascii_case(phrase) && !self.said.contains(&line) {
                    self.said.push(line);
                }
                Ok(self.ids.get(code).copied())
            }
            Reading::Unsure { nearest, never } => {
                let names: Vec<String> =
                    nearest.iter().map(|code| format!("{:?}", self.name(code))).collect();
                let what =
                    never.map_or_else(|| "this way of mounting is not understood".to_owned(), str::to_owned);
                let remedy = if names.is_empty() {
                    "bring the methods into the yard first".to_owned()
                } else {
                    format!("nearest are {}; write one of them, or say it in other words", names.join(", "))
                };
                Err(field::Refusal("unknown-method", what, remedy))
            }
        }
    }
}

/// Reads lines; faults gather.
pub(super) struct Reader<'a> {
    pub(super) file: &'a str,
    pub(super) target: &'a Target<'a>,
    pub(super) columns: &'a Columns,
    pub(super) mounts: Mounts<'a>,
    pub(super) places: Places,
    pub(super) faults: Vec<CsvFault>,
}

impl Reader<'_> {
    fn fault(&mut self, line: u64, role: Role, value: &str, refusal: field::Refusal) {
        let field::Refusal(code, what, remedy) = refusal;
        let fault = CsvFault::new(code, self.file, line, what, remedy);
        self.faults.push(fault.at(&self.columns.title(role), value));
    }

    /// A cell read by `read`; nothing where it is empty, or refused.
    fn read<T>(
        &mut self,
        line: &Line,
        role: Role,
        read: impl FnOnce(&mut Self, &str) -> Result<T, field::Refusal>,
    ) -> Option<T> {
        let text = self.columns.cell(line, role).to_owned();
        if number::is_untold(&text) {
            return None;
        }
        match read(self, &text) {
            Ok(value) => Some(value),
            Err(refusal) => {
                self.fault(line.number, role, &text, refusal);
                None
            }
        }
    }

    pub(super) fn line(&mut self, line: &Line) -> Told {
        let columns = self.columns;
        if let Some(extra) = line.cells.iter().skip(columns.roles.len()).find(|c| !c.is_empty()) {
            let what = format!("the line has {} cells, the header {}", line.cells.len(), columns.roles.len());
            let remedy = "put text that contains a separator into quotes";
            self.faults
                .push(CsvFault::new("too-many-cells", self.file, line.number, what, remedy).at("", extra));
        }
        for (role, cell) in columns.roles.iter().zip(&line.cells).filter(|(_, cell)| is_no_result(cell)) {
            let Some(role) = role.filter(|r| !matches!(r, Role::Note | Role::Kept)) else { continue };
            let what = "this is a formula of the spreadsheet or its error, not what it comes to".to_owned();
            let remedy = "mend the cell in the spreadsheet program and save the file again".to_owned();
            self.fault(line.number, role, cell, field::Refusal("no-result", what, remedy));
        }
        let name = columns.cell(line, Role::Name).to_owned();
        if !name.chars().any(char::is_alphanumeric) {
            let refusal =
                field::Refusal("missing-value", "the prop has no name".into(), "fill in its name".into());
            self.fault(line.number, Role::Name, &name, refusal);
        }
        let code = columns.cell(line, Role::Code).to_owned();
        if code.contains('\n') {
            let what = "a code is one line of plain text".to_owned();
            self.fault(line.number, Role::Code, &code, field::Refusal("bad-code", what, "shorten it".into()));
        }
        let place_text = columns.cell(line, Role::Place).to_owned();
        let count = self.read(line, Role::Count, |_, text| {
            number::how_many(text).map_err(|(code, what, remedy)| field::Refusal(code, what, remedy))
        });
        let beside = columns.at(Role::Count).zip(columns.at(Role::Place)).is_some_and(|(c, p)| p == c + 1);
        if beside
            && count.is_some()
            && place_text.len() == 3
            && place_text.chars().all(|c| c.is_ascii_digit())
        {
            let what = format!("a number in two cells: {} {place_text}", columns.cell(line, Role::Count));
            let refusal =
                field::Refusal("split-number", what, "write it without a comma, or in quotes".into());
            self.fault(line.number, Role::Place, &place_text, refusal);
        }
        let place = (!number::is_untold(&place_text))
            .then(|| self.places.find_or_make(&place_text, self.target.yard_id));
        let method = self.read(line, Role::How, |s, text| s.mounts.read(text, &place_text)).flatten();
        let worth = self.read(line, Role::Worth, |_, text| within(text, 1, 5));
        let permanent = self.read(line, Role::Permanent, |_, text| {
            field::yes_no(text).map(|v| v == crate::domain::Value::Int(1))
        });
        let length_mm = self.read(line, Role::Length, |s, text| s.length(text));
        Told {
            line: line.number,
            code,
            name,
            place,
            place_text,
            count,
            method,
            worth,
            length_mm,
            permanent,
            note: note(columns, line),
            carried_by: columns.cell(line, Role::CarriedBy).to_owned(),
        }
    }

    fn length(&self, text: &str) -> Result<i64, field::Refusal> {
        let sites = &self.target.existing.sites;
        let system = sites.iter().find(|s| s.ended_at.is_none()).map_or(System::Si, |s| s.units);
        let bare = !text.chars().any(|c| c.is_alphabetic() || matches!(c, '"' | '\'' | '″' | '′'));
        let full = match unit_of(&self.columns.title(Role::Length)) {
            Some(unit) if bare => format!("{text} {unit}"),
            _ => text.to_owned(),
        };
        match Length::parse(&full, system) {
            Ok(length) if length.mm() > 0 => Ok(length.mm()),
            Ok(_) => Err(field::Refusal(
                "out-of-range",
                "the length is nothing".into(),
                "give more than nothing".into(),
            )),
            Err(e) => Err(field::of_unit(&e)),
        }
    }
}

/// A formula without its result, or the word that a spreadsheet program writes where one has none.
fn is_no_result(cell: &str) -> bool {
    const ERRORS: [&str; 8] = ["#REF!", "#N/A", "#VALUE!", "#NAME?", "#DIV/0!", "#NUM!", "#NULL!", "#SPILL!"];
    ERRORS.contains(&cell) || cell.starts_with("Err:") || (cell.starts_with('=') && cell.len() > 1)
}

/// Notes and what is kept of other columns, each with its title.
fn note(columns: &Columns, line: &Line) -> Option<String> {
    let kept = columns.roles.iter().enumerate().filter_map(|(at, role)| {
        let text = line.cell(at);
        let title = columns.titles.get(at).map_or("", String::as_str);
        match role {
            _ if text.is_empty() => None,
            Some(Role::Note) => Some(text.to_owned()),
            Some(Role::Kept) if title.is_empty() => Some(text.to_owned()),
            Some(Role::Kept) => Some(format!("{title}: {text}")),
            _ => None,
        }
    });
    let parts: Vec<String> = kept.collect();
    (!parts.is_empty()).then(|| parts.join("; "))
}

fn within(text: &str, least: i64, most: i64) -> Result<i64, field::Refusal> {
    let range = format!("give {least} to {most}");
    match text.parse::<i64>() {
        Ok(n) if (least..=most).contains(&n) => Ok(n),
        Ok(n) => Err(field::Refusal("out-of-range", format!("{n} is out of range"), range)),
        Err(_) => Err(field::Refusal("not-a-number", "this is no whole number".into(), range)),
    }
}
