//! `pack`: totes for what comes down, by room, weight for one lifter, place and first use next year.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::Outlook;
use crate::answers::problem::{Problem, ProblemKind};
use crate::answers::totes::meant::{Meant, named_theirs};
use crate::answers::totes::naming::name_totes;
use crate::answers::totes::page::carried;
use crate::answers::totes::size::{FILL_PCT, LIFT_G, Size, TARE_G, inside, size_of, usual};
use crate::answers::totes::whereabouts::{Whereabouts, whereabouts};
use crate::answers::words::some;
use crate::domain::{
    Condition, Container, ContainerId, Phase, Piece, PieceId, Placement, PlacementId, Role, Season,
};
use crate::packing::{self, Item, Proof, Rules, Tote};
use crate::steps::Facts;
use crate::units::{Length, Mass, Percent};

/// One tote of the proposal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PackedTote {
    /// Of the tote owned; nothing for one that is still to be had.
    pub container: Option<ContainerId>,
    pub code: String,
    pub name: String,
    pub stands: String,
    /// Where a new one would stand.
    pub parent: Option<ContainerId>,
    pub frost_free: bool,
    pub pieces: Vec<(PieceId, String)>,
    /// With the tote itself.
    pub mass_g: i64,
    /// Of the pieces.
    pub volume_ml: i64,
    /// Pieces whose weight is not told: not in `mass_g`.
    pub not_weighed: usize,
    /// The show that needs it first, and its places.
    pub first: String,
}

/// What would lie where.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PackProposal {
    pub season: String,
    pub totes: Vec<PackedTote>,
    /// Longer than any tote, with what each measures.
    pub too_long: Vec<(String, String)>,
    /// Fits no tote by room or weight.
    pub oversize: Vec<String>,
    /// Faulty ones go to the bench tote.
    pub bench: Vec<String>,
    /// Neither their sides nor a tote they lie in are told.
    pub not_told: Vec<String>,
    pub proven: bool,
    /// Fewer totes than this are impossible.
    pub at_least: usize,
    /// Pieces that would live in another tote than now.
    pub moves: usize,
    pub notes: Vec<String>,
}

/// What comes down, and what it is packed with.
pub(super) struct Coming<'a> {
    pub(super) piece: &'a Piece,
    pub(super) size: Size,
    pub(super) placement: Option<PlacementId>,
    /// Which show needs it first, in their order after now, and its name.
    pub(super) show: (usize, String),
    pub(super) place: String,
    frost: bool,
    pub(super) stiff: bool,
}

/// Totes for what comes down of the season last lit.
///
/// # Errors
/// `no-season`; `no-tote` where no tote with its sides is told; `tote-too-small` where one takes nothing.
pub fn proposal(outlook: &Outlook) -> Result<PackProposal, Problem> {
    let season = outlook.season_for(Phase::Down)?;
    let mut answer = PackProposal { season: season.code.clone(), proven: true, ..PackProposal::default() };
    let coming = coming(outlook, season, &mut answer);
    let totes: Vec<&Container> = outlook
        .yard
        .containers
        .iter()
        .filter(|c| carried(c) && !c.bench && inside(c).is_some() && c.kind == "tote")
        .collect();
    if totes.is_empty() {
        return Err(Problem::new(ProblemKind::Data, "no-tote", "no tote with its inner sides is told")
            .hint("tell one in container.csv: code,name,kind,length_mm,width_mm,height_mm,max_mass_g"));
    }
    let free = |frost: bool| totes.iter().copied().filter(move |c| c.frost_free == frost).collect::<Vec<_>>();
    for frost in [false, true] {
        let mut mine: Vec<&Coming> = coming.iter().filter(|c| c.frost == frost).collect();
        // Alike things are taken in the order in which they lie now, so that few move.
        mine.sort_by_key(|c| (c.piece.home_id, c.piece.code.as_str()));
        if mine.is_empty() {
            continue;
        }
        let mut owned = usual(free(frost));
        if owned.is_empty() {
            owned = usual(totes.clone());
            if frost {
                answer.notes.push("no tote that is kept from frost is told: tell which ones are".to_owned());
            }
        }
        pack_into(outlook, &mine, &owned, frost, &mut answer)?;
    }
    let shared = coming.iter().filter(|c| c.size.shared).count();
    if shared > 0 {
        answer.notes.push(format!(
            "{shared} pieces tell no three sides: each is taken as its share of the tote it lies in now"
        ));
    }
    let unweighed = coming.iter().filter(|c| c.size.mass.is_none()).map(|c| c.piece.code.as_str());
    let unweighed = some(unweighed);
    if !unweighed.is_empty() {
        answer.notes.push(format!("mass not told for {unweighed}: the weight of their totes is not checked"));
    }
    if !coming.is_empty() {
        answer.notes.push(format!("a tote's own mass is not told: {} kg taken", TARE_G / 1000));
    }
    if !coming.is_empty() && totes.iter().any(|c| c.max_mass_g.is_none()) {
        answer
            .notes
            .push(format!("what a tote may weigh not told: {} kg taken, as one person lifts", LIFT_G / 1000));
    }
    answer.too_long.sort();
    Ok(answer)
}

/// Seasonal pieces and leads of a season that go home into a tote: not what the next show takes over.
fn coming<'a>(outlook: &Outlook<'a>, season: &Season, answer: &mut PackProposal) -> Vec<Coming<'a>> {
    let facts = outlook.facts();
    let located = whereabouts(outlook);
    let now = outlook.local_now();
    let next = outlook
        .coming_seasons()
        .into_iter()
        .filter(|s| s.id != season.id && s.lights_on.is_some_and(|t| t < now + chrono::Duration::days(60)));
    let busy: BTreeSet<PieceId> =
        next.flat_map(|s| facts.placements_in(s.id)).flat_map(|p| facts.pieces_of(p.id).to_vec()).collect();
    let mut homes: BTreeMap<ContainerId, (&Container, i64)> =
        outlook.yard.containers.iter().map(|c| (c.id, (c, 0))).collect();
    for p in &outlook.yard.pieces {
        if let Some((_, n)) = p.home_id.and_then(|h| homes.get_mut(&h)) {
            *n += 1;
        }
    }
    let placed = facts.placements_in(season.id).into_iter().filter(|p| !p.permanent);
    let mut pieces: Vec<(PieceId, &Placement)> =
        placed.flat_map(|p| facts.pieces_of(p.id).iter().map(move |id| (*id, p))).collect();
    for link in facts.links_in(season.id) {
        let to = link.to_placement_id.and_then(|p| facts.placement(p)).filter(|p| !p.permanent);
        pieces.extend(link.lead_id.zip(to));
    }
    let mut seen = BTreeSet::new();
    let mut list = Vec::new();
    for (id, placement) in pieces {
        let Some(piece) = facts.piece(id).filter(|_| seen.insert(id) && !busy.contains(&id)) else {
            continue;
        };
        let home = piece.home_id.and_then(|h| homes.get(&h)).map(|(c, _)| *c);
        // A crate, a rack, a shelf of its own is the owner's word.
        if home.is_some_and(|c| c.kind != "tote" && !c.bench) {
            continue;
        }
        let gone = matches!(piece.condition, Condition::Lost | Condition::Lent | Condition::Scrapped);
        if gone {
            continue;
        }
        let there = located.get(&id).map(|l| l.at);
        if piece.condition == Condition::Faulty
            || !facts.open_faults(id).is_empty()
            || matches!(there, Some(Whereabouts::In(c)) if homes.get(&c).is_some_and(|(c, _)| c.bench))
        {
            answer.bench.push(piece.code.clone());
            continue;
        }
        let Some(product) = facts.product(piece.product_id) else { continue };
        let Some(size) = size_of(piece, product, &homes) else {
            answer.not_told.push(piece.code.clone());
            continue;
        };
        list.push(Coming {
            piece,
            size,
            placement: Some(placement.id),
            show: first_show(outlook, &facts, id, season),
            place: placement.place_id.and_then(|p| facts.place(p)).map_or(String::new(), |p| p.name.clone()),
            frost: product.keep_from_frost,
            stiff: matches!(product.role, Role::Mount | Role::Part | Role::Tool),
        });
    }
    list
}

/// The show that uses a piece first in the year to come: by the days of the year on which shows were lit.
fn first_show(outlook: &Outlook, facts: &Facts, piece: PieceId, last: &Season) -> (usize, String) {
    use chrono::Datelike;
    let after = last.lights_off.map_or(0, |d| d.ordinal());
    let shows = facts.placements_of(piece).into_iter().filter_map(|p| {
        let s = outlook.yard.seasons.iter().find(|s| s.id == p.season_id)?;
        let day = s.lights_on?.ordinal();
        let wait = (day + 366 - after) % 366;
        let show = if s.show.is_empty() { s.name.clone() } else { s.show.clone() };
        Some((wait as usize, show))
    });
    shows.min().unwrap_or((usize::MAX, last.show.clone()))
}

/// Packs things of one kind into totes of one size, and names the totes.
fn pack_into(
    outlook: &Outlook,
    mine: &[&Coming],
    owned: &[&Container],
    frost: bool,
    answer: &mut PackProposal,
) -> Result<(), Problem> {
    let Some((like, (volume, longest))) = owned.first().and_then(|c| Some((*c, inside(c)?))) else {
        return Ok(());
    };
    let meant = Meant::of(outlook);
    let (owned, theirs) = meant.ours_and_theirs(owned, mine, longest);
    let owned = owned.as_slice();
    let tote = Tote {
        volume,
        fill: Percent::new(FILL_PCT).unwrap_or_default(),
        tare: Mass::from_g(TARE_G),
        max_gross: like.max_mass_g.unwrap_or(Mass::from_g(LIFT_G)),
        longest,
    };
    let room = Room::of(&tote);
    let group = |c: &Coming| format!("{:06} {} {}", c.show.0, c.show.1, c.place);
    let together = whole_placements(mine, &room);
    let items: Vec<Item> = mine
        .iter()
        .map(|c| Item {
            id: c.piece.code.clone(),
            place: group(c),
            volume: c.size.volume,
            weight: c.size.mass.unwrap_or(Mass::from_g(0)),
            longest: c.size.longest,
            class: Some(if c.stiff { "hardware" } else { "lit" }.to_owned()),
            keep_with: c.placement.filter(|p| together.contains(p)).map(|p| p.to_string()),
        })
        .collect();
    // Stakes and clamps scratch and crush what is lit. Common practice, no published source.
    let keep_apart = vec![("hardware".to_owned(), "lit".to_owned())];
    let solve = |mix_places: bool| {
        let rules = Rules { tote, mix_places, keep_apart: keep_apart.clone() };
        packing::pack(&rules, &items).map_err(|e| {
            Problem::new(ProblemKind::Data, e.code(), e.to_string()).hint("correct the tote's facts")
        })
    };
    let mut packed = solve(false)?;
    let apart = packed.totes.len();
    if apart > owned.len() {
        let mixed = solve(true)?;
        let at_least = match mixed.proof {
            Proof::Proven => mixed.totes.len(),
            Proof::BestFound { at_least } => at_least,
        };
        shared_places(&mut packed.totes, mine, &room, owned.len());
        if packed.totes.len() > owned.len() {
            packed.totes = mixed.totes;
        }
        packed.proof =
            if packed.totes.len() == at_least { Proof::Proven } else { Proof::BestFound { at_least } };
        if packed.totes.len() < apart {
            answer.notes.push(format!(
                "places share totes: by themselves they would take {apart} totes, and {} are free for it",
                owned.len()
            ));
        }
    }
    // What lies well already stays: a proposal that is taken proposes nothing more.
    if let Some(now) = as_it_lies(mine, owned, &packed, &room, (apart > owned.len(), &together)) {
        packed.totes = now;
    }
    let units = outlook.units();
    let limit = longest.show(units);
    answer.too_long.extend(packed.too_long.iter().filter_map(|at| mine.get(*at)).map(|c| {
        let long = c.size.longest.map_or_else(String::new, |l: Length| l.show(units));
        (c.piece.code.clone(), format!("{long}, the tote takes {limit}"))
    }));
    let fits_none = packed.oversize.iter().flatten().filter_map(|at| mine.get(*at));
    answer.oversize.extend(fits_none.map(|c| c.piece.code.clone()));
    match packed.proof {
        Proof::Proven => answer.at_least += packed.totes.len(),
        Proof::BestFound { at_least } => {
            answer.proven = false;
            answer.at_least += at_least;
        }
    }
    answer.notes.extend(named_theirs(&theirs));
    name_totes(outlook, mine, (owned, like), &meant, frost, &packed, answer);
    Ok(())
}

/// Room and weight that a tote takes.
struct Room {
    ml: i64,
    g: i64,
}

impl Room {
    fn of(tote: &Tote) -> Self {
        Self { ml: tote.volume.ml() * tote.fill.get() / 100, g: tote.max_gross.g() - tote.tare.g() }
    }
}

/// The packs as the pieces live now, where that breaks no rule and takes no more totes.
fn as_it_lies(
    mine: &[&Coming],
    owned: &[&Container],
    packed: &packing::Packing,
    room: &Room,
    (mixed, together): (bool, &BTreeSet<PlacementId>),
) -> Option<Vec<Vec<usize>>> {
    let mut packs: BTreeMap<ContainerId, Vec<usize>> = BTreeMap::new();
    for at in packed.totes.iter().flatten() {
        let home = mine.get(*at)?.piece.home_id.filter(|h| owned.iter().any(|c| c.id == *h))?;
        packs.entry(home).or_default().push(*at);
    }
    let of =
        |pack: &[usize]| -> Vec<&Coming> { pack.iter().filter_map(|at| mine.get(*at).copied()).collect() };
    let alike = |pack: &[&Coming]| {
        pack.windows(2).all(|w| {
            let [a, b] = w else { return true };
            a.stiff == b.stiff && (mixed || (a.show.0, &a.place) == (b.show.0, &b.place))
        })
    };
    let fits = |pack: &[&Coming]| {
        pack.iter().map(|c| c.size.volume.ml()).sum::<i64>() <= room.ml
            && pack.iter().map(|c| c.size.mass.map_or(0, Mass::g)).sum::<i64>() <= room.g
    };
    let whole = |id: &PlacementId| {
        let has = |pack: &&Vec<usize>| of(pack).iter().any(|c| c.placement == Some(*id));
        packs.values().filter(has).count() <= 1
    };
    (packs.len() <= packed.totes.len()
        && packs.values().all(|pack| alike(&of(pack)) && fits(&of(pack)))
        && together.iter().all(whole))
    .then(|| packs.into_values().collect())
}

/// Lets places share totes, the least full ones first and those of one show before others, until so many are enough.
fn shared_places(totes: &mut Vec<Vec<usize>>, mine: &[&Coming], room: &Room, enough: usize) {
    let of =
        |tote: &[usize]| -> Vec<&Coming> { tote.iter().filter_map(|at| mine.get(*at).copied()).collect() };
    while totes.len() > enough {
        let mut best: Option<((bool, i64), usize, usize)> = None;
        for (a, first) in totes.iter().enumerate() {
            for (b, second) in totes.iter().enumerate().skip(a + 1) {
                let (x, y) = (of(first), of(second));
                let both = || x.iter().chain(&y);
                let ml: i64 = both().map(|c| c.size.volume.ml()).sum();
                let g: i64 = both().map(|c| c.size.mass.map_or(0, Mass::g)).sum();
                let stiff = both().any(|c| c.stiff) && both().any(|c| !c.stiff);
                let shows = x.first().map(|c| c.show.0) != y.first().map(|c| c.show.0);
                let worth = (shows, ml);
                if ml <= room.ml && g <= room.g && !stiff && best.is_none_or(|(w, ..)| worth < w) {
                    best = Some((worth, a, b));
                }
            }
        }
        let Some((_, a, b)) = best else { return };
        let moved = totes.remove(b);
        if let Some(tote) = totes.get_mut(a) {
            tote.extend(moved);
        }
    }
}

/// Placements whose pieces all fit into one tote: they lie together.
fn whole_placements(mine: &[&Coming], room: &Room) -> BTreeSet<PlacementId> {
    type Kinds<'a> = BTreeSet<(usize, &'a str, bool)>;
    let mut sums: BTreeMap<PlacementId, (i64, i64, Kinds)> = BTreeMap::new();
    for c in mine {
        if let Some(p) = c.placement {
            let e = sums.entry(p).or_default();
            e.0 += c.size.volume.ml();
            e.1 += c.size.mass.map_or(0, Mass::g);
            e.2.insert((c.show.0, c.place.as_str(), c.stiff));
        }
    }
    let fits = |(ml, g, kinds): &(i64, i64, Kinds)| *ml <= room.ml && *g <= room.g && kinds.len() == 1;
    sums.into_iter().filter(|(_, sum)| fits(sum)).map(|(p, _)| p).collect()
}
