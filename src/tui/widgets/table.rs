//! A table that shows the marked row and says how many rows are out of sight.

use ratatui::layout::Rect;

use super::canvas::{Canvas, Click};
use super::text::{clean, shorten};
use crate::tui::look::{Role, Tint};

/// One cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cell {
    Text(String),
    /// Shortened in the middle where it has no room: both its ends tell something.
    Ends(String),
    Chip(Tint, String),
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

/// One line of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Line {
    /// A heading between the rows; never marked.
    Group(String),
    /// A line below a row that says more about it; never marked.
    More(String),
    /// A row, by its place in the screen's own order.
    Row(usize, Vec<Cell>),
}

/// Heading and width of a column; 0 takes what is left.
pub type Column = (&'static str, usize);

/// The first line shown so that the marked one is in sight.
pub fn top(at: usize, lines: usize, room: usize) -> usize {
    at.saturating_sub(room / 2).min(lines.saturating_sub(room))
}

/// Draws rows in columns, with `marked` in sight.
pub fn draw(canvas: &mut Canvas, area: Rect, columns: &[Column], lines: &[Line], marked: Option<usize>) {
    let mut area = area;
    // Where rows are out of sight, their numbers get columns of their own.
    let aside = if lines.len() > usize::from(area.height).saturating_sub(1) { 7 } else { 0 };
    let total = usize::from(area.width).saturating_sub(2 + aside);
    let fixed: usize = columns.iter().map(|(_, w)| if *w > 0 { w + 1 } else { 1 }).sum();
    let free = columns.iter().filter(|(_, w)| *w == 0).count().max(1);
    let rest = total.saturating_sub(fixed) / free;
    let widths: Vec<usize> = columns.iter().map(|(_, w)| if *w == 0 { rest } else { *w }).collect();
    if columns.iter().any(|(head, _)| !head.is_empty()) && area.height > 1 {
        let mut col = 2;
        for ((head, _), wide) in columns.iter().zip(&widths) {
            canvas.text(clip(area, col + wide), col, 0, head, Role::Strong);
            col += wide + 1;
        }
        area = Rect { y: area.y + 1, height: area.height - 1, ..area };
    }
    let room = usize::from(area.height);
    let at = lines.iter().position(|l| matches!(l, Line::Row(n, _) if Some(*n) == marked)).unwrap_or(0);
    let top = top(at, lines.len(), room);
    for (row, line) in lines.iter().skip(top).take(room).enumerate() {
        match line {
            Line::Group(text) => canvas.heading(area, row, text),
            Line::More(text) => {
                canvas.text(area, 12, row, text, Role::Text);
            }
            Line::Row(n, cells) => {
                let stripe = Rect { y: area.y + row as u16, height: 1, ..area };
                canvas.click(stripe, Click::Row(*n));
                let on = Some(*n) == marked;
                let role = if on { Role::Selected } else { Role::Text };
                if on {
                    canvas.fill(stripe, Role::Selected);
                    canvas.text(area, 0, row, "›", Role::Selected);
                }
                let mut col = 2;
                for (at, (cell, wide)) in cells.iter().zip(&widths).enumerate() {
                    // A text may use the empty columns behind it.
                    let empty = |c: &&Cell| matches!(c, Cell::Text(t) if t.is_empty());
                    let free = cells.iter().skip(at + 1).take_while(empty).count();
                    let more: usize = widths.iter().skip(at + 1).take(free).map(|w| w + 1).sum();
                    let place = clip(area, col + wide + more);
                    match cell {
                        Cell::Text(text) => canvas.text(place, col, row, text, role),
                        Cell::Ends(text) => {
                            let room = usize::from(place.width).saturating_sub(col);
                            canvas.text(place, col, row, &shorten(&clean(text), room), role)
                        }
                        Cell::Chip(tint, word) => canvas.chip(place, col, row, *tint, word),
                    };
                    col += wide + 1;
                }
            }
        }
    }
    more(canvas, area, top, lines.len().saturating_sub(top + room));
}

/// Says at the right edge how many lines are out of sight above and below.
pub fn more(canvas: &mut Canvas, area: Rect, above: usize, below: usize) {
    if above > 0 {
        canvas.right(area, 0, &format!(" ▲ {above} "), Role::Key);
    }
    if below > 0 && area.height > 1 {
        canvas.right(area, usize::from(area.height) - 1, &format!(" ▼ {below} "), Role::Key);
    }
}

fn clip(area: Rect, wide: usize) -> Rect {
    Rect { width: area.width.min(u16::try_from(wide).unwrap_or(u16::MAX)), ..area }
}
