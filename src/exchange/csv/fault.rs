//! One fault of a CSV file, with where it is and what to do.

use std::fmt;

/// Why a cell, line or file is refused.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CsvFault {
    /// A stable word for scripts and tests.
    pub code: &'static str,
    pub file: String,
    /// Counted from 1, the header being one; 0 where the whole file is meant.
    pub line: u64,
    /// The header of the column; empty where the whole line is meant.
    pub column: String,
    /// As found, cut short when long.
    pub value: String,
    pub what: String,
    pub remedy: String,
}

/// The longest value that a fault repeats, in characters.
const REPEATED: usize = 60;

impl CsvFault {
    pub(in crate::exchange) fn new(
        code: &'static str,
        file: &str,
        line: u64,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self {
            code,
            file: file.to_owned(),
            line,
            column: String::new(),
            value: String::new(),
            what: what.into(),
            remedy: remedy.into(),
        }
    }

    pub(in crate::exchange) fn at(mut self, column: &str, value: &str) -> Self {
        let clean = super::clean(value);
        self.column = super::clean(column);
        self.value = clean.chars().take(REPEATED).collect();
        if clean.chars().count() > REPEATED {
            self.value.push('…');
        }
        self
    }
}

impl fmt::Display for CsvFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.file)?;
        if self.line > 0 {
            write!(f, ", line {}", self.line)?;
        }
        if !self.column.is_empty() {
            write!(f, ", {}", self.column)?;
        }
        if !self.value.is_empty() {
            write!(f, " {:?}", self.value)?;
        }
        write!(f, ": {}; {}", self.what, self.remedy)
    }
}
