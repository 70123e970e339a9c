//! A show that is lit is not touched: its pieces are busy until its last night, its places in its lit hours.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, NaiveDateTime, Utc};

use super::calendar::Calendar;
use super::engine::{Time, Window};
use super::map::minutes;
use crate::domain::{Phase, PieceId, PlaceId, Role, Season, SeasonId, StepDeed};
use crate::steps::{Facts, Light, Step};

/// A stretch of local time in which a show keeps something, and the show's name.
type Kept<'a> = (NaiveDateTime, NaiveDateTime, &'a str);

/// What each lit show keeps.
pub(crate) struct LitShows<'a> {
    facts: &'a Facts<'a>,
    /// Of the plan, for steps that belong to no placement.
    own: SeasonId,
    pieces: BTreeMap<PieceId, BTreeSet<SeasonId>>,
    places: BTreeMap<PlaceId, BTreeSet<SeasonId>>,
    until_last_night: BTreeMap<SeasonId, Kept<'a>>,
    nights: BTreeMap<SeasonId, Vec<Kept<'a>>>,
}

impl<'a> LitShows<'a> {
    /// Shows that are still to end at `now`.
    pub(crate) fn new(facts: &'a Facts<'a>, own: SeasonId, now: NaiveDateTime) -> Self {
        let mut shows = Self {
            facts,
            own,
            pieces: BTreeMap::new(),
            places: BTreeMap::new(),
            until_last_night: BTreeMap::new(),
            nights: BTreeMap::new(),
        };
        for season in &facts.yard.seasons {
            let last = season.lights_off.and_then(|d| d.succ_opt()).and_then(|d| d.and_hms_opt(0, 0, 0));
            let Some((on, over)) = season.lights_on.zip(last).filter(|(_, over)| *over > now) else {
                continue;
            };
            for p in facts.placements_in(season.id) {
                for piece in facts.pieces_of(p.id) {
                    shows.pieces.entry(*piece).or_default().insert(season.id);
                }
                if let Some(place) = p.place_id {
                    shows.places.entry(place).or_default().insert(season.id);
                }
            }
            shows.until_last_night.insert(season.id, (on, over, season.name.as_str()));
            shows.nights.insert(season.id, nights(season, on));
        }
        shows
    }

    /// When a step may not lie, in local time.
    pub(super) fn keep_off(&self, step: &Step) -> Vec<Kept<'a>> {
        let placement = step.placement.and_then(|p| self.facts.placement(p));
        let own = placement.map_or(self.own, |p| p.season_id);
        let mut kept: Vec<Kept> = Vec::new();
        if let Some(p) = placement.filter(|_| self.handles(step)) {
            let shows =
                self.facts.pieces_of(p.id).iter().filter_map(|piece| self.pieces.get(piece)).flatten();
            kept.extend(shows.filter(|s| **s != own).filter_map(|s| self.until_last_night.get(s)));
        }
        if let Some(place) = step.place.filter(|_| step.light != Light::Indoors) {
            let shows = self.places.get(&place).into_iter().flatten().filter(|s| **s != own);
            kept.extend(shows.filter_map(|s| self.nights.get(s)).flatten());
        }
        kept.sort_unstable();
        kept.dedup();
        kept
    }

    /// Until when a lit show keeps a step from being done at `now`, and its name.
    pub(crate) fn keeps(&self, step: &Step, now: NaiveDateTime) -> Option<(NaiveDateTime, &'a str)> {
        let kept = self.keep_off(step).into_iter().filter(|(from, to, _)| *from <= now && now < *to);
        kept.map(|(_, to, show)| (to, show)).max()
    }

    /// Whether a step takes the pieces of its placement in hand: spots are marked and stakes driven without them, but
    /// the posts of a frame are the frame.
    fn handles(&self, step: &Step) -> bool {
        let frame = || {
            let placement = step.placement.and_then(|p| self.facts.placement(p));
            placement.and_then(|p| self.facts.product_of(p)).is_some_and(|p| p.role == Role::Mount)
        };
        matches!(step.phase, Phase::Bench | Phase::Up)
            && match step.deed {
                StepDeed::Desk | StepDeed::Mark | StepDeed::LookOver | StepDeed::Other => false,
                StepDeed::Drive => frame(),
                _ => true,
            }
    }
}

/// Each night of a show from dusk till its end; nothing where its hours are not told.
fn nights(season: &Season, on: NaiveDateTime) -> Vec<Kept<'_>> {
    let (Some((from, to)), Some(last)) = (season.nightly(), season.lights_off) else { return Vec::new() };
    let days = on.date().iter_days().take_while(|d| *d <= last);
    days.filter_map(|d| {
        let end = if to > from { d } else { d.succ_opt()? };
        Some((d.and_time(from), end.and_time(to), season.name.as_str()))
    })
    .collect()
}

/// Windows without the stretches that a lit show keeps.
pub(super) fn without(
    windows: &[Window],
    kept: &[Kept],
    calendar: &Calendar,
    origin: DateTime<Utc>,
) -> Vec<Window> {
    let mut out: Vec<Window> = windows.to_vec();
    for (from, to, _) in kept {
        let from: Time = minutes(origin, calendar.moment(*from), false);
        let to: Time = minutes(origin, calendar.moment(*to), true);
        if !out.iter().any(|w| w.from < to && from < w.to) {
            continue;
        }
        let cut = |w: Window| {
            let before = Window { to: w.to.min(from), ..w };
            let after = Window { from: w.from.max(to), ..w };
            [before, after].into_iter().filter(|w| w.from < w.to)
        };
        out = out.into_iter().flat_map(cut).collect();
    }
    out.sort_by_key(|w| (w.from, w.to));
    out
}
