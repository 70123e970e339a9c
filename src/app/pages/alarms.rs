//! What is in the way, each with its remedy and the screen where it is.

use crate::app::owner::App;
use crate::app::view::{Alarm, Level, ScreenId};
use crate::domain::{Phase, Season};
use crate::planner::Plan;
use crate::store::Mode;

impl App {
    pub(in crate::app) fn alarms(&self, season: &Season, phase: Phase, plan: &Plan) -> Vec<Alarm> {
        let mut alarms = Vec::new();
        let mut add = |level: Level, what: String, remedy: &str, screen: ScreenId| {
            alarms.push(Alarm { level, what, remedy: remedy.to_owned(), screen });
        };
        if let Mode::Damaged { what } = self.store.mode() {
            add(
                Level::Stop,
                format!("the yard file is damaged: {what}"),
                "bring back a backup with `ladderday restore`; nothing is written any more",
                ScreenId::Today,
            );
        }
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
        let facts = self.facts();
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
        let bench = self.yard.faults.iter().filter(|f| !facts.fault_over(f)).count();
        if bench > 0 && phase != Phase::Down {
            add(Level::Note, format!("{bench} faults are open"), "look at the bench list", ScreenId::Faults);
        }
        let late_orders = self.late_needs(Some(plan));
        if late_orders > 0 {
            add(
                Level::Mend,
                format!("{late_orders} needs should have been ordered by now"),
                "order them, or find them nearby",
                ScreenId::Buy,
            );
        }
        if let Some((short, due)) = self.stock_due(season, plan).filter(|_| phase != Phase::Down) {
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
        let pauses = self.pauses().len();
        if pauses > 0 {
            // Nothing waits for it: it goes by itself after some days.
            add(
                Level::Note,
                format!("{pauses} long gaps between the ticks of the last session"),
                "say in Walk what was pause, or leave it",
                ScreenId::Walk,
            );
        }
        for (level, what, remedy) in self.due_duties(season, phase) {
            add(level, what, remedy, ScreenId::Walk);
        }
        alarms.sort_by_key(|a| a.level);
        alarms
    }
}
