//! A table whose columns give way for all rows at once: each begins at one place in every row, what is wider takes from
//! what is empty, and text is cut at its end and only where no column could give more.

use ratatui::layout::Rect;

use super::canvas::{Canvas, Click};
use super::text::{clean, width, wrap};
use crate::tui::look::{Role, Tint};

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
    part(canvas, area, heads, (lines, 0, 0), marked);
}

/// Draws lines of a longer list, of which so many stand before and after them.
pub fn part(
    canvas: &mut Canvas,
    area: Rect,
    heads: &[&str],
    (lines, before, after): (&[Line], usize, usize),
    marked: Option<usize>,
) {
    let mut area = area;
    let lines = shown(lines, usize::from(area.width));
    let headed = heads.iter().any(|head| !head.is_empty()) && area.height > 1;
    let hidden = lines.len() > usize::from(area.height) - usize::from(headed);
    let total = usize::from(area.width).saturating_sub(MARGIN);
    // What says how many rows are out of sight stands beside a last column of figures, not in its place.
    let last = |l: &Shown| matches!(l, Shown::Row(_, cells) if !matches!(cells.last(), Some(Cell::Text(_))));
    let kept =
        if hidden && lines.iter().any(last) { width(&hint('↓', lines.len() + before + after)) } else { 0 };
    let total = total.saturating_sub(kept);
    let columns = Columns::of(heads, &lines, total);
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
    let (above, below) = (top + before, lines.len().saturating_sub(top + room) + after);
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
                let total = total.min(full);
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
    more(canvas, area, above, below);
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

/// Where the columns begin and how wide they are: one place for all rows.
struct Columns {
    starts: Vec<usize>,
    widths: Vec<usize>,
    rights: Vec<bool>,
    gap: usize,
}

impl Columns {
    fn of(heads: &[&str], lines: &[Shown], total: usize) -> Self {
        let mut natural: Vec<usize> = heads.iter().map(|h| width(h)).collect();
        let mut least = natural.clone();
        let mut rights = vec![false; heads.len()];
        // How many cells of a column need so many columns.
        let mut many = vec![vec![0usize; total + 1]; heads.len()];
        let rows =
            || lines.iter().filter_map(|l| if let Shown::Row(_, cells) = l { Some(*cells) } else { None });
        let goes_on = |cells: &[Cell], n: usize| {
            matches!(cells.get(n), Some(Cell::Text(_))) && cells.get(n + 1).is_some_and(|c| c.wide() == 0)
        };
        // A text goes on over what is empty behind it: those come last, when the others are known.
        for last in [false, true] {
            let known = natural.clone();
            for (cells, n) in rows().flat_map(|cells| (0..cells.len()).map(move |n| (cells, n))) {
                if goes_on(cells, n) != last {
                    continue;
                }
                let (Some(cell), Some(most)) = (cells.get(n), natural.get_mut(n)) else { continue };
                let empty = cells.iter().skip(n + 1).take_while(|c| last && c.wide() == 0).count();
                let free: usize = known.iter().skip(n + 1).take(empty).map(|w| w + usize::from(*w > 0)).sum();
                let need = cell.wide().saturating_sub(free).min(total);
                *most = need.max(*most);
                if let Some(right) = rights.get_mut(n) {
                    *right |= matches!(cell, Cell::Right(_));
                }
                if let Some(least) = least.get_mut(n).filter(|_| !matches!(cell, Cell::Text(_))) {
                    *least = need.max(*least);
                }
                if let Some(count) = many.get_mut(n).and_then(|m| m.get_mut(need)) {
                    *count += 1;
                }
            }
        }
        let used = natural.iter().filter(|w| **w > 0).count();
        let gap = if natural.iter().sum::<usize>() + 2 * used.saturating_sub(1) <= total { 2 } else { 1 };
        let room = total.saturating_sub(gap * used.saturating_sub(1));
        let widths = give(&natural, &least, &many, room);
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

    /// Where the cells of a row go: each begins where its column does, and goes on over what is empty behind it.
    fn place(&self, cells: &[Cell], total: usize) -> Vec<(usize, usize)> {
        let mut out = vec![(0, 0); cells.len()];
        let mut end = total;
        for (n, cell) in cells.iter().enumerate().rev() {
            let (from, room) = self.at(n);
            let need = cell.wide();
            if need == 0 || from >= end {
                continue;
            }
            let at = if self.right(n) { from + room.saturating_sub(need) } else { from };
            let at = at.min(end.saturating_sub(need.min(room))).max(from);
            if let Some(slot) = out.get_mut(n) {
                *slot = (at, need.min(end - at));
            }
            end = at.saturating_sub(self.gap);
        }
        out
    }
}

/// Short texts, as codes are, stand whole beside what is longer.
const SHORT: usize = 12;
/// Letters that no column goes below.
const LEAST: usize = 4;

/// Shares columns out: all that is needed where it fits; else chips, figures and short texts whole, and each further
/// column to the text where most rows gain by it, the first letters before the last ones.
fn give(natural: &[usize], least: &[usize], many: &[Vec<usize>], total: usize) -> Vec<usize> {
    if natural.iter().sum::<usize>() <= total {
        return natural.to_vec();
    }
    let firm: Vec<usize> = natural
        .iter()
        .zip(least)
        .map(|(most, least)| if *most <= SHORT { *most } else { (*least).max(LEAST) })
        .collect();
    let mut widths = share(&firm, total);
    // Of each column, how many cells are longer than so many columns.
    let longer: Vec<Vec<usize>> = many
        .iter()
        .map(|m| {
            let mut left: usize = m.iter().sum();
            m.iter()
                .map(|n| {
                    left -= n;
                    left
                })
                .collect()
        })
        .collect();
    for _ in widths.iter().sum::<usize>()..total {
        let gain = |n: usize, wide: usize| {
            let rows = longer.get(n).and_then(|l| l.get(wide)).copied().unwrap_or(0);
            rows * 10_000 / (wide + 4)
        };
        let best = widths
            .iter()
            .enumerate()
            .filter(|(n, wide)| natural.get(*n).is_some_and(|most| *wide < most))
            .max_by_key(|(n, wide)| (gain(*n, **wide), std::cmp::Reverse(*n)))
            .map(|(n, _)| n);
        let Some(wide) = best.and_then(|n| widths.get_mut(n)) else { break };
        *wide += 1;
    }
    widths
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

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]
        /// Each column begins at one cell in all rows, cells never meet nor leave the row, and text is cut only where
        /// no column could give way.
        #[test]
        fn columns_stand_and_are_cut_only_where_all_are_full(
            rows in prop::collection::vec(prop::collection::vec(0usize..60, 4), 1..6),
            total in 12usize..120,
        ) {
            let cells: Vec<Vec<Cell>> =
                rows.iter().map(|r| r.iter().map(|n| Cell::Text("x".repeat(*n))).collect()).collect();
            let lines: Vec<Shown> = cells.iter().enumerate().map(|(n, c)| Shown::Row(n, c)).collect();
            let columns = Columns::of(&["", "", "", ""], &lines, total);
            let mut begins = [None; 4];
            let mut cut = false;
            for (row, needs) in cells.iter().zip(&rows) {
                let mut end = 0;
                for ((n, (from, wide)), need) in columns.place(row, total).iter().enumerate().zip(needs) {
                    if *need == 0 {
                        continue;
                    }
                    prop_assert_eq!(*begins[n].get_or_insert(*from), *from, "column {} moves", n);
                    prop_assert!(*from >= end, "{needs:?} meet in {total}");
                    end = from + (*wide).min(*need);
                    cut |= wide < need;
                }
                prop_assert!(end <= total, "{needs:?} pass {total}");
            }
            let used = columns.widths.iter().filter(|w| **w > 0).count();
            let full = columns.widths.iter().sum::<usize>() + columns.gap * used.saturating_sub(1);
            prop_assert!(!cut || full + 2 >= total, "{:?} leave room in {total}", columns.widths);
            for (n, wide) in columns.widths.iter().enumerate() {
                let most = rows.iter().filter_map(|r| r.get(n)).max();
                prop_assert!(most.is_some_and(|most| wide <= most), "column {n} is wider than what it holds");
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
