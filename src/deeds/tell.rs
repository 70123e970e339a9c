//! Any fact told by itself, and one that no longer holds.

use uuid::Uuid;

use super::Desk;
use super::edit::not_scrapped;
use super::refuse;
use crate::answers::column_words::said;
use crate::answers::problem::{Problem, ProblemKind};
use crate::answers::told::words;
use crate::answers::totes::page::labels_twice;
use crate::domain::{Phase, Value};
use crate::exchange::csv::CsvFault;
use crate::exchange::tell::{Telling, Told, Was, Which, end, tell};

pub(super) fn tell_fact(
    desk: &mut dyn Desk,
    kind: &str,
    code: Option<&str>,
    cells: &[(String, String)],
) -> Result<String, Problem> {
    told_of(desk, kind, Which::Called(code), cells)
}

/// A field of a row changed in place.
pub(super) fn edit(
    desk: &mut dyn Desk,
    table: &str,
    id: Uuid,
    column: &str,
    text: &str,
) -> Result<String, Problem> {
    told_of(desk, table, Which::Row(id), &[(column.to_owned(), text.to_owned())])
}

fn told_of(
    desk: &mut dyn Desk,
    kind: &str,
    which: Which<'_>,
    cells: &[(String, String)],
) -> Result<String, Problem> {
    let existing = desk.whole_yard()?;
    let mark = desk.mark();
    let told = tell(kind, which, cells, &telling(desk, &existing, &mark)).map_err(|f| refusal(&f))?;
    for change in &told.changes {
        not_scrapped(desk, told.table.name, told.row.id, change.column.name, &change.after)?;
    }
    let what = sentence(desk, &told);
    let said = if desk.write("tell", &what, vec![told.row.clone()])? {
        what
    } else {
        format!("{} {} is told so already", told.table.name, told.code)
    };
    // A label that is on two things now is said at once; the scanner could not tell them apart.
    let twice = matches!(told.table.name, "piece" | "container").then(|| labels_twice(&desk.outlook()));
    let code = told.code.to_uppercase();
    let twice = twice.unwrap_or_default().into_iter().filter(|(label, _)| *label == code);
    let twice: Vec<String> = twice.map(|(_, words)| words).collect();
    Ok([vec![said], told.said, twice].concat().join("\n"))
}

pub(super) fn end_fact(
    desk: &mut dyn Desk,
    kind: &str,
    code: &str,
    why: Option<&str>,
) -> Result<String, Problem> {
    let existing = desk.whole_yard()?;
    let mark = desk.mark();
    let ended = end(kind, code, &telling(desk, &existing, &mark)).map_err(|f| refusal(&f))?;
    let name = if ended.name.is_empty() || ended.name == ended.code {
        String::new()
    } else {
        format!(" {}", ended.name)
    };
    let with: Vec<String> =
        ended.with.iter().map(|(table, n)| format!("{n} {}", table.replace('_', " "))).collect();
    let with = if with.is_empty() { String::new() } else { format!(", and with it {}", with.join(", ")) };
    let why = why.map(str::trim).filter(|w| !w.is_empty()).map_or(String::new(), |w| format!(": {w}"));
    let said = format!("Ended {} {}{name}{with}{why}", ended.table.name.replace('_', " "), ended.code);
    desk.write("end", &said, ended.rows)?;
    Ok(said)
}

pub(super) fn telling<'a>(desk: &dyn Desk, existing: &'a crate::domain::Yard, mark: &'a str) -> Telling<'a> {
    Telling {
        yard_id: desk.yard_id(),
        existing,
        season: desk.outlook().season_for(Phase::Up).ok().map(|s| s.id.0),
        mark,
        now_ms: desk.now().timestamp_millis(),
    }
}

/// What was told, read back: names, and units as they are typed.
fn sentence(desk: &dyn Desk, told: &Told) -> String {
    let outlook = desk.outlook();
    let kind = told.table.name.replace('_', " ");
    let begin = match told.was {
        Was::New => format!("New {kind} {}", told.code),
        Was::There => format!("Changed {kind} {}", told.code),
        Was::Ended => format!("Here again: {kind} {}", told.code),
    };
    let parts = told.changes.iter().filter(|c| c.column.name != "code").filter_map(|c| {
        let show = |v: &Value| words(&outlook, c.column.kind, v);
        let (before, after) = (show(&c.before), show(&c.after));
        let name = said(c.column.name);
        match (told.was, after.is_empty()) {
            (Was::There, true) => Some(format!("{name} no longer told")),
            (Was::There, false) if before.is_empty() => Some(format!("{name} {after}")),
            (Was::There, false) => Some(format!("{name} {after} (was {before})")),
            // What a new row holds untold is not read back.
            (_, true) => None,
            (_, false) if untold(c.column, &c.after, told) => None,
            (_, false) => Some(format!("{name} {after}")),
        }
    });
    let parts: Vec<String> = parts.collect();
    if parts.is_empty() { begin } else { format!("{begin}: {}", parts.join(", ")) }
}

/// Whether a column of a new row is as it is where nothing is told.
fn untold(column: &crate::domain::Column, value: &Value, told: &Told) -> bool {
    crate::domain::limit::value_untold(told.table, column).as_ref() == Some(value)
}

/// What is wrongly typed is wrong use; what contradicts the yard is data refused.
pub(super) fn refusal(faults: &[CsvFault]) -> Problem {
    let mut problem = refuse(faults);
    let typed = |f: &CsvFault| {
        f.code.starts_with("not-")
            || matches!(
                f.code,
                "ambiguous-date" | "wrong-weekday" | "unknown-kind" | "unknown-column" | "column-twice"
            )
    };
    if let [one] = faults {
        problem = Problem::new(ProblemKind::Data, one.code, fault_line(one)).hint(one.remedy.clone());
    } else {
        problem.hints = vec!["correct them and tell it again".to_owned()];
    }
    problem.at = faults.iter().map(|f| (f.column.clone(), format!("{}; {}", f.what, f.remedy))).collect();
    if faults.iter().all(typed) {
        problem.kind = ProblemKind::Use;
    }
    problem
}

fn fault_line(fault: &CsvFault) -> String {
    let value = if fault.value.is_empty() { String::new() } else { format!(" {:?}", fault.value) };
    let column = if fault.column.is_empty() { String::new() } else { format!(", {}", fault.column) };
    format!("{}{column}{value}: {}", fault.file, fault.what)
}
