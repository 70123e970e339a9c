//! What has been done of each step, from the ticks.

use std::borrow::Cow;
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::key::StepKey;
use crate::domain::{Moment, PersonId, SessionId, Tick, TickKind};

/// The state of a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, PartialOrd, Ord)]
pub enum State {
    #[default]
    Open,
    Doing,
    Held,
    Done,
    Skipped,
}

impl State {
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Doing => "doing",
            Self::Held => "held",
            Self::Done => "done",
            Self::Skipped => "skipped",
        }
    }
}

/// What the ticks say of one step.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Progress {
    pub state: State,
    /// How many of a step over several pieces are done.
    pub done: i64,
    /// Over how many it went when it was last ticked.
    pub of: Option<i64>,
    /// When it was begun, where known.
    pub from: Option<Moment>,
    /// When it was done, where known.
    pub to: Option<Moment>,
    pub person: Option<PersonId>,
    pub session: Option<SessionId>,
    /// Why it is held, skipped or open for the rest.
    pub why: String,
    /// Somebody who works alone has said that this step is done alone.
    pub alone: bool,
}

/// What a note's cautions hold where it confirms that a step is done alone.
pub const ALONE: &str = "alone";

/// Reads the ticks in the order they happened: one with no known time first, then by time and id.
pub fn progress(ticks: &[Tick]) -> BTreeMap<StepKey, Progress> {
    by_step(ticks.iter())
}

/// The key of the step that a tick is of: a round of a box is of one season, and ticks of before that was written in
/// the key name theirs beside it.
fn key_of(tick: &Tick) -> Cow<'_, Arc<str>> {
    let of_box = || {
        let (owner, rest) = tick.step_key.strip_prefix("box:")?.split_once('/')?;
        let season = tick.season_id?.to_string();
        (!owner.ends_with(&season)).then(|| format!("box:{owner}:{season}/{rest}"))
    };
    of_box().map_or(Cow::Borrowed(&tick.step_key), |key| Cow::Owned(key.into()))
}

fn by_step<'a>(ticks: impl Iterator<Item = &'a Tick>) -> BTreeMap<StepKey, Progress> {
    let mut ticks: Vec<(Cow<'_, Arc<str>>, &Tick)> = ticks.map(|t| (key_of(t), t)).collect();
    ticks.sort_unstable_by(|(key, a), (other, b)| {
        key.cmp(other).then_with(|| (a.at_ms, a.id).cmp(&(b.at_ms, b.id)))
    });
    // Ticks of one step lie together now: a map of sorted keys is built in one go.
    let mut all: BTreeMap<StepKey, Progress> = ticks
        .chunk_by(|a, b| a.0 == b.0)
        .filter_map(|of_step| {
            let mut p = Progress::default();
            for (_, tick) in of_step {
                take(&mut p, tick);
            }
            of_step.first().map(|(key, _)| (StepKey::shared(key), p))
        })
        .collect();
    let starts: Vec<(StepKey, Progress)> =
        all.iter().filter_map(|(key, test)| Some((key.start()?, test.of_start()?))).collect();
    for (key, start) in starts {
        let own = all.entry(key).or_default();
        if !matches!(own.state, State::Done | State::Doing) {
            *own = start;
        }
    }
    all
}

/// What `ticks` say of some steps; nothing of one without ticks.
pub(super) fn progress_of(ticks: &[Tick], steps: &BTreeSet<StepKey>) -> BTreeMap<StepKey, Progress> {
    let keys: BTreeSet<&str> = steps.iter().map(StepKey::as_str).collect();
    by_step(ticks.iter().filter(|t| keys.contains(&**key_of(t))))
}

fn take(p: &mut Progress, tick: &Tick) {
    if tick.kind != TickKind::Note || !tick.why.is_empty() {
        p.why.clone_from(&tick.why);
    }
    if tick.person_id.is_some() {
        p.person = tick.person_id;
    }
    if tick.session_id.is_some() {
        p.session = tick.session_id;
    }
    match tick.kind {
        TickKind::Start => {
            p.state = State::Doing;
            p.from = tick.began_ms.or(tick.at_ms);
            p.to = None;
        }
        TickKind::Done => {
            p.state = State::Done;
            p.of = tick.of_count;
            p.done = tick.of_count.unwrap_or(p.done);
            p.from = tick.began_ms.or(p.from).or(tick.at_ms);
            p.to = tick.at_ms;
        }
        TickKind::Count => {
            p.done = tick.done_count.unwrap_or(p.done);
            p.of = tick.of_count.or(p.of);
            let whole = p.of.is_some_and(|of| p.done >= of);
            p.state = if whole { State::Done } else { State::Open };
            p.to = if whole { tick.at_ms } else { None };
            if whole {
                p.from = tick.began_ms.or(p.from).or(tick.at_ms);
            }
        }
        TickKind::Hold => p.state = State::Held,
        TickKind::Skip => p.state = State::Skipped,
        TickKind::Note => p.alone |= tick.cautions.has(ALONE),
        TickKind::Reopen => {
            p.state = State::Open;
            p.done = 0;
            p.from = None;
            p.to = None;
        }
    }
}

/// Progress that remembers of which steps it was asked: ticks of others change nothing of what was derived from it.
pub(super) struct Asked<'a> {
    known: &'a BTreeMap<StepKey, Progress>,
    of: RefCell<AskedOf>,
}

/// The steps whose progress was asked for.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct AskedOf {
    /// Sorted.
    keys: Vec<StepKey>,
    /// How the keys of all others begin.
    all_of: Vec<&'static str>,
}

impl AskedOf {
    /// Whether one of `steps` was asked for.
    pub(super) fn any(&self, steps: &BTreeSet<StepKey>) -> bool {
        let asked = |key: &StepKey| {
            self.keys.binary_search(key).is_ok() || self.all_of.iter().any(|b| key.as_str().starts_with(b))
        };
        steps.iter().any(asked)
    }
}

impl<'a> Asked<'a> {
    pub(super) fn new(known: &'a BTreeMap<StepKey, Progress>) -> Self {
        Self { known, of: RefCell::default() }
    }

    pub(super) fn get(&self, key: &StepKey) -> Option<&'a Progress> {
        self.of.borrow_mut().keys.push(key.clone());
        self.known.get(key)
    }

    pub(super) fn contains_key(&self, key: &StepKey) -> bool {
        self.get(key).is_some()
    }

    /// Whether a step is confirmed to be done alone. A tick that says so is seen by itself ([`super::Derived::after`]).
    pub(super) fn alone(&self, key: &StepKey) -> bool {
        self.known.get(key).is_some_and(|p| p.alone)
    }

    /// The ticked steps whose keys begin so, as `fault:`; those not ticked yet count as asked for, too.
    pub(super) fn all_of(&self, begin: &'static str) -> impl Iterator<Item = &'a StepKey> {
        self.of.borrow_mut().all_of.push(begin);
        let from = self.known.range(StepKey::from_text(begin)..);
        from.map(|(key, _)| key).take_while(move |key| key.as_str().starts_with(begin))
    }

    /// Of which steps it was asked.
    pub(super) fn into_asked(self) -> AskedOf {
        let mut asked = self.of.into_inner();
        asked.keys.sort_unstable();
        asked.keys.dedup();
        asked.keys.shrink_to_fit();
        asked
    }
}

impl Progress {
    /// What a tick of a bench test says of the step that starts it: who looked at it, or begins to, had started it.
    fn of_start(&self) -> Option<Self> {
        let state = match self.state {
            State::Doing | State::Done => State::Done,
            State::Held | State::Skipped => self.state,
            State::Open => return None,
        };
        let to = self.from.or(self.to).filter(|_| state == State::Done);
        Some(Self { state, done: 0, of: None, from: to, to, ..self.clone() })
    }

    /// The state of a step that goes over `of` pieces now: a count that grew opens it again.
    pub fn state_for(&self, of: Option<i64>) -> State {
        match (self.state, of, self.of) {
            (State::Done, Some(now), Some(then)) if now > then => State::Open,
            (state, _, _) => state,
        }
    }
}
