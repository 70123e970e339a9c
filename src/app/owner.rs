//! An open yard with its facts, clock and chosen season: what every use case works on.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{Arc, LazyLock};

use chrono::format::{Item, StrftimeItems};
use chrono::{DateTime, NaiveDateTime, Utc};
use chrono_tz::Tz;

use super::clock::Clock;
use super::ids::Ids;
use super::known::{Known, Leaves};
use super::problem::{Problem, ProblemKind};
use crate::domain::{Deed, Phase, RowChange, Season, SeasonId, Yard, local_time};
use crate::planner::{Odds, Plan};
use crate::store::{Applied, EntryId, Store, StoreError};
use crate::units::System;

/// How an owner asks for an open yard: a fixed clock, a seed, a season.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Choices {
    /// `--now`, as typed.
    pub now: Option<String>,
    pub seed: Option<u64>,
    pub season: Option<String>,
}

/// The seed of plans where none is asked for.
pub(super) const SEED: u64 = 1;

/// Up to so many changed rows are taken in one by one.
const FEW_ROWS: usize = 100;

/// One yard, open.
pub struct App {
    /// Before the file itself: it ends before the file is closed.
    pub(super) looking: super::looking::Looking,
    pub(super) store: Store,
    /// Shared with the work beside the screens, which keeps the facts it began with.
    pub(super) yard: Arc<Yard>,
    pub(super) clock: Clock,
    pub(super) ids: Ids,
    pub(super) seed: u64,
    pub(super) season: Option<String>,
    /// Plans made since the facts last changed.
    pub(super) plans: BTreeMap<(SeasonId, Phase), Arc<Plan>>,
    /// The facts each of them was made from, and whether it was searched for long.
    pub(super) made_from: BTreeMap<(SeasonId, Phase), (u64, bool)>,
    /// The plan that showed last where the facts changed since: what people go by.
    pub(super) standing: BTreeMap<(SeasonId, Phase), Arc<Plan>>,
    /// Odds of those plans; nothing inside where they make no sense.
    pub(super) odds: BTreeMap<(SeasonId, Phase), Option<Odds>>,
    /// A plan being improved beside the screens.
    pub(super) job: Option<super::background::Job>,
    /// Estimates are drawn towards the owner's own record; off, they are the recipes'.
    pub(super) own_times: bool,
    /// A change being weighed beside the screens.
    pub(super) weighing: Option<super::weighing::Weighing>,
    /// Counts the changes of facts since the start: tells what was made from older ones.
    pub(super) facts_version: u64,
    /// What follows from the facts, worked out at its first use since they last changed.
    pub(super) known: Known,
    /// The facts when the file's log was last brought into it.
    folded: u64,
    /// Counts what other programs wrote to the file.
    file_change: i64,
    /// The last deed when undo stopped at a border and said what would go.
    pub(super) asked: Option<EntryId>,
}

impl App {
    /// Opens the yard at `path`.
    ///
    /// # Errors
    /// What the store says of the file; `bad-now`, `no-season` for choices that make no sense in it.
    pub fn open(path: &Path, choices: &Choices) -> Result<Self, Problem> {
        let store = Store::open(path)?;
        store.check_pages()?;
        Self::with_store(store, choices)
    }

    /// Opens the yard at `path` to be shown at once: what [`App::open`] looks over first is left to
    /// [`App::begin_looking`].
    ///
    /// # Errors
    /// As [`App::open`], except for damage that reading does not meet.
    pub fn open_to_show(path: &Path, choices: &Choices) -> Result<Self, Problem> {
        let mut app = Self::with_store(Store::open(path)?, choices)?;
        app.look_later()?;
        Ok(app)
    }

    pub(super) fn with_store(store: Store, choices: &Choices) -> Result<Self, Problem> {
        let file_change = store.changed_elsewhere()?;
        let yard = store.load_yard()?;
        let shift_ms = store.clock_shift_ms()?.unwrap_or(0);
        let clock = match &choices.now {
            Some(text) => Clock::Fixed(parse_now(text, zone_of(&yard))?),
            None => Clock::Machine { shift_ms },
        };
        // A fixed clock without a seed still repeats.
        let seed = choices.seed.or(choices.now.as_ref().map(|_| SEED));
        let ids = Ids::after(deeds(&store)?, seed);
        if let Some(code) = &choices.season
            && !yard.seasons.iter().any(|s| &s.code == code)
        {
            let known: Vec<&str> = yard.seasons.iter().map(|s| s.code.as_str()).collect();
            return Err(Problem::new(ProblemKind::Use, "no-season", format!("there is no season {code:?}"))
                .hint(format!("seasons: {}", known.join(", "))));
        }
        Ok(Self {
            looking: super::looking::Looking::default(),
            store,
            yard: Arc::new(yard),
            clock,
            ids,
            seed: choices.seed.unwrap_or(SEED),
            season: choices.season.clone(),
            plans: BTreeMap::new(),
            made_from: BTreeMap::new(),
            standing: BTreeMap::new(),
            odds: BTreeMap::new(),
            job: None,
            file_change,
            asked: None,
            own_times: true,
            weighing: None,
            facts_version: 0,
            folded: 0,
            known: Known::default(),
        })
    }

    pub fn now(&self) -> DateTime<Utc> {
        self.clock.now()
    }

    pub fn zone(&self) -> Tz {
        zone_of(&self.yard)
    }

    /// The units the site reads and writes.
    pub fn units(&self) -> System {
        self.yard.sites.first().map_or(System::default(), |s| s.units)
    }

    pub fn yard(&self) -> &Yard {
        &self.yard
    }

    pub fn store(&self) -> &Store {
        &self.store
    }

    pub(super) fn currency(&self) -> String {
        self.yard.sites.first().map_or_else(|| "USD".to_owned(), |s| s.currency.clone())
    }

    /// Plans with the recipes' own times, or with the record's again.
    pub fn use_own_times(&mut self, on: bool) {
        self.own_times = on;
        self.known = Known::default();
        self.plans.clear();
        self.standing.clear();
        self.odds.clear();
    }

    /// Writes a deed through the one door and takes in what it changed.
    pub(super) fn apply(&mut self, deed: &Deed) -> Result<Applied, Problem> {
        let applied = self.store.apply(deed)?;
        self.follow(&deed.rows)?;
        Ok(applied)
    }

    /// Takes in what a deed on disk changed.
    pub(super) fn follow(&mut self, rows: &[RowChange]) -> Result<(), Problem> {
        // Row by row pays off for a tick, not for an import.
        if rows.len() > FEW_ROWS {
            self.reload()?;
        } else {
            let leaves = Leaves::of(&self.yard, rows);
            self.store.refresh(Arc::make_mut(&mut self.yard), rows)?;
            let known = std::mem::take(&mut self.known);
            self.forget_plans();
            self.keep_known(known, rows, &leaves.and(&self.yard, rows));
            self.catch_up()?;
        }
        debug_assert_eq!(*self.yard, self.store.load_yard()?, "the facts in memory are those of the file");
        Ok(())
    }

    /// Spares a later deed from bringing the file's log into it.
    pub fn fold_log(&mut self) {
        if std::mem::replace(&mut self.folded, self.facts_version) != self.facts_version {
            // What can't be folded now is folded by a later deed.
            let _ = self.store.fold_log();
        }
    }

    /// Reads the facts again where another program wrote to the file meanwhile.
    pub(super) fn catch_up(&mut self) -> Result<(), Problem> {
        let now = self.store.changed_elsewhere()?;
        if std::mem::replace(&mut self.file_change, now) == now { Ok(()) } else { self.reload() }
    }

    /// Reads the facts again after a change.
    pub(super) fn reload(&mut self) -> Result<(), Problem> {
        self.yard = Arc::new(self.store.load_yard()?);
        self.forget_plans();
        Ok(())
    }

    fn forget_plans(&mut self) {
        self.standing.append(&mut self.plans);
        self.odds.clear();
        self.known = Known::default();
        self.facts_version += 1;
    }

    pub(super) fn now_ms(&self) -> i64 {
        self.now().timestamp_millis()
    }

    /// The season a phase is about: chosen, or by the dates: the next lights on after now; for takedown the one
    /// last lit or being lit.
    ///
    /// # Errors
    /// `no-season` where there is none.
    pub fn season_for(&self, phase: Phase) -> Result<&Season, Problem> {
        let none = || {
            Problem::new(ProblemKind::Data, "no-season", "no season is told yet")
                .hint("ladderday season new CODE --lights-on 2026-11-27")
        };
        if let Some(code) = &self.season {
            return self.yard.seasons.iter().find(|s| &s.code == code).ok_or_else(none);
        }
        let now = self.now().with_timezone(&self.zone()).naive_local();
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
    pub(super) fn coming_seasons(&self) -> Vec<&Season> {
        let now = self.now().with_timezone(&self.zone()).naive_local();
        let mut list: Vec<&Season> = self
            .yard
            .seasons
            .iter()
            .filter(|s| match &self.season {
                Some(code) => &s.code == code,
                None => s.closed_on.is_none() && s.lights_on.is_none_or(|t| t > now),
            })
            .collect();
        list.sort_by_key(|s| (s.lights_on.is_none(), s.lights_on, s.code.as_str()));
        list
    }

    /// The day whose night it is: until four in the morning, still that of the evening before.
    pub(super) fn tonight(&self) -> chrono::NaiveDate {
        night_of(self.now(), self.zone())
    }

    /// The phase that is due today: takedown once the lights are off, the nightly round while lit, else building.
    pub fn phase_now(&self) -> Phase {
        let today = self.now().with_timezone(&self.zone()).naive_local();
        let off = |s: &&Season| {
            s.lights_on.is_some_and(|t| t <= today)
                && s.closed_on.is_none()
                && s.lights_off
                    .is_some_and(|d| d <= today.date() && today.date() < d + chrono::Duration::days(60))
        };
        let upcoming = self
            .yard
            .seasons
            .iter()
            .any(|s| s.lights_on.is_some_and(|t| t > today && t < today + chrono::Duration::days(60)));
        let lit = |s: &&Season| {
            s.lights_on.is_some_and(|t| t.date() <= today.date())
                && s.closed_on.is_none()
                && s.lights_off.is_some_and(|d| self.tonight() <= d)
        };
        match upcoming {
            true => Phase::Up,
            false if self.yard.seasons.iter().any(|s| lit(&s)) => Phase::Tonight,
            false if self.yard.seasons.iter().any(|s| off(&s)) => Phase::Down,
            false => Phase::Up,
        }
    }

    /// A local time of the yard, as people read it: "Sat 17 Oct 2026 09:00".
    pub(super) fn say_moment(&self, t: DateTime<Utc>) -> String {
        Self::say_local(t.with_timezone(&self.zone()).naive_local())
    }

    pub(super) fn say_ms(&self, ms: i64) -> String {
        DateTime::from_timestamp_millis(ms).map_or_else(String::new, |t| self.say_moment(t))
    }

    pub(super) fn say_local(t: NaiveDateTime) -> String {
        // Thousands of these stand on a page: the format is read once.
        static FORM: LazyLock<Vec<Item<'static>>> =
            LazyLock::new(|| StrftimeItems::new("%a %-d %b %Y %H:%M").collect());
        t.format_with_items(FORM.iter()).to_string()
    }
}

/// The day whose night a moment belongs to.
pub(super) fn night_of(now: DateTime<Utc>, zone: Tz) -> chrono::NaiveDate {
    (now.with_timezone(&zone).naive_local() - chrono::Duration::hours(4)).date()
}

pub(super) fn zone_of(yard: &Yard) -> Tz {
    yard.sites.first().and_then(|s| s.time_zone.as_deref()).and_then(|z| z.parse().ok()).unwrap_or(Tz::UTC)
}

fn deeds(store: &Store) -> Result<i64, StoreError> {
    Ok(store.last_deed()?.map_or(0, |d| d.entry.number))
}

/// Reads `--now`: with an offset, or local civil time of the site.
pub(super) fn parse_now(text: &str, zone: Tz) -> Result<DateTime<Utc>, Problem> {
    let refuse = |why: String| {
        Problem::new(ProblemKind::Use, "bad-now", format!("{text:?} is no time: {why}"))
            .hint("write it like 2026-09-01T18:00 or 2026-09-01T18:00-04:00")
    };
    // With an offset, the seconds may be left out.
    let offset =
        DateTime::parse_from_rfc3339(text).or_else(|_| DateTime::parse_from_str(text, "%Y-%m-%dT%H:%M%:z"));
    if let Ok(t) = offset {
        return Ok(t.with_timezone(&Utc));
    }
    let local = read_local(text).ok_or_else(|| refuse("not a date with a time".to_owned()))?;
    local_time(zone, local).map_err(|e| refuse(e.to_string()))
}

/// A local civil time as people type it: a date alone means its midnight.
pub(super) fn read_local(text: &str) -> Option<NaiveDateTime> {
    let tidy = text.trim().replace(' ', "T");
    ["%Y-%m-%dT%H:%M:%S", "%Y-%m-%dT%H:%M"]
        .iter()
        .find_map(|f| NaiveDateTime::parse_from_str(&tidy, f).ok())
        .or_else(|| {
            chrono::NaiveDate::parse_from_str(&tidy, "%Y-%m-%d").ok().and_then(|d| d.and_hms_opt(0, 0, 0))
        })
}

impl From<StoreError> for Problem {
    fn from(error: StoreError) -> Self {
        let kind = if error.is_about_data() { ProblemKind::Data } else { ProblemKind::File };
        Self::new(kind, error.code(), error.to_string()).hint(error.remedy())
    }
}
