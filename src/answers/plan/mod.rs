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

use crate::answers::Outlook;
use crate::planner::Plan;

/// What the plan leaves out, by name.
pub(crate) fn left_out(outlook: &Outlook, plan: &Plan) -> Option<String> {
    let names = outlook.yard.placements.iter().filter(|p| plan.left_out.contains(&p.id));
    let names: Vec<String> = names.map(|p| format!("{} ({})", p.name, p.code)).collect();
    let they = if names.len() == 1 { "it" } else { "them" };
    (!names.is_empty()).then(|| {
        format!("left out, not ready in time: {}; all else is planned without {they}", names.join(", "))
    })
}

/// Steps that have no room in any session, and those that only wait for them or are held.
pub(crate) fn no_place(plan: &Plan) -> (usize, usize) {
    let mine = plan.unplaced.iter().filter(|u| u.code != "held" && u.code != "waits_for_unplaced").count();
    (mine, plan.unplaced.len() - mine)
}
