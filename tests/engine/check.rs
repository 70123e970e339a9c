//! An independent checker: is a solution feasible, and are its goal values what it says?

use ladderday::planner::engine::{Lag, Placed, Problem, Solution};

/// Every breach found, in words.
pub(super) fn faults(p: &Problem, s: &Solution) -> Vec<String> {
    let mut bad = Vec::new();
    let n = p.activities.len();
    if s.placed.len() != n {
        return vec![format!("{} of {n} activities answered", s.placed.len())];
    }
    for i in 0..n {
        let told = s.unplaced.iter().filter(|u| u.activity == i).count();
        if told != usize::from(s.placed[i].is_none()) {
            bad.push(format!("{i}: left out and explained {told} times"));
        }
        if let Some(x) = &s.placed[i] {
            one(p, i, x, &mut bad);
        }
    }
    for e in &p.edges {
        let (a, b) = (&p.activities[e.pred], &p.activities[e.succ]);
        if b.fixed.is_some() {
            continue;
        }
        let Some(y) = &s.placed[e.succ] else { continue };
        let Some(x) = &s.placed[e.pred] else {
            bad.push(format!("{} placed without {}", e.succ, e.pred));
            continue;
        };
        if b.run.is_some_and(|r| r.from == e.pred) {
            watched(p, (e.succ, y), x, &mut bad);
        }
        match e.lag {
            Lag::StartStart { min } if y.start < x.start + min => bad.push(format!("{e:?}: too soon")),
            Lag::StartStart { .. } => {}
            Lag::FinishStart { wait, within, same_day } => {
                let least = match (wait.table, x.session) {
                    (Some(t), Some(k)) => p.wait_tables[t][k as usize],
                    _ => wait.minutes,
                };
                if y.start < x.end + least {
                    bad.push(format!("{e:?}: too soon"));
                }
                if a.fixed.as_ref().is_some_and(|f| f.done) {
                    continue;
                }
                if within.is_some_and(|w| y.start > x.end + w) {
                    bad.push(format!("{e:?}: too late"));
                }
                if same_day && p.day(x.end) != p.day(y.start) {
                    bad.push(format!("{e:?}: another day"));
                }
            }
        }
    }
    shared(p, s, &mut bad);
    let need = moves(p, &s.placed);
    for (i, x) in s.placed.iter().enumerate() {
        if let Some(x) = x
            && x.setup != need[i]
        {
            bad.push(format!("{i}: {} minutes to move, {} needed", x.setup, need[i]));
        }
    }
    if s.goals.row() != row(p, &s.placed) {
        bad.push(format!("goal row said {:?}, is {:?}", s.goals.row(), row(p, &s.placed)));
    }
    bad
}

/// Somebody is there from the end of what started it until the look begins.
pub(super) fn watched(p: &Problem, (i, look): (usize, &Placed), start: &Placed, bad: &mut Vec<String>) {
    let there = p.workers.iter().any(|w| w.present.iter().any(|s| s.0 <= start.end && look.start <= s.1));
    if look.start > start.end && !there {
        bad.push(format!("{i}: nobody is there while it runs"));
    }
    if look.session != start.session {
        bad.push(format!("{i}: in another session than its start"));
    }
}

pub(super) fn one(p: &Problem, i: usize, x: &Placed, bad: &mut Vec<String>) {
    let a = &p.activities[i];
    if let Some(f) = &a.fixed {
        if (x.start, x.end) != (f.start, f.end) {
            bad.push(format!("{i}: moved though fixed"));
        }
        return;
    }
    let lead = x.start - x.setup;
    if a.held || x.end - x.start != a.duration || lead < p.now || a.release.is_some_and(|r| x.start < r) {
        bad.push(format!("{i}: held, too short or too soon"));
    }
    if a.deadline.is_some_and(|d| x.end > d) {
        bad.push(format!("{i}: after its deadline"));
    }
    if let Some(c) = a.calendar {
        let inside =
            p.calendars[c].iter().any(|w| w.from <= x.start && x.end <= w.to && Some(w.session) == x.session);
        let s = x.session.map(|k| &p.sessions[k as usize]);
        if !inside || s.is_none_or(|s| lead < s.from || x.end > s.to) {
            bad.push(format!("{i}: outside its window or session"));
        }
    }
    let hands = a.hands.max(u32::from(a.skills != 0)) as usize;
    let skills = x.workers.iter().fold(0, |m, w| m | p.workers[*w].skills);
    if x.workers.len() != hands || a.skills & !skills != 0 || x.workers.windows(2).any(|w| w[0] >= w[1]) {
        bad.push(format!("{i}: workers {:?} for {hands} hands, skills {}", x.workers, a.skills));
    }
    if !filled(p, &a.needs, &x.workers) {
        bad.push(format!("{i}: workers {:?} don't fill {:?}", x.workers, a.needs));
    }
    let there = |w: usize, from: i32| p.workers[w].present.iter().any(|s| s.0 <= from && x.end <= s.1);
    if x.workers.iter().any(|w| !there(*w, lead)) {
        bad.push(format!("{i}: somebody is not there"));
    }
    if a.not_alone && (0..p.workers.len()).filter(|w| there(*w, x.start)).count() < 2 {
        bad.push(format!("{i}: alone"));
    }
    let fits =
        x.units.len() == a.tools.len() && x.units.iter().zip(&a.tools).all(|(u, need)| need.contains(u));
    let twice = (1..x.units.len()).any(|k| x.units[..k].contains(&x.units[k]));
    if !fits || twice {
        bad.push(format!("{i}: units {:?} for {:?}", x.units, a.tools));
    }
}

/// Is there another worker for each need?
fn filled(p: &Problem, needs: &[u64], workers: &[usize]) -> bool {
    let Some((need, rest)) = needs.split_first() else { return true };
    workers.iter().any(|w| {
        let others: Vec<usize> = workers.iter().copied().filter(|x| x != w).collect();
        need & !p.workers[*w].skills == 0 && filled(p, rest, &others)
    })
}

/// Nobody and nothing is used beyond what there is; modes do not mix.
fn shared(p: &Problem, s: &Solution, bad: &mut Vec<String>) {
    let all: Vec<(usize, &Placed)> =
        s.placed.iter().enumerate().filter_map(|(i, x)| x.as_ref().map(|x| (i, x))).collect();
    for (k, (i, x)) in all.iter().enumerate() {
        for (j, y) in &all[..k] {
            pair(p, (*i, x), (*j, y), bad);
        }
    }
    resources(p, &all, bad);
}

fn live(p: &Problem, i: usize) -> bool {
    p.activities[i].fixed.as_ref().is_none_or(|f| !f.done)
}

/// Two placed activities side by side.
pub(super) fn pair(p: &Problem, (i, x): (usize, &Placed), (j, y): (usize, &Placed), bad: &mut Vec<String>) {
    if !live(p, i) || !live(p, j) {
        return;
    }
    let meet = x.start - x.setup < y.end && y.start - y.setup < x.end;
    let common =
        x.workers.iter().any(|w| y.workers.contains(w)) || x.units.iter().any(|u| y.units.contains(u));
    if meet && common {
        bad.push(format!("{i} and {j} share a worker or unit"));
    }
    let work = x.start < y.end && y.start < x.end;
    let (a, b) = (&p.activities[i].modes, &p.activities[j].modes);
    if work && a.iter().any(|m| b.iter().any(|o| m.0 == o.0 && m.1 != o.1)) {
        bad.push(format!("{i} and {j} want a box in two modes"));
    }
}

/// Cumulative resources over all that is placed.
pub(super) fn resources(p: &Problem, all: &[(usize, &Placed)], bad: &mut Vec<String>) {
    for (r, res) in p.resources.iter().enumerate() {
        let mut uses: Vec<(i32, i32, i32)> = Vec::new();
        for (i, x) in all {
            let a = &p.activities[*i];
            for d in a.demands.iter().filter(|d| d.0 == r && live(p, *i)) {
                uses.push((x.start - if res.with_setup { x.setup } else { 0 }, x.end, d.1));
            }
            let run = a.run.filter(|run| run.takes == r);
            if let Some((_, start)) = run.and_then(|run| all.iter().find(|o| o.0 == run.from)) {
                uses.push((start.start, x.end, 1));
            }
            // What starts a run holds its room to the end of the look.
            let looked = |h: usize| {
                all.iter().any(|(k, _)| p.activities[*k].run.is_some_and(|r| (r.from, r.takes) == (*i, h)))
            };
            for h in a.holds.iter().filter(|h| h.resource == r && !looked(h.resource)) {
                let wait = match (h.wait.table, x.session) {
                    (Some(t), Some(k)) => p.wait_tables[t][k as usize],
                    _ => h.wait.minutes,
                };
                uses.push((if h.from_start { x.start } else { x.end }, x.end + wait, h.amount));
            }
        }
        let points: Vec<i32> = uses.iter().map(|u| u.0).chain(res.dips.iter().map(|d| d.0)).collect();
        for t in points {
            let cap =
                res.dips.iter().filter(|d| d.0 <= t && t < d.1).map(|d| d.2).fold(res.capacity, i32::min);
            let used: i32 = uses.iter().filter(|u| u.0 <= t && t < u.1).map(|u| u.2).sum();
            if used > cap && used > 0 {
                bad.push(format!("resource {r}: {used} of {cap} at {t}"));
                break;
            }
        }
    }
}

/// Set-up each activity must bear, from the rows of everybody and every unit.
pub(super) fn moves(p: &Problem, placed: &[Option<Placed>]) -> Vec<i32> {
    let mut moved = vec![[false; 2]; placed.len()];
    for tool in [false, true] {
        let owners = if tool { p.units } else { p.workers.len() };
        for o in 0..owners {
            let mut row: Vec<(i32, i32, usize)> = Vec::new();
            for (i, x) in placed.iter().enumerate() {
                if let Some(x) = x
                    && (if tool { &x.units } else { &x.workers }).contains(&o)
                {
                    row.push((x.start, x.end, i));
                }
            }
            row.sort_unstable();
            let mut last = std::collections::BTreeMap::new();
            for (_, _, i) in row {
                let session = placed[i].as_ref().and_then(|x| x.session);
                let Some(place) = p.activities[i].place else {
                    if p.setup.inside_breaks && !tool {
                        last.remove(&session);
                    }
                    continue;
                };
                if last.insert(session, place) != Some(place) && p.activities[i].fixed.is_none() {
                    moved[i][usize::from(tool)] = true;
                }
            }
        }
    }
    let minutes =
        |m: &[bool; 2]| i32::from(m[0]) * p.setup.place_minutes + i32::from(m[1]) * p.setup.tool_minutes;
    moved.iter().map(minutes).collect()
}

/// The goal row, from the definition.
pub(super) fn row(p: &Problem, placed: &[Option<Placed>]) -> [i64; 5] {
    let mut worth = 0;
    for (g, group) in p.groups.iter().enumerate() {
        let ready = p
            .activities
            .iter()
            .zip(placed)
            .filter(|(a, _)| a.group == Some(g))
            .all(|(_, x)| x.as_ref().is_some_and(|x| p.due.is_none_or(|d| x.end <= d)));
        worth += if ready { group.worth } else { 0 };
    }
    let out = placed.iter().filter(|x| x.is_none()).count() as i64;
    let ends = p
        .activities
        .iter()
        .zip(placed)
        .filter(|(a, _)| a.work)
        .filter_map(|(_, x)| x.as_ref().map(|x| x.end));
    let finish = ends.max().unwrap_or(p.now);
    let days = p.comfort.map_or(0, |c| (f64::from(finish - c).max(0.0) / 1440.0).ceil() as i64);
    let setup: i32 = placed.iter().flatten().map(|x| x.setup).sum();
    [-worth, out, days, i64::from(setup) + waiting(p, placed) + sessions(p, placed), i64::from(finish)]
}

/// Minutes between what each worker does in one session, where they count; begun work aside.
fn waiting(p: &Problem, placed: &[Option<Placed>]) -> i64 {
    let mut all = 0;
    for w in (0..p.workers.len()).filter(|_| p.setup.waiting) {
        let open = p.activities.iter().zip(placed).filter(|(a, _)| a.fixed.is_none());
        let mut row: Vec<&Placed> = open.filter_map(|(_, x)| x.as_ref()).collect();
        row.retain(|x| x.workers.contains(&w) && x.session.is_some());
        row.sort_by_key(|x| (x.start, x.end));
        let pairs = row.windows(2).filter(|r| r[0].session == r[1].session);
        all += pairs.map(|r| i64::from((r[1].start - r[1].setup - r[0].end).max(0))).sum::<i64>();
    }
    all
}

/// What the sessions cost in which work is done, those begun aside.
fn sessions(p: &Problem, placed: &[Option<Placed>]) -> i64 {
    let begun: Vec<u32> = p.activities.iter().filter_map(|a| a.fixed.as_ref()?.session).collect();
    let work = p.activities.iter().zip(placed).filter(|(a, _)| a.work && a.fixed.is_none());
    let mut used: Vec<u32> = work.filter_map(|(_, x)| x.as_ref()?.session).collect();
    used.sort_unstable();
    used.dedup();
    used.retain(|s| !begun.contains(s));
    i64::from(p.setup.session_minutes) * used.len() as i64
}
