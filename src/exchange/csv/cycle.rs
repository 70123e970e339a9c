//! What would carry or contain itself.

use std::collections::{BTreeMap, BTreeSet};

use uuid::Uuid;

/// The columns in which a row names the one it lies in or hangs from, and the words between them.
pub(super) const PARENTS: &[(&str, &str, &str)] = &[
    ("place", "parent_id", "lies in"),
    ("container", "parent_id", "lies in"),
    ("placement", "carried_by_id", "is carried by"),
];

/// Every ring of `parents`, each once, beginning with its smallest id.
pub(in crate::exchange) fn rings(parents: &BTreeMap<Uuid, Uuid>) -> Vec<Vec<Uuid>> {
    let mut done: BTreeSet<Uuid> = BTreeSet::new();
    let mut rings = Vec::new();
    for start in parents.keys() {
        let mut path = Vec::new();
        let mut on_path: BTreeMap<Uuid, usize> = BTreeMap::new();
        let mut at = *start;
        while !done.contains(&at) {
            if let Some(from) = on_path.get(&at) {
                let mut ring: Vec<Uuid> = path.iter().skip(*from).copied().collect();
                let least = ring.iter().enumerate().min_by_key(|(_, id)| **id).map_or(0, |(i, _)| i);
                ring.rotate_left(least);
                rings.push(ring);
                break;
            }
            on_path.insert(at, path.len());
            path.push(at);
            match parents.get(&at) {
                Some(parent) => at = *parent,
                None => break,
            }
        }
        done.extend(path);
    }
    rings
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_ring_is_found_once() {
        let id = Uuid::from_u128;
        let parents = [(1, 2), (2, 3), (3, 2), (4, 3), (5, 5), (6, 7)].map(|(a, b)| (id(a), id(b))).into();
        assert_eq!(rings(&parents), [vec![id(2), id(3)], vec![id(5)]]);
    }
}
