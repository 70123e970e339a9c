//! Planning again with the smallest disturbance: the session that runs keeps its order.

use super::engine::{
    Control, Edge, Lag, Limits as EngineLimits, Problem, ProblemError, Solution, StoppedBy, Stretch, Time,
    Window, solve,
};
use super::make::{Frame, share, solve_kept};
use super::map::Item;
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
    let stay = what_still_fits(problem, limits.seed, control, running, session)?;
    if stay.is_empty() {
        return solve_kept(problem, limits, control);
    }
    let (first, second) = (|p| (control.progress)(share(p, 0, 2)), |p| (control.progress)(share(p, 1, 2)));
    let pinned = pinned(problem, &stay, session, true);
    let mut steady = solve(&pinned, limits, &Control { progress: &first, ..*control })?;
    let free = solve_kept(problem, limits, &Control { progress: &second, ..*control })?;
    let kept = stay.iter().all(|i| steady.placed.get(*i).is_some_and(Option::is_some));
    if !kept || free.goals.row().get(..3) < steady.goals.row().get(..3) {
        return Ok(free);
    }
    // What no plan can better is known only of the problem without the demand.
    let (goals, bound) = (&mut steady.goals, free.goals);
    goals.worth.bound = bound.worth.bound.max(goals.worth.value);
    goals.unplaced.bound = bound.unplaced.bound.min(goals.unplaced.value);
    goals.days_over.bound = bound.days_over.bound.min(goals.days_over.value);
    goals.given.bound = bound.given.bound.min(goals.given.value);
    goals.finish.bound = bound.finish.bound.min(goals.finish.value);
    if steady.stopped_by == StoppedBy::Bound && !goals.proven() {
        steady.stopped_by = StoppedBy::Schedules;
    }
    steady.schedules = steady.schedules.max(free.schedules);
    Ok(steady)
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
        let control = Control { progress: &|_| (), ..*control };
        let found = solve(&pinned(problem, stay, session, chained), &once, &control)?;
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
    }
    p
}

/// Without a date to be ready by (on the way down) the day a first plan ends is soon enough: saved minutes must not
/// draw the work out over weeks.
pub(super) fn soon_enough(problem: &Problem, seed: u64) -> Option<Time> {
    let control = Control { stop: &|| false, progress: &|_| (), kept: None };
    let first = solve(problem, &EngineLimits { schedules: 1, seed }, &control).ok()?;
    let end = Time::try_from(first.goals.finish.value).ok()?;
    Some((end / 1440 + 1) * 1440)
}
