//! Activities that must start at one and the same time: circles of lags of 0 become one activity with a shape.

use crate::planner::engine::order;
use crate::planner::engine::problem::{Activity, Edge, Lag, Problem, ProblemError};

/// The joined problem, for each activity the one it went into, and for each new one its members.
pub(super) struct Joined {
    pub(super) problem: Problem,
    pub(super) of: Vec<u32>,
    pub(super) members: Vec<Vec<usize>>,
}

/// Start-to-start lag of an edge with a fixed wait.
fn lag(p: &Problem, e: &Edge) -> Option<i32> {
    match e.lag {
        Lag::FinishStart { wait, within: None, same_day: false } if wait.table.is_none() => {
            Some(p.activities[e.pred].duration + wait.minutes)
        }
        Lag::StartStart { min } => Some(min),
        Lag::FinishStart { .. } => None,
    }
}

/// Joins circles of lags of 0; `None` where a circle is more than that.
pub(super) fn join(p: &Problem) -> Result<Option<Joined>, ProblemError> {
    let n = p.activities.len();
    let mut next = vec![Vec::new(); n];
    for e in &p.edges {
        if lag(p, e) == Some(0) {
            next[e.pred].push(e.succ);
        }
    }
    // Few activities are in a circle, so plain reachability will do.
    let reach = |from: usize| {
        let (mut seen, mut stack) = (vec![false; n], vec![from]);
        while let Some(i) = stack.pop() {
            for j in next[i].iter().copied() {
                if !seen[j] {
                    seen[j] = true;
                    stack.push(j);
                }
            }
        }
        seen
    };
    let mut of = vec![u32::MAX; n];
    let mut members: Vec<Vec<usize>> = Vec::new();
    for i in 0..n {
        if of[i] != u32::MAX {
            continue;
        }
        let from = if next[i].is_empty() { vec![false; n] } else { reach(i) };
        let group: Vec<usize> =
            (i..n).filter(|j| *j == i || (of[*j] == u32::MAX && from[*j] && reach(*j)[i])).collect();
        for j in &group {
            of[*j] = members.len() as u32;
        }
        members.push(group);
    }
    let mut activities = Vec::new();
    for group in &members {
        let first = &p.activities[group[0]];
        if group.len() > 1 && group.iter().any(|j| p.activities[*j].calendar.is_some()) {
            return Ok(None);
        }
        activities.push(Activity {
            duration: group.iter().map(|j| p.activities[*j].duration).max().unwrap_or(0),
            release: group.iter().filter_map(|j| p.activities[*j].release).max(),
            work: group.iter().any(|j| p.activities[*j].work),
            ..first.clone()
        });
    }
    let mut edges = Vec::new();
    for e in &p.edges {
        let Some(min) = lag(p, e) else { return Ok(None) };
        let (pred, succ) = (of[e.pred] as usize, of[e.succ] as usize);
        if pred != succ {
            edges.push(Edge { pred, succ, lag: Lag::StartStart { min } });
        }
    }
    let problem = Problem { activities, edges, ..p.clone() };
    order::topological(&problem)?;
    Ok(Some(Joined { problem, of, members }))
}
