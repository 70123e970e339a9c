//! What is in the way, each with its remedy and the screen where it is.

use crate::answers::Outlook;
use crate::answers::plan::{left_out, no_place};
use crate::answers::power::wiring_stops;
use crate::answers::record::pauses::pauses;
use crate::answers::shopping::list::late_needs;
use crate::answers::shopping::stock::stock_due;
use crate::answers::today::due::due;
use crate::answers::today::duties::due_duties;
use crate::answers::today::page::past;
use crate::answers::view::{Aim, Alarm, Level, ScreenId};
use crate::answers::words::counted;
use crate::domain::{Phase, Season};
use crate::planner::Plan;
use crate::steps::State;

/// Hours a day that one pair of hands has at most, where no session says more.
const DAY_MIN: i64 = 10 * 60;

/// Work that no number of days up to lights on holds, where no sessions are told to say so.
fn too_much(outlook: &Outlook, season: &Season, plan: &Plan) -> Option<String> {
    let days = (season.lights_on?.date() - outlook.local_now().date()).num_days();
    if plan.told.sessions || plan.phase == Phase::Down || days < 0 {
        return None;
    }
    let open = plan.steps.iter().filter(|p| !matches!(p.state, State::Done | State::Skipped));
    let left: i64 = open.map(|p| p.minutes_left() * p.step.hands).sum();
    let hands = outlook.yard.people.len().max(1) as i64;
    (left > (days + 1) * DAY_MIN * hands).then(|| {
        format!(
            "{} h of work in {} for {}: more than they hold",
            left / 60,
            counted(days, "day", "days"),
            counted(hands, "person", "people")
        )
    })
}

pub(crate) fn alarms(outlook: &Outlook, season: &Season, phase: Phase, plan: &Plan) -> Vec<Alarm> {
    let mut alarms = Vec::new();
    let over = past(season, phase, outlook.local_now().date());
    let mut add = |level: Level, what: String, remedy: &str, (screen, aim): (ScreenId, Aim)| {
        alarms.push(Alarm { level, what, remedy: remedy.to_owned(), screen, aim });
    };
    let late = plan.steps.iter().filter(|p| p.late).count();
    if let Some(first) = plan.steps.iter().find(|p| p.late && !over) {
        add(
            Level::Stop,
            format!(
                "{} after {}",
                counted(late as i64, "step ends", "steps end"),
                if plan.rehearsal.is_some() { "the rehearsal" } else { "lights on" }
            ),
            "add a session or a helper, or hold something back",
            (ScreenId::Plan, Aim::Step(first.step.key.to_string(), None)),
        );
    }
    if let Some(what) = left_out(outlook, plan).filter(|_| !over) {
        add(Level::Stop, what, "see why, and what helps", (ScreenId::Plan, Aim::Unplaced));
    }
    let (unplaced, others) = no_place(plan);
    let others_too = plan.unplaced.iter().any(|u| {
        let of = plan.step(&u.key).and_then(|p| p.step.placement);
        of.is_none_or(|id| !plan.left_out.contains(&id))
    });
    if unplaced > 0 && others_too && !over {
        let more = match others {
            0 => String::new(),
            1 => "; 1 more waits for them or is held".to_owned(),
            n => format!("; {n} more wait for them or are held"),
        };
        add(
            Level::Stop,
            format!("{} no place in the plan{more}", counted(unplaced as i64, "step has", "steps have")),
            "see why, and what helps",
            (ScreenId::Plan, Aim::Unplaced),
        );
    }
    for fault in &plan.faults {
        add(Level::Mend, fault.clone(), "correct the session", (ScreenId::Plan, Aim::First));
    }
    if let Some(what) = too_much(outlook, season, plan).filter(|_| !over) {
        add(
            Level::Stop,
            what,
            "tell sessions and helpers, or hold something back",
            (ScreenId::Plan, Aim::First),
        );
    }
    if let Some((many, first)) = wiring_stops(outlook).filter(|_| !over && phase != Phase::Down) {
        let what = format!("{} in the wiring, first: {first}", counted(many as i64, "stop", "stops"));
        add(Level::Stop, what, "each has its remedy there", (ScreenId::Power, Aim::First));
    }
    let facts = outlook.facts();
    let faulty = facts
        .placements_in(season.id)
        .into_iter()
        .filter_map(|p| facts.faults_of(p.id).find(|f| !facts.fault_over(f)))
        .collect::<Vec<_>>();
    if let Some(first) = faulty.first().filter(|_| !over) {
        add(
            Level::Mend,
            format!(
                "{} {}",
                counted(faulty.len() as i64, "placed prop has", "placed props have"),
                if faulty.iter().all(|f| f.piece_id.is_some()) { "a faulty piece" } else { "an open fault" }
            ),
            "mend and test it, or take a spare",
            (ScreenId::Faults, Aim::Fault(first.code.clone())),
        );
    }
    // Those of what is placed were said.
    let bench = outlook.yard.faults.iter().filter(|f| !facts.fault_over(f)).count();
    let other = bench - if over { 0 } else { faulty.len() };
    if other > 0 && phase != Phase::Down {
        let more = if other < bench { " more" } else { "" };
        add(
            Level::Note,
            format!("{other}{more} {} open", if other == 1 { "fault is" } else { "faults are" }),
            "look at the bench list",
            (ScreenId::Faults, Aim::First),
        );
    }
    let late_orders = late_needs(outlook, Some(plan));
    if late_orders > 0 {
        add(
            Level::Mend,
            format!(
                "{} have been ordered by now",
                counted(late_orders as i64, "need should", "needs should")
            ),
            "order them, or find them nearby",
            (ScreenId::Buy, Aim::First),
        );
    }
    if let Some((short, due)) = stock_due(outlook, season, plan).filter(|_| phase != Phase::Down && !over) {
        add(
            Level::Mend,
            format!(
                "stock: {} not usable; due since {}",
                counted(short as i64, "thing this plan needs is", "things this plan needs are"),
                due.format("%-d %b")
            ),
            "Buy names each with the day it is needed",
            (ScreenId::Buy, Aim::First),
        );
    }
    let pauses = pauses(outlook).len();
    if pauses > 0 {
        // Nothing waits for it: it goes by itself after some days.
        add(
            Level::Note,
            format!(
                "{} between the ticks of the last session",
                counted(pauses as i64, "long gap", "long gaps")
            ),
            "say in Walk what was pause, or leave it",
            (ScreenId::Walk, Aim::First),
        );
    }
    for (level, what, remedy, key) in due_duties(outlook, season, phase).into_iter().filter(|_| !over) {
        // While a show is lit its round is the list of the day: a duty stands in that of the way up.
        let listed = plan.steps.iter().any(|p| p.step.key.as_str() == key);
        let phase = if listed { None } else { Some(Phase::Up) };
        add(level, what, remedy, (ScreenId::Walk, Aim::Step(key, phase)));
    }
    // What the month asks for stands before what is only good to know.
    let mut all = due(outlook, plan);
    all.append(&mut alarms);
    let mut alarms = all;
    alarms.sort_by_key(|a| a.level);
    alarms
}
