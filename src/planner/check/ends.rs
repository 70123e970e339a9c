//! The finish, its bound, the goals' bounds, what is late, and the order of the list.

use super::{Found, View};
use crate::domain::Phase;
use crate::steps::{Role, State};

pub(super) fn look(view: &View, found: &mut Found) {
    let plan = view.plan;
    let ends = plan.steps.iter().filter(|p| p.step.role == Role::Work);
    let finish = ends.filter(|p| matches!(p.state, State::Open | State::Doing)).filter_map(|p| p.to).max();
    if plan.finish != finish {
        found.say("finish_wrong", "", format!("said {:?}, is {finish:?}", plan.finish));
    }
    if plan.finish_lower_bound.zip(plan.finish).is_some_and(|(bound, finish)| bound > finish) {
        found.say("bound_wrong", "finish", "the bound lies after the finish");
    }
    for goal in &plan.goals {
        let beaten =
            if goal.name == "worth_ready" { goal.value > goal.bound } else { goal.value < goal.bound };
        if beaten || (plan.proven && goal.value != goal.bound) {
            let what = format!("value {}, bound {}, proven {}", goal.value, goal.bound, plan.proven);
            found.say("bound_wrong", goal.name, what);
        }
    }
    for (p, from, to) in view.placed() {
        let due = match p.step.role {
            Role::Work => plan.rehearsal.or(plan.lights_on),
            Role::Rehearsal => plan.lights_on.filter(|_| plan.rehearsal.is_none()),
            _ => None,
        };
        let after = due.is_some_and(|due| to > due) && plan.phase != Phase::Down;
        if p.late != after {
            found.say("late_wrong", &p.step.key, format!("said {}, ends {to}", p.late));
        }
        let earlier = view.placed().any(|(q, begins, _)| begins < from && q.order > p.order);
        if earlier {
            found.say("order_wrong", &p.step.key, "listed before a step that begins earlier");
        }
    }
    let mut ranks: Vec<usize> = plan.steps.iter().map(|p| p.order).collect();
    ranks.sort_unstable();
    if !ranks.iter().copied().eq(1..=ranks.len()) {
        found.say("order_wrong", "", "the order is not 1, 2, 3 …");
    }
}
