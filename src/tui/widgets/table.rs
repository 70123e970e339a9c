//! A table whose columns give way to each other: what is wider takes from what is empty, text is cut at its end and
//! only where its row is full.

use ratatui::layout::Rect;

use super::canvas::{Canvas, Click};
use super::text::{clean, width, wrap};
use crate::tui::look::{Role, Tint};

/// One cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cell {
    Text(String),
    /// A number or a time: at the right of its column.
    Right(String),
    Chip(Tint, String),
}

impl Cell {
    /// Columns that it takes whole; a chip has its mark and the room around it.
    fn wide(&self) -> usize {
        match self {
            Self::Text(text) | Self::Right(text) => width(&clean(text)),
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

/// Columns before the first cell, for the mark.
const MARGIN: usize = 2;
/// Columns that are kept for how many rows are out of sight.
const ASIDE: usize = 7;
/// Where lines begin that say more about a row.
const MORE: usize = 6;

/// The first line shown so that the marked one is in sight.
pub fn top(at: usize, lines: usize, room: usize) -> usize {
    at.saturating_sub(room / 2).min(lines.saturating_sub(room))
}

/// Draws rows in columns under their headings, with `marked` in sight.
pub fn draw(canvas: &mut Canvas, area: Rect, heads: &[&str], lines: &[Line], marked: Option<usize>) {
    let mut area = area;
    let lines = shown(lines, usize::from(area.width));
    let total = usize::from(area.width).saturating_sub(MARGIN);
    let columns = Columns::of(heads, &lines, total);
    if heads.iter().any(|head| !head.is_empty()) && area.height > 1 {
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
    let below = lines.len().saturating_sub(top + room);
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
                let total = total.saturating_sub(aside((row, room), top, below));
                for (cell, (from, wide)) in cells.iter().zip(columns.place(cells, total)) {
                    let place = clip(area, MARGIN + from + wide);
                    match cell {
                        Cell::Text(text) => canvas.text(place, MARGIN + from, row, text, role),
                        Cell::Right(text) => {
                            let used = width(&clean(text)).min(wide);
                            canvas.text(place, MARGIN + from + wide - used, row, text, role)
                        }
                        Cell::Chip(tint, word) => canvas.chip(place, MARGIN + from, row, *tint, word),
                    };
                }
            }
        }
    }
    more(canvas, area, top, below);
}

/// A line as it is shown.
enum Shown<'a> {
    Group(&'a str),
    More(String),
    Row(usize, &'a [Cell]),
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

/// Where the columns begin and how wide they are.
struct Columns {
    starts: Vec<usize>,
    widths: Vec<usize>,
    rights: Vec<bool>,
    gap: usize,
}

impl Columns {
    fn of(heads: &[&str], lines: &[Shown], total: usize) -> Self {
        let mut needs: Vec<Vec<usize>> = heads.iter().map(|h| vec![width(h)]).collect();
        let mut rights = vec![false; heads.len()];
        for cells in
            lines.iter().filter_map(|l| if let Shown::Row(_, cells) = l { Some(cells) } else { None })
        {
            for (n, cell) in cells.iter().enumerate() {
                if let (Some(needs), Some(right)) = (needs.get_mut(n), rights.get_mut(n)) {
                    needs.push(cell.wide());
                    *right |= matches!(cell, Cell::Right(_));
                }
            }
        }
        for needs in &mut needs {
            needs.sort_unstable();
        }
        let at = |tenths: usize| -> Vec<usize> {
            let of = |n: &Vec<usize>| n.get((n.len() - 1) * tenths / 10).copied().unwrap_or(0);
            needs.iter().zip(heads).map(|(n, head)| of(n).max(width(head))).collect()
        };
        let natural = at(10);
        let used = natural.iter().filter(|w| **w > 0).count();
        let gap = if natural.iter().sum::<usize>() + 2 * used.saturating_sub(1) <= total { 2 } else { 1 };
        let room = total.saturating_sub(gap * used.saturating_sub(1));
        // Most rows stand in their columns; what is left goes to the few that need more.
        let mut widths = share(&at(8), room);
        let left = room.saturating_sub(widths.iter().sum());
        let more: Vec<usize> = natural.iter().zip(&widths).map(|(n, w)| n.saturating_sub(*w)).collect();
        widths.iter_mut().zip(share(&more, left)).for_each(|(wide, more)| *wide += more);
        let mut starts = Vec::with_capacity(widths.len());
        let mut from = 0;
        for wide in &widths {
            starts.push(from);
            from += if *wide > 0 { wide + gap } else { 0 };
        }
        Self { starts, widths, rights, gap }
    }

    fn at(&self, n: usize) -> (usize, usize) {
        let of = |list: &[usize]| list.get(n).copied().unwrap_or(0);
        (of(&self.starts), of(&self.widths))
    }

    fn right(&self, n: usize) -> bool {
        self.rights.get(n).copied().unwrap_or(false)
    }

    /// Where the cells of a row go: in their columns, moved aside where a cell needs more than its column and others
    /// need less; cut only where the row is full.
    fn place(&self, cells: &[Cell], total: usize) -> Vec<(usize, usize)> {
        let natural: Vec<usize> = cells.iter().map(Cell::wide).collect();
        let fits = natural.iter().enumerate().all(|(n, wide)| {
            let (from, room) = self.at(n);
            *wide <= room
                && (*wide == 0 || from + room.min(if self.right(n) { room } else { *wide }) <= total)
        });
        if fits {
            return (0..cells.len()).map(|n| self.at(n)).collect();
        }
        let used = natural.iter().filter(|w| **w > 0).count();
        let gap = if natural.iter().sum::<usize>() + self.gap * used.saturating_sub(1) <= total {
            self.gap
        } else {
            1
        };
        let needs = share(&natural, total.saturating_sub(gap * used.saturating_sub(1)));
        // The latest column at which each cell can begin so that those after it still fit.
        let mut latest = vec![0; needs.len()];
        let mut end = total;
        for (n, need) in needs.iter().enumerate().rev() {
            let from = end.saturating_sub(*need);
            if let Some(slot) = latest.get_mut(n) {
                *slot = from;
            }
            end = if *need > 0 { from.saturating_sub(gap) } else { end };
        }
        let mut out = Vec::with_capacity(needs.len());
        let mut free = 0;
        for (n, need) in needs.iter().enumerate() {
            let (start, room) = self.at(n);
            let wanted = if self.right(n) { start + room.saturating_sub(*need) } else { start };
            let from = wanted.max(free).min(latest.get(n).copied().unwrap_or(0));
            out.push((from, *need));
            free = if *need > 0 { from + need + gap } else { free };
        }
        out
    }
}

/// Shares columns out: each gets what it needs where all fits, else the widest give way, and nothing is left over.
fn share(natural: &[usize], total: usize) -> Vec<usize> {
    if natural.iter().sum::<usize>() <= total {
        return natural.to_vec();
    }
    let mut order: Vec<usize> = natural.to_vec();
    order.sort_unstable();
    let (mut left, mut cap, mut over) = (total, 0, 0);
    for (n, wide) in order.iter().enumerate() {
        let many = order.len() - n;
        if *wide * many > left {
            (cap, over) = (left / many, left % many);
            break;
        }
        left -= wide;
    }
    natural
        .iter()
        .map(|wide| {
            if *wide <= cap {
                return *wide;
            }
            let more = usize::from(over > 0);
            over -= more;
            cap + more
        })
        .collect()
}

/// Columns of a row, one of so many, that say how many lines are out of sight.
pub fn aside((row, room): (usize, usize), above: usize, below: usize) -> usize {
    let up = if row == 0 && above > 0 { width(&format!(" ▲ {above} ")) } else { 0 };
    let down = if row + 1 == room && room > 1 && below > 0 { width(&format!(" ▼ {below} ")) } else { 0 };
    up.max(down)
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

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]
        /// Cells never meet, stay within the row, and are cut only where the row is full.
        #[test]
        fn a_row_is_cut_only_where_it_is_full(
            rows in prop::collection::vec(prop::collection::vec(0usize..60, 4), 1..6),
            total in 8usize..120,
        ) {
            let cells: Vec<Vec<Cell>> =
                rows.iter().map(|r| r.iter().map(|n| Cell::Text("x".repeat(*n))).collect()).collect();
            let lines: Vec<Shown> = cells.iter().enumerate().map(|(n, c)| Shown::Row(n, c)).collect();
            let columns = Columns::of(&["", "", "", ""], &lines, total);
            for (row, needs) in cells.iter().zip(&rows) {
                let placed = columns.place(row, total);
                let mut end = 0;
                let mut blank = 0;
                let mut cut = false;
                for ((from, wide), need) in placed.iter().zip(needs) {
                    if *need == 0 {
                        continue;
                    }
                    prop_assert!(*from >= end, "{placed:?} of {needs:?}");
                    blank = blank.max(from - end);
                    end = from + (*wide).min(*need);
                    cut |= wide < need;
                }
                prop_assert!(end <= total, "{placed:?} passes {total}");
                prop_assert!(!cut || (blank < 3 && total - end < 3), "{placed:?} of {needs:?} in {total}");
            }
        }
    }

    #[test]
    fn the_widest_gives_way() {
        assert_eq!(share(&[3, 40, 10], 30), [3, 17, 10]);
        assert_eq!(share(&[3, 4], 30), [3, 4]);
        assert_eq!(share(&[50, 50], 9), [5, 4]);
    }
}
