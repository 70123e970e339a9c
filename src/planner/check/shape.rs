//! Every derived step is there once, as derived, in the state its ticks say, placed or explained.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, Datelike, Duration, Utc};

use super::{Found, View};
use crate::domain::{CureRule, Moment};
use crate::planner::PlannedStep;
use crate::steps::{Edge, Reason, State, Step, StepKey};
use crate::units::Temperature;

const CODES: &[&str] = &[
    "held",
    "waits_for_unplaced",
    "no_session",
    "too_long",
    "no_time_left",
    "too_few_people",
    "no_skill",
    "alone",
    "no_equipment",
    "capacity",
    "taken",
    "time_unknown",
    "too_late_after",
    "left_out",
];

pub(super) fn look(view: &View, found: &mut Found) {
    let derived: BTreeMap<&StepKey, &Step> = view.derived.steps.iter().map(|s| (&s.key, &**s)).collect();
    for step in &view.derived.steps {
        if !view.steps.contains_key(&step.key) {
            found.say("step_missing", &step.key, "derived, but not in the plan");
        }
    }
    let mut seen = BTreeSet::new();
    for p in &view.plan.steps {
        let key = &p.step.key;
        if !seen.insert(key) {
            found.say("step_twice", key, "in the plan twice");
        }
        match derived.get(key) {
            None => found.say("step_unknown", key, "in the plan, but not derived"),
            Some(step) => as_derived(view, p, step, found),
        }
        as_ticked(view, p, found);
        for e in &p.after {
            if !view.steps.contains_key(&e.key) {
                found.say("edge_unknown", key, format!("after {}, which is not in the plan", e.key));
            }
            if e.why.is_empty() {
                found.say("edge_unexplained", key, format!("after {} for no told reason", e.key));
            }
        }
    }
    unplaced(view, found);
}

fn as_derived(view: &View, p: &PlannedStep, step: &Step, found: &mut Found) {
    if *p.step != *step || p.box_mode != step.box_mode {
        found.say("step_changed", &step.key, "not as derived");
    }
    // What is skipped is not to be done on any day.
    let due = p.state != State::Skipped;
    let told = in_force(view, step);
    let same = p.after.len() == told.len()
        && told.iter().all(|e| {
            p.after.iter().any(|a| {
                a.key == e.key
                    && wait_holds(view, e, a.wait_min)
                    && a.within_min == e.within_min.filter(|_| due)
                    && a.same_day == (e.same_day && due)
                    && a.watched == e.watched
                    && a.reason == e.reason
                    && a.why == e.why
            })
        });
    if !same {
        found.say("edges_changed", &step.key, "its order edges are not those derived");
    }
}

/// The derived edges of a step. Where the plan leaves a prop out, what hangs below it, the rounds and the season's own
/// steps go by what comes before that prop, without its waits.
fn in_force(view: &View, step: &Step) -> Vec<Edge> {
    let gone = |key: &StepKey| view.steps.get(key).map(|p| &*p.step).filter(|b| view.leaves_out(b));
    let free = |e: &Edge, before: &Step| {
        let kind = matches!(e.reason, Reason::Above | Reason::Tested | Reason::Unpowered)
            || (step.placement.is_none() && e.reason == Reason::Sequence);
        kind && step.placement != before.placement && !view.leaves_out(step)
    };
    let (past, mut told): (Vec<&Edge>, Vec<Edge>) =
        step.after.iter().fold((Vec::new(), Vec::new()), |mut all, e| {
            match gone(&e.key).filter(|b| free(e, b)) {
                Some(_) => all.0.push(e),
                None => all.1.push(e.clone()),
            }
            all
        });
    let mut seen: BTreeSet<&StepKey> = BTreeSet::new();
    let mut todo: Vec<&StepKey> = past.into_iter().map(|e| &e.key).collect();
    while let Some(key) = todo.pop() {
        let before = view.steps.get(key).filter(|_| seen.insert(key));
        for e in before.into_iter().flat_map(|b| &b.step.after) {
            let skipped = view.steps.get(&e.key).is_some_and(|b| b.state == State::Skipped);
            if skipped || gone(&e.key).is_some() {
                todo.push(&e.key);
            } else if !told.iter().any(|t| t.key == e.key) {
                told.push(Edge::after(e.key.clone(), e.reason, e.why.clone()));
            }
        }
    }
    told
}

/// A cure takes longer in the cold of the session in which the step before begins; nothing else changes a wait.
/// A minute of rounding either way is none.
fn wait_holds(view: &View, edge: &Edge, said: i64) -> bool {
    let session = view.steps.get(&edge.key).and_then(|b| b.session).and_then(|s| view.plan.sessions.get(s));
    let told = session.and_then(|s| s.forecast).and_then(|f| f.low);
    let low = told.or_else(|| session.map(|s| assumed_low(view, s)));
    let (Some(rule), Some(low)) = (edge.cure, low) else { return said == edge.wait_min };
    let c = low.mc() as f64 / 1000.0;
    // How many times as long as at 20 °C; nothing where it does not set at all.
    let times = match rule {
        CureRule::Concrete => (c >= 1.0).then(|| (20.0 / c).max(1.0)),
        // Three and a half times at 10 °C, ten times at 5 °C; the share done in an hour goes straight between.
        CureRule::Adhesive | CureRule::Tape if c >= 20.0 => Some(1.0),
        CureRule::Adhesive | CureRule::Tape if c >= 10.0 => {
            Some(1.0 / (1.0 / 3.5 + (1.0 - 1.0 / 3.5) * (c - 10.0) / 10.0))
        }
        CureRule::Adhesive | CureRule::Tape if c >= 5.0 => {
            Some(1.0 / (0.1 + (1.0 / 3.5 - 0.1) * (c - 5.0) / 5.0))
        }
        CureRule::Adhesive | CureRule::Tape => None,
    };
    match times {
        Some(t) if edge.wait_min > 0 => (said as f64 - edge.wait_min as f64 * t).abs() <= 1.0,
        Some(_) => said == edge.wait_min,
        None => edge.wait_min == 0 || said >= 365 * 1440,
    }
}

/// Where no forecast tells: 20 °C in the tropics and in three months of summer, five degrees less for each month further
/// from them, frost in winter.
fn assumed_low(view: &View, session: &crate::planner::SessionSpan) -> Temperature {
    let latitude = view.facts.yard.sites.first().and_then(|s| s.latitude_udeg.zip(s.longitude_udeg));
    let latitude = latitude.map_or(45.0, |(lat, _)| lat.degrees());
    let month = i64::from(session.from.with_timezone(&view.plan.zone).month());
    let midsummer = if latitude < 0.0 { 1 } else { 7 };
    let apart = (month - midsummer).rem_euclid(12).min((midsummer - month).rem_euclid(12));
    let warm = latitude.abs() < 25.0;
    Temperature::from_mc(if warm { 20_000 } else { (25_000 - 5_000 * apart.max(1)).max(0) })
}

/// State, count, minutes and recorded times are those of the ticks.
fn as_ticked(view: &View, p: &PlannedStep, found: &mut Found) {
    let key = &p.step.key;
    let ticked = view.derived.progress.get(key);
    let grown = ticked
        .is_some_and(|t| t.state == State::Done && t.of.zip(p.step.of).is_some_and(|(then, now)| now > then));
    let state = match ticked.map_or(State::Open, |t| t.state) {
        State::Done if grown || view.again.contains(key) => State::Open,
        State::Open if p.step.held.is_some() => State::Held,
        other => other,
    };
    if p.state != state {
        found.say("state_wrong", key, format!("said {}, ticked {}", p.state.as_str(), state.as_str()));
        return;
    }
    let again = view.again.contains(key) && ticked.is_some_and(|t| t.state == State::Done);
    let counted = ticked.map_or(0, |t| t.done).min(if again { 0 } else { i64::MAX });
    let done = match p.step.of {
        Some(of) if state == State::Done => of,
        Some(of) => counted.min(of),
        None => counted,
    };
    let whole = (p.step.seconds + 59).div_euclid(60);
    let left = match p.step.of {
        Some(of) if of > 0 && done > 0 && !matches!(state, State::Done | State::Skipped) => {
            (whole * (of - done) + of - 1).div_euclid(of)
        }
        _ => whole,
    };
    let left = match (p.part, p.step.of) {
        // A part: whole pieces, fewer than are left, of a step that nobody has begun.
        (Some(part), Some(of)) if 0 < part && part < of - done && state == State::Open => {
            (whole * part + of - 1).div_euclid(of)
        }
        (Some(part), _) => {
            found.say("part_wrong", key, format!("{part} pieces planned of {:?}, {done} done", p.step.of));
            left
        }
        (None, _) => left,
    };
    for b in view.before(p).iter().filter(|b| b.step.part.is_some()) {
        if p.state == State::Open && p.from.is_some() && b.step.state == State::Open {
            found.say("before_the_rest", key, format!("placed before the rest of {}", b.step.step.key));
        }
    }
    if p.done != done || p.minutes != left {
        let what = format!("{} done and {} minutes left said, {done} and {left} are", p.done, p.minutes);
        found.say("count_wrong", key, what);
    }
    let at = |m: Option<Moment>| m.and_then(|m| DateTime::<Utc>::from_timestamp_millis(m.0));
    let (began, ended) = (at(ticked.and_then(|t| t.from)), at(ticked.and_then(|t| t.to)));
    let times = match state {
        State::Done => (began.or(ended), ended),
        State::Doing => {
            let from = began.unwrap_or(view.now);
            (Some(from), Some(view.now.max(from + Duration::minutes(left))))
        }
        _ => return,
    };
    if view.plan.told.sessions && (p.from, p.to) != times {
        found.say("record_moved", key, format!("{:?} to {:?}, recorded {times:?}", p.from, p.to));
    }
}

fn unplaced(view: &View, found: &mut Found) {
    let mut named: BTreeMap<&StepKey, usize> = BTreeMap::new();
    for u in &view.plan.unplaced {
        *named.entry(&u.key).or_default() += 1;
        if !view.steps.contains_key(&u.key) {
            found.say("unplaced_unknown", &u.key, "called unplaced, but no step");
        }
        if !CODES.contains(&u.code) || u.why.is_empty() || u.remedy.is_empty() {
            found.say("unplaced_unexplained", &u.key, format!("code \"{}\", why or remedy missing", u.code));
        }
    }
    for p in view.plan.steps.iter().filter(|p| view.leaves_out(&p.step) && p.from.is_some()) {
        found.say("left_out_placed", &p.step.key, "left out, and yet placed");
    }
    for p in &view.plan.steps {
        let key = &p.step.key;
        let told = named.get(key).copied().unwrap_or(0);
        match (p.state, p.from.is_some() && p.to.is_some()) {
            (State::Open, true) | (State::Doing | State::Done | State::Skipped, _) if told > 0 => {
                found.say("placed_and_unplaced", key, "has its place, and is called unplaced");
            }
            (State::Open | State::Held, _) if told > 1 => {
                found.say("unplaced_twice", key, format!("explained {told} times"));
            }
            (State::Open | State::Held, false) if told == 0 && view.plan.told.sessions => {
                found.say("unexplained", key, "neither placed nor explained");
            }
            (State::Held, true) => found.say("held_placed", key, "held, and yet placed"),
            (State::Skipped, true) => found.say("skipped_placed", key, "skipped, and yet placed"),
            (State::Doing, false) if view.plan.told.sessions => {
                found.say("begun_without_start", key, "begun, and without a start");
            }
            _ => {}
        }
    }
}

/// No sessions told: 1, 2, 3 … over the open steps, each after what it comes after; no dates, nothing unplaced.
pub(super) fn look_undated(view: &View, found: &mut Found) {
    let open = |p: &PlannedStep| matches!(p.state, State::Open | State::Doing | State::Held);
    let mut ranks: Vec<usize> = view.plan.steps.iter().filter(|p| open(p)).map(|p| p.order).collect();
    ranks.sort_unstable();
    if !ranks.iter().copied().eq(1..=ranks.len()) {
        found.say("order_wrong", "", "the order is not 1, 2, 3 …");
    }
    for p in view.plan.steps.iter().filter(|p| open(p)) {
        if p.from.is_some() || p.to.is_some() || p.session.is_some() {
            found.say("date_without_session", &p.step.key, "has a date, and no session is told");
        }
        for b in view.before(p) {
            if open(b.step) && b.step.order >= p.order {
                found.say("order_wrong", &p.step.key, format!("comes before {}", b.step.step.key));
            }
        }
    }
    if !view.plan.unplaced.is_empty() {
        found.say("unplaced_undated", "", "steps called unplaced, and no session is told");
    }
}
