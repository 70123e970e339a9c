//! The plan as a timeline.

use chrono::{Datelike, Timelike};

use crate::answers::Outlook;
use crate::answers::plan::no_place;
use crate::answers::plan::odds::{finish_odds, percent};
use crate::answers::plan::summary::{kind, summary};
use crate::answers::plan::why::why_lines;
use crate::answers::sessions::next_told;
use crate::answers::short::short_deed;
use crate::answers::untold::not_told;
use crate::answers::view::{Plan as PlanView, PlanGoal, PlanSession, PlanStep, StepState, UnplacedRow};
use crate::answers::walk::list::next;
use crate::answers::walk::page::NO_SHOW;
use crate::answers::walk::states::states;
use crate::answers::words::{forecast_words, place_name, say_date, title};
use crate::domain::{Phase, Season, local_time};
use crate::planner::{Chances, Explainer, Odds, Plan, PlannedStep};
use crate::steps::{Facts, State};

/// The page of a plan, with its odds where they are known.
pub(crate) fn plan_page(outlook: &Outlook, season: &Season, plan: &Plan, odds: Option<&Odds>) -> PlanView {
    let phase = plan.phase;
    let states = states(outlook, plan);
    let zone = outlook.zone();
    let minute = |t: chrono::DateTime<chrono::Utc>| {
        let local = t.with_timezone(&zone);
        i64::from(local.hour() * 60 + local.minute())
    };
    let now = outlook.now();
    let facts = outlook.facts();
    let explainer = Explainer::new(plan, &facts);
    let mut chances = Chances::common();
    chances.learn_lost(outlook.yard.sessions.iter().filter(|s| s.visitor.is_empty()), now);
    let sessions = plan
        .sessions
        .iter()
        .enumerate()
        .map(|(n, s)| {
            let steps: Vec<PlanStep> = plan
                .steps
                .iter()
                .filter(|p| p.session == Some(n) && p.from.is_some())
                .map(|p| PlanStep {
                    key: p.step.key.to_string(),
                    deed: short_deed(p.step.deed, &p.step.title),
                    kind: kind(p.step.phase, p.step.deed),
                    bar: bar_name(outlook, &facts, p),
                    title: p.step.title.clone(),
                    prop: p.step.subject.clone(),
                    place: place_name(outlook, p),
                    from_min: p.from.map_or(0, minute),
                    to_min: p.to.map_or(0, minute),
                    setup_min: p.setup_minutes,
                    people: p.people.clone(),
                    tools: p.equipment.iter().map(|(n, _)| n.clone()).collect(),
                    state: match states.of(p) {
                        State::Open => StepState::Open,
                        State::Doing => StepState::Doing,
                        State::Held => StepState::Held,
                        State::Done => StepState::Done,
                        State::Skipped => StepState::Skipped,
                    },
                    critical: p.critical,
                    late: p.late,
                    placement: p.step.placement.and_then(|id| facts.placement(id)).map(|pl| pl.code.clone()),
                    why: why_lines(&explainer, &p.step.key),
                })
                .collect();
            let from_min = minute(s.from);
            let length = (s.to - s.from).num_minutes();
            let people = s.people.len().max(1) as i64;
            PlanSession {
                code: s.code.clone(),
                day: s.from.with_timezone(&zone).format("%a %-d %b").to_string(),
                date: s.from.with_timezone(&zone).format("%Y-%m-%d").to_string(),
                from_min,
                to_min: from_min + length,
                people: s.people.iter().map(|a| a.name.clone()).collect(),
                work_lights: s.work_lights,
                sunrise_min: s.light.and_then(|l| l.sunrise()).map(minute),
                sunset_min: s.light.and_then(|l| l.sunset()).map(minute),
                dawn_min: s.light.and_then(|l| l.dawn()).map(minute),
                dusk_min: s.light.and_then(|l| l.dusk()).map(minute),
                forecast: outlook
                    .yard
                    .sessions
                    .iter()
                    .find(|x| x.id == s.id)
                    .map(|x| forecast_words(outlook, x))
                    .filter(|w| !w.is_empty()),
                lost_pct: percent(
                    chances.lost.get(s.from.with_timezone(&zone).month0() as usize).copied().unwrap_or(0.0),
                ),
                summary: summary(&facts, plan.steps.iter().filter(|p| p.session == Some(n))),
                past: s.to <= now,
                used_min: steps
                    .iter()
                    .map(|p| (p.to_min - p.from_min + p.setup_min) * p.people.len().max(1) as i64)
                    .sum(),
                there_min: length * people,
                steps,
            }
        })
        .collect();
    let due = season.rehearsal.or(season.lights_on).and_then(|t| local_time(zone, t).ok());
    PlanView {
        ends_late: due.zip(plan.finish).is_some_and(|(due, end)| end > due) && phase != Phase::Down,
        next: next(outlook, plan, &states),
        begins: None,
        no_place: no_place(plan).0,
        next_session: next_told(outlook),
        phase: phase.as_str().to_owned(),
        ended: None,
        lights_on: season.lights_on.map(Outlook::say_local),
        lit_until: season
            .lights_off
            .filter(|_| phase == Phase::Down)
            .map(|d| (say_date(d), outlook.tonight() <= d)),
        rehearsal: season.rehearsal.map(Outlook::say_local),
        finish: plan.finish.map(|t| outlook.say_moment(t)),
        goals: goal_rows(outlook, plan),
        proven: plan.proven,
        odds: odds.map(|o| format!("{} %", percent(o.in_time))),
        finish_odds: odds.map(|o| finish_odds(outlook, o)),
        ladder_moves: plan.moves.ladder,
        place_moves: plan.moves.place,
        sessions,
        unplaced: plan
            .unplaced
            .iter()
            .map(|u| UnplacedRow {
                key: u.key.to_string(),
                title: plan.step(&u.key).map_or_else(String::new, title),
                code: u.code.to_owned(),
                why: u.why.clone(),
                remedy: u.remedy.clone(),
            })
            .collect(),
        risks: odds.map_or_else(Vec::new, |o| o.risks.iter().map(|r| r.words.clone()).collect()),
        not_told: not_told(outlook, Some(season)),
        people: outlook.yard.people.iter().map(|p| p.name.clone()).collect(),
    }
}

/// What Plan shows where nothing is ahead: no season yet, or a show that is over.
pub(crate) fn no_plan(outlook: &Outlook, phase: Phase, ended: Option<String>) -> PlanView {
    PlanView {
        phase: if ended.is_some() { NO_SHOW } else { phase.as_str() }.to_owned(),
        ended,
        next_session: next_told(outlook),
        ..PlanView::default()
    }
}

/// The prop of a step, else where it is done, else what is done.
fn bar_name(outlook: &Outlook, facts: &Facts, p: &PlannedStep) -> String {
    if let Some(placement) = p.step.placement.and_then(|id| facts.placement(id)) {
        return placement.name.clone();
    }
    let place = p.step.place.map(|_| place_name(outlook, p));
    let subject = Some(p.step.subject.clone()).filter(|s| !s.is_empty());
    subject.or(place).unwrap_or_else(|| p.step.title.clone())
}

fn goal_rows(outlook: &Outlook, plan: &Plan) -> Vec<PlanGoal> {
    let words = |name: &str, value: i64| match name {
        "finish_minutes" => String::new(),
        "given_minutes" => crate::units::Span::from_minutes(value).show(),
        _ => value.to_string(),
    };
    let forced = plan.goals.iter().any(|g| g.name == "unplaced" && g.bound > 0);
    plan.goals
        .iter()
        .map(|g| {
            let name = match g.name {
                "worth_ready" => "props ready in time, weighed by worth",
                "unplaced" => "steps without a place",
                "days_over" => "days past the comfort date",
                "given_minutes" => "moving, set-up, waiting, evenings",
                _ => "finish",
            };
            let finish = g.name == "finish_minutes";
            // Where something can't be placed whatever is done, nothing is known of these.
            let known = !matches!(g.name, "finish_minutes" | "given_minutes") || !forced;
            let when = |t: Option<chrono::DateTime<chrono::Utc>>| {
                t.map_or_else(String::new, |t| outlook.say_moment(t))
            };
            PlanGoal {
                name: name.to_owned(),
                value: if finish { when(plan.finish) } else { words(g.name, g.value) },
                bound: match finish {
                    _ if !known => String::new(),
                    true => when(plan.finish_lower_bound),
                    false => words(g.name, g.bound),
                },
            }
        })
        .collect()
}
