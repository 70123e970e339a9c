//! Lower bounds of the makespan: longest paths with lags and windows, and resource energy between heads and tails.

use super::instance::{Instance, LANES};

/// Earliest starts with lags, releases and windows; no resources.
pub(in crate::planner::engine) fn heads(i: &Instance) -> Vec<i32> {
    let mut head = vec![0; i.n];
    for j in i.by_rank.iter().map(|j| *j as usize) {
        let t = i.preds[j].iter().map(|(p, lag)| head[*p as usize] + lag).fold(i.release[j], i32::max);
        head[j] =
            i.table[j].map_or(t, |k| i.next_fit[k as usize].get(t as usize).copied().unwrap_or(i.slots));
    }
    head
}

/// Longest path from each start to the end; windows left out, so that it holds at any time.
pub(in crate::planner::engine) fn tails(i: &Instance) -> Vec<i32> {
    let mut tail = vec![0; i.n];
    for j in i.by_rank.iter().rev().map(|j| *j as usize) {
        let own = if i.work[j] { i.dur[j] } else { 0 };
        tail[j] = i.succs[j].iter().map(|(s, lag)| lag + tail[*s as usize]).fold(own, i32::max);
    }
    tail
}

/// Critical path, and for each resource the energy that must lie between a head and a tail.
pub(in crate::planner::engine) fn lower(i: &Instance) -> i32 {
    let (head, tail) = (heads(i), tails(i));
    let mut best = (0..i.n).map(|j| head[j] + tail[j]).max().unwrap_or(0);
    for r in 0..LANES {
        let users: Vec<usize> = (0..i.n).filter(|j| i.need[*j][r] > 0).collect();
        let mut starts: Vec<i32> = users.iter().map(|j| head[*j]).collect();
        starts.sort_unstable();
        starts.dedup();
        thin(&mut starts);
        let after = |j: usize| tail[j] - i.dur[j];
        let mut ends: Vec<i32> = users.iter().map(|j| after(*j)).collect();
        ends.sort_unstable();
        ends.dedup();
        thin(&mut ends);
        for a in &starts {
            for b in &ends {
                let energy: i64 = users
                    .iter()
                    .filter(|j| head[**j] >= *a && after(**j) >= *b)
                    .map(|j| i64::from(i.dur[*j]) * i64::from(i.need[*j][r]))
                    .sum();
                if energy == 0 {
                    continue;
                }
                // The first time by which this much has been on offer from `a` on.
                let (mut left, mut t) = (energy, *a);
                while left > 0 && t < i.slots {
                    left -= i64::from(i.capacity[t as usize][r]);
                    t += 1;
                }
                best = best.max(t + b);
            }
        }
    }
    best
}

/// On large problems some heads and tails stand for all.
fn thin(times: &mut Vec<i32>) {
    let step = times.len().div_ceil(60).max(1);
    let mut k = 0;
    times.retain(|_| {
        k += 1;
        (k - 1) % step == 0
    });
}

/// Which activities come after an activity because it must have ended.
pub(in crate::planner::engine) fn reach(i: &Instance) -> Vec<Vec<bool>> {
    let mut after = vec![vec![false; i.n]; i.n];
    for j in i.by_rank.iter().rev().map(|j| *j as usize) {
        let mut own = vec![false; i.n];
        for (s, lag) in &i.succs[j] {
            let s = *s as usize;
            if *lag >= i.dur[j] {
                own[s] = true;
                for (o, a) in own.iter_mut().zip(&after[s]) {
                    *o |= *a;
                }
            }
        }
        after[j] = own;
    }
    after
}
