//! The Totes page and `tote list`: each container with what is in it, what is out, and what is wrong.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::Outlook;
use crate::answers::seasons::{Uncounted, last_over, to_count, uncounted};
use crate::answers::totes::drying::drying;
use crate::answers::totes::map::map;
use crate::answers::totes::size::{LIFT_G, TARE_G};
use crate::answers::totes::whereabouts::{Located, Whereabouts, whereabouts, whereabouts_words};
use crate::answers::view::{ToteRow, Totes};
use crate::answers::words::{container_name, n_of, placement_place};
use crate::domain::{Condition, Container, ContainerId, Phase, Piece, PieceId};
use crate::steps::Facts;
use crate::units::Mass;

pub(crate) fn totes_page(outlook: &Outlook) -> Totes {
    let facts = outlook.facts();
    let located = whereabouts(outlook);
    let at = |p: &Piece| located.get(&p.id).map(|l| l.at);
    let due = Due::of(outlook, &facts, &located);
    let rows: Vec<ToteRow> = outlook
        .yard
        .containers
        .iter()
        .map(|c| {
            let mine = |p: &&Piece| p.home_id == Some(c.id) && p.condition != Condition::Scrapped;
            let lies = |p: &&Piece| at(p) == Some(Whereabouts::In(c.id));
            let pieces: Vec<&Piece> = outlook.yard.pieces.iter().filter(|p| mine(p) || lies(p)).collect();
            let mut contents: Vec<(String, String, String)> = pieces
                .iter()
                .filter_map(|p| {
                    let now = whereabouts_words(&facts, located.get(&p.id)?, Some(c.id));
                    let out = at(p) == Some(Whereabouts::In(c.id)) && due.out.contains(&p.id);
                    let now = if out { format!("{now}, goes out") } else { now };
                    Some((p.code.clone(), name(&facts, p), now))
                })
                .collect();
            for s in outlook.yard.stock.iter().filter(|s| s.home_id == Some(c.id)) {
                let product = facts.product(s.product_id).map_or("", |x| x.name.as_str());
                let n = crate::steps::on_hand(outlook.yard, s.id);
                contents.push((s.code.clone(), product.to_owned(), format!("{n} on hand")));
            }
            ToteRow {
                code: c.code.clone(),
                name: c.name.clone(),
                kind: c.kind.clone(),
                stands: c.parent_id.and_then(|p| container_name(outlook, p)).unwrap_or_default(),
                due: due.words(c, pieces.iter().map(|p| (p.id, at(p)))),
                down: due.lying(c, pieces.iter().map(|p| (p.id, at(p)))),
                is_in: pieces.iter().filter(|p| lies(p)).count(),
                of: pieces.iter().filter(|p| mine(p)).count(),
                goes_to: goes_to(&facts, &pieces),
                contents,
                notes: due.not_counted(c).into_iter().chain(notes(outlook, c, &pieces)).collect(),
            }
        })
        .collect();
    let homeless = outlook
        .yard
        .pieces
        .iter()
        .filter(|p| p.home_id.is_none() && !matches!(p.condition, Condition::Scrapped | Condition::Lost))
        .filter(|p| !matches!(at(p), Some(Whereabouts::Up(_) | Whereabouts::In(_))))
        .map(|p| format!("{} {}", p.code, name(&facts, p)))
        .collect();
    let map = map(&outlook.yard.containers);
    Totes { rows, homeless, findings: findings(outlook), map, drying: drying(outlook) }
}

/// What the time of the year asks of the totes: what goes out before the lights are on, what comes in once they are off,
/// then the count.
struct Due {
    count: Vec<Uncounted>,
    /// What was counted in part is named at once, whatever the month.
    part: Vec<Uncounted>,
    out: BTreeSet<PieceId>,
    down: bool,
    /// What goes to the bench, not home.
    faulty: BTreeSet<PieceId>,
    /// How many of them are still to come there, and how many of those are down.
    to_bench: usize,
    off: usize,
}

impl Due {
    fn of(outlook: &Outlook, facts: &Facts, located: &BTreeMap<PieceId, Located>) -> Self {
        let past = last_over(outlook);
        let phase = outlook.phase_now();
        let up = matches!(phase, Phase::Up | Phase::Change);
        let next = outlook.coming_seasons().into_iter().next().filter(|_| up);
        let placed = next.map(|s| facts.placements_in(s.id)).unwrap_or_default().into_iter();
        let pieces = outlook.yard.pieces.iter();
        let bad = |p: &&Piece| p.condition == Condition::Faulty || !facts.open_faults(p.id).is_empty();
        let faulty: BTreeSet<PieceId> = pieces.filter(bad).map(|p| p.id).collect();
        let bench = |there: fn(Whereabouts) -> bool| {
            faulty.iter().filter(|p| located.get(p).is_some_and(|l| there(l.at))).count()
        };
        let (to_bench, off) = (bench(comes), bench(|at| at == Whereabouts::Off));
        Self {
            // While a show is lit what it shows is in no tote.
            count: past
                .filter(|_| next.is_none() && phase != Phase::Tonight)
                .map(|s| to_count(outlook, s))
                .unwrap_or_default(),
            part: past.map(|s| uncounted(outlook, s)).unwrap_or_default(),
            out: placed.flat_map(|p| facts.pieces_of(p.id).to_vec()).collect(),
            down: phase == Phase::Down,
            faulty,
            to_bench,
            off,
        }
    }

    /// How many of what is to come into a tote are down already.
    fn lying(&self, tote: &Container, pieces: impl Iterator<Item = (PieceId, Option<Whereabouts>)>) -> usize {
        if !self.down {
            return 0;
        }
        if tote.bench {
            return self.off;
        }
        pieces.filter(|(p, at)| *at == Some(Whereabouts::Off) && !self.faulty.contains(p)).count()
    }

    /// Of a tote that was counted in part: what of it was not.
    fn not_counted(&self, tote: &Container) -> Option<String> {
        let u = self.part.iter().find(|u| u.code == tote.code && u.left.len() < u.of)?;
        Some(format!("not counted: {} of {}: {}", u.left.len(), u.of, u.left.join(", ")))
    }

    fn words(
        &self,
        tote: &Container,
        pieces: impl Iterator<Item = (PieceId, Option<Whereabouts>)>,
    ) -> Option<String> {
        let (mut out, mut home) = (0, 0);
        for (piece, at) in pieces {
            out += usize::from(at == Some(Whereabouts::In(tote.id)) && self.out.contains(&piece));
            home += usize::from(self.down && at.is_some_and(comes) && !self.faulty.contains(&piece));
        }
        if tote.bench {
            return Some(self.to_bench).filter(|n| self.down && *n > 0).map(|n| format!("{n} to come"));
        }
        if let Some(u) = self.count.iter().find(|u| u.code == tote.code) {
            let part = u.left.len() < u.of;
            return Some(if part { format!("count {} left", u.left.len()) } else { "count".to_owned() });
        }
        match (out, home) {
            (0, 0) => None,
            // What stays up comes into nothing.
            (0, _) if tote.kind == "place" => None,
            (0, home) => Some(format!("{home} to come")),
            (1, _) => Some("1 goes out".to_owned()),
            (out, _) => Some(format!("{out} go out")),
        }
    }
}

/// Whether a piece is still to come into a tote.
const fn comes(at: Whereabouts) -> bool {
    matches!(at, Whereabouts::Up(_) | Whereabouts::Off)
}

fn name(facts: &Facts, p: &Piece) -> String {
    let product = facts.product(p.product_id).map_or("", |x| x.name.as_str());
    if p.name.is_empty() { product.to_owned() } else { p.name.clone() }
}

/// Names of the props and places that the pieces go to, to be found by.
fn goes_to(facts: &Facts, pieces: &[&Piece]) -> String {
    let mut words = BTreeSet::new();
    for p in pieces.iter().flat_map(|p| facts.placements_of(p.id)) {
        words.insert(format!("{} {}", p.name, placement_place(facts, p)));
    }
    words.into_iter().collect::<Vec<_>>().join(" ")
}

fn notes(outlook: &Outlook, c: &Container, pieces: &[&Piece]) -> Vec<String> {
    let mut notes = Vec::new();
    if c.frost_free {
        notes.push("kept from frost".to_owned());
    }
    if c.bench && c.note.is_empty() {
        notes.push("bench tote: faulty pieces go here".to_owned());
    }
    notes.extend(over_weight(outlook, c, pieces));
    if !c.note.is_empty() {
        notes.push(c.note.clone());
    }
    notes
}

/// What a carried container weighs with all that lives in it, where that is too much.
pub(crate) fn over_weight(outlook: &Outlook, c: &Container, pieces: &[&Piece]) -> Option<String> {
    if !carried(c) {
        return None;
    }
    let facts = outlook.facts();
    let (mut g, mut untold) = (TARE_G, 0_i64);
    for p in pieces {
        match facts.product(p.product_id).and_then(|x| x.mass_g) {
            Some(mass) => g += mass.g(),
            None => untold += 1,
        }
    }
    let most = c.max_mass_g.unwrap_or(Mass::from_g(LIFT_G));
    let units = outlook.units();
    let more = if untold > 0 { format!(" and {} not weighed", n_of(untold, "piece")) } else { String::new() };
    (g > most.g()).then(|| {
        format!(
            "over weight: about {}{more}, of {}: take something out, or lift it with two",
            Mass::from_g(g).show(units),
            most.show(units)
        )
    })
}

/// Whether a container is one that people carry: shelves and racks stand, and what stays up is in none.
pub(crate) fn carried(c: &Container) -> bool {
    !matches!(c.kind.as_str(), "shelf" | "rack" | "place" | "room")
}

/// What contradicts itself: one label on two things, a piece in another tote than its own.
pub(crate) fn findings(outlook: &Outlook) -> Vec<String> {
    let located = whereabouts(outlook);
    let mut found: Vec<String> = labels_twice(outlook).into_iter().map(|(_, words)| words).collect();
    let code = |id: ContainerId| {
        outlook.yard.containers.iter().find(|c| c.id == id).map_or("a tote that is gone", |c| c.code.as_str())
    };
    let bench = |id: ContainerId| outlook.yard.containers.iter().any(|c| c.id == id && c.bench);
    let lies = |p: &Piece| located.get(&p.id).map(|l| l.at);
    for p in &outlook.yard.pieces {
        let Some(Whereabouts::In(there)) = lies(p) else { continue };
        let bad = p.condition == Condition::Faulty;
        if let Some(home) = p.home_id.filter(|h| *h != there && !(bad && bench(there))) {
            found.push(format!(
                "{} lies in {} and lives in {}: put it back, or let it live there",
                p.code,
                code(there),
                code(home)
            ));
        }
    }
    found
}

/// Labels that are on two things, in capitals, each with what to do.
pub(crate) fn labels_twice(outlook: &Outlook) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut labels: BTreeMap<String, Vec<&str>> = BTreeMap::new();
    let pieces = outlook.yard.pieces.iter().filter(|p| p.condition != Condition::Scrapped);
    let pieces = pieces.map(|p| (&p.code, "piece"));
    let totes = outlook.yard.containers.iter().map(|c| (&c.code, c.kind.as_str()));
    for (code, kind) in pieces.chain(totes) {
        labels.entry(code.to_lowercase()).or_default().push(kind);
    }
    for (code, kinds) in labels.iter().filter(|(_, kinds)| kinds.len() > 1) {
        let code = code.to_uppercase();
        let on = kinds.join(" and ");
        let words = format!("one label twice: {code} is on {on}; give one of them another code");
        found.push((code, words));
    }
    found
}
