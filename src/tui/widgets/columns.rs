//! The columns of a table: one place for all rows, shared out where not all is whole.

use super::table::Cell;
use super::text::width;

/// Where the columns begin and how wide they are: one place for all rows.
pub(super) struct Columns {
    starts: Vec<usize>,
    widths: Vec<usize>,
    rights: Vec<bool>,
    gap: usize,
}

impl Columns {
    pub(super) fn of(heads: &[&str], rows: &[&[Cell]], total: usize) -> Self {
        let mut natural: Vec<usize> = heads.iter().map(|h| width(h)).collect();
        let mut least = natural.clone();
        let mut rights = vec![false; heads.len()];
        // How many cells of a column need so many columns.
        let mut many = vec![vec![0usize; total + 1]; heads.len()];
        let goes_on = |cells: &[Cell], n: usize| {
            matches!(cells.get(n), Some(Cell::Text(_))) && cells.get(n + 1).is_some_and(|c| c.wide() == 0)
        };
        // A text goes on over what is empty behind it: those come last, when the others are known.
        for last in [false, true] {
            let known = natural.clone();
            for (cells, n) in rows.iter().flat_map(|cells| (0..cells.len()).map(move |n| (*cells, n))) {
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

    /// All of them with the least gap that columns have where they fit.
    pub(super) fn wide(&self) -> usize {
        let used = self.widths.iter().filter(|w| **w > 0).count();
        self.widths.iter().sum::<usize>() + 2 * used.saturating_sub(1)
    }

    pub(super) fn at(&self, n: usize) -> (usize, usize) {
        let of = |list: &[usize]| list.get(n).copied().unwrap_or(0);
        (of(&self.starts), of(&self.widths))
    }

    pub(super) fn right(&self, n: usize) -> bool {
        self.rights.get(n).copied().unwrap_or(false)
    }

    /// Where the cells of a row go: each begins where its column does, or as much later as a text before it would be cut
    /// and its own column leaves blank; a text goes on over what is empty behind it.
    pub(super) fn place(&self, cells: &[Cell], total: usize) -> Vec<(usize, usize)> {
        // Where each cell begins at the latest.
        let mut latest = vec![None; cells.len()];
        let mut end = total;
        for (n, cell) in cells.iter().enumerate().rev() {
            let (from, room) = self.at(n);
            let need = cell.wide();
            if need == 0 || from >= end {
                continue;
            }
            let own = end.min(if self.right(n) { from + room } else { total });
            let at = own.saturating_sub(need.min(room)).max(from);
            if let Some(slot) = latest.get_mut(n) {
                *slot = Some(at);
            }
            end = at.saturating_sub(self.gap);
        }
        let mut out = vec![(0, 0); cells.len()];
        let mut next = 0;
        for (n, cell) in cells.iter().enumerate() {
            let Some(last) = latest.get(n).copied().flatten() else { continue };
            let behind = latest.iter().skip(n + 1).flatten().next();
            let end = behind.map_or(total, |at| at.saturating_sub(self.gap));
            let at = if self.right(n) { last } else { self.at(n).0.max(next) };
            let wide = cell.wide().min(end.saturating_sub(at));
            if let Some(slot) = out.get_mut(n) {
                *slot = (at, wide);
            }
            next = at + wide + self.gap;
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

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]
        /// Each column begins at one cell in all rows but behind a text that needs what it leaves blank; cells never meet
        /// nor leave the row, and text is cut only where its row is full.
        #[test]
        fn columns_stand_and_are_cut_only_where_all_are_full(
            rows in prop::collection::vec(prop::collection::vec(0usize..60, 4), 1..6),
            total in 12usize..120,
        ) {
            let cells: Vec<Vec<Cell>> =
                rows.iter().map(|r| r.iter().map(|n| Cell::Text("x".repeat(*n))).collect()).collect();
            let all: Vec<&[Cell]> = cells.iter().map(Vec::as_slice).collect();
            let columns = Columns::of(&["", "", "", ""], &all, total);
            let mut cut = false;
            for (row, needs) in cells.iter().zip(&rows) {
                let (mut end, mut filled) = (0, false);
                for ((n, (from, wide)), need) in columns.place(row, total).iter().enumerate().zip(needs) {
                    if *need == 0 {
                        continue;
                    }
                    let pushed = end > 0 && *from == end + columns.gap;
                    prop_assert!(*from == columns.at(n).0 || pushed, "column {n} moves: {needs:?} in {total}");
                    prop_assert!(*from >= end, "{needs:?} meet in {total}");
                    prop_assert!(!filled || pushed, "{needs:?} cut beside blanks in {total}");
                    end = from + wide;
                    filled |= wide < need;
                    cut |= wide < need;
                }
                prop_assert!(!filled || end == total, "{needs:?} cut beside blanks in {total}");
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
