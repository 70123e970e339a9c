//! A plan as its `--json` document and as text.

use chrono::{DateTime, SecondsFormat, Utc};
use chrono_tz::Tz;

use crate::answers::Outlook;
use crate::answers::words::caution_text;
use crate::calc::daylight::SunTimes;
use crate::domain::PlacementId;
use crate::exchange::json::{
    AfterDoc, CountDoc, EquipmentDoc, ForecastDoc, GoalDoc, LightDoc, LimitsDoc, MovesDoc, OddsDoc, PartDoc,
    PersonDoc, PlanDoc, SessionDoc, SetUpDoc, StepDoc, ToldDoc, ToolDoc, UnplacedDoc,
};
use crate::planner::{Forecast, Odds, Plan, PlannedStep, SessionSpan};
use crate::units::{Speed, Temperature};

/// The document of a plan of this yard, with its odds where they are known.
pub(crate) fn document(outlook: &Outlook, plan: &Plan, odds: Option<&Odds>) -> PlanDoc {
    let say = |t: DateTime<Utc>| say(plan, t);
    PlanDoc {
        season: plan.season.clone(),
        phase: plan.phase.as_str().to_owned(),
        now: say(plan.now),
        lights_on: plan.lights_on.map(say),
        rehearsal: plan.rehearsal.map(say),
        finish: plan.finish.map(say),
        finish_lower_bound: plan.finish_lower_bound.map(say),
        seed: plan.seed,
        stopped_by: plan.stopped_by.to_owned(),
        told: ToldDoc {
            sessions: plan.told.sessions,
            people: plan.told.people,
            equipment: plan.told.equipment,
        },
        goals: plan
            .goals
            .iter()
            .map(|g| GoalDoc { name: g.name.to_owned(), value: g.value, bound: g.bound })
            .collect(),
        proven: plan.proven,
        odds: odds.and_then(|o| odds_doc(plan, o)),
        moves: MovesDoc { ladder: plan.moves.ladder, place: plan.moves.place },
        setup: SetUpDoc {
            place_minutes: plan.setup.place,
            ladder_minutes: plan.setup.ladder,
            session_minutes: plan.setup.session,
            indoors_breaks: plan.setup.indoors_breaks,
        },
        sessions: plan.sessions.iter().enumerate().map(|(n, s)| session_doc(plan, n, s)).collect(),
        equipment: plan
            .equipment
            .iter()
            .map(|e| EquipmentDoc { name: e.name.clone(), count: e.count, ladder: e.ladder })
            .collect(),
        steps: plan.steps.iter().map(|p| step_doc(outlook, plan, p)).collect(),
        unplaced: plan
            .unplaced
            .iter()
            .map(|u| UnplacedDoc {
                key: u.key.to_string(),
                code: u.code.to_owned(),
                why: u.why.clone(),
                remedy: u.remedy.clone(),
            })
            .collect(),
        left_out: plan.left_out.iter().filter_map(|id| code_of_placement(outlook, *id)).collect(),
        assumed: plan.assumed.iter().chain(&plan.faults).cloned().collect(),
    }
}

fn code_of_placement(outlook: &Outlook, id: PlacementId) -> Option<String> {
    outlook.yard.placements.iter().find(|p| p.id == id).map(|p| p.code.clone())
}

fn step_doc(outlook: &Outlook, plan: &Plan, p: &PlannedStep) -> StepDoc {
    let step = &p.step;
    let code_of_place = |id| outlook.yard.places.iter().find(|x| x.id == id).map(|x| x.code.clone());
    StepDoc {
        key: step.key.to_string(),
        role: step.role.as_str().to_owned(),
        title: step.title.clone(),
        subject: step.subject.clone(),
        placement: step.placement.and_then(|id| code_of_placement(outlook, id)),
        place: step.place.and_then(code_of_place),
        access: step.access.as_str().to_owned(),
        state: p.state.as_str().to_owned(),
        count: step.of.map(|of| CountDoc { done: p.done, of }),
        part: p.part.zip(step.of).map(|(pieces, of)| PartDoc { pieces, of: of - p.done }),
        order: p.order,
        late: p.late,
        minutes: p.minutes,
        setup_minutes: p.setup_minutes,
        hands: step.hands,
        skills: step.skills.clone(),
        needs: step.needs(),
        equipment: p
            .equipment
            .iter()
            .map(|(name, count)| ToolDoc { name: name.clone(), count: *count })
            .collect(),
        after: p
            .after
            .iter()
            .map(|e| AfterDoc {
                key: e.key.to_string(),
                wait_minutes: e.wait_min,
                within_minutes: e.within_min,
                same_day: e.same_day,
                watched: e.watched,
                reason: e.reason.as_str().to_owned(),
                why: e.why.clone(),
            })
            .collect(),
        light: step.light.as_str().to_owned(),
        deed: step.deed.as_str().to_owned(),
        r#box: step
            .box_mode
            .and_then(|(id, _)| outlook.yard.pieces.iter().find(|x| x.id == id))
            .map(|x| x.code.clone()),
        mode: step.box_mode.map(|(_, mode)| mode.as_str().to_owned()),
        not_alone: step.not_alone,
        limits: LimitsDoc {
            min_c: step.limits.min.map(Temperature::celsius),
            max_gust_ms: step.limits.max_gust.map(Speed::metres_per_second),
            dry: step.limits.dry,
            unfrozen: step.limits.unfrozen,
        },
        cautions: step.cautions.iter().map(|c| caution_text(outlook, c)).collect(),
        session: p.session.and_then(|s| plan.sessions.get(s)).map(|s| s.code.clone()),
        from: p.from.map(|t| say(plan, t)),
        to: p.to.map(|t| say(plan, t)),
        earliest: p.earliest.map(|t| say(plan, t)),
        latest: p.latest.map(|t| say(plan, t)),
        worth: step
            .placement
            .and_then(|id| outlook.yard.placements.iter().find(|x| x.id == id))
            .map(|x| x.worth),
        people: p.people.clone(),
    }
}

/// Nothing where there is no session that a date could be named by.
fn odds_doc(plan: &Plan, odds: &Odds) -> Option<OddsDoc> {
    let last = odds.last_session?;
    let dates = [("p50", odds.p50), ("p80", odds.p80), ("p95", odds.p95)];
    let by = |t: Option<DateTime<Utc>>| say(plan, t.unwrap_or(last));
    Some(OddsDoc {
        by_lights_on: odds.in_time,
        standard_error: odds.standard_error,
        p50: by(odds.p50),
        p80: by(odds.p80),
        p95: by(odds.p95),
        beyond: dates.iter().filter(|(_, t)| t.is_none()).map(|(name, _)| (*name).to_owned()).collect(),
        runs: odds.runs,
        lost_by_month: odds.lost.clone(),
        risks: odds.risks.iter().map(|r| r.words.clone()).collect(),
        basis: odds.basis.clone(),
    })
}

fn say(plan: &Plan, t: DateTime<Utc>) -> String {
    t.with_timezone(&plan.zone).to_rfc3339_opts(SecondsFormat::Secs, false)
}

fn session_doc(plan: &Plan, n: usize, s: &SessionSpan) -> SessionDoc {
    let say = |t: DateTime<Utc>| say(plan, t);
    SessionDoc {
        id: s.code.clone(),
        from: say(s.from),
        to: say(s.to),
        work_lights: s.work_lights,
        load_minutes: plan.load_minutes(n),
        room_minutes: plan.room_minutes(n),
        people: s
            .people
            .iter()
            .map(|p| PersonDoc {
                name: p.name.clone(),
                skills: p.skills.clone(),
                from: (!p.whole).then(|| say(p.from)),
                to: (!p.whole).then(|| say(p.to)),
            })
            .collect(),
        light: s.light.map_or_else(
            || LightDoc {
                sun: "normal".to_owned(),
                civil: "normal".to_owned(),
                sunrise: None,
                sunset: None,
                dawn: None,
                dusk: None,
            },
            |l| light(plan.zone, &l),
        ),
        forecast: s.forecast.map(|f| forecast(&f)),
    }
}

/// The light of a session's day.
pub(super) fn light(zone: Tz, l: &SunTimes) -> LightDoc {
    let say = |t: DateTime<Utc>| t.with_timezone(&zone).to_rfc3339_opts(SecondsFormat::Secs, false);
    LightDoc {
        sun: l.sun_status().to_owned(),
        civil: l.civil_status().to_owned(),
        sunrise: l.sunrise().map(say),
        sunset: l.sunset().map(say),
        dawn: l.dawn().map(say),
        dusk: l.dusk().map(say),
    }
}

pub(super) fn forecast(f: &Forecast) -> ForecastDoc {
    ForecastDoc {
        rain: f.rain,
        snow: f.snow,
        ice: f.ice,
        frozen: f.frozen,
        gust_ms: f.gust.map(Speed::metres_per_second),
        low_c: f.low.map(Temperature::celsius),
    }
}
