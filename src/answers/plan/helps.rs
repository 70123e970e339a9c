//! What would help most: a spare rehearsal date, an evening more, a helper, a prop less, each weighed against the plan as
//! it is, by the same weather and durations.

use std::collections::BTreeSet;
use std::sync::Arc;

use chrono::{Duration, NaiveDate, NaiveDateTime, Utc};

use crate::answers::Outlook;
use crate::answers::plan::what_if::{Both, Change, Side, as_it_is, both, difference, with_change};
use crate::answers::problem::Problem;
use crate::domain::{PlacementId, Role as ProductRole, Season};
use crate::planner::{Difference, Effort, Plan, SessionSpan};
use crate::steps::{Role, State};

/// So many days after the rehearsal a spare date is looked for.
const SPARE_DAYS: i64 = 6;
/// So many days before it an evening is.
const EVENING_DAYS: i64 = 14;

/// One thing that could be done, with what it brings and costs.
pub(crate) struct Help {
    /// `spare_rehearsal`, `evening`, `helper` or `prop_less`.
    pub(crate) kind: &'static str,
    pub(crate) change: Change,
    pub(crate) in_time: f64,
    pub(crate) brings: Difference,
    /// Minutes that people give for it; of a prop less none.
    pub(crate) person_minutes: i64,
    /// Worth that is not shown, of a prop less.
    pub(crate) worth: i64,
}

/// The plan as it is with its odds, and what would help, the most for what it costs first: what brings nothing beyond
/// chance comes last.
pub(crate) fn helps(asked: Asked, effort: Effort) -> Result<(Side, Vec<Help>), Problem> {
    let before = as_it_is(&asked.as_it_is, effort)?;
    let mut all = Vec::new();
    for ((kind, change, person_minutes, worth), both) in asked.each {
        let after = with_change(&both, &before, effort)?;
        if let (Some(brings), Some(odds)) = (difference(&before.side, &after), &after.1) {
            all.push(Help { kind, change, in_time: odds.in_time, brings, person_minutes, worth });
        }
    }
    // Points for an hour that people give; a prop less costs its worth, taken as so many hours.
    let per_cost = |h: &Help| {
        let cost = (h.person_minutes as f64 / 60.0 + h.worth as f64).max(0.5);
        if h.brings.is_real() { h.brings.by / cost } else { f64::MIN }
    };
    all.sort_by(|a, b| per_cost(b).total_cmp(&per_cost(a)).then_with(|| b.brings.by.total_cmp(&a.brings.by)));
    Ok((before.side, all))
}

/// What is weighed, with all that it takes: so that it can be weighed beside the screens.
pub(crate) struct Asked {
    as_it_is: Both,
    each: Vec<(Candidate, Both)>,
}

impl Asked {
    /// How many plans are made for it.
    pub(crate) const fn many(&self) -> usize {
        self.each.len()
    }
}

/// What would be weighed of a plan.
pub(crate) fn ask(
    outlook: &Outlook,
    base: &Arc<Plan>,
    now: chrono::DateTime<Utc>,
    yard: &Arc<crate::domain::Yard>,
) -> Result<Asked, Problem> {
    let season = outlook.season_for(base.phase)?;
    let asked =
        |changes: &[Change]| both(outlook, (Arc::clone(yard), now, Arc::clone(base)), base.phase, changes);
    let each = candidates(outlook, base, season).into_iter().map(|c| {
        let both = asked(std::slice::from_ref(&c.1))?;
        Ok((c, both))
    });
    Ok(Asked { as_it_is: asked(&[])?, each: each.collect::<Result<_, Problem>>()? })
}

type Candidate = (&'static str, Change, i64, i64);

fn candidates(outlook: &Outlook, plan: &Plan, season: &Season) -> Vec<Candidate> {
    [
        spare_rehearsal(outlook, plan, season),
        evening(outlook, plan, season),
        helper(outlook, plan),
        prop_less(outlook, plan),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Local days on which there is a session.
fn days(outlook: &Outlook, plan: &Plan) -> BTreeSet<NaiveDate> {
    plan.sessions.iter().map(|s| s.from.with_timezone(&outlook.zone()).date_naive()).collect()
}

fn everyone(outlook: &Outlook, starts: NaiveDateTime, ends: NaiveDateTime) -> i64 {
    (ends - starts).num_minutes() * outlook.yard.people.len().max(1) as i64
}

/// A day free after the rehearsal, at its hours.
fn spare_rehearsal(outlook: &Outlook, plan: &Plan, season: &Season) -> Option<Candidate> {
    let rehearsal = plan.steps.iter().find(|p| p.step.role == Role::Rehearsal && p.session.is_some());
    let session = rehearsal.and_then(|p| p.session).and_then(|n| plan.sessions.get(n))?;
    let local = |t: chrono::DateTime<Utc>| t.with_timezone(&outlook.zone()).naive_local();
    let (taken, lights_on) = (days(outlook, plan), season.lights_on?);
    let (from, to) = (local(session.from), local(session.to));
    let free = (1..=SPARE_DAYS)
        .map(Duration::days)
        .find(|d| !taken.contains(&(from + *d).date()) && to + *d <= lights_on)?;
    let (starts, ends) = (from + free, to + free);
    let cost = everyone(outlook, starts, ends);
    let people = Vec::new();
    Some(("spare_rehearsal", Change::Session { starts, ends, people, work_lights: true }, cost, 0))
}

/// The last evening before the rehearsal that is free.
fn evening(outlook: &Outlook, plan: &Plan, season: &Season) -> Option<Candidate> {
    let (taken, rehearsal) = (days(outlook, plan), season.rehearsal?.date());
    let now = plan.now.with_timezone(&outlook.zone()).naive_local();
    let at = |day: NaiveDate, hour| day.and_hms_opt(hour, 0, 0);
    let free = (1..=EVENING_DAYS)
        .map(|n| rehearsal - Duration::days(n))
        .find(|d| !taken.contains(d) && at(*d, 18).is_some_and(|t| t > now))?;
    let (starts, ends) = at(free, 18).zip(at(free, 21))?;
    let cost = everyone(outlook, starts, ends);
    let people = Vec::new();
    Some(("evening", Change::Session { starts, ends, people, work_lights: true }, cost, 0))
}

/// One person more in the fullest session outdoors that is still to come.
fn helper(outlook: &Outlook, plan: &Plan) -> Option<Candidate> {
    let load = |n: usize| {
        let here = plan.steps.iter().filter(|p| p.session == Some(n) && p.state == State::Open);
        here.filter(|p| p.step.place.is_some())
            .map(|p| (p.minutes + p.setup_minutes) * p.step.hands)
            .sum::<i64>()
    };
    let ahead =
        |(_, s): &(usize, &SessionSpan)| s.from > plan.now && plan.rehearsal.is_none_or(|r| s.to <= r);
    let fullest = plan.sessions.iter().enumerate().filter(ahead).max_by_key(|(n, _)| load(*n));
    let (_, session) = fullest.filter(|(n, _)| load(*n) > 0 && !outlook.yard.people.is_empty())?;
    let change = Change::Helper { name: "one more helper".to_owned(), session: session.code.clone() };
    Some(("helper", change, (session.to - session.from).num_minutes(), 0))
}

/// The prop that is worth least for the time it takes; what feeds others is none.
fn prop_less(outlook: &Outlook, plan: &Plan) -> Option<Candidate> {
    let facts = outlook.facts();
    let mut minutes: std::collections::BTreeMap<PlacementId, i64> = std::collections::BTreeMap::new();
    for p in plan.steps.iter().filter(|p| p.state == State::Open) {
        if let Some(id) = p.step.placement {
            *minutes.entry(id).or_default() += p.minutes * p.step.hands.max(1);
        }
    }
    let prop = |id: &PlacementId| {
        let p = facts.placement(*id)?;
        let role = facts.product_of(p).map_or(ProductRole::Prop, |x| x.role);
        let carries = outlook.yard.placements.iter().any(|o| o.carried_by_id == Some(*id));
        (role == ProductRole::Prop && !carries).then_some(p)
    };
    let all = minutes.iter().filter_map(|(id, m)| Some((prop(id)?, *m)));
    let (least, _) = all.min_by(|(a, m), (b, n)| (a.worth * n, &a.code).cmp(&(b.worth * m, &b.code)))?;
    Some(("prop_less", Change::Hold { code: least.code.clone() }, 0, least.worth))
}
