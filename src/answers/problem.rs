//! What is told when something can't be done: what, what to do next, and a stable code.

use std::fmt;

/// Decides the exit code of a command.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ProblemKind {
    /// A check or verify found what must stop the work: exit 1.
    Stop,
    /// Wrong use: exit 2.
    Use,
    /// The yard file can't be used for this: exit 3.
    File,
    /// Data refused: exit 4.
    Data,
}

impl ProblemKind {
    pub const fn exit_code(self) -> u8 {
        match self {
            Self::Stop => 1,
            Self::Use => 2,
            Self::File => 3,
            Self::Data => 4,
        }
    }
}

/// A refusal as the owner reads it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    pub kind: ProblemKind,
    /// Stable, as `yard-newer`.
    pub code: &'static str,
    /// What was refused, with value, unit and limit. Several lines where several faults were found at once.
    pub what: String,
    /// What to do next, one line each.
    pub hints: Vec<String>,
    /// Columns of what was told, each with what is wrong there and what is meant.
    pub at: Vec<(String, String)>,
}

impl Problem {
    pub fn new(kind: ProblemKind, code: &'static str, what: impl Into<String>) -> Self {
        Self { kind, code, what: what.into(), hints: Vec::new(), at: Vec::new() }
    }

    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hints.push(hint.into());
        self
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} [{}]", self.what, self.code)?;
        for hint in &self.hints {
            write!(f, "\n  {hint}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Problem {}
