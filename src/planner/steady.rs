//! Planning again with the smallest disturbance: the session that runs keeps its order.

use super::engine::{
    Control, Edge, Lag, Limits as EngineLimits, Problem, ProblemError, Solution, Stretch, Time, Window,
    bound, solve,
};
use super::make::Frame;
use super::map::Item;
use super::searches::{share, solve_kept};
use crate::steps::{State, StepKey};

impl Frame<'_> {
    /// Positions of the steps expected in the session that runs now, and that session.
    pub(super) fn running(&self, items: &[Item], keys: &[StepKey]) -> (Vec<usize>, u32) {
        let now = self.request.now;
        let Some(session) = self.calendar.sessions.iter().position(|s| s.from <= now && now < s.to) else {
            return (Vec::new(), 0);
        };
        let mut list: Vec<usize> = Vec::new();
        for key in keys {
            let open = |i: &Item| &i.step.key == key && i.state == State::Open && i.time_unknown.is_none();
            list.extend(items.iter().position(open).filter(|at| !list.contains(at)));
        }
        (list, session as u32)
    }
}

/// Plans with the steps of the session that runs kept in it and in their order, and without that demand. The steady
/// plan stands where it is no worse in worth, steps left out and days over; minutes of moving and the hour of the end
/// are not worth a changed evening.
pub(super) fn solve_steady(
    problem: &Problem,
    limits: &EngineLimits,
    control: &Control,
    (running, session): (&[usize], u32),
) -> Result<Solution, ProblemError> {
    if running.is_empty() {
        return solve_kept(problem, limits, control);
    }
    // Known of the problem without the demand, it holds with it too.
    let bound = control.bound.map_or_else(|| bound(problem), Ok)?;
    let quick = Control { progress: &|_| (), bound: Some(bound), ..*control };
    let stay = what_still_fits(problem, limits.seed, &quick, running, session)?;
    if stay.is_empty() {
        return solve_kept(problem, limits, control);
    }
    let (first, second) = (|p| (control.progress)(share(p, 0, 2)), |p| (control.progress)(share(p, 1, 2)));
    let steady = Control { progress: &first, bound: Some(bound), ..*control };
    let steady = solve(&pinned(problem, &stay, session, true), limits, &steady)?;
    let free = solve_kept(problem, limits, &Control { progress: &second, bound: Some(bound), ..*control })?;
    let kept = stay.iter().all(|i| steady.placed.get(*i).is_some_and(Option::is_some));
    if !kept || free.goals.row().get(..3) < steady.goals.row().get(..3) {
        return Ok(free);
    }
    let schedules = steady.schedules.max(free.schedules);
    Ok(Solution { schedules, ..steady })
}

/// Those of the steps expected in the session that runs which still fit it, one after the other as expected.
fn what_still_fits(
    problem: &Problem,
    seed: u64,
    control: &Control,
    running: &[usize],
    session: u32,
) -> Result<Vec<usize>, ProblemError> {
    let placed = |stay: &[usize], chained: bool| -> Result<Vec<bool>, ProblemError> {
        let once = EngineLimits { schedules: 1, seed };
        let found = solve(&pinned(problem, stay, session, chained), &once, control)?;
        Ok(stay.iter().map(|i| found.placed.get(*i).is_some_and(Option::is_some)).collect())
    };
    let mut stay = running.to_vec();
    let fits = placed(&stay, false)?;
    let mut fit = fits.iter();
    stay.retain(|_| fit.next() == Some(&true));
    // In a chain the first that does not fit keeps the others out: it alone is let go.
    while let Some(first) = placed(&stay, true)?.iter().position(|p| !p) {
        stay.remove(first);
    }
    Ok(stay)
}

/// The problem with these activities held in one session, and begun in this order where `chained`.
fn pinned(problem: &Problem, stay: &[usize], session: u32, chained: bool) -> Problem {
    let mut p = problem.clone();
    for i in stay {
        let Some(a) = p.activities.get_mut(*i) else { continue };
        let all = a.calendar.and_then(|c| problem.calendars.get(c));
        let here: Vec<Window> = all.into_iter().flatten().filter(|w| w.session == session).copied().collect();
        a.calendar = Some(p.calendars.len());
        p.calendars.push(here);
    }
    if chained {
        // All of it is held in the session: only the rounds of the boxes and running tests bind more than the order that runs.
        let whole = |s: &Stretch| s.activities.iter().all(|i| stay.contains(i));
        let runs = |s: &Stretch| {
            s.activities.iter().any(|i| problem.activities.get(*i).is_some_and(|a| a.run.is_some()))
        };
        p.stretches.retain(|s| s.off.is_some() || runs(s) || !whole(s));
        // What follows within a stretch is bound to its first already; what others do meanwhile must not come between.
        let stretches = &p.stretches;
        let later = |i: &usize| stretches.iter().any(|s| s.activities.iter().skip(1).any(|k| k == i));
        let free: Vec<usize> = stay.iter().copied().filter(|i| !later(i)).collect();
        let pairs = free.iter().zip(free.iter().skip(1));
        p.edges.extend(pairs.map(|(a, b)| Edge { pred: *a, succ: *b, lag: Lag::StartStart { min: 0 } }));
        // What else comes into the session comes at its end, but for what is waited for there.
        if let Some(last) = free.last() {
            let awaited = awaited(problem, stay);
            let open = |i: &usize| problem.activities.get(*i).is_some_and(|a| a.fixed.is_none());
            let others = (0..awaited.len()).filter(|i| !awaited[*i]).filter(open);
            p.edges.extend(others.map(|succ| Edge { pred: *last, succ, lag: Lag::StartStart { min: 1 } }));
        }
    }
    p
}

/// Those activities, all that is in one stretch with them, and whatever these wait for.
fn awaited(problem: &Problem, stay: &[usize]) -> Vec<bool> {
    let mut before = vec![Vec::new(); problem.activities.len()];
    for e in &problem.edges {
        before[e.succ].push(e.pred);
    }
    let touched = problem.stretches.iter().filter(|s| s.activities.iter().any(|i| stay.contains(i)));
    let mut todo: Vec<usize> = touched.flat_map(|s| &s.activities).chain(stay).copied().collect();
    let mut seen = vec![false; before.len()];
    while let Some(i) = todo.pop() {
        if !std::mem::replace(&mut seen[i], true) {
            todo.extend(&before[i]);
        }
    }
    seen
}

/// Without a date to be ready by (on the way down) the day a first plan ends is soon enough: saved minutes must not
/// draw the work out over weeks.
pub(super) fn soon_enough(problem: &Problem, seed: u64) -> Option<Time> {
    let first = solve(problem, &EngineLimits { schedules: 1, seed }, &Control::default()).ok()?;
    let end = Time::try_from(first.goals.finish.value).ok()?;
    Some((end / 1440 + 1) * 1440)
}
