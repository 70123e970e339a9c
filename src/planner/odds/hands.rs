//! Who does a step, and with which ladder: whoever is free, first who is there already, then whom the plan names.

use super::frame::bit;
use super::run::{Mover, Run};
use crate::planner::engine::{Activity, Time, Window};

/// Who and what does a step.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Choice {
    pub(super) workers: u64,
    pub(super) units: Vec<usize>,
    /// Minutes of moving before it.
    pub(super) setup: Time,
    pub(super) session: u32,
}

impl Run<'_, '_> {
    /// A choice of free people and ladders, if there is one.
    pub(super) fn choose(
        &self,
        i: usize,
        a: &Activity,
        window: &Window,
        now: Time,
        minutes: Time,
        keep_until: &mut Time,
    ) -> Option<Choice> {
        let p = &self.f.problem;
        let session = window.session;
        let moves = |m: &Mover| a.place.is_some() && (m.session != Some(session) || m.place != a.place);
        let mut choice = Choice { session, ..Choice::default() };
        let mut ladder_moves = false;
        for need in &a.tools {
            let free =
                |u: &&usize| self.units.get(**u).is_some_and(|m| m.free <= now) && !choice.units.contains(*u);
            let best =
                need.iter().filter(free).min_by_key(|u| (self.units.get(**u).is_none_or(moves), **u))?;
            ladder_moves |= self.units.get(*best).is_none_or(moves);
            choice.units.push(*best);
        }
        if ladder_moves {
            choice.setup += p.setup.tool_minutes;
        }
        let start = now.max(window.from);
        let stays = |w: usize, until: Time| self.stays.get(w).is_some_and(|t| *t >= until);
        if a.not_alone && (0..p.workers.len()).filter(|w| stays(*w, start + minutes)).count() < 2 {
            return None;
        }
        if a.hands == 0 {
            return Some(choice);
        }
        let planned = self.f.planned.get(i).copied().unwrap_or(0);
        let mut free: Vec<(bool, bool, usize)> = Vec::new();
        let mut busy: Vec<Time> = Vec::new();
        for (w, m) in self.workers.iter().enumerate() {
            let asked = p.workers.get(w).is_some_and(|x| !x.skilled_only || x.skills & a.skills != 0);
            if !asked || !stays(w, start + minutes) {
                continue;
            }
            if m.free <= now {
                free.push((moves(m), planned & bit(w) == 0, w));
            } else {
                busy.push(m.free);
            }
        }
        let hands = a.hands as usize;
        if free.len() < hands {
            // Enough are there, but busy: those who are free stay at hand.
            if hands > 1 && free.len() + busy.len() >= hands {
                busy.sort_unstable();
                if let Some(at) = busy.get(hands - free.len() - 1)
                    && at + p.setup.place_minutes + choice.setup + minutes <= window.to
                {
                    *keep_until = (*keep_until).min(*at);
                }
            }
            return None;
        }
        free.sort_unstable();
        let team = self.team(&free, hands, a)?;
        choice.workers = team.iter().fold(0, |bits, w| bits | bit(*w));
        if team.iter().any(|w| self.workers.get(*w).is_some_and(moves)) {
            choice.setup += p.setup.place_minutes;
        }
        // Whoever moves must be there for the moving too.
        let end = (now + choice.setup).max(window.from) + minutes;
        team.iter().all(|w| stays(*w, end)).then_some(choice)
    }

    /// The first people of the list who have a skill each for the hands that need one, and the skills together.
    fn team(&self, free: &[(bool, bool, usize)], hands: usize, a: &Activity) -> Option<Vec<usize>> {
        let skill = |w: usize| self.f.problem.workers.get(w).map_or(0, |x| x.skills);
        let list: Vec<usize> = free.iter().map(|f| f.2).collect();
        let mut team = fill(&a.needs, &list, &skill)?;
        let mut missing = team.iter().fold(a.skills, |m, w| m & !skill(*w));
        for w in &list {
            if skill(*w) & missing != 0 && team.len() < hands && !team.contains(w) {
                missing &= !skill(*w);
                team.push(*w);
            }
        }
        if missing != 0 {
            return None;
        }
        for w in &list {
            if team.len() < hands && !team.contains(w) {
                team.push(*w);
            }
        }
        (team.len() == hands).then_some(team)
    }
}

/// One of the list for each need, the first who can.
fn fill(needs: &[u64], list: &[usize], skill: &impl Fn(usize) -> u64) -> Option<Vec<usize>> {
    let Some((need, rest)) = needs.split_first() else { return Some(Vec::new()) };
    list.iter().filter(|w| need & !skill(**w) == 0).find_map(|w| {
        let others: Vec<usize> = list.iter().copied().filter(|x| x != w).collect();
        let mut team = fill(rest, &others, skill)?;
        team.push(*w);
        Some(team)
    })
}
