//! A table whose columns give way for all rows at once: each begins at one place in every row, what is wider takes from
//! what is empty, and text is cut at its end and only where no column could give more.

use ratatui::layout::Rect;

use super::canvas::{Canvas, Click};
use super::columns::Columns;
use super::text::{clean, width, wrap};
use crate::tui::look::{Role, Tint};

#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cell {
    Text(String),
    /// A code, a date, a deed: short, and cut only where everything is.
    Word(String),
    /// A number or a time: at the right of its column.
    Right(String),
    Chip(Tint, String),
}

impl Cell {
    /// Columns that it takes whole; a chip has its mark and the room around it.
    pub(super) fn wide(&self) -> usize {
        match self {
            Self::Text(text) | Self::Word(text) | Self::Right(text) => width(&clean(text)),
            Self::Chip(_, word) if word.is_empty() => 3,
            Self::Chip(_, word) => width(&clean(word)) + 4,
        }
    }
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl From<String> for Cell {
    fn from(text: String) -> Self {
        Self::Text(text)
    }
}

impl From<&String> for Cell {
    fn from(text: &String) -> Self {
        Self::Text(text.clone())
    }
}

impl Cell {
    /// What is never cut while another column has room to give.
    pub fn word(text: impl Into<String>) -> Self {
        Self::Word(text.into())
    }
}

/// One line of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Line {
    /// A heading between the rows; never marked.
    Group(String),
    /// What is said more about the row above, in as many lines as it takes; never marked.
    More(String),
    /// A row, by its place in the screen's own order.
    Row(usize, Vec<Cell>),
}

/// The first line of a text and what of it goes on below: of the marked row all is read, others are cut.
pub fn whole(text: &str, marked: bool, room: usize) -> (String, Option<Line>) {
    let mut parts = wrap(text, if marked { room } else { usize::MAX }).into_iter();
    let first = parts.next().unwrap_or_default();
    let rest = parts.collect::<Vec<_>>().join(" ");
    (first, (!rest.is_empty()).then(|| Line::More(format!("   {rest}"))))
}

/// Columns before the first cell, for the mark.
const MARGIN: usize = 2;
/// Columns that are kept for how many rows are out of sight.
pub const ASIDE: usize = 7;
/// Where lines begin that say more about a row.
const MORE: usize = 6;

/// The first line shown so that the marked one is in sight.
pub fn top(at: usize, lines: usize, room: usize) -> usize {
    at.saturating_sub(room / 2).min(lines.saturating_sub(room))
}

/// The lines of a list that has no page of its row: what is cut of the marked row is read whole below it.
pub fn read_below(heads: &[&str], mut lines: Vec<Line>, marked: usize, wide: u16) -> Vec<Line> {
    let total = usize::from(wide).saturating_sub(MARGIN + ASIDE);
    let shown = shown(&lines, usize::from(wide));
    let rows = cells_of(&shown);
    let columns = Columns::of(heads, &rows, total);
    let at = lines.iter().position(|l| matches!(l, Line::Row(n, _) if *n == marked));
    let Some(Line::Row(_, cells)) = at.and_then(|at| lines.get(at)) else { return lines };
    let cut: Vec<&str> = cells
        .iter()
        .zip(columns.place(cells, total))
        .filter(|(cell, (_, wide))| cell.wide() > *wide)
        .filter_map(|(cell, _)| match cell {
            Cell::Text(text) | Cell::Word(text) | Cell::Right(text) => Some(text.as_str()),
            Cell::Chip(..) => None,
        })
        .collect();
    if let (false, Some(at)) = (cut.is_empty(), at) {
        let more = Line::More(cut.join(", "));
        lines.insert(at + 1, more);
    }
    lines
}

/// Columns in which nothing of a list is cut, with those that say how many rows are out of sight.
pub fn natural(heads: &[&str], lines: &[Line]) -> usize {
    const MOST: usize = 300;
    let lines = shown(lines, MOST);
    MARGIN + Columns::of(heads, &cells_of(&lines), MOST).wide() + width(&hint('↓', lines.len()))
}

/// Rows in which all of a list shows, its headings among them.
pub fn high(heads: &[&str], lines: &[Line], wide: u16) -> usize {
    let headed = heads.iter().any(|head| !head.is_empty());
    shown(lines, usize::from(wide)).len() + usize::from(headed)
}

/// Draws rows in columns under their headings, with `marked` in sight.
pub fn draw(canvas: &mut Canvas, area: Rect, heads: &[&str], lines: &[Line], marked: Option<usize>) {
    let mut area = area;
    let lines = shown(lines, usize::from(area.width));
    let headed = heads.iter().any(|head| !head.is_empty()) && area.height > 1;
    let hidden = lines.len() > usize::from(area.height) - usize::from(headed);
    let total = usize::from(area.width).saturating_sub(MARGIN);
    // What says how many rows are out of sight stands beside a last column of figures, not in its place, nor over a chip
    // that its column has no room for beside it.
    let columns = Columns::of(heads, &cells_of(&lines), total);
    let hinted = width(&hint('↓', lines.len()));
    let room = columns.at(heads.len().saturating_sub(1)).1;
    let last = |l: &Shown| match l {
        Shown::Row(_, cells) => match cells.last() {
            Some(Cell::Text(_) | Cell::Word(_)) => false,
            Some(chip @ Cell::Chip(..)) => chip.wide() + hinted > room,
            _ => true,
        },
        _ => false,
    };
    let kept = if hidden && lines.iter().any(last) { hinted } else { 0 };
    let total = total.saturating_sub(kept);
    let columns = if kept > 0 { Columns::of(heads, &cells_of(&lines), total) } else { columns };
    if headed {
        for (n, head) in heads.iter().enumerate() {
            let (from, wide) = columns.at(n);
            let col = if columns.right(n) { from + wide.saturating_sub(width(head)) } else { from };
            canvas.text(clip(area, MARGIN + from + wide), MARGIN + col, 0, head, Role::Strong);
        }
        area = Rect { y: area.y + 1, height: area.height - 1, ..area };
    }
    let room = usize::from(area.height);
    let at = lines.iter().position(|l| matches!(l, Shown::Row(n, _) if Some(*n) == marked)).unwrap_or(0);
    let top = top(at, lines.len(), room);
    let (above, below) = (top, lines.len().saturating_sub(top + room));
    for (row, line) in lines.iter().skip(top).take(room).enumerate() {
        match line {
            Shown::Group(text) => {
                canvas.heading(area, row, text);
            }
            Shown::More(text) => {
                canvas.text(area, MORE, row, text, Role::Text);
            }
            Shown::Row(n, cells) => {
                let stripe = Rect { y: area.y + row as u16, height: 1, ..area };
                canvas.click(stripe, Click::Row(*n));
                let on = Some(*n) == marked;
                let role = if on { Role::Selected } else { Role::Text };
                if on {
                    canvas.fill(stripe, Role::Selected);
                    canvas.text(area, 0, row, "›", Role::Selected);
                }
                let full = usize::from(area.width).saturating_sub(MARGIN + aside((row, room), above, below));
                // A text that goes on over an empty last column may take those columns too.
                let goes_on = cells.last().is_some_and(|c| c.wide() == 0);
                let total = if goes_on { full } else { total.min(full) };
                for (cell, (from, wide)) in cells.iter().zip(columns.place(cells, total)) {
                    let place = clip(area, MARGIN + from + wide);
                    match cell {
                        Cell::Text(text) | Cell::Word(text) => {
                            let bar = !on && text.starts_with(['█', '░', '━', '─']);
                            let role = if bar { Role::Full } else { role };
                            canvas.text(place, MARGIN + from, row, text, role)
                        }
                        Cell::Right(text) => {
                            let used = width(&clean(text)).min(wide);
                            canvas.text(place, MARGIN + from + wide - used, row, text, role)
                        }
                        Cell::Chip(tint, word) => {
                            let role = if on { Role::Marked(*tint) } else { Role::Chip(*tint) };
                            canvas.chip_as(place, (MARGIN + from, row), *tint, word, role)
                        }
                    };
                }
            }
        }
    }
    more(canvas, area, above, below);
}

/// A line as it is shown.
enum Shown<'a> {
    Group(&'a str),
    More(String),
    Row(usize, &'a [Cell]),
}

fn cells_of<'a>(lines: &[Shown<'a>]) -> Vec<&'a [Cell]> {
    lines.iter().filter_map(|l| if let Shown::Row(_, cells) = l { Some(*cells) } else { None }).collect()
}

fn shown(lines: &[Line], wide: usize) -> Vec<Shown<'_>> {
    let mut out = Vec::with_capacity(lines.len());
    for line in lines {
        match line {
            Line::Group(text) => out.push(Shown::Group(text)),
            Line::More(text) => {
                out.extend(wrap(text, wide.saturating_sub(MORE + ASIDE)).into_iter().map(Shown::More));
            }
            Line::Row(n, cells) => out.push(Shown::Row(*n, cells)),
        }
    }
    out
}

/// How many lines are out of sight, that way.
fn hint(way: char, many: usize) -> String {
    format!(" {way}{many} ")
}

/// Columns of a row, one of so many, that say how many lines are out of sight.
pub fn aside((row, room): (usize, usize), above: usize, below: usize) -> usize {
    let up = if row == 0 && above > 0 { width(&hint('↑', above)) } else { 0 };
    let down = if row + 1 == room && room > 1 && below > 0 { width(&hint('↓', below)) } else { 0 };
    up.max(down)
}

/// Says at the right edge how many lines are out of sight above and below.
pub fn more(canvas: &mut Canvas, area: Rect, above: usize, below: usize) {
    if above > 0 {
        canvas.right(area, 0, &hint('↑', above), Role::Key);
    }
    if below > 0 && area.height > 1 {
        canvas.right(area, usize::from(area.height) - 1, &hint('↓', below), Role::Key);
    }
}

fn clip(area: Rect, wide: usize) -> Rect {
    Rect { width: area.width.min(u16::try_from(wide).unwrap_or(u16::MAX)), ..area }
}
