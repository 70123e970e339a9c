//! What going elsewhere costs is paid, and counted.

use std::collections::BTreeMap;

use chrono::Duration;

use super::{Found, View};
use crate::domain::PlaceId;
use crate::planner::{Moves, PlannedStep};
use crate::steps::{State, StepKey};

pub(super) fn look(view: &View, found: &mut Found) {
    let mut rows: BTreeMap<(bool, &str), Vec<&PlannedStep>> = BTreeMap::new();
    let long_over = view.now - Duration::days(1);
    for p in &view.plan.steps {
        let (Some(_), Some(to)) = (p.from, p.to) else { continue };
        if p.state == State::Done && to <= long_over {
            continue;
        }
        for name in &p.people {
            rows.entry((false, name)).or_default().push(p);
        }
        for (name, _) in &p.equipment {
            if view.plan.equipment.iter().any(|u| u.ladder && &u.name == name) {
                rows.entry((true, name)).or_default().push(p);
            }
        }
    }
    let mut counted = Moves::default();
    // Whether a step must pay for a place, for a ladder.
    let mut due: BTreeMap<&StepKey, (bool, bool)> = BTreeMap::new();
    for ((ladder, _), mut row) in rows {
        row.sort_by_key(|p| (p.from, p.to));
        let mut last: BTreeMap<Option<usize>, Option<PlaceId>> = BTreeMap::new();
        for p in row {
            let Some(place) = p.step.place else {
                // Who was out and goes in comes from elsewhere the next time.
                if let Some(at) =
                    last.get_mut(&p.session).filter(|_| !ladder && view.plan.setup.indoors_breaks)
                {
                    *at = None;
                }
                continue;
            };
            let before = last.insert(p.session, Some(place));
            if before == Some(Some(place)) || p.state != State::Open {
                continue;
            }
            let pays = due.entry(&p.step.key).or_default();
            if ladder {
                counted.ladder += 1;
                pays.1 = true;
            } else {
                counted.place += usize::from(before.is_some());
                pays.0 = true;
            }
        }
    }
    for (key, (place, ladder)) in due {
        let setup = view.plan.setup;
        let need = if place { setup.place } else { 0 } + if ladder { setup.ladder } else { 0 };
        let paid = view.steps.get(key).map_or(0, |p| p.setup_minutes);
        if paid < need {
            found.say("move_unpaid", key, format!("{paid} minutes to move, {need} needed"));
        }
    }
    if counted != view.plan.moves {
        found.say("moves_wrong", "", format!("said {:?}, counted {counted:?}", view.plan.moves));
    }
}
