//! A round of a box that was interrupted between off and on begins again with off, tag and look, whatever was ticked; a
//! test that nobody looked at is started again.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, Duration, Utc};

use super::calendar::Calendar;
use super::map::Item;
use crate::domain::{BoxMode, PieceId, StepDeed};
use crate::steps::{State, StepKey, looks};

/// Without a session that it was done in, a box that was switched off so long ago was left.
const LEFT: Duration = Duration::hours(3);

/// Whether what was done at `t` was left: its session is over, or it was in none and is hours ago.
fn left_since(calendar: &Calendar, t: DateTime<Utc>, now: DateTime<Utc>) -> bool {
    let session = calendar.sessions.iter().find(|s| s.from <= t && t <= s.to);
    session.map_or(now - t > LEFT, |s| s.to <= now)
}

/// Opens again the start of each test that nobody looked at before its session was over: it was left to itself, and
/// somebody switched it off.
pub(super) fn start_again(items: &mut [Item], calendar: &Calendar, now: DateTime<Utc>) {
    let looked = items.iter().filter(|i| !matches!(i.state, State::Done | State::Skipped | State::Doing));
    let due: BTreeSet<StepKey> = looked.filter_map(|i| Some(looks(i.step)?.key.clone())).collect();
    for item in items.iter_mut().filter(|i| i.state == State::Done && due.contains(&i.step.key)) {
        if item.to.is_none_or(|t| left_since(calendar, t, now)) {
            open_again(item);
        }
    }
}

fn open_again(item: &mut Item) {
    item.state = State::Open;
    item.done = 0;
    item.minutes = item.step.minutes();
    item.from = None;
    item.to = None;
}

/// Opens again the off, the look at the plugs and the light test of each round that is not over and was left: its
/// session has ended, or the box was on since.
pub(super) fn begin_again(items: &mut [Item], calendar: &Calendar, now: DateTime<Utc>) {
    let mut rounds: BTreeMap<StepKey, Vec<usize>> = BTreeMap::new();
    let mut lit: Vec<(PieceId, DateTime<Utc>, StepKey)> = Vec::new();
    for (i, item) in items.iter().enumerate() {
        let round = item.step.stretch.clone().filter(|_| item.step.box_mode.is_some());
        if let Some((piece, BoxMode::On)) = item.step.box_mode
            && let Some(at) = item.to.or(item.from)
        {
            let own = round.clone().unwrap_or_else(|| item.step.key.clone());
            lit.push((piece, at, own));
        }
        if let Some(key) = round {
            rounds.entry(key).or_default().push(i);
        }
    }
    for (key, steps) in rounds {
        let off = steps.iter().find(|i| is(items, **i, StepDeed::Power));
        let Some(off) = off.and_then(|i| items.get(*i)) else { continue };
        let over = |i: &usize| items.get(*i).is_some_and(|s| matches!(s.state, State::Done | State::Skipped));
        let begun = steps.iter().any(|i| items.get(*i).is_some_and(|s| s.state == State::Doing));
        if begun || off.state == State::Skipped || steps.iter().all(over) {
            continue;
        }
        let piece = off.step.box_mode.map(|b| b.0);
        let left = off.to.is_none_or(|t| {
            let since = lit.iter().any(|(p, at, round)| Some(*p) == piece && *at > t && *round != key);
            since || left_since(calendar, t, now)
        });
        let connected = steps.iter().filter(|i| is(items, **i, StepDeed::Connect)).all(over);
        // What was looked at and lit before all was connected is looked at and lit again.
        let again = |i: &usize| {
            (left && is(items, *i, StepDeed::Power))
                || ((left || !connected) && is(items, *i, StepDeed::Check))
                || (!connected && is(items, *i, StepDeed::Test))
        };
        for i in steps.iter().copied().filter(again).collect::<Vec<_>>() {
            if let Some(item) = items.get_mut(i).filter(|s| s.state == State::Done) {
                open_again(item);
            }
        }
    }
}

fn is(items: &[Item], i: usize, deed: StepDeed) -> bool {
    items.get(i).is_some_and(|s| s.step.deed == deed)
}
