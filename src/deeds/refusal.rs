//! How a deed is refused.

use crate::answers::problem::{Problem, ProblemKind};
use crate::exchange::csv::CsvFault;

/// What can't be read, whatever the yard holds; its code begins with `bad-`.
pub fn mistyped(code: &'static str, what: impl Into<String>) -> Problem {
    Problem::new(ProblemKind::Use, code, what)
}

/// What was read well and is refused by what the yard holds.
pub fn refused(code: &'static str, what: impl Into<String>) -> Problem {
    Problem::new(ProblemKind::Data, code, what)
}

/// Every fault of what was told in its own line.
pub fn refuse(faults: &[CsvFault]) -> Problem {
    let lines: Vec<String> = faults.iter().map(ToString::to_string).collect();
    let n = faults.len();
    let head = if n == 1 {
        "one fault, nothing was written:".to_owned()
    } else {
        format!("{n} faults, nothing was written:")
    };
    Problem::new(ProblemKind::Data, "bad-data", format!("{head}\n{}", lines.join("\n")))
        .hint("correct them and import again")
}
