//! The drawn map: the street below, buildings as outlines, each place as a mark with its letter where it was measured.

use std::collections::BTreeSet;

use ratatui::layout::Rect;

use super::view::mark;
use crate::answers::view::{YardMap, YardPlace};
use crate::tui::look::{Role, Tint};
use crate::tui::state::State;
use crate::tui::widgets::Canvas;
use crate::tui::widgets::canvas::{Click, mark as sign};
use crate::tui::widgets::text::{clean, width};

/// Columns of a mark with its letter and the gap behind it.
const MARK: usize = 3;

/// The letter that a place has on map and list; nothing after the last one.
pub fn letter(at: usize) -> Option<char> {
    ('a'..='z').chain('A'..='Z').nth(at)
}

/// Where measures lie on the screen.
struct Scale {
    area: Rect,
    x: (i64, i64),
    y: (i64, i64),
}

impl Scale {
    fn of(page: &YardMap, area: Rect) -> Self {
        let range = |of: &dyn Fn(&YardPlace) -> i64| {
            let all = || page.places.iter().filter(|p| p.on_map).map(of);
            let low = all().min().unwrap_or(0);
            (low, all().max().unwrap_or(0).saturating_sub(low).max(1))
        };
        let (from, over) = range(&|p| p.x_mm);
        // Where none is measured the last column has room for names too.
        let columns = page.places.iter().map(|p| p.x_mm).collect::<BTreeSet<_>>().len() as i64;
        let over = if page.laid_out { over.saturating_mul(columns) / (columns - 1).max(1) } else { over };
        Self { area, x: (from, over), y: range(&|p| p.y_mm) }
    }

    /// Column and row in the area; what lies further from the street stands higher.
    fn at(&self, x: i64, y: i64) -> (usize, usize) {
        let part = |v: i64, (from, over): (i64, i64), cells: usize| {
            let at = i128::from(v.saturating_sub(from)).clamp(0, i128::from(over)) * cells as i128
                / i128::from(over);
            usize::try_from(at).unwrap_or(0)
        };
        let (wide, high) = (usize::from(self.area.width), usize::from(self.area.height));
        let col = 2 + part(x, self.x, wide.saturating_sub(MARK + 4));
        let up = part(y, self.y, high.saturating_sub(4));
        (col, high.saturating_sub(3 + up))
    }
}

/// Which cells of the map are taken.
struct Grid {
    wide: usize,
    high: usize,
    taken: Vec<bool>,
}

impl Grid {
    fn free(&self, col: usize, row: usize, many: usize) -> bool {
        let of = |c: usize| self.taken.get(row * self.wide + c).copied().unwrap_or(true);
        row < self.high && col + many <= self.wide && (col..col + many).all(|c| !of(c))
    }

    fn take(&mut self, col: usize, row: usize, many: usize) {
        for c in col..(col + many).min(self.wide) {
            if let Some(cell) = self.taken.get_mut(row * self.wide + c) {
                *cell = true;
            }
        }
    }
}

/// Draws the map; false where it has no room for every place.
pub fn draw(state: &State, page: &YardMap, canvas: &mut Canvas, area: Rect) -> bool {
    let many = page.places.iter().filter(|p| p.on_map).count();
    let room = usize::from(area.width) / MARK * usize::from(area.height).saturating_sub(3) / 2;
    if many == 0 || many > room || area.width < 24 || area.height < 8 {
        return false;
    }
    let scale = Scale::of(page, area);
    let last = usize::from(area.height) - 1;
    let street = "═".repeat(usize::from(area.width));
    canvas.text(area, 0, last, &street, Role::Line);
    canvas.text(area, usize::from(area.width) / 2 - 4, last, " street ", Role::Strong);
    let (wide, high) = (usize::from(area.width), last);
    let mut grid = Grid { wide, high, taken: vec![false; wide * high] };
    outlines(page, &scale, canvas, &mut grid);
    marks(state, page, &scale, canvas, &mut grid);
    true
}

/// Columns of a drive, and the word in it.
const DRIVE: (&str, &str) = ("░░░░░░░", " drive ");

/// Buildings as boxes around their places; a drive leads to the one it ends at. A plain frame where none is told.
fn outlines(page: &YardMap, scale: &Scale, canvas: &mut Canvas, grid: &mut Grid) {
    let area = scale.area;
    if page.buildings.is_empty() {
        frame(canvas, area, (0, 0), (usize::from(area.width) - 1, usize::from(area.height) - 2), grid);
        return;
    }
    let mut names = Vec::new();
    for b in &page.buildings {
        let ((left, low), (right, high)) = (scale.at(b.x_mm.0, b.y_mm.0), scale.at(b.x_mm.1, b.y_mm.1));
        let from = (left.saturating_sub(2), high.saturating_sub(1));
        let to = (
            (right + MARK + 1).min(usize::from(area.width) - 1),
            (low + 1).min(usize::from(area.height) - 2),
        );
        if b.drive {
            let col = usize::midpoint(from.0, to.0).saturating_sub(3);
            let rows = to.1 + 1..usize::from(area.height) - 1;
            let named = usize::midpoint(rows.start, rows.end);
            for row in rows {
                let text = if row == named { DRIVE.1 } else { DRIVE.0 };
                canvas.text(area, col, row, text, Role::Line);
                grid.take(col, row, width(text));
            }
        }
        frame(canvas, area, from, to, grid);
        names.push((b.name.as_str(), from, to));
    }
    // A name stands in a line of its own outline, where no other outline crosses.
    let of =
        |n: usize, (_, from, to): &(&str, (usize, usize), (usize, usize)), (col, row): (usize, usize)| {
            names.iter().enumerate().any(|(m, (_, f, t))| {
                m != n && (f.0..=t.0).contains(&col) && (f.1..=t.1).contains(&row) && (*f, *t) != (*from, *to)
            })
        };
    let mut written: Vec<(usize, usize, usize)> = Vec::new();
    for (n, own @ (name, from, to)) in names.iter().enumerate() {
        let text = format!(" {} ", clean(name));
        let long = width(&text);
        let spot = [from.1, to.1].into_iter().flat_map(|row| (from.0 + 1..to.0).map(move |col| (col, row)));
        let free = spot.into_iter().find(|(col, row)| {
            let met = |(c, r, l): &(usize, usize, usize)| r == row && *col < c + l && c < &(col + long);
            col + long <= to.0
                && (*col..col + long).all(|c| !of(n, own, (c, *row)))
                && !written.iter().any(met)
        });
        if let Some((col, row)) = free {
            canvas.text(area, col, row, &text, Role::Strong);
            written.push((col, row, long));
        }
    }
}

fn frame(canvas: &mut Canvas, area: Rect, from: (usize, usize), to: (usize, usize), grid: &mut Grid) {
    let inside = to.0.saturating_sub(from.0 + 1);
    let line = "─".repeat(inside);
    canvas.text(area, from.0, from.1, &format!("┌{line}┐"), Role::Line);
    for row in from.1 + 1..to.1 {
        canvas.text(area, from.0, row, &format!("│{}│", " ".repeat(inside)), Role::Line);
        grid.take(from.0, row, 1);
        grid.take(to.0, row, 1);
    }
    canvas.text(area, from.0, to.1, &format!("└{line}┘"), Role::Line);
    grid.take(from.0, from.1, inside + 2);
    grid.take(from.0, to.1, inside + 2);
}

/// The marks, each as near to its place as is free, and names where they have room.
fn marks(state: &State, page: &YardMap, scale: &Scale, canvas: &mut Canvas, grid: &mut Grid) {
    let area = scale.area;
    let (wide, high) = (grid.wide, grid.high);
    let mut spots: Vec<(usize, usize, usize)> = Vec::new();
    for (n, place) in page.places.iter().enumerate().filter(|(_, p)| p.on_map) {
        let (x, y) = scale.at(place.x_mm, place.y_mm);
        let rows = y.saturating_sub(4)..(y + 5).min(high);
        let near = rows
            .flat_map(|row| (0..wide).map(move |col| (col, row)))
            .filter(|(col, row)| grid.free(*col, *row, MARK))
            .min_by_key(|(col, row)| (col.abs_diff(x) + row.abs_diff(y) * 3, *row, *col));
        let Some((col, row)) = near else { continue };
        // A leader shows where it really is.
        if col.abs_diff(x) + row.abs_diff(y) * 3 > MARK && grid.free(x, y, 1) {
            canvas.text(area, x, y, "·", Role::Line);
        }
        grid.take(col, row, MARK);
        spots.push((n, col, row));
    }
    // The marked place is named first, then those with the most to do.
    spots.sort_by_key(|(n, ..)| {
        let left = page.places.get(*n).map_or(0, |p| p.total - p.done);
        (*n != state.yard.at, std::cmp::Reverse(left))
    });
    for (n, col, row) in spots {
        let Some(place) = page.places.get(n) else { continue };
        let on = n == state.yard.at;
        let (tint, _) = mark(state.yard.marks, place);
        let role = match (on, tint) {
            (true, _) => Role::Selected,
            (false, Tint::Skipped) => Role::Text,
            (false, tint) => Role::Chip(tint),
        };
        let code = letter(n).map_or_else(|| "?".to_owned(), String::from);
        canvas.text(area, col, row, &format!("{}{code}", sign(tint)), role);
        let spot = Rect { x: area.x + col as u16, y: area.y + row as u16, width: 2, height: 1 };
        canvas.click(spot, Click::Row(n));
        let name = clean(&place.name);
        let long = width(&name);
        let right = grid.free(col + MARK, row, long + 1);
        let left = col.checked_sub(long + 1).filter(|c| grid.free(*c, row, long));
        let at = if right { Some(col + MARK) } else { left };
        if let Some(at) = at {
            grid.take(at, row, long + 1);
            canvas.text(area, at, row, &name, if on { Role::Selected } else { Role::Text });
        }
    }
}
