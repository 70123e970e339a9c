//! The plan that was kept stands while it holds: its steps stay where and with whom people expect them, what no longer fits
//! is planned anew around them, and nothing is moved for minutes alone.

use super::engine::{Control, Limits, Problem, ProblemError, Solution, Time, Window, bound};
use super::steady::solve_steady;

/// Where a kept plan has a step: its activity, its start, and who does it.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(super) struct Pin {
    pub(super) activity: usize,
    pub(super) start: Time,
    pub(super) workers: Vec<usize>,
}

/// So many schedules place what was not kept, or fits no more; fewer where each takes long.
const AROUND: u64 = 64;
/// Schedules times steps for that.
const AROUND_STEPS: u64 = 32_000;
/// How often what does not fit is tried before all else, and then let go.
const TURNS: usize = 4;
const ROUNDS: usize = 4;

/// Plans with the kept steps where they are, and afresh where that is worse in worth, steps left out or days over.
pub(super) fn solve_expected(
    problem: &Problem,
    limits: &Limits,
    control: &Control,
    pins: &[Pin],
    running: (&[usize], u32),
) -> Result<Solution, ProblemError> {
    if pins.is_empty() {
        return solve_steady(problem, limits, control, running);
    }
    let bound = bound(problem)?;
    let quiet = Control { progress: &|_| (), bound: Some(bound), ..*control };
    let mut pins: Vec<&Pin> = pins.iter().collect();
    let around =
        AROUND.min(AROUND_STEPS / problem.activities.len().max(1) as u64).min(limits.schedules).max(1);
    let mut held = None;
    // What was laid out in another order may find no room in that of its times, though there is room for all: whoever
    // found none goes first (D. E. Joslin, D. P. Clements, "Squeaky wheel optimization", JAIR 10 (1999) 353-373).
    let mut order = control.kept.unwrap_or_default().to_vec();
    let (mut turns, mut schedules) = (if control.kept.is_some() { TURNS } else { 0 }, 1);
    for _ in 0..TURNS + ROUNDS {
        let control = Control { kept: control.kept.map(|_| order.as_slice()), ..quiet };
        let found =
            solve_steady(&pinned(problem, &pins), &Limits { schedules, ..*limits }, &control, running)?;
        let placed = |i: usize| found.placed.get(i).is_some_and(Option::is_some);
        let lost: Vec<usize> = pins.iter().map(|p| p.activity).filter(|i| !placed(*i)).collect();
        let done = lost.is_empty() && (schedules > 1 || at_bound(&found));
        if turns > 0 && !lost.is_empty() {
            turns -= 1;
            let rest = order.iter().copied().filter(|i| !lost.contains(i));
            order = lost.iter().copied().chain(rest).collect();
        } else {
            pins.retain(|p| placed(p.activity));
            schedules = around;
        }
        held = Some(found);
        if done {
            break;
        }
    }
    let Some(held) = held else { return solve_steady(problem, limits, control, running) };
    if at_bound(&held) {
        return Ok(Solution { schedules: limits.schedules, ..held });
    }
    let free = solve_steady(problem, limits, control, running)?;
    if free.goals.row().get(..3) < held.goals.row().get(..3) {
        return Ok(free);
    }
    Ok(Solution { schedules: free.schedules, ..held })
}

/// Can nothing be better in worth, steps left out or days over?
fn at_bound(s: &Solution) -> bool {
    [s.goals.worth, s.goals.unplaced, s.goals.days_over].iter().all(|g| g.value == g.bound)
}

/// The problem with these activities held at their starts, by those who were to do them where they still can.
fn pinned(problem: &Problem, pins: &[&Pin]) -> Problem {
    let mut p = problem.clone();
    let used = p.workers.iter().fold(0, |b, w| b | w.skills)
        | p.activities.iter().fold(0, |b, a| b | a.skills | a.needs.iter().fold(0, |b, n| b | n));
    let own: Vec<u64> = (0..64).map(|b| 1 << b).filter(|b| used & b == 0).take(p.workers.len()).collect();
    // A skill of each person's own names them.
    let named = own.len() == p.workers.len();
    for pin in pins {
        let Some(a) = p.activities.get_mut(pin.activity).filter(|a| a.fixed.is_none()) else { continue };
        let end = pin.start + a.duration;
        let all = a.calendar.and_then(|c| problem.calendars.get(c)).into_iter().flatten();
        let here = all.filter(|w| w.from <= pin.start && end <= w.to);
        let here: Vec<Window> = here.map(|w| Window { from: pin.start, to: end, ..*w }).collect();
        if here.is_empty() || pin.start < problem.now {
            continue;
        }
        a.calendar = Some(p.calendars.len());
        p.calendars.push(here);
        let skills = |w: &usize| problem.workers.get(*w).map_or(0, |x| x.skills);
        if named
            && pin.workers.len() == a.hands as usize
            && let Some(order) = fill(&a.needs, &pin.workers, &skills)
        {
            let need = |(k, w): (usize, &usize)| {
                a.needs.get(k).copied().unwrap_or(0) | own.get(*w).copied().unwrap_or(0)
            };
            a.needs = order.iter().enumerate().map(need).collect();
        }
    }
    if named {
        for (w, bit) in p.workers.iter_mut().zip(&own) {
            w.skills |= bit;
        }
    }
    p
}

/// The workers in an order in which each of the first fills the need of its place.
fn fill(needs: &[u64], workers: &[usize], skills: &impl Fn(&usize) -> u64) -> Option<Vec<usize>> {
    let Some((need, rest)) = needs.split_first() else { return Some(workers.to_vec()) };
    workers.iter().enumerate().filter(|(_, w)| need & !skills(w) == 0).find_map(|(k, w)| {
        let others: Vec<usize> =
            workers.iter().enumerate().filter(|(j, _)| *j != k).map(|(_, w)| *w).collect();
        Some([vec![*w], fill(rest, &others, skills)?].concat())
    })
}
