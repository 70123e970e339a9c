//! "Where is the box of the north gable?": every piece, lot and prop with its tote and shelf, a line each.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::Outlook;
use crate::answers::totes::whereabouts::{Whereabouts, whereabouts, whereabouts_words};
use crate::answers::words::{container_name, placement_place};
use crate::domain::{ContainerId, PieceId};

/// A thing and where it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    pub code: String,
    pub name: String,
    /// Code of the tote it lies in, or lives in while it is elsewhere.
    pub tote: Option<String>,
    /// "T-07 Canes, Loft over the garage".
    pub stands: String,
    /// "in", "up at drive edge", "lost".
    pub now: String,
    /// Names of the props and places it goes to: found by, not shown.
    pub also: String,
}

impl Found {
    /// The line that is looked through and printed.
    pub fn line(&self) -> String {
        let at = if self.stands.is_empty() { "no tote told" } else { self.stands.as_str() };
        format!("{}  {}: {at} ({})", self.code, self.name, self.now)
    }
}

/// Everything that has a place to be, by code.
pub(crate) fn everything(outlook: &Outlook) -> Vec<Found> {
    let facts = outlook.facts();
    let located = whereabouts(outlook);
    let mut goes: BTreeMap<PieceId, BTreeSet<String>> = BTreeMap::new();
    for p in &outlook.yard.placements {
        let words = format!("{} {}", p.name, placement_place(&facts, p));
        for piece in facts.pieces_of(p.id).iter().copied().chain(p.mount_id) {
            goes.entry(piece).or_default().insert(words.clone());
        }
    }
    let stands = |id: Option<ContainerId>| {
        let c = id.and_then(|id| outlook.yard.containers.iter().find(|c| c.id == id));
        let tote = c.map(|c| c.code.clone());
        (tote, c.and_then(|c| container_name(outlook, c.id)).unwrap_or_default())
    };
    let mut list: Vec<Found> = Vec::new();
    for p in &outlook.yard.pieces {
        let Some(is) = located.get(&p.id) else { continue };
        let (tote, stands) = stands(match is.at {
            Whereabouts::In(c) => Some(c),
            _ => p.home_id,
        });
        let product = facts.product(p.product_id).map_or("", |x| x.name.as_str());
        let also: Vec<String> = goes.remove(&p.id).into_iter().flatten().collect();
        list.push(Found {
            code: p.code.clone(),
            name: if p.name.is_empty() { product.to_owned() } else { p.name.clone() },
            now: whereabouts_words(&facts, is, tote_id(outlook, tote.as_deref())),
            tote,
            stands,
            also: format!("{product} {}", also.join(" ")),
        });
    }
    for s in &outlook.yard.stock {
        let (tote, stands) = stands(s.home_id);
        let name = facts.product(s.product_id).map_or_else(String::new, |x| x.name.clone());
        let now = format!("{} on hand", crate::steps::on_hand(outlook.yard, s.id));
        list.push(Found { code: s.code.clone(), name, tote, stands, now, also: String::new() });
    }
    for c in &outlook.yard.containers {
        let stands = c.parent_id.and_then(|p| container_name(outlook, p)).unwrap_or_default();
        list.push(Found {
            code: c.code.clone(),
            name: c.name.clone(),
            tote: Some(c.code.clone()),
            stands,
            now: c.kind.clone(),
            also: String::new(),
        });
    }
    list
}

fn tote_id(outlook: &Outlook, code: Option<&str>) -> Option<ContainerId> {
    outlook.yard.containers.iter().find(|c| Some(c.code.as_str()) == code).map(|c| c.id)
}

/// The words of a question that say what is looked for.
pub(crate) fn asked(text: &str) -> String {
    const IDLE: [&str; 12] =
        ["where", "is", "are", "the", "a", "of", "my", "in", "which", "tote", "shelf", "for"];
    let bare = text.replace(['?', ','], " ");
    let words: Vec<&str> =
        bare.split_whitespace().filter(|w| !IDLE.contains(&w.to_lowercase().as_str())).collect();
    if words.is_empty() { bare.trim().to_owned() } else { words.join(" ") }
}

#[cfg(test)]
mod tests {
    use super::asked;

    #[test]
    fn a_question_is_found_by_its_words() {
        assert_eq!(asked("Where is the box of the north gable?"), "box north gable");
        assert_eq!(asked("tote"), "tote");
    }
}
