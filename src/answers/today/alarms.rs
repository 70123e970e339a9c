//! What is in the way, each with its remedy and the screen where it is.

use crate::answers::Outlook;
use crate::answers::record::pauses::pauses;
use crate::answers::shopping::list::late_needs;
use crate::answers::shopping::stock::stock_due;
use crate::answers::today::due::due;
use crate::answers::today::duties::due_duties;
use crate::answers::view::{Alarm, Level, ScreenId};
use crate::domain::{Phase, Season};
use crate::planner::Plan;

pub(crate) fn alarms(outlook: &Outlook, season: &Season, phase: Phase, plan: &Plan) -> Vec<Alarm> {
    let mut alarms = Vec::new();
    let mut add = |level: Level, what: String, remedy: &str, screen: ScreenId| {
        alarms.push(Alarm { level, what, remedy: remedy.to_owned(), screen });
    };
    let late = plan.steps.iter().filter(|p| p.late).count();
    if late > 0 {
        add(
            Level::Stop,
            format!("{late} steps end after the rehearsal"),
            "add a session or a helper, or hold something back",
            ScreenId::Plan,
        );
    }
    let unplaced =
        plan.unplaced.iter().filter(|u| u.code != "held" && u.code != "waits_for_unplaced").count();
    if unplaced > 0 {
        add(
            Level::Stop,
            format!("{unplaced} steps have no place in the plan"),
            "see why, and what helps",
            ScreenId::Plan,
        );
    }
    for fault in &plan.faults {
        add(Level::Mend, fault.clone(), "correct the session", ScreenId::Plan);
    }
    let facts = outlook.facts();
    let faulty = facts
        .placements_in(season.id)
        .into_iter()
        .filter(|p| facts.pieces_of(p.id).iter().any(|x| !facts.open_faults(*x).is_empty()))
        .count();
    if faulty > 0 {
        add(
            Level::Mend,
            format!("{faulty} placements have a faulty piece"),
            "mend and test it, or take a spare",
            ScreenId::Faults,
        );
    }
    let bench = outlook.yard.faults.iter().filter(|f| !facts.fault_over(f)).count();
    if bench > 0 && phase != Phase::Down {
        add(Level::Note, format!("{bench} faults are open"), "look at the bench list", ScreenId::Faults);
    }
    let late_orders = late_needs(outlook, Some(plan));
    if late_orders > 0 {
        add(
            Level::Mend,
            format!("{late_orders} needs should have been ordered by now"),
            "order them, or find them nearby",
            ScreenId::Buy,
        );
    }
    if let Some((short, due)) = stock_due(outlook, season, plan).filter(|_| phase != Phase::Down) {
        add(
            Level::Mend,
            format!(
                "stock: {short} things this plan needs are not usable; due since {}",
                due.format("%-d %b")
            ),
            "ladderday check stock names them",
            ScreenId::Buy,
        );
    }
    let pauses = pauses(outlook).len();
    if pauses > 0 {
        // Nothing waits for it: it goes by itself after some days.
        add(
            Level::Note,
            format!("{pauses} long gaps between the ticks of the last session"),
            "say in Walk what was pause, or leave it",
            ScreenId::Walk,
        );
    }
    for (level, what, remedy) in due_duties(outlook, season, phase) {
        add(level, what, remedy, ScreenId::Walk);
    }
    // What the month asks for stands before what is only good to know.
    let mut all = due(outlook, season, plan);
    all.append(&mut alarms);
    let mut alarms = all;
    alarms.sort_by_key(|a| a.level);
    alarms
}
