//! Which of the owner's totes each pack of things goes into.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::Outlook;
use crate::answers::totes::meant::Meant;
use crate::answers::totes::pack::{Coming, PackProposal, PackedTote};
use crate::answers::totes::size::TARE_G;
use crate::answers::words::container_name;
use crate::domain::{Container, PieceId, Yard};
use crate::packing::Packing;
use crate::units::Mass;

/// Gives each pack of things the tote that is named for it or where most of it lives already, then an empty one, then a
/// new one.
pub(super) fn name_totes(
    outlook: &Outlook,
    mine: &[&Coming],
    (owned, like): (&[&Container], &Container),
    meant: &Meant,
    frost: bool,
    packed: &Packing,
    answer: &mut PackProposal,
) {
    let mut packs: Vec<Vec<&Coming>> =
        packed.totes.iter().map(|t| t.iter().filter_map(|at| mine.get(*at).copied()).collect()).collect();
    for pack in &mut packs {
        pack.sort_by_key(|c| c.piece.code.as_str());
    }
    packs.sort_by_key(|p| {
        let first = p.iter().map(|c| (c.show.0, c.place.as_str(), c.piece.code.as_str())).min();
        first.map(|(show, place, code)| (show, place.to_owned(), code.to_owned()))
    });
    // What a tote is named for comes first, then what lives in it, then what lay in it before.
    let wish = |pack: &[&Coming], c: &Container| {
        let lives = pack.iter().filter(|x| x.piece.home_id == Some(c.id)).count();
        let named = pack.iter().filter(|x| meant.named_for(c, x.piece.id)).count();
        let held = pack.iter().filter(|x| meant.held(c, x.piece.id)).count();
        (2 * named > pack.len(), lives, named, held)
    };
    let mut wishes: Vec<_> = Vec::new();
    for (n, p) in packs.iter().enumerate() {
        let worth = owned.iter().enumerate().map(|(t, c)| (wish(p, c), n, t));
        wishes.extend(worth.filter(|(w, ..)| *w != (false, 0, 0, 0)));
    }
    wishes.sort_by_key(|(worth, n, t)| (std::cmp::Reverse(*worth), *n, *t));
    let mut tote_of: BTreeMap<usize, usize> = BTreeMap::new();
    let mut taken: BTreeSet<usize> = BTreeSet::new();
    let mut by_name: Vec<String> = Vec::new();
    for ((most, lives, ..), n, t) in wishes {
        if !tote_of.contains_key(&n) && taken.insert(t) {
            tote_of.insert(n, t);
            let moved = most && 2 * lives < packs.get(n).map_or(0, Vec::len);
            by_name.extend(owned.get(t).filter(|_| moved).map(|c| format!("{} {}", c.code, c.name)));
        }
    }
    if !by_name.is_empty() {
        answer.notes.push(format!("by their names: {}", by_name.join(", ")));
    }
    let mut empty: Vec<usize> = (0..owned.len()).filter(|t| !taken.contains(t)).collect();
    // One without a meaning is taken before one that is named for something else.
    empty.sort_by_key(|t| (owned.get(*t).is_some_and(|c| meant.is_named(c)), *t));
    let mut empty = empty.into_iter();
    let mut codes: BTreeSet<String> = outlook.yard.containers.iter().map(|c| c.code.clone()).collect();
    codes.extend(answer.totes.iter().map(|t| t.code.clone()));
    for (n, p) in packs.iter().enumerate() {
        let tote = tote_of.get(&n).copied().or_else(|| empty.next()).and_then(|t| owned.get(t).copied());
        let places: BTreeSet<&str> = p.iter().map(|c| c.place.as_str()).filter(|p| !p.is_empty()).collect();
        let places = places.into_iter().collect::<Vec<_>>().join(", ");
        let show = p.iter().map(|c| &c.show).min().map_or("", |s| s.1.as_str());
        let parent = tote.unwrap_or(like).parent_id;
        let code = tote.map_or_else(
            || {
                let free = (1..10_000).map(|n| format!("T-{n:02}")).find(|c| codes.insert(c.clone()));
                free.unwrap_or_default()
            },
            |c| c.code.clone(),
        );
        answer.moves += p.iter().filter(|c| tote.is_none() || c.piece.home_id != tote.map(|t| t.id)).count();
        let sum = |of: &dyn Fn(&Coming) -> i64| p.iter().map(|c| of(c)).sum::<i64>();
        answer.totes.push(PackedTote {
            container: tote.map(|c| c.id),
            code,
            name: tote.map_or_else(|| places.clone(), |c| c.name.clone()),
            stands: parent.and_then(|id| container_name(outlook, id)).unwrap_or_default(),
            parent,
            frost_free: frost,
            mass_g: TARE_G + sum(&|c| c.size.mass.map_or(0, Mass::g)),
            volume_ml: sum(&|c| c.size.volume.ml()),
            not_weighed: p.iter().filter(|c| c.size.mass.is_none()).count(),
            first: format!("{show}: {places}"),
            pieces: p.iter().map(|c| (c.piece.id, c.piece.code.clone())).collect(),
        });
    }
}

impl PackProposal {
    /// Each tote that gets pieces it has not now, with those.
    pub fn into_totes(&self, yard: &Yard) -> Vec<(String, String)> {
        let home = |id: PieceId| yard.pieces.iter().find(|p| p.id == id).and_then(|p| p.home_id);
        let moved = |t: &PackedTote| {
            let codes: Vec<&str> = t
                .pieces
                .iter()
                .filter(|(id, _)| t.container.is_none() || home(*id) != t.container)
                .map(|(_, code)| code.as_str())
                .collect();
            (!codes.is_empty()).then(|| (format!("{} {}", t.code, t.name), codes.join(", ")))
        };
        self.totes.iter().filter_map(moved).collect()
    }
}
