//! Bringing files in: tables by their name, lists of props as people keep them; looked at first, or written at once.

use std::path::{Path, PathBuf};

use super::app::App;
use super::done::Done;
use super::files::{io_problem, read_file};
use super::newer_recipes::{missing_recipes, text};
use crate::answers::problem::{Problem, ProblemKind};
use crate::deeds::refuse;
use crate::domain::plausible::doubts;
use crate::domain::{Deed, Method, MethodId, RowChange, Value, Yard};
use crate::exchange::csv::{CsvFault, CsvFile, Target, read_folder};
use crate::exchange::sheet::{List, ReadProp, ToldColumns, Was, has_titles, is_list, read_list};
use crate::exchange::workbook;
use crate::store::Applied;

/// So many bytes are read in one import, all its files together.
const LARGEST_FILE: u64 = 64 * 1024 * 1024;
/// So many lines and cells of one file.
const MOST_LINES: usize = 500_000;
const MOST_CELLS: usize = 4_000_000;
/// Props named in a line; of more only the number is said.
const NAMED: usize = 8;

/// How files are brought in.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ImportChoices {
    /// Only say what would be done.
    pub try_only: bool,
    /// Take the list's word where the program was told something else since, and names as renames.
    pub yes: bool,
    /// End the props of the season that the list no longer tells.
    pub end_missing: bool,
    /// The day of lights on, where the list does not tell it.
    pub lights_on: Option<String>,
    /// What columns of a list tell, as `Zeug=name`: kept for files of that name.
    pub columns: Vec<String>,
    /// The sheet of a workbook that is read.
    pub sheet: Option<String>,
}

/// What the files came to, before anything is written.
#[derive(Default)]
struct Found {
    rows: Vec<RowChange>,
    notes: Vec<String>,
    lists: Vec<List>,
    /// Under which name what columns of a file, as they were read.
    columns: Vec<(String, String)>,
}

impl App {
    /// Brings in a folder of CSV files, single files, or lists of props as people keep them.
    ///
    /// # Errors
    /// `bad-data` tells every fault with file, line and column; `changed-since` and `renamed` ask first. Then nothing
    /// was written.
    pub fn import_as(&mut self, paths: &[PathBuf], choices: &ImportChoices) -> Result<Done, Problem> {
        let mut files: Vec<(String, Vec<u8>)> = Vec::new();
        for path in paths {
            read_path(path, &mut files)?;
        }
        let of_books = open_workbooks(&mut files, choices.sheet.as_deref())?;
        if files.is_empty() {
            return Err(Problem::new(ProblemKind::File, "no-files", "there is no CSV file there")
                .hint("name a folder with place.csv, placement.csv …, or one file"));
        }
        let names: Vec<&str> = files.iter().map(|f| f.0.as_str()).collect();
        let what = format!("Imported {}", names.join(", "));
        let mut done = self.told(|app| app.bring_in(&files, &what, choices))?;
        if !of_books.is_empty() {
            done.said = format!("{}\n{}", done.said, of_books.join("\n"));
        }
        Ok(done)
    }

    pub(super) fn bring_in(
        &mut self,
        files: &[(String, Vec<u8>)],
        what: &str,
        choices: &ImportChoices,
    ) -> Result<String, Problem> {
        let existing = self.store.load_whole_yard()?;
        let found = self.read_files(files, &existing, choices)?;
        let mut asks = Vec::new();
        let mut told = Vec::new();
        for list in &found.lists {
            let conflicts = self.conflicts(list)?;
            told.extend(outcome(list, &conflicts, choices.end_missing));
            asks.extend(conflicts);
            asks.extend(renames(list));
        }
        let mut rows = found.rows;
        let now = self.now().timestamp_millis();
        if choices.end_missing {
            let gone = found.lists.iter().flat_map(|l| &l.missing);
            rows.extend(gone.map(|m| RowChange::end("placement", m.id, now)));
        }
        if choices.try_only {
            let lines = [vec![what.replacen("Imported", "Would import", 1)], told, found.notes].concat();
            return Ok(lines.join("\n"));
        }
        if !asks.is_empty() && !choices.yes {
            let head = "the list tells otherwise than what was changed here since; nothing was written:";
            return Err(Problem::new(
                ProblemKind::Data,
                "changed-since",
                format!("{head}\n{}", asks.join("\n")),
            )
            .hint("--yes takes the list's word; or change the list, and give a new prop its own code")
            .hint("--try shows all that would be done"));
        }
        let deed = Deed { verb: "import", what: what.to_owned(), at_ms: now, rows };
        let said = match self.apply(&deed)? {
            Applied::Nothing => "nothing new: all of it is there already".to_owned(),
            Applied::Entry(_) => format!("{what}: {} rows", deed.rows.len()),
        };
        for (key, columns) in &found.columns {
            self.store.set_meta(key, columns)?;
        }
        Ok([vec![said], told, found.notes].concat().join("\n"))
    }

    fn read_files(
        &self,
        files: &[(String, Vec<u8>)],
        existing: &Yard,
        choices: &ImportChoices,
    ) -> Result<Found, Problem> {
        let yard_id = self.store.yard_id();
        let target = Target { yard_id, existing };
        let (short, tables): (Vec<_>, Vec<_>) =
            files.iter().map(|(name, bytes)| CsvFile { name, bytes }).partition(is_list);
        let mut faults: Vec<CsvFault> = Vec::new();
        let mut found = Found::default();
        if !tables.is_empty() {
            match read_folder(&tables, &target) {
                Ok(rows) => found.rows.extend(rows),
                Err(f) => faults.extend(f),
            }
        }
        // A yard made before a shipped method was gets it with the first list that may need it.
        let (mut with_methods, more) = (existing.clone(), missing_recipes(&target));
        with_methods.methods.extend(more.iter().filter_map(method_of));
        let target = Target { yard_id, existing: &with_methods };
        if !short.is_empty() {
            found.rows.extend(more);
            found.rows.extend(self.newer_words(&target)?);
        }
        for file in &short {
            let kept = columns_key(file.name);
            let remembered = self.store.meta(&kept)?;
            let columns =
                ToldColumns::new(&choices.columns, remembered.as_deref()).map_err(|(text, how)| {
                    Problem::new(ProblemKind::Use, "bad-column", format!("{text:?} tells no column"))
                        .hint(how)
                })?;
            match read_list(file, &target, choices.lights_on.as_deref(), &columns) {
                Ok(list) => {
                    if list.columns != remembered.unwrap_or_default() {
                        found.columns.push((kept, list.columns.clone()));
                    }
                    found.notes.extend(list.said.iter().cloned());
                    found.rows.extend(list.rows_with_renamed_places());
                    found.lists.push(list);
                }
                Err(f) => faults.extend(f),
            }
        }
        found.notes.extend(doubtful(&found.rows));
        if faults.is_empty() { Ok(found) } else { Err(refuse(&faults)) }
    }

    /// What a list would put back: columns whose last change here was no import, and props that were ended here.
    fn conflicts(&self, list: &List) -> Result<Vec<String>, Problem> {
        let mut said = Vec::new();
        for prop in list.props.iter().filter(|p| !p.different.is_empty()) {
            let columns: Vec<&str> = prop.different.iter().map(|d| d.column).collect();
            let id = prop.id.hyphenated().to_string();
            let changes = self.store.changes("placement", &id, &columns)?;
            for different in &prop.different {
                let last = changes.iter().rev().find(|c| c.column == different.column);
                if last.is_some_and(|c| c.verb != "import") {
                    let (title, before) = (title(different.column), &different.before);
                    said.push(format!(
                        "{}: {title} is {before} since, the list tells {}",
                        prop.name, different.after
                    ));
                }
            }
        }
        Ok(said)
    }
}

/// Under which note of the yard what a file's columns are is kept: by its name, wherever it lies.
fn columns_key(file: &str) -> String {
    format!("columns of {}", file.to_lowercase())
}

/// Figures a thousand times off, named with the reading that is likely; they come in as they are told.
fn doubtful(rows: &[RowChange]) -> Vec<String> {
    let code = |row: &RowChange| {
        row.set.iter().find_map(|(column, value)| match value {
            Value::Text(code) if matches!(*column, "code" | "name") => Some(format!(" {code}")),
            _ => None,
        })
    };
    let said = rows.iter().flat_map(|row| {
        let at = code(row).unwrap_or_default();
        doubts(row).into_iter().map(move |d| format!("look again: {}{at}: {}", row.table, d.words()))
    });
    let mut lines: Vec<String> = said.collect();
    let more = lines.len().saturating_sub(NAMED);
    lines.truncate(NAMED);
    if more > 0 {
        lines.push(format!("look again: {more} more figures; `check` names them"));
    }
    lines
}

/// A column as people call it.
fn title(column: &str) -> &str {
    match column {
        "place_id" => "where",
        "method_id" => "how mounted",
        "carried_by_id" => "carried by",
        "length_mm" => "length in mm",
        "ended_at" => "ended",
        other => other,
    }
}

/// Names that look like other names of what is there.
fn renames(list: &List) -> Vec<String> {
    let renamed = list.props.iter().filter_map(|p| match &p.was {
        Was::Renamed(old) => {
            Some(format!("line {} {:?} seems to be {old:?} under another name", p.line, p.name))
        }
        _ => None,
    });
    let places = list
        .places
        .iter()
        .map(|p| format!("where {:?} seems to be {:?} under another name", p.new_name, p.old_name));
    renamed.chain(places).collect()
}

/// New, changed, moved, the same, no longer there: a line each.
fn outcome(list: &List, conflicts: &[String], end_missing: bool) -> Vec<String> {
    let mut lines = vec![format!("season {}", list.season_code)];
    let names = |of: &dyn Fn(&ReadProp) -> bool| -> Vec<&str> {
        list.props.iter().filter(|p| of(p)).map(|p| p.name.as_str()).collect()
    };
    let mut tell = |what: &str, names: Vec<&str>| {
        if !names.is_empty() {
            let more = names.len().saturating_sub(NAMED);
            let more = if more == 0 { String::new() } else { format!(" and {more} more") };
            let shown = names.iter().take(NAMED).copied().collect::<Vec<_>>().join(", ");
            lines.push(format!("{what}: {} ({shown}{more})", names.len()));
        }
    };
    tell("new", names(&|p| p.was == Was::New));
    tell("here again", names(&|p| p.was == Was::Ended));
    tell("the same", names(&|p| p.was == Was::Same && p.different.is_empty()));
    let missing: Vec<&str> = list.missing.iter().map(|m| m.name.as_str()).collect();
    let kept = if end_missing {
        "no longer in the list, ended"
    } else {
        "no longer in the list, kept; --end-missing ends them"
    };
    tell(kept, missing);
    for prop in list.props.iter().filter(|p| !p.different.is_empty() && p.was != Was::New) {
        let parts: Vec<String> = prop
            .different
            .iter()
            .map(|d| format!("{} {} to {}", title(d.column), d.before, d.after))
            .collect();
        lines.push(format!("changed: {}: {}", prop.name, parts.join(", ")));
    }
    lines.extend(conflicts.iter().map(|c| format!("in conflict: {c}")));
    lines.extend(renames(list).into_iter().map(|r| format!("renamed? {r}")));
    lines
}

fn method_of(row: &RowChange) -> Option<Method> {
    let of = |column| text(row, column).unwrap_or_default().to_owned();
    (row.table == "method").then(|| Method {
        id: MethodId(row.id),
        ended_at: None,
        code: of("code"),
        name: of("name"),
        also: of("also"),
        stays: row.set.iter().any(|(c, v)| *c == "stays" && *v == Value::Int(1)),
        note: of("note"),
    })
}

fn read_path(path: &Path, files: &mut Vec<(String, Vec<u8>)>) -> Result<(), Problem> {
    if path.is_dir() {
        let mut inside: Vec<PathBuf> = std::fs::read_dir(path)
            .map_err(|e| io_problem(path, "read", &e))?
            .filter_map(Result::ok)
            .map(|e| e.path())
            .filter(|p| p.is_file() && p.extension().is_some_and(|x| x.eq_ignore_ascii_case("csv")))
            .collect();
        inside.sort();
        return inside.iter().try_for_each(|p| read_path(p, files));
    }
    let name = path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    let room = LARGEST_FILE.saturating_sub(files.iter().map(|(_, bytes)| bytes.len() as u64).sum());
    let bytes = read_file(path, room)?;
    if !workbook::is_workbook(&bytes) {
        refuse_endless(&name, &bytes)?;
    }
    files.push((name, bytes));
    Ok(())
}

/// Takes the sheet that is read out of each workbook; what its owner is told of them.
fn open_workbooks(files: &mut [(String, Vec<u8>)], sheet: Option<&str>) -> Result<Vec<String>, Problem> {
    let mut said = Vec::new();
    let mut any = false;
    for (name, bytes) in files.iter_mut().filter(|(_, bytes)| workbook::is_workbook(bytes)) {
        let read = workbook::read(&CsvFile { name, bytes }, sheet, &has_titles).map_err(|f| refuse(&[*f]))?;
        refuse_endless(name, read.text.as_bytes())?;
        said.extend(read.said);
        *bytes = read.text.into_bytes();
        any = true;
    }
    if sheet.is_some() && !any {
        return Err(Problem::new(
            ProblemKind::Use,
            "no-workbook",
            "--sheet names a sheet, but no file is a workbook",
        )
        .hint("leave it out, or name an .xlsx or .ods file"));
    }
    Ok(said)
}

/// Refuses what is no table that a person keeps before its cells are told apart, which takes many times its size.
fn refuse_endless(name: &str, bytes: &[u8]) -> Result<(), Problem> {
    let (mut lines, mut cells) = (1, 1);
    for b in bytes {
        lines += usize::from(*b == b'\n');
        cells += usize::from(matches!(b, b'\n' | b',' | b';' | b'\t'));
    }
    let refuse = |n: usize, what: &str, most: usize| {
        Err(Problem::new(ProblemKind::File, "file-too-large", format!("{name} has {n} {what}"))
            .hint(format!("at most {most} {what} are read; part it into several files")))
    };
    if lines > MOST_LINES {
        return refuse(lines, "lines", MOST_LINES);
    }
    if cells > MOST_CELLS { refuse(cells, "cells", MOST_CELLS) } else { Ok(()) }
}
