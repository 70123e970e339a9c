//! The facts as they look at a moment, from the season that is asked about: what every answer is computed from.

use std::collections::BTreeMap;
use std::sync::{Arc, LazyLock};

use chrono::format::{Item, StrftimeItems};
use chrono::{DateTime, NaiveDate, NaiveDateTime, SecondsFormat, Utc};
use chrono_tz::Tz;

use super::problem::{Problem, ProblemKind};
use super::record::{Learned, own_record};
use super::remembered::{Failed, RecordDay, Remembered};
use crate::domain::{KeptStep, Moment, Phase, Read, Season, Session, Yard, local_time};
use crate::steps::{DeriveError, Derived, Facts, Progress, Scope, State, Step, StepKey, derive};
use crate::units::System;

/// Facts, moment, zone and season of an answer.
#[derive(Clone, Copy)]
pub struct Outlook<'a> {
    pub yard: &'a Yard,
    /// The plans that people go by, of all phases, by season, phase and position.
    pub kept: &'a [KeptStep],
    /// What was worked out from these facts before.
    pub(crate) remembered: &'a Remembered,
    pub now: DateTime<Utc>,
    /// The season asked for; nothing takes the one that the dates ask for.
    pub season: Option<&'a str>,
    /// Of every random choice in an answer.
    pub seed: u64,
    /// Estimates are drawn towards the owner's own record; off, they are the recipes'.
    pub own_times: bool,
}

impl<'a> Outlook<'a> {
    /// Facts at a moment, without a kept plan; the season is the one that the dates ask for.
    pub fn at(yard: &'a Yard, remembered: &'a Remembered, now: DateTime<Utc>) -> Self {
        Self { yard, kept: &[], remembered, now, season: None, seed: 0, own_times: true }
    }

    /// The facts, looked up by an index that is kept.
    pub fn facts(&self) -> Facts<'a> {
        Facts::with(self.yard, Arc::clone(&self.remembered.index))
    }

    /// What the ticks say of each step.
    pub fn progress(&self) -> Arc<BTreeMap<StepKey, Progress>> {
        self.facts().progress()
    }

    pub fn now(&self) -> DateTime<Utc> {
        self.now
    }

    pub fn now_ms(&self) -> i64 {
        self.now.timestamp_millis()
    }

    pub fn zone(&self) -> Tz {
        zone_of(self.yard)
    }

    /// The local civil time of the site.
    pub fn local_now(&self) -> NaiveDateTime {
        self.now.with_timezone(&self.zone()).naive_local()
    }

    /// The units the site reads and writes.
    pub fn units(&self) -> System {
        self.yard.sites.first().map_or(System::default(), |s| s.units)
    }

    /// As told, else that of the country; a plain figure where neither is known.
    pub fn currency(&self) -> String {
        self.yard.sites.first().map_or_else(String::new, |s| s.currency().to_owned())
    }

    /// The season a phase is about: chosen, or by the dates: the next lights on after now; for takedown the one
    /// last lit or being lit.
    ///
    /// # Errors
    /// `no-season` where there is none.
    pub fn season_for(&self, phase: Phase) -> Result<&'a Season, Problem> {
        let none = || {
            Problem::new(ProblemKind::Data, "no-season", "no season is told yet")
                .hint("ladderday season new CODE --lights-on 2026-11-27")
        };
        if let Some(code) = self.season {
            return self.yard.seasons.iter().find(|s| s.code == code).ok_or_else(none);
        }
        let now = self.local_now();
        let open = || self.yard.seasons.iter().filter(|s| s.closed_on.is_none());
        let next = || {
            open()
                .filter(|s| s.lights_on.is_some_and(|t| t > now))
                .min_by_key(|s| (s.lights_on, s.code.clone()))
        };
        let lit = || {
            self.yard
                .seasons
                .iter()
                .filter(|s| s.lights_on.is_some_and(|t| t <= now))
                .max_by_key(|s| (s.lights_on, s.code.clone()))
        };
        let undated = || open().find(|s| s.lights_on.is_none());
        match phase {
            Phase::Down | Phase::Tonight => lit().or_else(next),
            _ => next().or_else(undated).or_else(lit),
        }
        .or_else(undated)
        .ok_or_else(none)
    }

    /// The seasons still to be lit, the next first; only the chosen one where one was chosen.
    pub fn coming_seasons(&self) -> Vec<&'a Season> {
        let now = self.local_now();
        let mut list: Vec<&Season> = self
            .yard
            .seasons
            .iter()
            .filter(|s| match self.season {
                Some(code) => s.code == code,
                None => s.closed_on.is_none() && s.lights_on.is_none_or(|t| t > now),
            })
            .collect();
        list.sort_by_key(|s| (s.lights_on.is_none(), s.lights_on, s.code.as_str()));
        list
    }

    /// The day whose night it is: until four in the morning, still that of the evening before.
    pub fn tonight(&self) -> NaiveDate {
        night_of(self.now, self.zone())
    }

    /// The phase that is due today: the change while one show is lit, or not yet closed, and another comes; takedown
    /// once the lights are off, the nightly round while lit, else building. A chosen season is asked alone.
    pub fn phase_now(&self) -> Phase {
        let today = self.local_now();
        let near = chrono::Duration::days(60);
        let mine = || {
            let chosen = |s: &&Season| self.season.is_none_or(|code| s.code == code);
            self.yard.seasons.iter().filter(chosen).filter(|s| s.closed_on.is_none())
        };
        let begun = |s: &&Season| s.lights_on.is_some_and(|t| t <= today);
        // A show whose last night is not told is taken as lit for as long as shows are.
        let last = |s: &Season| s.lights_off.or(s.lights_on.map(|t| t.date() + near));
        let lit = mine().filter(begun).any(|s| last(s).is_some_and(|d| self.tonight() <= d));
        let off = mine()
            .filter(begun)
            .any(|s| s.lights_off.is_some_and(|d| d <= today.date() && today.date() < d + near));
        let upcoming = mine().any(|s| s.lights_on.is_some_and(|t| t > today && t < today + near));
        match (upcoming, lit, off) {
            (true, false, false) => Phase::Up,
            (true, ..) => Phase::Change,
            (false, true, _) => Phase::Tonight,
            (false, false, true) => Phase::Down,
            // Months later what was never ticked off may still be up, and nothing else waits to be walked.
            (false, false, false) if self.still_up() => Phase::Down,
            (false, false, false) => Phase::Up,
        }
    }

    /// The phase whose sessions are planned today: the nightly round takes none, so while a show is lit its takedown.
    pub fn phase_planned(&self) -> Phase {
        match self.phase_now() {
            Phase::Tonight => Phase::Down,
            phase => phase,
        }
    }

    /// Whether no show is ahead and the takedown of the last one has open steps.
    fn still_up(&self) -> bool {
        let last = self.season_for(Phase::Down).ok().filter(|s| s.closed_on.is_none());
        let off = last.filter(|s| s.lights_off.is_some_and(|d| d < self.local_now().date()));
        self.coming_seasons().iter().all(|s| last.is_some_and(|l| l.id == s.id))
            && off.is_some_and(|s| self.open_takedown(s) > 0)
    }

    /// How many steps of a season's takedown are neither done nor skipped.
    pub(crate) fn open_takedown(&self, season: &Season) -> usize {
        let scope = Scope { season: season.id, phase: Phase::Down, day: self.tonight() };
        let Ok(derived) = self.derived(scope) else { return 0 };
        let over = |step: &Step| {
            let state = derived.progress.get(&step.key).map_or(State::Open, |p| p.state_for(step.of));
            matches!(state, State::Done | State::Skipped)
        };
        derived.steps.iter().filter(|x| x.phase == Phase::Down && !over(x)).count()
    }

    /// Derives the steps of a phase, as plans take them: with the durations of the owner's own record.
    ///
    /// # Errors
    /// `no-season`; `cycle` names the facts that contradict each other.
    pub fn steps(&self, phase: Phase) -> Result<Arc<Derived>, Problem> {
        self.steps_of(Scope { season: self.season_for(phase)?.id, phase, day: self.tonight() })
    }

    pub(crate) fn steps_of(&self, scope: Scope) -> Result<Arc<Derived>, Problem> {
        let of = ((scope.season, scope.phase, scope.day), self.own_times);
        let make = || {
            let mut derived = (*self.derived(scope)?).clone();
            drawn(self.yard, &mut derived, self.own_times);
            Ok(Arc::new(derived))
        };
        self.remembered.steps.get_or_try(of, make, |read| read)
    }

    /// Steps with the recipes' own times.
    ///
    /// # Errors
    /// `no-season`; `cycle` names the facts that contradict each other.
    pub fn derived(&self, scope: Scope) -> Result<Arc<Derived>, Problem> {
        let make = || Ok(Arc::new(derive(&self.facts(), scope).map_err(|e| refuse(&e))?));
        // Steps keep their own account of the ticks they asked about.
        let account = |read: Read| read.except(self.yard.ticks.stamp());
        self.remembered.derived.get_or_try((scope.season, scope.phase, scope.day), make, account)
    }

    /// Asks of the facts that say what failed, whatever was ticked or mended since.
    pub(crate) fn of_failures<T>(&self, ask: impl FnOnce(&Outlook) -> T) -> T {
        let mut slot = self.remembered.failed.borrow_mut();
        let failed = Failed::of(&mut slot, self.yard);
        failed.ask(self.yard, |of| ask(&Outlook { yard: &of.yard, remembered: &of.remembered, ..*self }))
    }

    /// The session that goes on now.
    pub fn session_now(&self) -> Option<&'a Session> {
        let zone = self.zone();
        self.yard.sessions.iter().find(|s| {
            let span = local_time(zone, s.starts).ok().zip(local_time(zone, s.ends).ok());
            span.is_some_and(|(a, b)| a <= self.now && self.now <= b)
        })
    }

    /// When the work ticked now began: at the last tick of the session that goes on, or at its start.
    pub fn began(&self) -> Option<Moment> {
        let session = self.session_now()?;
        let ticks = self.yard.ticks.iter().filter(|t| t.session_id == Some(session.id));
        let start = || local_time(self.zone(), session.starts).ok().map(|t| Moment(t.timestamp_millis()));
        ticks.filter_map(|t| t.at_ms).max().or_else(start)
    }

    /// What people expect of a phase of its season, in order; empty where nothing was kept.
    pub fn kept_plan(&self, phase: Phase) -> &'a [KeptStep] {
        let Ok(season) = self.season_for(phase) else { return &[] };
        let of = (season.code.as_str(), phase.as_str());
        // In the file's order those of a phase of a season stand together.
        let to = |before: fn(&(&str, &str), &(&str, &str)) -> bool| {
            self.kept.partition_point(|k| before(&(&k.season_code, &k.phase), &of))
        };
        self.kept.get(to(|k, of| k < of)..to(|k, of| k <= of)).unwrap_or(&[])
    }

    /// See [`RecordDay`].
    pub(crate) fn record_day(&self) -> RecordDay {
        let now = self.local_now();
        (now.date(), self.yard.seasons.iter().filter(|s| s.lights_on.is_some_and(|t| t <= now)).count())
    }

    /// A local time of the yard, as people read it: "Sat 17 Oct 2026 09:00".
    pub fn say_moment(&self, t: DateTime<Utc>) -> String {
        Self::say_local(t.with_timezone(&self.zone()).naive_local())
    }

    pub fn say_ms(&self, ms: i64) -> String {
        DateTime::from_timestamp_millis(ms).map_or_else(String::new, |t| self.say_moment(t))
    }

    /// The same as documents have it, with the offset of the site.
    pub fn rfc3339(&self, ms: i64) -> String {
        DateTime::from_timestamp_millis(ms).map_or_else(String::new, |t| {
            t.with_timezone(&self.zone()).to_rfc3339_opts(SecondsFormat::Secs, false)
        })
    }

    pub fn say_local(t: NaiveDateTime) -> String {
        // Thousands of these stand on a page: the format is read once.
        static FORM: LazyLock<Vec<Item<'static>>> =
            LazyLock::new(|| StrftimeItems::new("%a %-d %b %Y %H:%M").collect());
        t.format_with_items(FORM.iter()).to_string()
    }
}

/// The day whose night a moment belongs to.
pub fn night_of(now: DateTime<Utc>, zone: Tz) -> NaiveDate {
    (now.with_timezone(&zone).naive_local() - chrono::Duration::hours(4)).date()
}

/// The zone of a yard; UTC where none is told.
pub fn zone_of(yard: &Yard) -> Tz {
    yard.sites.first().and_then(|s| s.time_zone.as_deref()).and_then(|z| z.parse().ok()).unwrap_or(Tz::UTC)
}

/// A local civil time as people type it: a date alone means its midnight.
pub fn read_local(text: &str) -> Option<NaiveDateTime> {
    let tidy = text.trim().replace(' ', "T");
    ["%Y-%m-%dT%H:%M:%S", "%Y-%m-%dT%H:%M"]
        .iter()
        .find_map(|f| NaiveDateTime::parse_from_str(&tidy, f).ok())
        .or_else(|| NaiveDate::parse_from_str(&tidy, "%Y-%m-%d").ok().and_then(|d| d.and_hms_opt(0, 0, 0)))
}

/// Says in words which facts contradict each other.
pub(crate) fn refuse(error: &DeriveError) -> Problem {
    match error {
        DeriveError::NoSeason => Problem::new(ProblemKind::Data, "no-season", "no season is told yet"),
        DeriveError::Cycle(lines) => {
            let mut what = "these steps wait for each other in a circle:".to_owned();
            for line in lines {
                what.push_str("\n  ");
                what.push_str(line);
            }
            Problem::new(ProblemKind::Data, "cycle", what)
                .hint("change what carries what, or the order of the recipe")
        }
    }
}

/// Draws the estimates of steps towards the owner's own record, unless that is switched off, and says which; gives the
/// record it went by.
pub(crate) fn drawn(yard: &Yard, derived: &mut Derived, own_times: bool) -> Learned {
    let record = own_record(yard, own_times);
    if own_times {
        record.apply(derived);
    } else if !yard.ticks.is_empty() {
        derived.assumed.push("durations are the recipes': your own record is switched off".to_owned());
    }
    record
}
