//! Which prop of the season a line is: by its code, else by name and place; never by the number of its line.

use std::collections::{BTreeMap, BTreeSet};

use uuid::Uuid;

use crate::domain::{PlaceId, Placement};

/// What a line tells of who it is.
pub(super) struct Line<'a> {
    pub(super) code: &'a str,
    pub(super) name: &'a str,
    pub(super) place: Option<Uuid>,
    pub(super) count: Option<i64>,
}

/// How a line was known again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Known {
    /// By its code or by name and place.
    Same(usize),
    /// By its name alone: it stands somewhere else now.
    Moved(usize),
    /// Another name for what stood at this place: to be asked.
    Renamed(usize),
    New,
}

/// Text to compare names by.
pub(in crate::exchange) fn plain(text: &str) -> String {
    text.to_lowercase().split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Knows each line again among the placements of the season.
pub(super) fn match_lines(lines: &[Line<'_>], there: &[&Placement]) -> Vec<Known> {
    let mut known = vec![Known::New; lines.len()];
    let mut taken: BTreeSet<usize> = BTreeSet::new();
    let place = |p: &Placement| p.place_id.map(|PlaceId(id)| id);
    let by_code: BTreeMap<&str, usize> =
        there.iter().enumerate().map(|(at, p)| (p.code.as_str(), at)).collect();
    for (line, known) in lines.iter().zip(&mut known) {
        if let Some(at) = by_code.get(line.code).filter(|_| !line.code.is_empty()) {
            *known = Known::Same(*at);
            taken.insert(*at);
        }
    }
    // Those that stand by name and place, the first line for the first.
    let mut spots: BTreeMap<(String, Option<Uuid>), Vec<usize>> = BTreeMap::new();
    let mut names: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (at, p) in there.iter().enumerate().rev().filter(|(at, _)| !taken.contains(at)) {
        spots.entry((plain(&p.name), place(p))).or_default().push(at);
        names.entry(plain(&p.name)).or_default().push(at);
    }
    for (line, known) in lines.iter().zip(&mut known).filter(|(l, k)| l.code.is_empty() && **k == Known::New)
    {
        if let Some(at) = spots.get_mut(&(plain(line.name), line.place)).and_then(Vec::pop) {
            *known = Known::Same(at);
            taken.insert(at);
        }
    }
    // One left of that name on both sides: it was moved.
    let mut left: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (n, line) in lines.iter().enumerate() {
        if line.code.is_empty() && known.get(n) == Some(&Known::New) {
            left.entry(plain(line.name)).or_default().push(n);
        }
    }
    for (name, of) in &left {
        let free: Vec<usize> =
            names.get(name).into_iter().flatten().copied().filter(|at| !taken.contains(at)).collect();
        if let ([n], [at]) = (of.as_slice(), free.as_slice())
            && let Some(slot) = known.get_mut(*n)
        {
            *slot = Known::Moved(*at);
            taken.insert(*at);
        }
    }
    // One left at that place with a name much like it, or of the same number.
    let mut at_place: BTreeMap<Option<Uuid>, Vec<usize>> = BTreeMap::new();
    for (at, p) in there.iter().enumerate().filter(|(at, _)| !taken.contains(at)) {
        at_place.entry(place(p)).or_default().push(at);
    }
    for (n, line) in lines.iter().enumerate() {
        if !line.code.is_empty() || known.get(n) != Some(&Known::New) || line.place.is_none() {
            continue;
        }
        let like: Vec<usize> = at_place
            .get(&line.place)
            .into_iter()
            .flatten()
            .copied()
            .filter(|at| !taken.contains(at))
            .filter(|at| {
                there.get(*at).is_some_and(|p| alike(&p.name, line.name, Some(p.count) == line.count))
            })
            .collect();
        if let ([at], Some(slot)) = (like.as_slice(), known.get_mut(n)) {
            *slot = Known::Renamed(*at);
            taken.insert(*at);
        }
    }
    known
}

/// Whether two names may be one thing: a shared word of some length, or most letters.
pub(super) fn alike(a: &str, b: &str, same_count: bool) -> bool {
    let words = |t: &str| -> BTreeSet<String> {
        let stem = |w: &str| w.trim_end_matches('s').to_owned();
        plain(t).split(|c: char| !c.is_alphanumeric()).filter(|w| w.len() >= 3).map(stem).collect()
    };
    let (a_words, b_words) = (words(a), words(b));
    let shared = a_words.intersection(&b_words).count();
    let fewest = a_words.len().min(b_words.len());
    shared > 0 && (same_count || 2 * shared > fewest) || letters(&plain(a), &plain(b)) >= 0.75
}

/// The share of pairs of letters that two texts have in common (Dice's coefficient).
pub(in crate::exchange) fn letters(a: &str, b: &str) -> f64 {
    let pairs = |t: &str| -> Vec<(char, char)> { t.chars().zip(t.chars().skip(1)).collect() };
    let (a, mut b) = (pairs(a), pairs(b));
    let all = a.len() + b.len();
    let shared = a
        .iter()
        .filter(|pair| b.iter().position(|p| p == *pair).map(|at| b.swap_remove(at)).is_some())
        .count();
    if all == 0 { 0.0 } else { 2.0 * shared as f64 / all as f64 }
}
