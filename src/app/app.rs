//! An open yard: its file, clock, ids and facts. The one door to all of them.

use std::path::Path;
use std::sync::Arc;

use chrono::{DateTime, Duration, DurationRound, Utc};
use chrono_tz::Tz;

use super::clock::Clock;
use super::current::Current;
use super::done::{Done, Written};
use super::ids::Ids;
use crate::answers::problem::{Problem, ProblemKind};
use crate::answers::{Outlook, read_local, zone_of};
use crate::domain::{Deed, RowChange, Session, Yard, local_time};
use crate::store::{Applied, EntryId, Mode, Store, StoreError};

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

/// In a session plans begin at full five minutes, so that what was planned a moment ago still holds.
const PLAN_EVERY_MIN: i64 = 5;

/// One yard, open.
pub struct App {
    /// Before the file itself: it ends before the file is closed.
    pub(super) looking: super::looking::Looking,
    pub(super) store: Store,
    pub(super) clock: Clock,
    pub(super) ids: Ids,
    /// As asked for; ids repeat only with one.
    id_seed: Option<u64>,
    pub(super) seed: u64,
    pub(super) season: Option<String>,
    /// Estimates are drawn towards the owner's own record; off, they are the recipes'.
    pub(super) own_times: bool,
    pub(super) current: Current,
    /// Answers of earlier searches.
    pub(super) solved: Arc<super::solved::Solved>,
    /// A plan being improved beside the screens.
    pub(super) job: Option<super::background::Job>,
    /// A change being weighed beside the screens.
    pub(super) weighing: Option<super::weighing::Weighing>,
    /// What the deed at hand has written.
    pub(super) written: Written,
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
        let kept = store.load_kept_plan()?;
        let shift_ms = store.clock_shift_ms()?.unwrap_or(0);
        let clock = match &choices.now {
            Some(text) => Clock::Fixed(parse_now(text, zone_of(&yard))?),
            None => Clock::Machine { shift_ms },
        };
        // A fixed clock without a seed still repeats.
        let id_seed = choices.seed.or(choices.now.as_ref().map(|_| SEED));
        let ids = Ids::after(deeds(&store)?, id_seed);
        if let Some(code) = &choices.season
            && !yard.seasons.iter().any(|s| &s.code == code)
        {
            let known: Vec<&str> = yard.seasons.iter().map(|s| s.code.as_str()).collect();
            return Err(Problem::new(ProblemKind::Data, "no-season", format!("there is no season {code:?}"))
                .hint(format!("seasons: {}", known.join(", "))));
        }
        let writes = matches!(store.mode(), Mode::Writable);
        let mut app = Self {
            solved: Arc::new(super::solved::Solved::beside(store.path(), writes)),
            looking: super::looking::Looking::default(),
            store,
            clock,
            ids,
            id_seed,
            seed: choices.seed.unwrap_or(SEED),
            season: choices.season.clone(),
            own_times: true,
            current: Current::new(yard, kept),
            job: None,
            weighing: None,
            written: Written::default(),
            folded: 0,
            file_change,
            asked: None,
        };
        // Where it can't be written, tests are planned as they were.
        if app.tell_runs().is_err() {
            app.reload()?;
        }
        Ok(app)
    }

    pub fn now(&self) -> DateTime<Utc> {
        self.clock.now()
    }

    /// Goes on at another fixed time.
    pub fn set_now(&mut self, now: DateTime<Utc>) {
        self.clock = Clock::Fixed(now);
    }

    /// From when on a plan made now is made. Between two sessions that is all the same moment: nothing moves while
    /// nobody works and nothing runs.
    pub(super) fn plan_now(&self) -> DateTime<Utc> {
        let (now, zone) = (self.now(), self.zone());
        let edges = |s: &Session| local_time(zone, s.starts).ok().zip(local_time(zone, s.ends).ok());
        let spans: Vec<_> = self.current.yard().sessions.iter().filter_map(edges).collect();
        if spans.iter().any(|(from, to)| *from <= now && now < *to) || self.outlook().facts().anything_runs()
        {
            return match self.clock {
                Clock::Fixed(t) => t,
                Clock::Machine { .. } => {
                    let step = Duration::minutes(PLAN_EVERY_MIN);
                    now.duration_trunc(step).map_or(now, |t| if t == now { t } else { t + step })
                }
            };
        }
        let midnight = now.with_timezone(&zone).date_naive().and_time(chrono::NaiveTime::MIN);
        let past = spans.iter().flat_map(|(from, to)| [*from, *to]).filter(|t| *t <= now);
        past.chain(local_time(zone, midnight)).max().unwrap_or(now)
    }

    pub fn zone(&self) -> Tz {
        zone_of(self.current.yard())
    }

    pub fn yard(&self) -> &Yard {
        self.current.yard()
    }

    pub fn store(&self) -> &Store {
        &self.store
    }

    /// The facts as they are known now, from this clock and the chosen season.
    pub fn outlook(&self) -> Outlook<'_> {
        Outlook {
            yard: self.current.yard(),
            kept: self.current.kept(),
            remembered: &self.current.remembered,
            now: self.now(),
            season: self.season.as_deref(),
            seed: self.seed,
            own_times: self.own_times,
        }
    }

    /// The same, with what other programs wrote meanwhile.
    ///
    /// # Errors
    /// What the store says of the file.
    pub fn look(&mut self) -> Result<Outlook<'_>, Problem> {
        self.catch_up()?;
        Ok(self.outlook())
    }

    /// Plans with the recipes' own times, or with the record's again.
    pub fn use_own_times(&mut self, on: bool) {
        self.own_times = on;
    }

    /// Does `work` as one change of the file, on what is there now: nobody else writes meanwhile, so that codes and ids
    /// are made once. Where it fails nothing of it is left.
    pub(super) fn as_one<T>(
        &mut self,
        work: impl FnOnce(&mut Self) -> Result<T, Problem>,
    ) -> Result<T, Problem> {
        // A part of a deed is within it.
        if self.store.is_held() {
            return work(self);
        }
        self.store.hold()?;
        self.written = Written::default();
        let version = self.current.version();
        let done = self.catch_up().and_then(|()| {
            self.ids = Ids::after(deeds(&self.store)?, self.id_seed);
            work(self)
        });
        match done {
            Ok(out) => {
                self.store.release(true)?;
                Ok(out)
            }
            Err(problem) => {
                self.store.release(false)?;
                if self.current.version() != version {
                    self.reload()?;
                }
                Err(problem)
            }
        }
    }

    /// The same, and what it made and changed.
    pub(super) fn told(
        &mut self,
        work: impl FnOnce(&mut Self) -> Result<String, Problem>,
    ) -> Result<Done, Problem> {
        let said = self.as_one(work)?;
        Ok(self.written.done(said, self.current.yard()))
    }

    /// Writes a deed through the one door and takes in what it changed.
    pub(super) fn apply(&mut self, deed: &Deed) -> Result<Applied, Problem> {
        let applied = self.store.apply(deed)?;
        self.follow(&deed.rows)?;
        self.written.entry(applied.entry());
        Ok(applied)
    }

    /// Takes in what a deed on disk changed.
    pub(super) fn follow(&mut self, rows: &[RowChange]) -> Result<(), Problem> {
        self.written.rows(self.current.yard(), rows.iter().map(|r| (r.table, r.id)).collect());
        // Row by row pays off for a tick, not for an import.
        if rows.len() > FEW_ROWS {
            self.reload()?;
        } else {
            let store = &self.store;
            self.current.take(Some(rows), |yard| store.refresh(yard, rows))?;
        }
        debug_assert_eq!(
            *self.current.yard(),
            self.store.load_yard()?,
            "the facts in memory are those of the file"
        );
        Ok(())
    }

    /// Spares a later deed from bringing the file's log into it.
    pub fn fold_log(&mut self) {
        let version = self.current.version();
        if std::mem::replace(&mut self.folded, version) != version {
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
        self.current.take_kept(self.store.load_kept_plan()?);
        let read = self.store.load_yard()?;
        self.current.take(None, |yard| {
            *yard = read.keeping(yard);
            Ok(())
        })
    }
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

impl From<StoreError> for Problem {
    fn from(error: StoreError) -> Self {
        let kind = if error.is_about_data() { ProblemKind::Data } else { ProblemKind::File };
        Self::new(kind, error.code(), error.to_string()).hint(error.remedy())
    }
}
