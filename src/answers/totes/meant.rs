//! What a tote is meant for: by its name, by what lives in it and by what lay in it before.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::Outlook;
use crate::answers::totes::pack::Coming;
use crate::answers::words::{placement_place, some};
use crate::domain::{Condition, Container, ContainerId, LookKind, PieceId};
use crate::units::Length;

/// Words of a label that name no thing.
const IDLE: &[&str] =
    &["and", "the", "for", "of", "tote", "box", "crate", "bin", "short", "long", "big", "small"];

/// What the totes of a yard are meant for.
pub(super) struct Meant {
    /// Pieces that a tote's name names.
    named: BTreeMap<ContainerId, BTreeSet<PieceId>>,
    /// Pieces and lots that live in a tote.
    live: BTreeMap<ContainerId, Vec<Option<PieceId>>>,
    /// Pieces that were put or counted there at any time.
    held: BTreeSet<(ContainerId, PieceId)>,
}

impl Meant {
    pub(super) fn of(outlook: &Outlook) -> Self {
        let facts = outlook.facts();
        let yard = outlook.yard;
        let there = |c: Condition| !matches!(c, Condition::Scrapped | Condition::Lost);
        let mut of_word: BTreeMap<String, BTreeSet<PieceId>> = BTreeMap::new();
        let mut live: BTreeMap<ContainerId, Vec<Option<PieceId>>> = BTreeMap::new();
        for piece in yard.pieces.iter().filter(|p| there(p.condition)) {
            let product = facts.product(piece.product_id);
            let mut text = format!("{} {}", piece.name, product.map_or("", |p| p.name.as_str()));
            for p in facts.placements_of(piece.id) {
                text = format!("{text} {} {}", p.name, placement_place(&facts, p));
            }
            for word in words(&text) {
                of_word.entry(word).or_default().insert(piece.id);
            }
            if let Some(home) = piece.home_id {
                live.entry(home).or_default().push(Some(piece.id));
            }
        }
        for home in yard.stock.iter().filter_map(|s| s.home_id) {
            live.entry(home).or_default().push(None);
        }
        let of_name = |c: &Container| {
            words(&c.name).iter().filter_map(|w| of_word.get(w)).flatten().copied().collect::<BTreeSet<_>>()
        };
        let looks = yard.piece_looks.iter().filter(|l| matches!(l.kind, LookKind::Put | LookKind::Counted));
        Self {
            named: yard.containers.iter().map(|c| (c.id, of_name(c))).collect(),
            held: looks.filter_map(|l| Some((l.container_id?, l.piece_id))).collect(),
            live,
        }
    }

    /// Whether the tote's name names the piece.
    pub(super) fn named_for(&self, tote: &Container, piece: PieceId) -> bool {
        self.named.get(&tote.id).is_some_and(|named| named.contains(&piece))
    }

    /// Whether the tote's name names anything that there is.
    pub(super) fn is_named(&self, tote: &Container) -> bool {
        self.named.get(&tote.id).is_some_and(|named| !named.is_empty())
    }

    /// Whether the piece was put or counted into the tote before.
    pub(super) fn held(&self, tote: &Container, piece: PieceId) -> bool {
        self.held.contains(&(tote.id, piece))
    }

    /// Totes that what is packed may take, and those that stay to others who live there or gave them their name.
    pub(super) fn ours_and_theirs<'a>(
        &self,
        owned: &[&'a Container],
        packed: &[&Coming],
        longest: Length,
    ) -> (Vec<&'a Container>, Vec<&'a Container>) {
        let fits = packed.iter().copied().filter(|c| c.size.longest.is_none_or(|l| l <= longest));
        let ours: BTreeSet<PieceId> = fits.map(|c| c.piece.id).collect();
        owned.iter().copied().partition(|c| self.for_us(c, &ours))
    }

    /// Whether what is packed may take the tote: it is named for it, most of what lives there is of it, or nothing
    /// lives there and it is named for nothing else.
    fn for_us(&self, tote: &Container, ours: &BTreeSet<PieceId>) -> bool {
        let live = self.live.get(&tote.id).map_or(&[][..], Vec::as_slice);
        let of_us = live.iter().filter(|id| id.is_some_and(|id| ours.contains(&id))).count();
        if !live.is_empty() {
            return 2 * of_us >= live.len();
        }
        let Some(named) = self.named.get(&tote.id) else { return true };
        named.is_empty() || named.iter().any(|id| ours.contains(id))
    }
}

/// "left to what they are named for or hold: T-05 Boats 1-4".
pub(super) fn named_theirs(theirs: &[&Container]) -> Option<String> {
    let names = some(theirs.iter().map(|c| format!("{} {}", c.code, c.name)));
    (!names.is_empty()).then(|| format!("left to what lives in them or gave them their name: {names}"))
}

/// The words of a text that name things, in one form for one and for several.
fn words(text: &str) -> BTreeSet<String> {
    let lower = text.to_lowercase();
    let all = lower.split(|c: char| !c.is_alphabetic()).filter(|w| w.chars().count() > 2).map(singular);
    all.filter(|w| !IDLE.contains(&w.as_str())).collect()
}

fn singular(word: &str) -> String {
    for (end, one) in [("ies", "y"), ("ches", "ch"), ("shes", "sh"), ("xes", "x"), ("ss", "ss"), ("s", "")] {
        if let Some(stem) = word.strip_suffix(end) {
            return format!("{stem}{one}");
        }
    }
    word.to_owned()
}

#[cfg(test)]
mod tests {
    use super::words;

    #[test]
    fn one_and_several_are_one_word() {
        assert_eq!(words("Boats 1-4 and Arches"), words("boat arch"));
        assert_eq!(words("Candies, Boxes"), words("candy box"));
        assert!(words("the tote of 12").is_empty());
    }
}
