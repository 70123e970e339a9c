//! What-if without touching facts: changes made on a copy of the yard, planned and weighed beside the plan as it is.

use std::sync::Arc;

use chrono::{DateTime, Utc};

pub use super::change::Change;
use super::way::Way;
use crate::answers::outlook::{drawn, refuse};
use crate::answers::plan::odds::{finish_odds, odds_following, percent, runs_following};
use crate::answers::problem::Problem;
use crate::answers::record::Learned;
use crate::answers::{Outlook, night_of, zone_of};
use crate::domain::{Phase, Season, Yard};
use crate::planner::{Difference, Effort, Expected, Odds, Plan, PlannedStep, Request, make_plan};
use crate::steps::{Facts, Scope, State, StepKey, derive};
use crate::units::figure;

/// Schedules times steps, and schedules at least, for what the plan as it is leaves open once the yard is another: its search
/// is not made again.
const ANEW_STEPS: u64 = 200_000;
const QUICK: u64 = 16;

/// Other plans of the yard as it is, by which the chance of the plan is weighed, and schedules for each.
pub(crate) const OTHERS: u64 = 3;
const OTHERS_SCHEDULES: u64 = 16;
/// A plan of more steps is weighed by itself: the others would take longer than the answer is waited for.
const OTHERS_STEPS: usize = 800;

/// A plan and its odds.
pub(crate) type Side = (Plan, Option<Odds>);

/// A yard as it is and as it would be.
pub(crate) struct Both {
    season: Season,
    phase: Phase,
    now: Arc<Yard>,
    then: Yard,
    /// The plan as it is: the other begins from it.
    base: Arc<Plan>,
    /// Clock, seed, whether times are drawn towards the record.
    of: (DateTime<Utc>, u64, bool),
    /// Which way the change can go.
    way: Way,
    /// The plan was kept: it is no chance which one it is.
    kept: bool,
}

/// The plan as it is with its odds, and others that might have been found.
pub(crate) struct AsItIs {
    pub(crate) side: Side,
    others: Vec<Plan>,
}

/// Weighs both sides; what the change leaves as it is stays where the plan has it, and all runs meet the same weather and
/// durations and follow the plan as it is, and others like it.
pub(crate) fn weigh(both: &Both, effort: Effort) -> Result<(Side, Side), Problem> {
    let before = as_it_is(both, effort)?;
    let after = with_change(both, &before, effort)?;
    Ok((before.side, after))
}

/// The plan as it is.
pub(crate) fn as_it_is(both: &Both, effort: Effort) -> Result<AsItIs, Problem> {
    let effort = Effort { schedules: OTHERS_SCHEDULES, ..effort };
    let other = |n: u64| {
        both.with_request(&both.now, |request, _| {
            // Far from the seeds that people choose.
            let seed = request.seed.wrapping_add(n << 32);
            make_plan(&Request { seed, kept: &[], ..*request }, &[], &[], effort)
        })
    };
    let alone = both.kept || both.base.steps.len() > OTHERS_STEPS;
    let many = if alone { 0 } else { OTHERS };
    let others = (1..=many).map(other).collect::<Result<Vec<Plan>, Problem>>()?;
    let side = both.side(&both.now, &others, |_| Plan::clone(&both.base))?;
    Ok(AsItIs { side, others })
}

/// The plan with the change, beside the plan as it is. Where room was added and runs that make use of it are less sure than
/// before, the odds of before stand: nobody has to use the room.
pub(crate) fn with_change(both: &Both, before: &AsItIs, effort: Effort) -> Result<Side, Problem> {
    let AsItIs { side: before, others } = before;
    let expected: Vec<Expected> = both.base.steps.iter().filter_map(expected).collect();
    let most = effort.schedules.min((ANEW_STEPS / both.base.steps.len().max(1) as u64).max(QUICK));
    let effort = Effort { schedules: most, ..effort };
    let mut after = both.side(&both.then, others, |request| make_plan(request, &[], &expected, effort))?;
    let less_sure = difference(before, &after).is_some_and(|d| d.by < 0.0 && d.is_real());
    if both.way == Way::More && less_sure {
        after.1 = before.1.clone().map(|odds| Odds { unused: true, ..odds });
    }
    Ok(after)
}

impl Both {
    /// A plan of a yard and its odds: on both sides people follow the plan as it is, for another order is surer or less sure
    /// by itself, whatever is changed.
    fn side(
        &self,
        yard: &Yard,
        others: &[Plan],
        plan: impl FnOnce(&Request) -> Plan,
    ) -> Result<Side, Problem> {
        self.with_request(yard, |request, record| {
            let plan = plan(request);
            let mut odds = odds_following(request, &plan, &self.base, record);
            if let Some(odds) = &mut odds {
                odds.others = runs_following(request, &plan, others, &self.base.left_out, record);
            }
            (plan, odds)
        })
    }

    fn with_request<T>(
        &self,
        yard: &Yard,
        use_it: impl FnOnce(&Request, &Learned) -> T,
    ) -> Result<T, Problem> {
        let kept: Vec<StepKey> = self.base.steps.iter().map(|p| p.step.key.clone()).collect();
        let season = yard.seasons.iter().find(|s| s.id == self.season.id).unwrap_or(&self.season);
        let (phase, (now, seed, own_times)) = (self.phase, self.of);
        let facts = &Facts::new(yard);
        let scope = Scope { season: season.id, phase, day: night_of(now, zone_of(yard)) };
        let mut derived = derive(facts, scope).map_err(|e| refuse(&e))?;
        let record = drawn(yard, &mut derived, own_times);
        Ok(use_it(&Request { facts, derived: &derived, season, phase, now, seed, kept: &kept }, &record))
    }
}

/// What a plan says of an open step, as it is kept.
fn expected(p: &PlannedStep) -> Option<Expected> {
    let from = p.from.filter(|_| p.state == State::Open)?;
    Some(Expected { key: p.step.key.clone(), from, people: p.people.clone() })
}

/// What the change brings, where both sides have odds.
pub(crate) fn difference(before: &Side, after: &Side) -> Option<Difference> {
    Some(Difference::between(before.1.as_ref()?, after.1.as_ref()?))
}

/// What is said of a difference that the changes can't bring.
pub(crate) fn against(changes: &[Change], before: &Side, after: &Side) -> Option<&'static str> {
    let lights_on = before.0.lights_on.map(|t| t.with_timezone(&before.0.zone).naive_local());
    let way = Way::of(changes, lights_on);
    if way == Way::More && after.1.as_ref().is_some_and(|o| o.unused) {
        return way.against(false);
    }
    let d = difference(before, after).filter(|d| d.is_real())?;
    way.against(d.by > 0.0)
}

/// As "6.2 points more in time (standard error 0.8, over 4 plans)".
pub(crate) fn difference_words(d: Difference) -> String {
    let over = if d.plans > 1 { format!(", over {} plans", d.plans) } else { String::new() };
    let error = format!("standard error {}{over}", figure(d.standard_error * 100.0, 1));
    let points = d.by.abs() * 100.0;
    match d.is_real() {
        true if d.by > 0.0 => format!("{} points more in time ({error})", figure(points, 1)),
        true => format!("{} points less in time ({error})", figure(points, 1)),
        false => format!("no difference beyond chance: {:+.1} points ({error})", d.by * 100.0),
    }
}

/// The yard as it is and as it would be, copied so that another thread can weigh them; `yard` and `now` are those of
/// the plan as it is.
///
/// # Errors
/// `no-season`; `bad-what-if`, `no-such` for changes that make no sense here.
pub(crate) fn both(
    outlook: &Outlook,
    (yard, now, base): (Arc<Yard>, DateTime<Utc>, Arc<Plan>),
    phase: Phase,
    changes: &[Change],
) -> Result<Both, Problem> {
    let season = outlook.season_for(phase)?.clone();
    let mut then = Yard::clone(&yard);
    for (n, change) in (1_u128..).zip(changes) {
        change.apply(&mut then, &season, outlook.zone(), n)?;
    }
    let of = (now, outlook.seed, outlook.own_times);
    let lights_on = base.lights_on.map(|t| t.with_timezone(&base.zone).naive_local());
    let way = Way::of(changes, lights_on);
    let kept = !outlook.kept_plan(phase).is_empty();
    Ok(Both { season, phase, now: yard, then, base, of, way, kept })
}

/// A side in one line.
pub(crate) fn side_words(outlook: &Outlook, (plan, odds): &Side) -> String {
    let finish =
        plan.finish.map_or_else(|| "no end".to_owned(), |t| format!("ends {}", outlook.say_moment(t)));
    let odds = odds.as_ref().map_or_else(
        || "odds not known".to_owned(),
        |o| format!("{} % in time, {}", percent(o.in_time), finish_odds(outlook, o)),
    );
    format!("{finish}, {} steps not placed, {odds}", not_placed(plan))
}

/// Open steps without a place in a plan that has sessions.
pub(crate) fn not_placed(plan: &Plan) -> usize {
    plan.steps.iter().filter(|p| p.state == State::Open && p.from.is_none() && plan.told.sessions).count()
}
