//! The list that is walked: every step of a plan with its session and its place in the order, and which of them is next.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use chrono::{DateTime, Utc};

use crate::answers::Outlook;
use crate::answers::short::{lone_deed, round_deed, short_deed};
use crate::answers::view::Next;
use crate::answers::walk::ready::Readiness;
use crate::answers::walk::states::States;
use crate::answers::words::place_name;
use crate::domain::{KeptStep, Phase};
use crate::planner::{Plan, PlannedStep};
use crate::steps::{State, Step};

/// A session of which something was ticked within this time is the one that is walked.
const BEGUN_MS: i64 = 12 * 60 * 60 * 1000;

/// A step in the walk: where it belongs and in which order.
pub(crate) struct Row<'a> {
    pub(crate) step: &'a PlannedStep,
    /// Where it stands among the steps of the plan.
    at: usize,
    /// As it was kept, where it was.
    kept: Option<&'a KeptStep>,
    pub(crate) session: Option<String>,
    order: (i64, u8, usize),
    /// Its session is walked already: who does it and when stay as they were expected.
    frozen: bool,
}

impl Row<'_> {
    /// When it begins, as it is expected; nothing where nobody is told, for then there is an order and no hour.
    pub(crate) fn from(&self, plan: &Plan) -> Option<DateTime<Utc>> {
        self.promised().or(self.step.from).filter(|_| plan.told.people)
    }

    /// Whether people expect it in its session.
    fn is_kept(&self) -> bool {
        self.kept.is_some_and(|k| k.session_code == self.session)
    }

    /// The hour at which it stands in a list that is walked, done or not.
    fn promised(&self) -> Option<DateTime<Utc>> {
        self.kept.filter(|_| self.frozen && self.is_kept()).and_then(|k| moment(k.from.as_deref()))
    }

    /// Who does it, as it is expected: what is done stands with those who were to do it.
    pub(crate) fn people(&self, plan: &Plan) -> Vec<String> {
        let of = |k: &KeptStep| -> Vec<String> {
            k.people.split(", ").filter(|n| !n.is_empty()).map(str::to_owned).collect()
        };
        let there = |names: &[String]| {
            let session = plan.sessions.iter().find(|s| Some(&s.code) == self.session.as_ref());
            session.is_some_and(|s| names.iter().all(|n| s.people.iter().any(|p| p.name == *n)))
        };
        match (self.expected(), self.kept) {
            (Some(kept), _) if there(&of(kept)) => of(kept),
            (_, Some(kept)) if self.step.people.is_empty() => of(kept),
            _ => self.step.people.clone(),
        }
    }

    /// Minutes that it takes, as expected where nothing of it is done.
    pub(crate) fn minutes(&self, done: i64) -> i64 {
        let span = self.expected().filter(|_| done == 0);
        let span = span.and_then(|k| moment(k.from.as_deref()).zip(moment(k.to.as_deref())));
        span.map_or(self.step.minutes, |(from, to)| (to - from).num_minutes())
    }

    fn expected(&self) -> Option<&KeptStep> {
        let open = self.step.state == State::Open;
        self.kept.filter(|_| self.frozen && open && self.is_kept())
    }
}

fn moment(text: Option<&str>) -> Option<DateTime<Utc>> {
    DateTime::parse_from_rfc3339(text?).ok().map(|t| t.with_timezone(&Utc))
}

/// All that is walked of a plan, in the order that people expect.
pub(crate) struct List<'a> {
    pub(crate) rows: Vec<Row<'a>>,
    /// Sessions with something in them, in order; steps without a session come last.
    pub(crate) codes: Vec<Option<String>>,
    plan: &'a Plan,
}

impl<'a> List<'a> {
    pub(crate) fn of(outlook: &Outlook<'a>, plan: &'a Plan) -> Self {
        let mut rows = rows(plan, outlook.kept_plan(plan.phase));
        let codes = session_codes(plan, &rows);
        let now = outlook.now();
        let over = |r: &&Row| matches!(r.step.state, State::Done | State::Skipped | State::Doing);
        let begun: BTreeSet<String> = rows.iter().filter(over).filter_map(|r| r.session.clone()).collect();
        let runs = |code: &str| plan.sessions.iter().any(|s| s.code == code && s.from <= now && now < s.to);
        for row in &mut rows {
            row.frozen = row.session.as_ref().is_some_and(|c| begun.contains(c) || runs(c));
        }
        Self { rows, codes, plan }
    }

    /// The steps of a session, or all where none is told.
    pub(crate) fn session(&self, at: usize) -> impl Iterator<Item = &Row<'a>> {
        let code = self.codes.get(at);
        self.rows.iter().filter(move |r| code.is_none_or(|c| r.session == *c))
    }

    /// When the steps of a session begin, in its order. An hour before that of the row above would say nothing; what came
    /// in later has none where that would hide those that people expect.
    pub(crate) fn hours(&self, at: usize) -> Vec<Option<DateTime<Utc>>> {
        let rows: Vec<&Row> = self.session(at).collect();
        let mut soonest = None;
        let mut before: Vec<Option<DateTime<Utc>>> = Vec::with_capacity(rows.len());
        for row in rows.iter().rev() {
            before.push(soonest);
            soonest = match (soonest, row.promised()) {
                (Some(a), Some(b)) => Some(b.min(a)),
                (a, b) => a.or(b),
            };
        }
        let mut latest = None;
        let hour = |(row, before): (&&Row, Option<DateTime<Utc>>)| {
            let late = |t: &DateTime<Utc>| row.promised().is_none() && before.is_some_and(|b| *t > b);
            let from = row.from(self.plan).filter(|t| latest.is_none_or(|l| l <= *t) && !late(t));
            latest = from.or(latest);
            from
        };
        rows.iter().zip(before.into_iter().rev()).map(hour).collect()
    }

    /// The session going on now, else the first from now on with something open, else the last. One that was begun lately
    /// comes before one that another plan only now has work for.
    pub(crate) fn due(&self, outlook: &Outlook, states: &States) -> usize {
        let now = outlook.now();
        let span = |code: &Option<String>| self.plan.sessions.iter().find(|s| Some(&s.code) == code.as_ref());
        if let Some(at) = self.codes.iter().position(|c| span(c).is_some_and(|s| s.from <= now && now < s.to))
        {
            return at;
        }
        // The sessions of some rows, found in one look at all of them.
        let of = |is: &dyn Fn(&Row) -> bool| -> BTreeSet<Option<&str>> {
            self.rows.iter().filter(|r| is(r)).map(|r| r.session.as_deref()).collect()
        };
        let open = of(&|r| states.open_at(r.at));
        let ahead = |c: &Option<String>| open.contains(&c.as_deref()) && span(c).is_none_or(|s| s.to > now);
        let progress = outlook.progress();
        let lately = of(&|r| {
            let ticked = || progress.get(&r.step.step.key).and_then(|p| p.to);
            r.promised().is_some() && ticked().is_some_and(|t| outlook.now_ms() - t.0 < BEGUN_MS)
        });
        let first = self.codes.iter().position(ahead);
        let begun = self.codes.iter().position(|c| ahead(c) && lately.contains(&c.as_deref()));
        let kept =
            |at: usize| self.rows.iter().any(|r| self.codes.get(at) == Some(&r.session) && r.is_kept());
        match (first, begun) {
            (Some(first), Some(begun)) if begun > first && !kept(first) => begun,
            (first, _) => first.unwrap_or(self.codes.len().saturating_sub(1)),
        }
    }

    /// The one answer to what is next: the first step of the session that is due which can be done in its turn, else
    /// the first open one; with nothing open there that of the session after.
    pub(crate) fn next(&self, outlook: &Outlook, ready: &Readiness, states: &States) -> Option<&Row<'a>> {
        self.next_where(outlook, ready, states, |_| true)
    }

    /// The same among some of the rows, as those of places.
    pub(crate) fn next_where(
        &self,
        outlook: &Outlook,
        ready: &Readiness,
        states: &States,
        of: impl Fn(&Row) -> bool,
    ) -> Option<&Row<'a>> {
        let due = self.due(outlook, states);
        (due..self.codes.len().max(due + 1)).find_map(|at| {
            let open = || self.session(at).filter(|r| states.open_at(r.at) && of(r));
            open().find(|r| ready.in_turn(r.step)).or_else(|| open().next())
        })
    }
}

/// What is next of a plan in words, the same on every screen: "Sat 7 Nov 2026 09:00, Bench test: Porch box, at bench".
pub(crate) fn next(outlook: &Outlook, plan: &Plan, states: &States) -> Option<Next> {
    let facts = outlook.facts();
    let list = List::of(outlook, plan);
    let row = list.next(outlook, &Readiness::of(outlook, &facts, plan, states), states)?;
    let (deed, subject) = (list_deed(&row.step.step), &row.step.step.subject);
    let place = place_name(outlook, row.step);
    let bare = subject.is_empty() || *subject == place || plan.phase == Phase::Tonight;
    let what = if bare { deed } else { format!("{deed}: {subject}") };
    // Where it is done, unless that is anywhere.
    let what = if row.step.step.place.is_none() && place == "anywhere" {
        what
    } else {
        format!("{what}, at {place}")
    };
    let when = row.from(plan).map_or(String::new(), |t| format!("{}, ", outlook.say_moment(t)));
    Some(Next { key: row.step.step.key.to_string(), text: format!("{when}{what}") })
}

/// The deed of a step for lists. Without a prop beside it the deed says all of what is meant, and has the room.
pub(crate) fn list_deed(step: &Step) -> String {
    if step.phase == Phase::Tonight {
        round_deed(step.deed, &step.title)
    } else if step.key.as_str().starts_with("desk:") {
        // The owner's own words, of which two may begin alike.
        step.title.clone()
    } else if step.subject.is_empty() {
        lone_deed(&step.title)
    } else {
        short_deed(step.deed, &step.title)
    }
}

/// Where a step stands beside the expected one of the same position.
const BEFORE: u8 = 0;
const EXPECTED: u8 = 1;
const AFTER: u8 = 2;

/// Every step with its session and order: as kept where that still goes, as planned now otherwise.
///
/// What was really done stays where it was done. What is open stays where people expect it, unless that session is
/// over, or runs and has no room for it any more, or it would come before what it waits for.
fn rows<'a>(plan: &'a Plan, kept: &'a [KeptStep]) -> Vec<Row<'a>> {
    // Of each step of the plan, in its order: as it was kept, and what it waits for.
    let mut of: Vec<Option<&'a KeptStep>> = vec![None; plan.steps.len()];
    for k in kept {
        if let Some(of) = plan.at(k.step_key.as_str()).and_then(|n| of.get_mut(n)) {
            *of = Some(k);
        }
    }
    let before = plan.before();
    let sessions: HashMap<&str, usize> = plan.sessions.iter().map(|s| s.code.as_str()).zip(0..).collect();
    // The session of each.
    let mut at: Vec<Option<usize>> = plan
        .steps
        .iter()
        .zip(&of)
        .map(|(p, kept)| {
            // What was ticked outside of any session stands in the list where it was expected.
            let held = p.state == State::Open || p.session.is_none();
            let expected = kept.filter(|_| held).and_then(|k| k.session_code.as_ref());
            let there = expected.and_then(|c| sessions.get(c.as_str()).copied());
            let stands = there.filter(|n| {
                let span = plan.sessions.get(*n);
                p.session.is_none() || p.session == there || span.is_some_and(|s| s.from > plan.now)
            });
            stands.or(p.session)
        })
        .collect();
    // The plan itself keeps every order, so giving way to it step by step ends.
    loop {
        let open = |n: usize| plan.steps.get(n).is_some_and(|p| p.state == State::Open);
        let session = |n: usize| at.get(n).copied().flatten();
        let early = |n: usize, b: usize| open(b) && session(n).zip(session(b)).is_some_and(|(o, b)| o < b);
        let mut give: Vec<usize> = Vec::new();
        for (n, before) in before.iter().enumerate().filter(|(n, _)| open(*n)) {
            if before.iter().any(|b| early(n, *b)) {
                give.push(n);
                give.extend(before);
            }
        }
        let mut changed = false;
        for n in give {
            if let (Some(session), Some(p)) = (at.get_mut(n), plan.steps.get(n))
                && p.session.is_some()
                && *session != p.session
            {
                *session = p.session;
                changed = true;
            }
        }
        if !changed {
            break;
        }
    }
    // What nobody expected here comes after what was planned right before it, and before what waits for it.
    let mut last: BTreeMap<Option<usize>, i64> = BTreeMap::new();
    let mut rows: Vec<Row> = Vec::with_capacity(plan.steps.len());
    for (at, ((p, session), kept)) in plan.steps.iter().zip(at).zip(of).enumerate() {
        let code = session.and_then(|n| plan.sessions.get(n)).map(|s| s.code.clone());
        let expected = kept.filter(|k| k.session_code == code).map(|k| k.position);
        let last = last.entry(session).or_default();
        let position = expected.unwrap_or(*last);
        *last = position.max(*last);
        let order = (position, if expected.is_some() { EXPECTED } else { AFTER }, p.order);
        rows.push(Row { step: p, at, kept, session: code, order, frozen: false });
    }
    for (n, before) in before.iter().enumerate().rev() {
        let Some((position, rank, _)) = rows.get(n).map(|r| r.order) else { continue };
        let by = (position, if rank == EXPECTED { BEFORE } else { rank });
        for b in before {
            let Ok([row, last]) = rows.get_disjoint_mut([*b, n]) else { continue };
            let new = row.order.1 != EXPECTED && row.session == last.session;
            if new && by < (row.order.0, row.order.1) {
                (row.order.0, row.order.1) = by;
            }
        }
    }
    rows.sort_by_key(|r| r.order);
    rows
}

/// Sessions with something in them, in order; steps without a session come last.
fn session_codes(plan: &Plan, rows: &[Row]) -> Vec<Option<String>> {
    if !plan.told.sessions {
        return Vec::new();
    }
    let used: BTreeSet<&String> = rows.iter().filter_map(|r| r.session.as_ref()).collect();
    let mut codes: Vec<Option<String>> =
        plan.sessions.iter().filter(|s| used.contains(&s.code)).map(|s| Some(s.code.clone())).collect();
    if rows.iter().any(|r| r.session.is_none()) {
        codes.push(None);
    }
    codes
}
