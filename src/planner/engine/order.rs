//! Checks a problem and sorts its activities so that every predecessor comes first.

use super::problem::{Edge, Lag};
use super::problem::{FAR, Problem, ProblemError, Time, Wait};

/// Most workers, and most tool needs of one activity, that the decoder of yards can hold.
pub(super) const MOST_WORKERS: usize = 64;
pub(super) const MOST_TOOLS: usize = 4;

fn index(what: &'static str, item: usize, index: usize, len: usize) -> Result<(), ProblemError> {
    if index < len { Ok(()) } else { Err(ProblemError::Index { what, item, index, len }) }
}

fn range(what: &'static str, item: usize, value: Time, from: Time, to: Time) -> Result<(), ProblemError> {
    if value < from {
        Err(ProblemError::Range { what, item, value: i64::from(value), limit: i64::from(from) })
    } else if value > to {
        Err(ProblemError::Range { what, item, value: i64::from(value), limit: i64::from(to) })
    } else {
        Ok(())
    }
}

fn wait(p: &Problem, what: &'static str, item: usize, w: Wait) -> Result<(), ProblemError> {
    range(what, item, w.minutes, -FAR, FAR)?;
    w.table.map_or(Ok(()), |t| index(what, item, t, p.wait_tables.len()))
}

/// Every index names something, every figure is in range, everything sorted is sorted.
pub(super) fn check(p: &Problem) -> Result<(), ProblemError> {
    range("now", 0, p.now, -FAR, FAR)?;
    if p.workers.len() > MOST_WORKERS {
        return Err(ProblemError::Range {
            what: "number of workers",
            item: 0,
            value: p.workers.len() as i64,
            limit: MOST_WORKERS as i64,
        });
    }
    for (i, s) in p.sessions.iter().enumerate() {
        range("session start", i, s.from, -FAR, FAR)?;
        range("session end", i, s.to, s.from, FAR)?;
    }
    for (c, windows) in p.calendars.iter().enumerate() {
        for w in windows {
            index("calendar", c, w.session as usize, p.sessions.len())?;
            range("calendar", c, w.from, -FAR, FAR)?;
            range("calendar", c, w.to, w.from, FAR)?;
        }
        if windows.windows(2).any(|w| matches!(w, [a, b] if b.from < a.to)) {
            return Err(ProblemError::Unsorted { what: "calendar", item: c });
        }
    }
    for (i, w) in p.workers.iter().enumerate() {
        for (from, to) in &w.present {
            range("worker's presence", i, *from, -FAR, FAR)?;
            range("worker's presence", i, *to, *from, FAR)?;
        }
        if w.present.windows(2).any(|w| matches!(w, [a, b] if b.0 < a.1)) {
            return Err(ProblemError::Unsorted { what: "worker", item: i });
        }
    }
    if p.midnights.windows(2).any(|w| matches!(w, [a, b] if b <= a)) {
        return Err(ProblemError::Unsorted { what: "midnights", item: 0 });
    }
    for (i, r) in p.resources.iter().enumerate() {
        range("capacity of resource", i, r.capacity, 0, FAR)?;
        for (from, to, units) in &r.dips {
            range("capacity of resource", i, *units, 0, FAR)?;
            range("dip of resource", i, *from, -FAR, FAR)?;
            range("dip of resource", i, *to, *from, FAR)?;
        }
    }
    range("set-up minutes of place", 0, p.setup.place_minutes, 0, FAR)?;
    range("set-up minutes of tool", 0, p.setup.tool_minutes, 0, FAR)?;
    range("minutes of a session used", 0, p.setup.session_minutes, 0, FAR)?;
    for (t, table) in p.wait_tables.iter().enumerate() {
        for w in table {
            range("wait table", t, *w, -FAR, FAR)?;
        }
    }
    activities(p)?;
    let n = p.activities.len();
    for (k, s) in p.stretches.iter().enumerate() {
        for i in &s.activities {
            index("stretch", k, *i, n)?;
        }
        s.off.map_or(Ok(()), |r| index("stretch", k, r, p.mode_resources))?;
    }
    for (i, Edge { pred, succ, lag }) in p.edges.iter().enumerate() {
        index("edge", i, *pred, n)?;
        index("edge", i, *succ, n)?;
        match lag {
            Lag::FinishStart { wait: w, within, .. } => {
                wait(p, "wait of edge", i, *w)?;
                within.map_or(Ok(()), |w| range("latest wait of edge", i, w, 0, FAR))?;
            }
            Lag::StartStart { min } => range("lag of edge", i, *min, -FAR, FAR)?,
        }
    }
    Ok(())
}

fn activities(p: &Problem) -> Result<(), ProblemError> {
    for (i, a) in p.activities.iter().enumerate() {
        range("duration of activity", i, a.duration, 0, FAR)?;
        a.calendar.map_or(Ok(()), |c| index("activity", i, c, p.calendars.len()))?;
        a.group.map_or(Ok(()), |g| index("activity", i, g, p.groups.len()))?;
        a.release.map_or(Ok(()), |t| range("release of activity", i, t, -FAR, FAR))?;
        a.deadline.map_or(Ok(()), |t| range("deadline of activity", i, t, -FAR, FAR))?;
        if let Some(run) = a.run {
            index("activity", i, run.from, p.activities.len())?;
            index("activity", i, run.takes, p.resources.len())?;
        }
        for (r, amount) in &a.demands {
            index("activity", i, *r, p.resources.len())?;
            range("demand of activity", i, *amount, 0, FAR)?;
        }
        for h in &a.holds {
            index("activity", i, h.resource, p.resources.len())?;
            range("hold of activity", i, h.amount, 0, FAR)?;
            wait(p, "hold of activity", i, h.wait)?;
        }
        for (r, _) in &a.modes {
            index("activity", i, *r, p.mode_resources)?;
        }
        range("tool needs of activity", i, a.tools.len() as Time, 0, MOST_TOOLS as Time)?;
        for u in a.tools.iter().flatten() {
            index("activity", i, *u, p.units.min(usize::from(u16::MAX)))?;
        }
        if let Some(f) = &a.fixed {
            range("fixed start of activity", i, f.start, -FAR, FAR)?;
            range("fixed end of activity", i, f.end, f.start, FAR)?;
            f.session.map_or(Ok(()), |s| index("activity", i, s as usize, p.sessions.len()))?;
            for w in &f.workers {
                index("activity", i, *w, p.workers.len())?;
            }
            for u in &f.units {
                index("activity", i, *u, p.units)?;
            }
        }
    }
    Ok(())
}

/// Predecessors first; among equals the smaller index.
pub(super) fn topological(p: &Problem) -> Result<Vec<usize>, ProblemError> {
    let (order, circle) = order_and_circles(p);
    if circle.iter().any(|c| *c) {
        let activities = (0..circle.len()).filter(|i| circle.get(*i) == Some(&true)).take(8).collect();
        return Err(ProblemError::Cycle { activities });
    }
    Ok(order)
}

/// The same for a problem with circles: which activities lie on one (or between two); edges among those are not
/// looked at in the order.
pub(super) fn order_and_circles(p: &Problem) -> (Vec<usize>, Vec<bool>) {
    let edges: Vec<(usize, usize)> = p.edges.iter().map(|e| (e.pred, e.succ)).collect();
    order_of(p.activities.len(), &edges)
}

/// The same for plain pairs of what comes first and what then.
pub(super) fn order_of(n: usize, edges: &[(usize, usize)]) -> (Vec<usize>, Vec<bool>) {
    let left = after_all(n, edges.iter().copied());
    let mut circle: Vec<bool> = left.1;
    if circle.iter().any(|c| *c) {
        // What only comes after a circle is no part of it.
        let on = |i: usize| circle.get(i) == Some(&true);
        let within = edges.iter().filter(|e| on(e.0) && on(e.1));
        let back: Vec<(usize, usize)> = within.map(|e| (e.1, e.0)).collect();
        circle = after_all(n, back.into_iter()).1;
    }
    let on = |i: usize| circle.get(i) == Some(&true);
    let free = edges.iter().copied().filter(|e| !(on(e.0) && on(e.1)));
    let order = after_all(n, free).0;
    (order, circle)
}

/// Those whose predecessors all come first, in that order, and which are left over.
fn after_all(n: usize, edges: impl Iterator<Item = (usize, usize)>) -> (Vec<usize>, Vec<bool>) {
    let mut open = vec![0usize; n];
    let mut next = vec![Vec::new(); n];
    for (pred, succ) in edges {
        if let (Some(o), Some(s)) = (open.get_mut(succ), next.get_mut(pred)) {
            *o += 1;
            s.push(succ);
        }
    }
    let mut ready: std::collections::BTreeSet<usize> =
        open.iter().enumerate().filter(|(_, o)| **o == 0).map(|(i, _)| i).collect();
    let mut order = Vec::with_capacity(n);
    while let Some(i) = ready.pop_first() {
        order.push(i);
        for s in next.get(i).into_iter().flatten() {
            if let Some(o) = open.get_mut(*s) {
                *o -= 1;
                if *o == 0 {
                    ready.insert(*s);
                }
            }
        }
    }
    let left = open.iter().map(|o| *o > 0).collect();
    (order, left)
}
