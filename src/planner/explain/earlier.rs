//! Sessions, light and people's coming: what opens at the minute a step begins, and why it is in no session before.

use chrono::{DateTime, Duration, Utc};

use super::{Bound, Explainer};
use crate::planner::calendar::{Calendar, SessionSpan};
use crate::planner::plan::PlannedStep;
use crate::steps::StepKey;

/// How many lines about sessions before.
const MOST: usize = 4;

/// The session's beginning, its light, or the coming of one who does it, where that is what opens then.
pub(super) fn opened(
    e: &Explainer,
    p: &PlannedStep,
    lead: DateTime<Utc>,
    from: DateTime<Utc>,
    all: &mut Vec<Bound>,
) {
    let Some(session) = p.session.and_then(|s| e.plan.sessions.get(s)) else { return };
    let light = p.step.light.as_str();
    let lit = Calendar::lit(session, p.step.light);
    if lit.iter().any(|(a, _)| (*a == from || *a == lead) && *a > session.from) {
        all.push(Bound {
            code: "light",
            text: format!("it needs {light} light, which begins then"),
            remedy: format!("a session before this one with {light} light"),
            by: None,
        });
    }
    if lead == session.from {
        all.push(Bound {
            code: "session",
            text: "its session begins then".to_owned(),
            remedy: "an earlier session, or a longer one".to_owned(),
            by: None,
        });
    }
    let late =
        session.people.iter().find(|a| a.from == lead && a.from > session.from && p.people.contains(&a.name));
    if let Some(a) = late {
        all.push(Bound {
            code: "arrival",
            text: format!("{} comes then", a.name),
            remedy: "someone who comes earlier".to_owned(),
            by: None,
        });
    }
}

/// Of each session before the step's own in which order alone would allow it: why it is not there.
pub(super) fn lines(e: &Explainer, p: &PlannedStep, allowed: DateTime<Utc>) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut more = 0;
    for session in before(e, p, allowed) {
        let why = unfit(e, p, session, allowed)
            .unwrap_or_else(|| "its people are at work that comes first".to_owned());
        if out.len() < MOST {
            let day = session.from.with_timezone(&e.plan.zone).format("%a %-d %b %H:%M");
            out.push(format!("not in session {} ({day}): {why}", session.code));
        } else {
            more += 1;
        }
    }
    if more > 0 {
        out.push(format!("and {more} more sessions before it"));
    }
    out
}

/// What kept a step out of the sessions before: in the last one that it fits in, the last work of the people who could
/// do it; where it fits in none, what it comes after last.
pub(super) fn kept_out(e: &Explainer, p: &PlannedStep, allowed: DateTime<Utc>) -> Vec<StepKey> {
    let fits = before(e, p, allowed).filter(|s| unfit(e, p, s, allowed).is_none()).last();
    if let Some(session) = fits {
        let able = session.people.iter().filter(|a| can_help(p, &a.skills));
        let work = able.filter_map(|a| e.by_person.get(a.name.as_str())).flatten();
        let within = work.filter(|q| q.from.is_some_and(|f| f >= session.from && f < session.to));
        return within.max_by_key(|q| q.to).map(|q| q.step.key.clone()).into_iter().collect();
    }
    p.after
        .iter()
        .filter_map(|x| Some((e.steps.get(&x.key)?.to? + Duration::minutes(x.wait_min), x)))
        .max_by_key(|(t, _)| *t)
        .filter(|(t, _)| *t > e.plan.now)
        .map(|(_, x)| x.key.clone())
        .into_iter()
        .collect()
}

fn can_help(p: &PlannedStep, skills: &[String]) -> bool {
    p.step.skills.is_empty() || p.step.skills.iter().any(|s| skills.contains(s))
}

fn before<'p>(
    e: &Explainer<'p>,
    p: &PlannedStep,
    allowed: DateTime<Utc>,
) -> impl Iterator<Item = &'p SessionSpan> {
    let own = p.session.unwrap_or(0);
    let now = e.plan.now;
    e.plan.sessions.iter().take(own).filter(move |s| s.to > allowed && s.to > now)
}

/// Which demand of the step a session does not meet after `allowed`; nothing where it would do.
fn unfit(e: &Explainer, p: &PlannedStep, session: &SessionSpan, allowed: DateTime<Utc>) -> Option<String> {
    if let Some(limit) = session.forecast.and_then(|f| f.breaks(&p.step.limits)) {
        return Some(format!("its forecast is {}", limit.word()));
    }
    let length = Duration::minutes(p.minutes);
    let from = |a: DateTime<Utc>| a.max(allowed).max(e.plan.now);
    let lit = Calendar::lit(session, p.step.light);
    if lit.is_empty() {
        return Some(format!("it has no {} light", p.step.light.as_str()));
    }
    let fits: Vec<_> = lit.iter().filter(|(a, b)| from(*a) + length <= *b).collect();
    if fits.is_empty() {
        let light = p.step.light.as_str();
        return Some(format!("less than its {} minutes of {light} light are left there", p.minutes));
    }
    if !e.plan.told.people {
        return None;
    }
    let there: Vec<_> = session
        .people
        .iter()
        .filter(|a| fits.iter().any(|(x, y)| from((*x).max(a.from)) + length <= (*y).min(a.to)))
        .collect();
    let hands = p.step.hands.max(if p.step.not_alone { 2 } else { 0 });
    if (there.len() as i64) < hands {
        return Some(format!("it takes {hands} people, {} there long enough", there.len()));
    }
    p.step
        .skills
        .iter()
        .find(|s| !there.iter().any(|a| a.skills.contains(s)))
        .map(|s| format!("nobody there can do {s}"))
}
