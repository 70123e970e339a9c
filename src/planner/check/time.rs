//! Each placed step lies in its session, its light and its weather, not before it may, and after what it waits for.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, Duration, Utc};

use super::{Found, View, moment, running};
use crate::domain::{Access, DutyKind, Phase, PlacementId, Season, StepDeed};
use crate::planner::{PlannedStep, SessionSpan};
use crate::steps::{Light, Role, State, Step};

pub(super) fn look(view: &View, found: &mut Found) {
    for (p, from, to) in view.placed() {
        let key = &p.step.key;
        if to - from != Duration::minutes(p.minutes) {
            let what = format!("lasts {} of {} minutes", (to - from).num_minutes(), p.minutes);
            found.say("wrong_length", key, what);
        }
        let lead = from - Duration::minutes(p.setup_minutes);
        if lead < view.now || p.setup_minutes < 0 {
            found.say("before_now", key, format!("begins {lead}, now is {}", view.now));
        }
        match p.session.and_then(|s| view.plan.sessions.get(s)) {
            None => found.say("no_session", key, "is in no session"),
            Some(session) => in_session(p, session, lead, from, to, found),
        }
        if let Some(release) = released(view, p).filter(|r| from < *r) {
            found.say("before_release", key, format!("begins {from}, not due before {release}"));
        }
        if let Some(end) = marks_expire(view, p).filter(|end| to > *end) {
            found.say("after_marks", key, format!("ends {to}, the marks expire before {end}"));
        }
        after(view, p, from, found);
    }
    made_and_tested_first(view, found);
}

fn in_session(
    p: &PlannedStep,
    session: &SessionSpan,
    lead: DateTime<Utc>,
    from: DateTime<Utc>,
    to: DateTime<Utc>,
    found: &mut Found,
) {
    let key = &p.step.key;
    if lead < session.from || to > session.to {
        let what = format!("{lead} to {to} in {}, {} to {}", session.code, session.from, session.to);
        found.say("outside_session", key, what);
    }
    if !lit(session, p.step.light, from, to) {
        let what = format!("needs {}, lies {from} to {to}", p.step.light.as_str());
        found.say("dark", key, what);
    }
    let Some(f) = session.forecast else { return };
    let limits = &p.step.limits;
    if let (Some(low), Some(min)) = (f.low, limits.min)
        && low.mc() < min.mc()
    {
        found.say("too_cold", key, format!("{} m°C, at least {} asked", low.mc(), min.mc()));
    }
    if let (Some(gust), Some(max)) = (f.gust, limits.max_gust)
        && gust.mms() > max.mms()
    {
        found.say("too_windy", key, format!("{} mm/s, at most {} asked", gust.mms(), max.mms()));
    }
    let wet = [f.rain, f.snow, f.ice].into_iter().flatten().any(|w| w);
    if wet && limits.dry {
        found.say("wet", key, "rain, snow or ice on a step that asks for dry");
    }
    if f.frozen == Some(true) && limits.unfrozen {
        found.say("frozen", key, "frozen ground");
    }
}

/// When the last buried-line marks of the season expire, for what is driven into the ground.
fn marks_expire(view: &View, p: &PlannedStep) -> Option<DateTime<Utc>> {
    if p.step.phase != Phase::Up || p.step.deed != StepDeed::Drive {
        return None;
    }
    let duties = view.facts.yard.duties.iter();
    let of_season = duties.filter(|d| d.season_id == view.season.id && d.kind == DutyKind::BuriedLines);
    let last = of_season.filter_map(|d| d.expires_on).max()?;
    moment(view.plan.zone, last.succ_opt()?.and_hms_opt(0, 0, 0)?)
}

/// Whether the whole of `from` to `to` has the light asked for; always where no position is told.
pub(super) fn lit(session: &SessionSpan, light: Light, from: DateTime<Utc>, to: DateTime<Utc>) -> bool {
    let Some(sky) = session.light else { return true };
    let between = |up: Option<DateTime<Utc>>, down: Option<DateTime<Utc>>| {
        up.is_some_and(|u| u <= from) && down.is_some_and(|d| to <= d)
    };
    let (sun, civil) = (sky.sun_status(), sky.civil_status());
    let twilight = civil == "civil_all_night" || (civil == "normal" && between(sky.dawn(), sky.dusk()));
    match light {
        Light::Indoors => true,
        Light::Day => sun == "midnight_sun" || (sun == "normal" && between(sky.sunrise(), sky.sunset())),
        Light::Twilight => twilight,
        Light::Lamp => session.work_lights || twilight,
        Light::Dark => {
            let evening = sky.dusk().is_some_and(|d| d <= from);
            let morning = sky.dawn().is_some_and(|d| to <= d);
            civil == "no_civil_twilight" || (civil == "normal" && (evening || morning))
        }
    }
}

/// The earliest start that the step's season and the step itself allow.
fn released(view: &View, p: &PlannedStep) -> Option<DateTime<Utc>> {
    let own = p.step.not_before.and_then(|t| moment(view.plan.zone, t));
    own.into_iter().chain(season_begins(view, &p.step)).max()
}

/// Nothing comes down while its show is lit, nothing goes up outdoors before the season's work begins.
fn season_begins(view: &View, step: &Step) -> Option<DateTime<Utc>> {
    let season = step
        .placement
        .and_then(|id| view.facts.placement(id))
        .and_then(|placement| view.facts.season(placement.season_id))
        .or_else(|| {
            let owns = |s: &&Season| {
                step.key.parts().is_some_and(|k| k.kind == "season" && k.owner_id() == Some(s.id.0))
            };
            view.facts.yard.seasons.iter().find(owns)
        })?;
    let day = match step.phase {
        Phase::Down => season.down_day(),
        Phase::Up if step.place.is_some() => season.work_from,
        Phase::Once if step.place.is_some() && step.light != Light::Indoors => season.work_from,
        _ => None,
    };
    day.and_then(|d| d.and_hms_opt(0, 0, 0)).and_then(|t| moment(view.plan.zone, t))
}

fn after(view: &View, p: &PlannedStep, from: DateTime<Utc>, found: &mut Found) {
    let key = &p.step.key;
    for b in view.before(p) {
        let other = &b.step.step.key;
        let Some(end) = b.step.to else {
            if b.step.state == State::Done {
                if b.wait_min > 0 {
                    found.say("wait_unknown", key, format!("waits after {other}, done at no known time"));
                }
            } else {
                found.say("before_unplaced", key, format!("placed, and {other} before it is not"));
            }
            continue;
        };
        let gap = from - end;
        // What was done was done: only its wait still counts.
        let done = b.step.state == State::Done;
        if gap < Duration::minutes(b.wait_min) {
            let what = format!("{} of {} minutes after {other}", gap.num_minutes(), b.wait_min);
            found.say("too_soon", key, what);
        }
        if let Some(within) = b.within_min.filter(|w| !done && gap > Duration::minutes(*w)) {
            let what = format!("{} minutes after {other}, at most {within} asked", gap.num_minutes());
            found.say("too_late", key, what);
        }
        let day = |t: DateTime<Utc>| t.with_timezone(&view.plan.zone).date_naive();
        if b.watched {
            running::watched(view, p, b.step, from, found);
        }
        if b.same_day && !done && day(end) != day(from) {
            found.say("wrong_day", key, format!("on {}, {other} on {}", day(from), day(end)));
        }
    }
}

/// Seen from the times alone: a mount is made before its placement's first step up, and a prop is tested before it is
/// handled. Once something of it is up, out of order, nothing is left to be first.
fn made_and_tested_first(view: &View, found: &mut Found) {
    let begun: BTreeSet<PlacementId> = view
        .plan
        .steps
        .iter()
        .filter(|p| goes_up(p) && matches!(p.state, State::Done | State::Doing))
        .filter_map(|p| p.step.placement)
        .collect();
    let mut early: BTreeMap<PlacementId, Vec<&PlannedStep>> = BTreeMap::new();
    for q in &view.plan.steps {
        let due = matches!(q.state, State::Open | State::Held | State::Doing);
        if let Some(id) = q.step.placement.filter(|_| due)
            && matches!(q.step.phase, Phase::Once | Phase::Bench)
        {
            early.entry(id).or_default().push(q);
        }
    }
    for (p, from, _) in view.placed().filter(|(p, ..)| goes_up(p)) {
        let Some(placement) = p.step.placement.filter(|id| !begun.contains(id)) else { continue };
        let ground = matches!(p.step.deed, StepDeed::Mark | StepDeed::Drive | StepDeed::Other);
        for q in early.get(&placement).into_iter().flatten() {
            let once = q.step.phase == Phase::Once;
            // One climb makes the mount, where nothing cures, and hangs what was lit on the ground before.
            let recipe = view.facts.yard.recipe_steps.iter().find(|r| r.code == q.step.recipe_step);
            let cures = recipe.is_some_and(|r| r.wait_s.s() > 0);
            let high = matches!(q.step.access, Access::ExtensionLadder | Access::Roof);
            if once && high && !cures && p.step.deed == StepDeed::GroundLight {
                continue;
            }
            if (once || !ground) && q.to.is_none_or(|end| end > from) {
                let code = if once { "mount_not_made" } else { "untested" };
                found.say(code, &p.step.key, format!("begins before {} is done", q.step.key));
            }
        }
    }
}

fn goes_up(p: &PlannedStep) -> bool {
    p.step.phase == Phase::Up
        && p.step.role == Role::Work
        && p.step.deed != StepDeed::Desk
        && !p.step.key.is_of("mount")
}
