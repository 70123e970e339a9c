//! The map of shelves: rooms, racks and shelves from the outermost in, each with the totes that stand on it.

use std::collections::BTreeSet;

use crate::answers::totes::page::carried;
use crate::answers::view::ShelfRow;
use crate::domain::{Container, ContainerId};

/// Every container once, in the order of `all`; one that stands in itself stands nowhere.
pub(super) fn map(all: &[Container]) -> Vec<ShelfRow> {
    let mut rows = Vec::new();
    let mut seen = BTreeSet::new();
    let stands = |c: &Container| !carried(c) && c.kind != "place";
    let known = |id: ContainerId| all.iter().any(|c| c.id == id && c.kind != "place");
    let tops = all.iter().filter(|c| stands(c) && !c.parent_id.is_some_and(known));
    for top in tops {
        shelf(all, top, 0, &mut seen, &mut rows);
    }
    // A circle of shelves has no outermost one.
    for rest in all.iter().filter(|c| stands(c)) {
        shelf(all, rest, 0, &mut seen, &mut rows);
    }
    let lone: Vec<usize> =
        (0..all.len()).filter(|n| all.get(*n).is_some_and(|c| carried(c) && !seen.contains(&c.id))).collect();
    if !lone.is_empty() {
        rows.push(ShelfRow { code: String::new(), name: "nowhere told".to_owned(), depth: 0, totes: lone });
    }
    rows
}

fn shelf(
    all: &[Container],
    at: &Container,
    depth: usize,
    seen: &mut BTreeSet<ContainerId>,
    rows: &mut Vec<ShelfRow>,
) {
    if !seen.insert(at.id) {
        return;
    }
    let mut totes = Vec::new();
    inside(all, at.id, seen, &mut totes);
    rows.push(ShelfRow { code: at.code.clone(), name: at.name.clone(), depth, totes });
    for next in all.iter().filter(|c| c.parent_id == Some(at.id) && !carried(c) && c.kind != "place") {
        shelf(all, next, depth + 1, seen, rows);
    }
}

/// Totes on a shelf, and what stands in those.
fn inside(all: &[Container], at: ContainerId, seen: &mut BTreeSet<ContainerId>, totes: &mut Vec<usize>) {
    for (n, c) in all.iter().enumerate().filter(|(_, c)| c.parent_id == Some(at) && carried(c)) {
        if seen.insert(c.id) {
            totes.push(n);
            inside(all, c.id, seen, totes);
        }
    }
}
