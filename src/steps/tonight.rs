//! The nightly round while the show runs: one step a place, with the week's extras and what snow and ice ask for in it,
//! beside the watch on the wind (`watch`). Each key ends with the day it is of, so that every night is recorded for itself.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Datelike, Duration, NaiveDate};

use super::boxes::plain_step;
use super::facts::Facts;
use super::key::StepKey;
use super::progress::{Asked, State};
use super::step::{Light, Step};
use crate::domain::{
    Access, Every, Fault, Phase, PlaceId, Placement, RecipeStep, RepairDeed, Season, StepDeed, Terms, Words,
};
use crate::units::{Speed, Temperature};

/// Looking at one place, and at each thing more that its methods name there.
const LOOK_S: i64 = 10;
const MORE_S: i64 = 10;

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
    let mut steps = super::watch::watch(facts, season, day, progress);
    steps.extend(round(facts, season, day, progress));
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

fn round(facts: &Facts, season: &Season, day: NaiveDate, progress: &Asked) -> Vec<Step> {
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
    let weather = [day.pred_opt(), Some(day)].into_iter().flatten().filter_map(|d| night_weather(facts, d));
    let white = weather.fold(false, |w, n| w || n.snow || n.ice);
    let mut all = vec![schedule(facts.yard.terms(), season, day)];
    for place in order {
        if let Some(at) = places.get(&place) {
            all.extend(Round { facts, season, place, day, progress }.steps(at, white));
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
    let title = terms.say(&format!(
        "Check the schedule ({hours}): it started by itself; volume as neighbours and town allow"
    ));
    let mut step = plain_step(key(season, None, "schedule", day), StepDeed::Check, &title, LOOK_S);
    step.phase = Phase::Tonight;
    step.light = Light::Indoors;
    step.cautions = Vec::new();
    step.subject.clone_from(&season.name);
    step
}

/// What a look at a place goes over at one time: every night, once a week, after snow and ice.
struct Part<'a> {
    every: Every,
    words: Vec<String>,
    recipe: Vec<&'a RecipeStep>,
    seconds: i64,
}

/// The round of one place on one night.
struct Round<'a> {
    facts: &'a Facts<'a>,
    season: &'a Season,
    place: PlaceId,
    day: NaiveDate,
    progress: &'a Asked<'a>,
}

impl Round<'_> {
    /// One step for all that is asked for here tonight. What was ticked by itself stays by itself, and so does what snow
    /// adds once the place was looked at.
    fn steps(&self, at: &AtPlace, white: bool) -> Vec<Step> {
        let mut parts = vec![self.part(at, Every::Night)];
        let own = |every| self.progress.contains_key(&self.key(every, self.day));
        let nightly = !parts.iter().all(|p| p.words.is_empty());
        if own(Every::Week) || !nightly || !self.looked_this_week() {
            parts.push(self.part(at, Every::Week));
        }
        if white {
            parts.push(self.part(at, Every::Ice));
        }
        parts.retain(|p| !p.words.is_empty());
        let (apart, mut together): (Vec<Part>, Vec<Part>) =
            parts.into_iter().partition(|p| p.every != Every::Night && (own(p.every) || !nightly));
        // Looked at already: what has come since is a look of its own.
        let look = self.progress.get(&self.key(Every::Night, self.day));
        let seen =
            look.filter(|p| p.state == State::Done).and_then(|p| usize::try_from(p.of.unwrap_or(1)).ok());
        let later = together.split_off(seen.unwrap_or(usize::MAX).min(together.len()));
        let alone = later.into_iter().chain(apart).map(|p| self.step(&[p]));
        let look = (!together.is_empty()).then(|| self.step(&together));
        look.into_iter().chain(alone).collect()
    }

    fn key(&self, every: Every, day: NaiveDate) -> StepKey {
        let (deed, of) = match every {
            Every::Night => ("look", day),
            Every::Week => ("weekly", self.monday()),
            Every::Ice | Every::Wind => ("ice", day),
        };
        key(self.season, Some(self.place), deed, of)
    }

    fn monday(&self) -> NaiveDate {
        self.day - Duration::days(i64::from(self.day.weekday().num_days_from_monday()))
    }

    /// Whether an earlier look of this week went over more than one night's: the first of a week always does.
    fn looked_this_week(&self) -> bool {
        self.monday().iter_days().take_while(|d| *d < self.day).any(|d| {
            let look = self.progress.get(&self.key(Every::Night, d));
            look.is_some_and(|p| p.state == State::Done && p.of.is_some_and(|of| of > 1))
        })
    }

    fn part<'a>(&self, at: &AtPlace<'a>, every: Every) -> Part<'a> {
        let recipe: Vec<&RecipeStep> =
            at.steps.iter().copied().filter(|r| r.every.unwrap_or(Every::Night) == every).collect();
        let mut said: Vec<String> = Vec::new();
        if every == Every::Night {
            said.extend(at.lit.then(|| "all lit".to_owned()));
            let outside = !self.facts.indoors(Some(self.place));
            said.extend(outside.then(|| "plugs off the ground, paths clear".to_owned()));
        }
        said.extend(recipe.iter().map(|r| self.facts.yard.terms().say(&r.title)));
        let mut words: Vec<String> = Vec::new();
        for text in &said {
            // "Every night: guys taut" is said under one head.
            let bare = text.split_once(": ").map_or(text.as_str(), |(_, rest)| rest);
            for part in bare.split(", ") {
                if !words.iter().any(|w| w.eq_ignore_ascii_case(part)) {
                    words.push(part.to_owned());
                }
            }
        }
        let seconds = if every == Every::Night {
            words.extend(at.patches.iter().cloned());
            LOOK_S + MORE_S * (recipe.len() + at.patches.len()) as i64
        } else {
            recipe.iter().map(|r| r.fixed_s.s()).sum()
        };
        Part { every, words, recipe, seconds }
    }

    /// The step of what is looked at in one go; its key is that of the first part.
    fn step(&self, parts: &[Part]) -> Step {
        let (facts, place) = (self.facts, self.facts.place(self.place));
        let head = |every| match every {
            Every::Night => "tonight",
            Every::Week => "this week",
            Every::Ice | Every::Wind => "after snow or ice",
        };
        let said: Vec<String> =
            parts.iter().map(|p| format!("{}: {}", head(p.every), p.words.join(", "))).collect();
        let title = said.join("; ");
        let title = title.get(..1).map_or(String::new(), str::to_uppercase) + title.get(1..).unwrap_or("");
        let every = parts.first().map_or(Every::Night, |p| p.every);
        let seconds = parts.iter().map(|p| p.seconds).sum();
        let mut step = plain_step(self.key(every, self.day), StepDeed::Check, &title, seconds);
        step.of = (parts.len() > 1).then_some(parts.len() as i64);
        step.phase = Phase::Tonight;
        step.place = Some(self.place);
        step.subject = place.map_or_else(String::new, |p| p.name.clone());
        // Looked at from the ground, whatever the place; a ladder at night is work of its own.
        step.access = Access::Ground;
        step.light = if facts.indoors(Some(self.place)) { Light::Indoors } else { Light::Lamp };
        let recipes = parts.iter().flat_map(|p| &p.recipe);
        let mut cautions: BTreeSet<&str> = recipes.flat_map(|r| r.cautions.iter()).collect();
        let own = place.map(|p| &p.cautions).into_iter().flat_map(Words::iter);
        cautions.extend(own.filter(|c| !matches!(*c, "ladder" | "roof")));
        if parts.iter().any(|p| p.every == Every::Ice) {
            cautions.insert("cold");
        }
        step.cautions = cautions.into_iter().map(str::to_owned).collect();
        step
    }
}
