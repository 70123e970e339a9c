//! Within which times an activity may lie, the goals being what they are.

use super::model::Model;
use super::reach::Reach;
use crate::planner::engine::problem::{FAR, Problem, Time};
use crate::planner::engine::schedule::Solution;

/// For each activity still to come its earliest start and its latest end at which worth ready, what is placed and the
/// days over stay as they are, whatever the others do; nothing where that is not known.
pub fn spans(p: &Problem, s: &Solution) -> Vec<(Option<Time>, Option<Time>)> {
    let Ok(m) = Model::new(p) else { return vec![(None, None); p.activities.len()] };
    let mut reach = Reach::new(&m);
    let ready = |g: usize| {
        let of_group = p.activities.iter().zip(&s.placed).filter(|(a, _)| a.group == Some(g));
        let mut ends = of_group.map(|(_, x)| x.as_ref().map(|x| x.end));
        ends.all(|end| end.is_some_and(|t| p.due.is_none_or(|d| t <= d)))
    };
    let lost: Vec<bool> = (0..p.groups.len()).map(|g| !ready(g)).collect();
    let limited = s.unplaced.is_empty() && reach.limit(&m, &lost, s.goals.days_over.value);
    let span = |i: usize| {
        let open = p.activities[i].fixed.is_none() && !reach.out[i];
        let latest = Some(reach.latest[i]).filter(|t| open && limited && *t < FAR);
        (Some(reach.head[i]).filter(|_| open), latest)
    };
    (0..m.n).map(span).collect()
}
