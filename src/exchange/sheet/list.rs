//! A list of props to rows: a season, its places, a placement for each line.

use uuid::Uuid;

use super::columns::{self, Columns, Twice};
use super::known::plain;
use super::line::{Mounts, Reader, Told};
use super::places::Places;
use super::spoken::{Spoken, first_prop, is_spoken, spoken, titles_unknown};
use super::text::{NoText, decode};
use super::titles::{Role, role_of};
use super::told::{self, ToldColumns};
use super::{rows, season, skip, torn};
use crate::domain::{RowChange, TABLES, Table, Value};
use crate::exchange::csv::grid::{self, Line, NoGrid};
use crate::exchange::csv::{CsvFault, CsvFile, Target, field};

/// What a list came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct List {
    pub season_code: String,
    /// What was assumed, left out or understood, a sentence each.
    pub said: Vec<String>,
    /// Parents before children.
    pub rows: Vec<RowChange>,
    pub props: Vec<ReadProp>,
    /// Places that seem to be renamed; `rows` has them as new ones.
    pub places: Vec<PlaceRenamed>,
    /// Props of the season that no line tells.
    pub missing: Vec<Missing>,
    /// Titles to be known again when this file is read next, with what they were taken for.
    pub columns: String,
}

/// A line's prop, and how it stands to the yard.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadProp {
    pub line: u64,
    pub id: Uuid,
    pub name: String,
    pub was: Was,
    /// What the line tells otherwise than the yard.
    pub different: Vec<Different>,
}

/// Whether the yard has a prop already.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Was {
    New,
    Same,
    /// It stood elsewhere.
    Moved,
    /// It seems to be this one under another name.
    Renamed(String),
    /// It was ended.
    Ended,
}

/// A column of a prop: how it stands in the yard, and what the line tells.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Different {
    pub column: &'static str,
    pub before: String,
    pub after: String,
}

/// A place that seems to have another name now: all that stood there stands at a place of a name much like it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlaceRenamed {
    pub old: Uuid,
    pub old_name: String,
    /// As it is among the rows.
    pub new: Uuid,
    pub new_name: String,
}

impl List {
    /// The rows with every likely rename of a place taken as one: the place keeps its row.
    pub fn rows_with_renamed_places(&self) -> Vec<RowChange> {
        let of = |id: Uuid| self.places.iter().find(|p| p.new == id);
        let text = |id: Uuid| Value::Text(id.hyphenated().to_string());
        let mut rows = self.rows.clone();
        for row in &mut rows {
            if let Some(place) = of(row.id).filter(|_| row.table == "place") {
                *row =
                    RowChange::new("place", place.old, vec![("name", Value::Text(place.new_name.clone()))]);
            }
            for (column, value) in row.set.iter_mut().filter(|(c, _)| *c == "place_id") {
                if let Some(place) = self.places.iter().find(|p| text(p.new) == *value) {
                    (*column, *value) = ("place_id", text(place.old));
                }
            }
        }
        rows
    }
}

/// A prop of the season that the list does not tell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Missing {
    pub id: Uuid,
    pub code: String,
    pub name: String,
}

/// The lines of a file, the separator that fits them best, and how the text was read.
struct Lines {
    all: Vec<Line>,
    separator: char,
    said: Option<&'static str>,
    text: String,
}

fn lines_of(file: &CsvFile<'_>, asked: &ToldColumns) -> Result<Lines, Box<CsvFault>> {
    let text = decode(file.bytes)
        .map_err(|NoText(what, remedy, line)| CsvFault::new("not-text", file.name, line, what, remedy))
        .map_err(Box::new)?;
    let mut best: Option<(usize, Vec<Line>, char)> = None;
    let mut fault = None;
    for separator in grid::SEPARATORS {
        match grid::lines(&text.text, *separator, grid::OF_A_LIST, grid::tidily) {
            Ok(lines) => {
                let at = columns::header(&lines, asked);
                let known = |l: &Line| l.cells.iter().filter(|c| asked.role(c).is_some()).count();
                let width = lines.iter().map(|l| l.cells.len()).max().unwrap_or(0).min(50);
                let score = at.and_then(|at| lines.get(at)).map_or(0, |l| 1000 * known(l)) + width;
                if best.as_ref().is_none_or(|b| score > b.0) {
                    best = Some((score, lines, *separator));
                }
            }
            Err(found) if text.text.contains(*separator) => {
                fault.get_or_insert(found);
            }
            Err(_) => {}
        }
    }
    // A quote that one separator makes a fault of says nothing where another parts all lines alike.
    let alike = |lines: &[Line]| {
        let mut widths = lines.iter().map(|l| l.cells.len());
        widths.next().is_some_and(|first| first > 1 && widths.all(|w| w == first))
    };
    match (best, fault) {
        (Some((score, all, separator)), fault) if score >= 1000 || fault.is_none() || alike(&all) => {
            Ok(Lines { all, separator, said: text.said, text: text.text })
        }
        (_, Some(NoGrid(code, line, what, remedy))) => {
            Err(Box::new(CsvFault::new(code, file.name, line, what, remedy)))
        }
        _ => {
            let remedy = "begin with Item, Qty, Location, Mount";
            Err(Box::new(CsvFault::new("no-header", file.name, 1, "the file is empty", remedy)))
        }
    }
}

/// Whether a file is to be read as a list of props and not as a table of that name.
pub fn is_list(file: &CsvFile<'_>) -> bool {
    let stem = file.name.rsplit_once('.').map_or(file.name, |(stem, _)| stem).to_lowercase();
    let table = TABLES.iter().any(|t| t.name == stem);
    // A table keeps its own reader, except where the file begins as the short form does.
    let short = |lines: &[Line]| {
        let heads = |l: &Line| {
            let title = |c: &String| c.trim_end_matches(':').replace(['_', '-'], " ").trim().to_lowercase();
            let titles: Vec<String> = l.cells.iter().map(title).collect();
            ["name", "how many", "where", "how mounted"].iter().all(|t| titles.iter().any(|x| x == t))
        };
        lines.iter().take(2).any(heads)
    };
    match lines_of(file, &ToldColumns::default()) {
        Ok(lines) if table => short(&lines.all),
        Ok(lines) => !lines.all.first().is_some_and(of_table),
        Err(_) => !table,
    }
}

/// Whether a line is the header of a table under another name: every cell a column of it, one of them no title of a
/// list.
fn of_table(line: &Line) -> bool {
    let named = |c: &String| c.to_lowercase().replace([' ', '-'], "_");
    let titles: Vec<String> = line.cells.iter().filter(|c| !c.is_empty()).map(named).collect();
    let all =
        |t: &&Table| titles.iter().all(|c| t.columns.iter().any(|o| field::header(o) == c || o.name == c));
    let own = |c: &String| role_of(c).is_none();
    titles.len() > 1 && titles.iter().any(own) && TABLES.iter().any(|t| all(&t))
}

/// Whether a text has a line of titles as lists have.
pub fn has_titles(text: &str) -> bool {
    grid::lines(text, ',', grid::OF_A_LIST, grid::tidily)
        .is_ok_and(|lines| columns::header(&lines, &ToldColumns::default()).is_some())
}

/// Reads a list; `lights_on` is the day where the list need not tell it.
///
/// # Errors
/// Every fault; then there are no rows.
pub fn read_list(
    file: &CsvFile<'_>,
    target: &Target<'_>,
    lights_on: Option<&str>,
    asked: &ToldColumns,
) -> Result<List, Vec<CsvFault>> {
    let Lines { all: mut lines, separator, said: encoding, text } =
        lines_of(file, asked).map_err(|f| vec![*f])?;
    let widest = lines.iter().map(|l| l.cells.len()).max().unwrap_or(0);
    let mut told_so = Vec::new();
    // The day may be told under the props, too.
    if let Some(at) = lines.iter().position(season::tells_a_day).filter(|at| *at > 0) {
        if columns::header(&lines, asked).is_none_or(|head| head < at) {
            told_so.extend(lines.get(at).map(|l| format!("line {} tells the day of lights on", l.number)));
        }
        if let Some(first) = lines.get_mut(..=at) {
            first.rotate_right(1);
        }
    }
    if columns::header(&lines, asked).is_none() && separator == ',' && is_spoken(&lines) {
        let Some(Spoken { titles, props, said }) = spoken(&text, &lines, target) else {
            return Err(vec![no_titles(file, &lines, "no line names the columns")]);
        };
        // What tells the day stays before the titles.
        lines.truncate(first_prop(&lines));
        let number = props.first().map_or(1, |l| l.number);
        lines.extend([Line { number, cells: titles }].into_iter().chain(props));
        told_so.extend(said);
    }
    let wide = columns::header(&lines, asked).and_then(|at| lines.get(at)).map_or(widest, |l| l.cells.len());
    let mut faults = torn::faults(file.name, &lines, wide, separator);
    grid::without_tabs(&mut lines);
    let mounts = Mounts::of(&target.existing.methods);
    let head = columns::header(&lines, asked);
    let start = lines.iter().take(head.unwrap_or(0)).cloned().collect::<Vec<_>>();
    let titles = head.and_then(|at| lines.get(at)).map_or(&[][..], |l| l.cells.as_slice());
    // Without titles, a line that tells the day may still come first.
    let first = head
        .map_or_else(|| usize::from(season::told(lines.get(..1).unwrap_or_default()).is_some()), |at| at + 1);
    let rest = lines.get(first..).unwrap_or_default();
    let before = if head.is_some() { start.as_slice() } else { lines.get(..first).unwrap_or_default() };
    if head.is_none() && titles_unknown(rest) {
        return Err(vec![no_titles(file, rest, "these titles tell nothing that is known")]);
    }
    for title in asked.not_there(titles) {
        let line = head.and_then(|at| lines.get(at)).map_or(1, |l| l.number);
        let fault = CsvFault::new(
            "no-column",
            file.name,
            line,
            "no column has this title",
            "write it as the file does",
        );
        faults.push(fault.at(title, &titles.join(" | ")));
    }
    let columns = match Columns::of(titles, rest, &|text| mounts.tells(text), asked) {
        Ok(columns) => columns,
        Err(Twice(title, remedy)) => {
            let line = head.and_then(|at| lines.get(at)).map_or(1, |l| l.number);
            let fault = CsvFault::new("column-twice", file.name, line, "this column is there twice", remedy);
            faults.push(fault.at(&title, ""));
            return Err(faults);
        }
    };
    let told = |role| columns.has(role);
    if !told(Role::Name) || (head.is_none() && !(told(Role::How) || told(Role::Count))) {
        let what = if head.is_some() {
            "no column tells the names of the props"
        } else {
            "no line names the columns"
        };
        faults.push(no_titles(file, lines.get(head.unwrap_or(0)..).unwrap_or_default(), what));
        return Err(faults);
    }
    let (props, skipped) = skip::props(rest, titles, &columns);
    if props.is_empty() {
        let remedy = "put a line for each prop under the titles";
        faults.push(CsvFault::new("no-props", file.name, 0, "no line under the titles tells a prop", remedy));
    }
    let mut said: Vec<String> = encoding.map(str::to_owned).into_iter().chain(told_so).collect();
    said.extend(columns.read_back());
    said.extend(columns.said.iter().cloned());
    if head.is_none() {
        said.push("no line names the columns: taken by what they hold".to_owned());
    }
    said.extend(titles_said(before));
    said.extend(skipped);
    let day = season::told(before).or_else(|| lights_on.map(|t| (0, t.to_owned())));
    let mut reader =
        Reader { file: file.name, target, columns: &columns, mounts, places: Places::of(target), faults };
    let told: Vec<Told> = props.iter().map(|line| reader.line(line)).collect();
    let Reader { mounts, places, mut faults, .. } = reader;
    let names = told.iter().map(|t| plain(&t.name)).collect();
    let season = season::season_of(file.name, day.as_ref(), &names, target).map_err(|f| faults.push(*f)).ok();
    said.extend(rows::assumed(&told, &columns));
    said.extend(mounts.said.iter().cloned());
    let untold = mounts.untold();
    let columns = told::text(&columns);
    rows::list(rows::Read { file: file.name, told, season, places, untold, said, faults, columns }, target)
}

/// What is wrong with the titles, at the first of `lines`.
fn no_titles(file: &CsvFile<'_>, lines: &[Line], what: &str) -> CsvFault {
    let shown = lines.first().map_or_else(String::new, |l| l.cells.join(" | "));
    let remedy = "put titles over the columns, as Item, Qty, Location, Mount, Notes; or tell what they are: --column \
                  \"TITLE=name\"";
    let line = lines.first().map_or(1, |l| l.number);
    CsvFault::new("no-header", file.name, line, what, remedy).at("", &shown)
}

/// The lines before the titles that were read over.
fn titles_said(before: &[Line]) -> Vec<String> {
    let other = before.iter().filter(|l| season::told(std::slice::from_ref(*l)).is_none());
    other
        .map(|l| {
            let text: Vec<&str> = l.cells.iter().map(String::as_str).filter(|c| !c.is_empty()).collect();
            format!("line {} {:?} stands over the titles: read over", l.number, text.join(" "))
        })
        .collect()
}
