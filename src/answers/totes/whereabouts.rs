//! Where each labelled piece is now: by the latest of ticks, scans and counts.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::answers::Outlook;
use crate::answers::seasons::TAKEN_DOWN_BY_DAYS;
use crate::answers::words::{container_name, placement_place};
use crate::domain::{
    Condition, Container, ContainerId, LookKind, Phase, Piece, PieceId, Placement, PlacementId, Season,
    SeasonId, StepDeed, local_time,
};
use crate::steps::{Facts, State};

/// Where a piece is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Whereabouts {
    In(ContainerId),
    /// Up at a placement, or still there for the next show.
    Up(PlacementId),
    /// It came off and is not packed.
    Off,
    /// It has no home to be packed into: it stays where it is mounted.
    Stays,
    /// Taken out of its tote by hand.
    Out,
    Lent,
    Lost,
    Scrapped,
    /// No home told, and nothing was seen of it.
    NotTold,
}

/// A piece's place, and how it was when it was last looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Located {
    pub(crate) at: Whereabouts,
    pub(crate) wet: bool,
    /// When it was last seen wet, UTC milliseconds.
    pub(crate) wet_ms: Option<i64>,
    /// When it was last counted or put where it is, UTC milliseconds.
    pub(crate) seen_ms: Option<i64>,
}

/// What a step did to the pieces of its placement.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Moved {
    Up,
    Off,
    Packed,
}

const fn moved(phase: Phase, deed: StepDeed) -> Option<Moved> {
    match (phase, deed) {
        (_, StepDeed::Pack) => Some(Moved::Packed),
        (Phase::Down, StepDeed::Lower | StepDeed::Release | StepDeed::Pull | StepDeed::Dry) => {
            Some(Moved::Off)
        }
        (
            Phase::Up,
            StepDeed::GroundLight
            | StepDeed::Raise
            | StepDeed::Hang
            | StepDeed::Set
            | StepDeed::Tie
            | StepDeed::Connect
            | StepDeed::Test
            | StepDeed::Tension
            | StepDeed::Adjust,
        ) => Some(Moved::Up),
        _ => None,
    }
}

/// The last that was done to each placement's pieces, with its time; a step whose time is not known comes first.
fn by_placement(outlook: &Outlook) -> BTreeMap<PlacementId, (i64, Moved)> {
    let deeds: BTreeMap<&str, (Phase, StepDeed)> =
        outlook.yard.recipe_steps.iter().map(|r| (r.code.as_str(), (r.phase, r.deed))).collect();
    let mut last: BTreeMap<PlacementId, (i64, Moved)> = BTreeMap::new();
    let progress = outlook.progress();
    // Keys of one placement stand together.
    let mut owner = ("", None);
    for (key, done) in progress.iter() {
        let Some(parts) = key.parts().filter(|p| p.kind == "placement") else { continue };
        if owner.0 != parts.owner {
            owner = (parts.owner, parts.owner_id().map(PlacementId));
        }
        let Some(placement) = owner.1 else { continue };
        let what = deeds.get(parts.deed).and_then(|(phase, deed)| moved(*phase, *deed));
        let Some(what) = what.filter(|_| done.state == State::Done || done.done > 0) else { continue };
        let at = (done.to.or(done.from).map_or(i64::MIN, |m| m.0), what);
        let e = last.entry(placement).or_insert(at);
        *e = (*e).max(at);
    }
    last
}

/// Shows that hang now or still hang, by when they were lit: what went up before anybody ticked is up all the same, and
/// what was lit lately hangs until its takedown is told, while the next show goes up, too.
fn hanging(outlook: &Outlook) -> BTreeMap<SeasonId, i64> {
    let now = outlook.local_now();
    let coming_off =
        if outlook.phase_now() == Phase::Down { outlook.season_for(Phase::Down).ok() } else { None };
    let hangs = |s: &&Season| {
        let lately = s.lights_off.is_none_or(|d| (now.date() - d).num_days() <= TAKEN_DOWN_BY_DAYS);
        s.closed_on.is_none() && (lately || coming_off.is_some_and(|down| down.id == s.id))
    };
    let since = |s: &Season| {
        let on = s.lights_on.filter(|t| *t <= now)?;
        Some((s.id, local_time(outlook.zone(), on).ok()?.timestamp_millis()))
    };
    outlook.yard.seasons.iter().filter(hangs).filter_map(since).collect()
}

/// Where every piece is.
pub(crate) fn whereabouts(outlook: &Outlook) -> Arc<BTreeMap<PieceId, Located>> {
    let hanging = hanging(outlook);
    let make = || {
        // Progress that is known already is asked for without a look at the ticks; here all of them count.
        let _ = outlook.yard.ticks.len();
        Arc::new(located(outlook, &hanging))
    };
    outlook.remembered.whereabouts.get(hanging.clone(), make)
}

fn located(outlook: &Outlook, hanging: &BTreeMap<SeasonId, i64>) -> BTreeMap<PieceId, Located> {
    let facts = outlook.facts();
    let steps = by_placement(outlook);
    let mut looks: BTreeMap<PieceId, Vec<(i64, LookKind, Option<ContainerId>)>> = BTreeMap::new();
    for look in &outlook.yard.piece_looks {
        looks.entry(look.piece_id).or_default().push((look.at_ms.0, look.kind, look.container_id));
    }
    let bench = bench_tote(outlook).map(|c| c.id);
    let kinds: BTreeMap<ContainerId, &str> =
        outlook.yard.containers.iter().map(|c| (c.id, c.kind.as_str())).collect();
    let locate = |p: &Piece| {
        let bad = p.condition == Condition::Faulty || !facts.open_faults(p.id).is_empty();
        let home = p.home_id.filter(|h| kinds.get(h).is_some_and(|k| *k != "place"));
        // Nothing was seen of it: it is where it was told to live.
        let mut at = match (home, p.home_id) {
            (Some(home), _) => Whereabouts::In(home),
            (None, Some(_)) => Whereabouts::Stays,
            (None, None) => Whereabouts::NotTold,
        };
        let placements = facts.placements_of(p.id);
        if home.is_none()
            && let Some(stays) = placements.iter().rfind(|x| x.permanent)
        {
            at = Whereabouts::Up(stays.id);
        }
        let (mut last, mut dry, mut wet) = (i64::MIN, i64::MIN, None);
        let ticked = |p: &Placement| steps.get(&p.id).copied();
        let hung = |p: &Placement| hanging.get(&p.season_id).map(|on| (*on, Moved::Up));
        for (placement, (when, what)) in
            placements.iter().flat_map(|p| hung(p).into_iter().chain(ticked(p)).map(move |e| (p, e)))
        {
            if what == Moved::Packed {
                dry = dry.max(when);
            }
            if when < last {
                continue;
            }
            last = when;
            at = match what {
                Moved::Up => Whereabouts::Up(placement.id),
                Moved::Off => Whereabouts::Off,
                Moved::Packed if bad => bench.or(p.home_id).map_or(Whereabouts::Off, Whereabouts::In),
                Moved::Packed => p.home_id.map_or(Whereabouts::NotTold, Whereabouts::In),
            };
        }
        let mut seen = None;
        for (when, kind, container) in looks.get(&p.id).into_iter().flatten() {
            match kind {
                LookKind::Wet => wet = Some(*when),
                LookKind::Good | LookKind::Put | LookKind::Counted => dry = dry.max(*when),
                _ => {}
            }
            let there = match (kind, container) {
                (LookKind::Put | LookKind::Counted, Some(c)) => Whereabouts::In(*c),
                (LookKind::Taken, _) => Whereabouts::Out,
                (LookKind::Wet, _) => Whereabouts::Off,
                _ => continue,
            };
            if *when >= last {
                (last, at, seen) = (*when, there, Some(*when));
            }
        }
        let at = match p.condition {
            Condition::Scrapped => Whereabouts::Scrapped,
            Condition::Lost => Whereabouts::Lost,
            Condition::Lent => Whereabouts::Lent,
            Condition::Good | Condition::Faulty => at,
        };
        Located { at, wet: wet.is_some_and(|w| w > dry), wet_ms: wet, seen_ms: seen }
    };
    outlook.yard.pieces.iter().map(|p| (p.id, locate(p))).collect()
}

/// Where faulty pieces go.
pub(crate) fn bench_tote<'a>(outlook: &Outlook<'a>) -> Option<&'a Container> {
    outlook.yard.containers.iter().find(|c| c.bench)
}

/// "in", "up at drive edge", "on the bench", "off, dries".
pub(crate) fn whereabouts_words(facts: &Facts, of: &Located, shown_in: Option<ContainerId>) -> String {
    match of.at {
        Whereabouts::In(c) => {
            let container = facts.yard.containers.iter().find(|x| x.id == c);
            match container {
                Some(x) if x.bench => "on the bench".to_owned(),
                Some(x) if Some(x.id) != shown_in => format!("in {}", x.code),
                _ => "in".to_owned(),
            }
        }
        Whereabouts::Up(p) => facts
            .placement(p)
            .map_or_else(|| "up".to_owned(), |p| format!("up at {}", placement_place(facts, p))),
        Whereabouts::Off if of.wet => "off, wet: it dries".to_owned(),
        Whereabouts::Off => "off, not packed".to_owned(),
        Whereabouts::Stays => "stays up".to_owned(),
        Whereabouts::Out => "taken out".to_owned(),
        Whereabouts::Lent => "lent".to_owned(),
        Whereabouts::Lost => "lost".to_owned(),
        Whereabouts::Scrapped => "scrapped".to_owned(),
        Whereabouts::NotTold => "not told".to_owned(),
    }
}

/// Where a piece is now, with the shelf of its tote; of what is not seen any more, where it lives.
pub(crate) fn where_words(outlook: &Outlook, facts: &Facts, p: &Piece, is: &Located) -> String {
    match is.at {
        Whereabouts::In(tote) => container_name(outlook, tote).unwrap_or_else(|| home_words(outlook, p)),
        Whereabouts::NotTold | Whereabouts::Lost | Whereabouts::Lent | Whereabouts::Scrapped => {
            home_words(outlook, p)
        }
        _ => whereabouts_words(facts, is, p.home_id),
    }
}

pub(crate) fn home_words(outlook: &Outlook, p: &Piece) -> String {
    p.home_id.and_then(|h| container_name(outlook, h)).unwrap_or_else(|| "home not told".to_owned())
}
