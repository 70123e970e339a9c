//! The nightly round while the show runs: one step a place, weekly extras, what snow and ice ask for, and the watch
//! on the wind with its put-back. Each key ends with the day it is of, so that every night is recorded for itself.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Datelike, Duration, NaiveDate};

use super::boxes::plain_step;
use super::facts::Facts;
use super::key::StepKey;
use super::progress::{Asked, State};
use super::step::{Edge, Light, Reason, Role, Step};
use super::wind::{WindLook, wind_looks};
use crate::domain::{
    Access, Every, Fault, Phase, PlaceId, Placement, RecipeStep, RepairDeed, Season, StandKind, StepDeed,
    Terms, Words,
};
use crate::units::{Speed, Temperature};

/// Looking at one place, and at each thing more that its methods name there.
const LOOK_S: i64 = 10;
const MORE_S: i64 = 10;
/// How many nights back a thing that was laid down is still asked for.
const NIGHTS_BACK: i64 = 14;

/// What is told of the weather of one night: of its own forecast and of the sessions of that day, the worse of each.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct NightWeather {
    pub rain: bool,
    pub snow: bool,
    pub ice: bool,
    pub frozen: bool,
    pub gust: Option<Speed>,
    pub low: Option<Temperature>,
}

/// The forecast of a night; nothing where none was told.
pub fn night_weather(facts: &Facts, day: NaiveDate) -> Option<NightWeather> {
    let yard = facts.yard;
    let nights = yard
        .nights
        .iter()
        .filter(|n| n.night_on == day)
        .map(|n| (n.rain, n.snow, n.ice, n.frozen, n.gust_mms, n.low_mc));
    let sessions = yard
        .sessions
        .iter()
        .filter(|s| s.starts.date() == day && s.forecast_on.is_some())
        .map(|s| (s.rain, s.snow, s.ice, s.frozen, s.gust_mms, s.low_mc));
    nights.chain(sessions).fold(None, |all: Option<NightWeather>, (rain, snow, ice, frozen, gust, low)| {
        let mut w = all.unwrap_or_default();
        let yes = |f: Option<bool>| f == Some(true);
        w.rain |= yes(rain);
        w.snow |= yes(snow);
        w.ice |= yes(ice);
        w.frozen |= yes(frozen);
        w.gust = w.gust.max(gust);
        w.low = match (w.low, low) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        };
        Some(w)
    })
}

/// The steps of the night of `day`.
pub(super) fn night_steps(facts: &Facts, season: &Season, day: NaiveDate, progress: &Asked) -> Vec<Step> {
    let mut steps = watch(facts, season, day, progress);
    steps.extend(round(facts, season, day));
    steps
}

/// What one place asks for, gathered from the methods of what stands there.
#[derive(Default)]
struct AtPlace<'a> {
    lit: bool,
    steps: Vec<&'a RecipeStep>,
    /// What was patched or switched off here, by name.
    patches: Vec<String>,
}

fn round(facts: &Facts, season: &Season, day: NaiveDate) -> Vec<Step> {
    let mut places: BTreeMap<PlaceId, AtPlace> = BTreeMap::new();
    for placement in facts.placements_in(season.id) {
        let (Some(place), Some(method)) = (placement.place_id, facts.method_of(placement)) else { continue };
        let at = places.entry(place).or_default();
        at.lit |= facts.product_of(placement).is_none_or(|p| p.pixels.is_some_and(|n| n > 0));
        at.patches.extend(patches(facts, placement));
        for r in facts.recipe(method.id).iter().filter(|r| r.phase == Phase::Tonight) {
            if !at.steps.iter().any(|s| s.code == r.code) {
                at.steps.push(r);
            }
        }
    }
    let mut order: Vec<PlaceId> = places.keys().copied().collect();
    order.sort_by_key(|p| facts.place(*p).map(|p| p.code.clone()));
    let monday = day - Duration::days(i64::from(day.weekday().num_days_from_monday()));
    let weather = [day.pred_opt(), Some(day)].into_iter().flatten().filter_map(|d| night_weather(facts, d));
    let white = weather.fold(false, |w, n| w || n.snow || n.ice);
    let mut all = vec![schedule(facts.yard.terms(), season, day)];
    for (every, from) in [(Every::Night, day), (Every::Week, monday), (Every::Ice, day)] {
        if every == Every::Ice && !white {
            continue;
        }
        for place in &order {
            all.extend(places.get(place).and_then(|at| place_step(facts, season, *place, at, every, from)));
        }
    }
    all
}

/// "patch of arch 2, F-012": what was only patched is looked at each night until it is mended.
fn patches(facts: &Facts, placement: &Placement) -> Vec<String> {
    let word = |f: &Fault| match facts.fault_stands(f.id) {
        Some(RepairDeed::Patched) => Some("patch of"),
        Some(RepairDeed::SwitchedOff) => Some("still off"),
        _ => None,
    };
    let line = |f: &Fault| {
        let name = f.piece_id.and_then(|p| facts.piece(p)).map_or(&placement.name, |p| &p.code);
        word(f).map(|word| format!("{word} {name}, {}", f.code))
    };
    facts.faults_of(placement.id).filter_map(line).collect()
}

fn key(season: &Season, place: Option<PlaceId>, deed: &str, day: NaiveDate) -> StepKey {
    let owner = place.map_or_else(|| season.id.to_string(), |p| format!("{}:{p}", season.id));
    StepKey::new("round", owner, deed, &day.to_string())
}

/// Whatever else: it started by itself, and it ends when it should.
fn schedule(terms: Terms, season: &Season, day: NaiveDate) -> Step {
    let hours = match (&season.nightly_from, &season.nightly_to) {
        (Some(from), Some(to)) => format!("{from} to {to}"),
        _ => "the hours told".to_owned(),
    };
    let title = terms
        .say(&format!("Schedule right ({hours}), started by itself; volume as neighbours and town allow"));
    let mut step = plain_step(key(season, None, "schedule", day), StepDeed::Check, &title, LOOK_S);
    step.phase = Phase::Tonight;
    step.light = Light::Indoors;
    step.cautions = Vec::new();
    step.subject.clone_from(&season.name);
    step
}

/// One step for a place; nothing where nothing there asks for it.
fn place_step(
    facts: &Facts,
    season: &Season,
    place: PlaceId,
    at: &AtPlace,
    every: Every,
    day: NaiveDate,
) -> Option<Step> {
    let mine: Vec<&&RecipeStep> =
        at.steps.iter().filter(|r| r.every.unwrap_or(Every::Night) == every).collect();
    let indoors = facts.indoors(Some(place));
    let mut words: Vec<String> = Vec::new();
    let mut add = |text: &str| {
        // "Every night: guys taut" is said under one head.
        let bare = text.split_once(": ").map_or(text, |(_, rest)| rest);
        for part in bare.split(", ") {
            if !words.iter().any(|w| w.eq_ignore_ascii_case(part)) {
                words.push(part.to_owned());
            }
        }
    };
    let (deed, head, seconds) = match every {
        Every::Night => {
            if at.lit {
                add("all lit");
            }
            if !indoors {
                add("plugs off the ground, paths clear");
            }
            for r in &mine {
                add(&facts.yard.terms().say(&r.title));
            }
            words.extend(at.patches.iter().cloned());
            ("look", "Tonight", LOOK_S + MORE_S * (mine.len() + at.patches.len()) as i64)
        }
        Every::Week | Every::Ice | Every::Wind => {
            for r in &mine {
                add(&facts.yard.terms().say(&r.title));
            }
            let sum = mine.iter().map(|r| r.fixed_s.s()).sum();
            if every == Every::Week {
                ("weekly", "This week", sum)
            } else {
                ("ice", "After snow or ice", sum)
            }
        }
    };
    if words.is_empty() {
        return None;
    }
    let title = format!("{head}: {}", words.join(", "));
    let mut step = plain_step(key(season, Some(place), deed, day), StepDeed::Check, &title, seconds);
    step.phase = Phase::Tonight;
    step.place = Some(place);
    step.subject = facts.place(place).map_or_else(String::new, |p| p.name.clone());
    // Looked at from the ground, whatever the place; a ladder at night is work of its own.
    step.access = Access::Ground;
    step.light = if indoors { Light::Indoors } else { Light::Lamp };
    let place_cautions = facts.place(place).map(|p| &p.cautions);
    let mut cautions: BTreeSet<&str> = mine.iter().flat_map(|r| r.cautions.iter()).collect();
    cautions.extend(
        place_cautions.into_iter().flat_map(Words::iter).filter(|c| !matches!(*c, "ladder" | "roof")),
    );
    if every == Every::Ice {
        cautions.insert("cold");
    }
    step.cautions = cautions.into_iter().map(str::to_owned).collect();
    Some(step)
}

/// Forecast gust → what to lay down tonight, and tomorrow the put-back with a light test.
fn watch(facts: &Facts, season: &Season, day: NaiveDate, progress: &Asked) -> Vec<Step> {
    let gust_of = |d: NaiveDate| night_weather(facts, d).and_then(|w| w.gust);
    let nights: Vec<(NaiveDate, Speed)> = (0..=NIGHTS_BACK)
        .rev()
        .filter_map(|n| day.checked_sub_signed(Duration::days(n)))
        .filter_map(|d| gust_of(d).map(|g| (d, g)))
        .collect();
    if nights.is_empty() {
        return Vec::new();
    }
    let mut all = Vec::new();
    for look in wind_looks(facts, season.id) {
        let Some(limit) = look.lower_at() else { continue };
        let windy: Vec<(NaiveDate, Speed)> = nights.iter().copied().filter(|(_, g)| *g >= limit).collect();
        let tonight = windy.iter().find(|(d, _)| *d == day).copied();
        let mut lies = false;
        for (night, gust) in &windy {
            let Some(pair) = Pair::new(&look, *night) else { continue };
            let over = |k: &StepKey| {
                progress.get(k).is_some_and(|p| matches!(p.state, State::Done | State::Skipped))
            };
            let laid = progress.get(&pair.down).is_some_and(|p| p.state == State::Done);
            let left = progress.get(&pair.down).is_some_and(|p| p.state == State::Skipped);
            let shown = if *night == day {
                // It lies from an earlier night: it is not laid down twice.
                !lies
            } else {
                laid && (!over(&pair.back) || !over(&pair.test) || (day - *night).num_days() <= 1)
            };
            if left || !shown {
                continue;
            }
            let wait = tonight.filter(|(d, _)| *d != *night).map(|(_, g)| g);
            lies |= laid && !over(&pair.back);
            all.extend(pair.steps(facts, &look, *gust, limit, wait));
        }
    }
    all
}

/// The keys of one thing laid down in one night.
struct Pair {
    down: StepKey,
    back: StepKey,
    test: StepKey,
    next: NaiveDate,
}

impl Pair {
    fn new(look: &WindLook, night: NaiveDate) -> Option<Self> {
        let next = night.succ_opt()?;
        let key =
            |deed: &str, day: NaiveDate| StepKey::new("watch", look.placement.id, deed, &day.to_string());
        Some(Self {
            down: key("lay_down", night),
            back: key("put_back", next),
            test: key("light_test", next),
            next,
        })
    }

    fn steps(
        self,
        facts: &Facts,
        look: &WindLook,
        gust: Speed,
        limit: Speed,
        wait: Option<Speed>,
    ) -> Vec<Step> {
        let units = facts.yard.sites.first().map(|s| s.units).unwrap_or_default();
        let what = look.stand.map(|s| s.lay_down.as_str()).filter(|t| !t.is_empty());
        let title = format!(
            "Gust {} forecast, stands to {}: {}",
            gust.show(units),
            limit.show(units),
            what.unwrap_or("lay it down or take it in")
        );
        let mut down = watch_step(facts, look, self.down.clone(), StepDeed::Lower, &title);
        down.role = Role::Watch;
        let mut back = watch_step(
            facts,
            look,
            self.back.clone(),
            StepDeed::Raise,
            "Put it back when the wind is over; look it over",
        );
        back.not_before = self.next.and_hms_opt(0, 0, 0);
        back.add_edge(Edge::after(self.down, Reason::Sequence, "it was laid down for the wind"));
        if let Some(gust) = wait {
            back.held =
                Some(format!("gust {} forecast again, stands to {}", gust.show(units), limit.show(units)));
        }
        let mut test = watch_step(facts, look, self.test, StepDeed::Test, "Light test of what was put back");
        test.seconds = 120;
        test.hands = 1;
        test.not_alone = false;
        test.cautions = vec!["mains".to_owned()];
        test.not_before = back.not_before;
        test.held.clone_from(&back.held);
        test.add_edge(Edge::after(self.back, Reason::Tested, "it is lit again after it was put back"));
        vec![down, back, test]
    }
}

fn watch_step(facts: &Facts, look: &WindLook, key: StepKey, deed: StepDeed, title: &str) -> Step {
    let seconds = look.stand.map_or(900, |s| s.lay_down_s.s());
    let mut step = plain_step(key, deed, title, seconds);
    step.role = Role::Watch;
    step.phase = Phase::Tonight;
    step.placement = Some(look.placement.id);
    step.place = look.placement.place_id;
    step.subject = super::build::subject(look.placement);
    step.access = facts.access(look.placement.place_id);
    step.height = super::build::height(facts, look.placement).filter(|_| step.access != Access::Ground);
    step.hands = look.stand.map_or(1, |s| s.hands);
    step.not_alone = step.hands > 1;
    let guyed = look.stand.is_some_and(|s| s.kind == StandKind::Guyed);
    let mut cautions = vec!["wind", "lifting"];
    if guyed {
        cautions.extend(["overhead", "guys", "fall_zone"]);
    }
    // What is lit lies and stands again without power.
    if !facts.product_of(look.placement).is_some_and(super::cautions::unlit) {
        cautions.extend(["mains", "supply_off"]);
    }
    step.cautions = cautions.into_iter().map(str::to_owned).collect();
    let own = look.placement.place_id.and_then(|p| facts.place(p)).map(|p| &p.cautions);
    for code in own.into_iter().flat_map(Words::iter) {
        if !step.cautions.iter().any(|c| c == code) {
            step.cautions.push(code.to_owned());
        }
    }
    step
}
