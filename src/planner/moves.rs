//! How often people change place, coming out again from desk or bench too, and ladders are set up in a plan.

use std::collections::BTreeMap;

use chrono::Duration;

use super::plan::{Moves, Plan, PlannedStep};
use crate::steps::State;

/// Persons changing place within a session (the first step not counted), and every ladder set-up, of open steps.
pub(super) fn count_moves(plan: &Plan) -> Moves {
    let mut moves = Moves::default();
    let mut rows: BTreeMap<(bool, &str), Vec<&PlannedStep>> = BTreeMap::new();
    for p in plan.steps.iter().filter(|p| p.from.is_some()) {
        let over = p.state == State::Done && p.to.is_some_and(|t| t <= plan.now - Duration::days(1));
        if over || p.state == State::Skipped {
            continue;
        }
        for name in &p.people {
            rows.entry((false, name)).or_default().push(p);
        }
        for (name, _) in &p.equipment {
            if plan.equipment.iter().any(|e| e.ladder && &e.name == name) {
                rows.entry((true, name)).or_default().push(p);
            }
        }
    }
    for ((ladder, _), list) in &mut rows {
        list.sort_by_key(|p| (p.from, p.to));
        let mut last: BTreeMap<Option<usize>, Option<crate::domain::PlaceId>> = BTreeMap::new();
        for p in list {
            if p.step.place.is_none() {
                if plan.setup.indoors_breaks && !*ladder && last.contains_key(&p.session) {
                    last.insert(p.session, None);
                }
                continue;
            }
            let before = last.insert(p.session, p.step.place);
            let moved = before.is_none_or(|b| b != p.step.place);
            if moved && p.state == State::Open {
                if *ladder {
                    moves.ladder += 1;
                } else if before.is_some() {
                    moves.place += 1;
                }
            }
        }
    }
    moves
}
