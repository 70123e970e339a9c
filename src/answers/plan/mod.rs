//! A plan in words and figures: the page, the checklist, why, odds, what-if, what to leave out.
//!
//! Not here: the search (`planner`).

mod change;
pub(crate) mod checklist;
pub mod choices;
pub(crate) mod drops;
pub(crate) mod helps;
pub(crate) mod odds;
pub(crate) mod page;
pub(crate) mod summary;
mod way;
pub(crate) mod what_if;
pub(crate) mod why;

use crate::planner::Plan;

/// Steps that have no room in any session, and those that only wait for them or are held.
pub(crate) fn no_place(plan: &Plan) -> (usize, usize) {
    let mine = plan.unplaced.iter().filter(|u| u.code != "held" && u.code != "waits_for_unplaced").count();
    (mine, plan.unplaced.len() - mine)
}
