//! The parts of a screen: tabs, and a list with all about its marked row beside or below it.

use ratatui::layout::Rect;

use super::canvas::Canvas;
use super::table::{self, Line};
use crate::tui::look::Role;

/// From this width on a list and the page of its row may stand side by side.
pub const WIDE: u16 = 110;
/// Columns that the page of a row needs beside its list.
const PAGE: u16 = 40;
/// Rows from which a list may stand above its page on a wide screen.
const HIGH: u16 = 28;
/// Rows that a long page has there at least.
const BELOW: u16 = 14;
/// A page of so few rows has all it needs below a list that wants the whole width.
const SHORT: u16 = 8;

/// The parts of a screen on its first row, the one that shows marked; gives the columns used.
pub fn tabs<'a>(
    canvas: &mut Canvas,
    area: Rect,
    from: usize,
    parts: impl IntoIterator<Item = (&'a str, Option<usize>, bool)>,
) -> usize {
    let mut col = from;
    for (name, many, on) in parts {
        let many = many.map_or(String::new(), |n| format!(" {n}"));
        let role = if on { Role::Selected } else { Role::Text };
        col += canvas.text(area, col, 0, &format!(" {name}{many} "), role) + 1;
    }
    col + canvas.text(area, col, 0, "Tab", Role::Key)
}

/// Draws a list; gives the place for all about its marked row: beside it on a wide screen, else below, with `low` rows
/// at least.
///
/// The list takes the columns that it wants whole, as far as the page keeps its own.
pub fn list(
    canvas: &mut Canvas,
    area: Rect,
    (heads, lines, marked): (&[&str], &[Line], Option<usize>),
    low: u16,
) -> Rect {
    let (upper, page) = split(canvas, area, low, (heads, lines));
    table::draw(canvas, upper, heads, lines, marked);
    page
}

/// Whether a list has all the columns that it wants beside the page of its row.
pub fn beside(area: Rect, (heads, lines): (&[&str], &[Line])) -> bool {
    let natural = u16::try_from(table::natural(heads, lines)).unwrap_or(u16::MAX);
    area.width >= WIDE && natural <= area.width.saturating_sub(PAGE + 3)
}

/// Splits an area for a list, and the page of its row: below a short list it begins where the list ends.
pub fn split(canvas: &mut Canvas, area: Rect, low: u16, (heads, lines): (&[&str], &[Line])) -> (Rect, Rect) {
    let most = area.width.saturating_sub(PAGE + 3);
    let wide = area.width >= WIDE;
    let natural = if wide { u16::try_from(table::natural(heads, lines)).unwrap_or(u16::MAX) } else { 0 };
    // Names that would be cut beside the page are whole above it, where a high screen has rows for both.
    if wide && (natural <= most || (low > SHORT && area.height < HIGH)) {
        let left = natural.clamp(area.width / 3, most) + 1;
        canvas.divider(Rect { x: area.x + left, width: 1, ..area });
        let right = Rect { x: area.x + left + 2, width: area.width - left - 2, ..area };
        return (Rect { width: left - 1, ..area }, right);
    }
    stacked(area, if wide && low > SHORT { low.max(BELOW) } else { low }, (heads, lines))
}

/// Splits an area for a list, and the page of its row below it.
pub fn stacked(area: Rect, low: u16, (heads, lines): (&[&str], &[Line])) -> (Rect, Rect) {
    let least = low.min(area.height / 2);
    let wanted = u16::try_from(table::high(heads, lines, area.width) + 1).unwrap_or(u16::MAX);
    let upper = Rect { height: (area.height - least).min(wanted), ..area };
    (upper, below(area, usize::from(upper.height)))
}

/// What is left of an area below its first rows.
pub fn below(area: Rect, rows: usize) -> Rect {
    let rows = u16::try_from(rows).unwrap_or(u16::MAX).min(area.height);
    Rect { y: area.y + rows, height: area.height - rows, ..area }
}
