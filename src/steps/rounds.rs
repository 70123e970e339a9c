//! Which placements are connected in which round of their box: all of one box at one place in one go, in several where
//! one would close a circle or takes longer than any session.

use std::collections::{BTreeMap, BTreeSet};

use super::facts::Facts;
use super::key::StepKey;
use super::progress::{Asked, State};
use super::step::Step;
use crate::domain::{PlacementId, SeasonId, StepDeed};

/// Seconds of a round besides its connects: off and tag, look at the plugs, on and light test.
pub(super) const OFF_S: i64 = 60;
pub(super) const fn plugs_s(members: i64) -> i64 {
    60 + 30 * members
}
pub(super) const fn test_s(members: i64) -> i64 {
    120 + 60 * members
}

/// The steps around the connects of one season, as positions.
struct Around {
    after: Vec<Vec<usize>>,
    connects: BTreeMap<PlacementId, Vec<usize>>,
    tests: BTreeMap<PlacementId, Vec<usize>>,
}

impl Around {
    fn new(steps: &[Step]) -> Self {
        let at: BTreeMap<&StepKey, usize> = steps.iter().enumerate().map(|(i, s)| (&s.key, i)).collect();
        let after =
            steps.iter().map(|s| s.after.iter().filter_map(|e| at.get(&e.key).copied()).collect()).collect();
        let of = |deed: StepDeed| {
            let mut by: BTreeMap<PlacementId, Vec<usize>> = BTreeMap::new();
            for (i, s) in steps.iter().enumerate().filter(|(_, s)| s.deed == deed) {
                if let Some(p) = s.placement {
                    by.entry(p).or_default().push(i);
                }
            }
            by
        };
        Self { after, connects: of(StepDeed::Connect), tests: of(StepDeed::Test) }
    }

    /// Whether all steps can be ordered with these rounds: off after all that comes before the connects, one test for
    /// all.
    fn ordered(&self, rounds: &[Vec<PlacementId>]) -> bool {
        let n = self.after.len();
        // A round stands for the tests of its members by one place more.
        let mut stands: Vec<usize> = (0..n).collect();
        for (r, members) in rounds.iter().enumerate() {
            for t in members.iter().filter_map(|p| self.tests.get(p)).flatten() {
                if let Some(s) = stands.get_mut(*t) {
                    *s = n + 2 * r + 1;
                }
            }
        }
        let all = n + 2 * rounds.len();
        let (mut open, mut next) = (vec![0_usize; all], vec![Vec::new(); all]);
        let mut edge = |before: usize, then: usize| {
            if before != then
                && let (Some(o), Some(list)) = (open.get_mut(then), next.get_mut(before))
            {
                *o += 1;
                list.push(then);
            }
        };
        let stand = |i: usize| stands.get(i).copied().unwrap_or(i);
        for (i, list) in self.after.iter().enumerate() {
            for b in list {
                edge(stand(*b), stand(i));
            }
        }
        for (r, members) in rounds.iter().enumerate() {
            let (off, test) = (n + 2 * r, n + 2 * r + 1);
            edge(off, test);
            for c in members.iter().filter_map(|p| self.connects.get(p)).flatten() {
                edge(off, *c);
                edge(*c, test);
                self.after.get(*c).into_iter().flatten().for_each(|b| edge(stand(*b), off));
            }
        }
        let mut free: Vec<usize> = (0..all).filter(|i| open.get(*i) == Some(&0)).collect();
        let mut done = 0;
        while let Some(i) = free.pop() {
            done += 1;
            for then in next.get(i).into_iter().flatten() {
                if let Some(o) = open.get_mut(*then) {
                    *o -= 1;
                    if *o == 0 {
                        free.push(*then);
                    }
                }
            }
        }
        done == all
    }
}

/// Placements whose connect comes, by whatever way, after a step that the owner holds: they go into no round, so that
/// what waits for a part keeps nothing else in the dark.
pub(super) fn stuck(steps: &[Step], progress: &Asked) -> BTreeSet<PlacementId> {
    let around = Around::new(steps);
    // What is done, or left out, in spite of it holds nothing up.
    let over = |s: &Step| {
        let state = progress.get(&s.key).map(|p| p.state_for(s.of));
        matches!(state, Some(State::Done | State::Skipped))
    };
    let mut held: Vec<bool> = steps.iter().map(|s| s.held.is_some() && !over(s)).collect();
    let mut next: Vec<Vec<usize>> = vec![Vec::new(); steps.len()];
    for (i, list) in around.after.iter().enumerate() {
        for b in list {
            if let Some(n) = next.get_mut(*b) {
                n.push(i);
            }
        }
    }
    let mut todo: Vec<usize> = (0..steps.len()).filter(|i| held.get(*i) == Some(&true)).collect();
    while let Some(i) = todo.pop() {
        for then in next.get(i).into_iter().flatten() {
            let open = steps.get(*then).is_some_and(|s| !over(s));
            if let Some(h) = held.get_mut(*then).filter(|h| !**h && open) {
                *h = true;
                todo.push(*then);
            }
        }
    }
    let is_held = |i: &usize| held.get(*i) == Some(&true);
    around.connects.iter().filter(|(_, c)| c.iter().any(is_held)).map(|(p, _)| *p).collect()
}

/// The rounds of each group of placements, in its order.
pub(super) fn rounds(
    facts: &Facts,
    season: SeasonId,
    groups: &[Vec<PlacementId>],
    steps: &[Step],
) -> Vec<Vec<Vec<PlacementId>>> {
    let around = Around::new(steps);
    let longest = longest_s(facts, season);
    let connect_s = |p: &PlacementId| -> i64 {
        let of = around.connects.get(p).into_iter().flatten();
        of.filter_map(|i| steps.get(*i)).map(|s| s.seconds).sum()
    };
    let fits = |members: &[PlacementId]| {
        let n = members.len() as i64;
        let all = OFF_S + plugs_s(n) + test_s(n) + members.iter().map(connect_s).sum::<i64>();
        n < 2 || longest.is_none_or(|longest| all <= longest)
    };
    // By length alone, which is nearly always right.
    let mut by_length: Vec<Vec<Vec<PlacementId>>> = Vec::with_capacity(groups.len());
    for group in groups {
        let mut of: Vec<Vec<PlacementId>> = Vec::new();
        for p in group {
            match of.last_mut() {
                Some(last) if fits(&[last.as_slice(), &[*p]].concat()) => last.push(*p),
                _ => of.push(vec![*p]),
            }
        }
        by_length.push(of);
    }
    let flat: Vec<Vec<PlacementId>> = by_length.iter().flatten().cloned().collect();
    if around.ordered(&flat) {
        return by_length;
    }
    // One after the other into the first round that it closes no circle in.
    let mut flat: Vec<Vec<PlacementId>> = Vec::new();
    let mut of_group: Vec<Vec<usize>> = vec![Vec::new(); groups.len()];
    for (group, mine) in groups.iter().zip(&mut of_group) {
        for p in group {
            let into = mine.iter().copied().find(|r| {
                let mut with = flat.clone();
                let Some(round) = with.get_mut(*r) else { return false };
                round.push(*p);
                fits(round) && around.ordered(&with)
            });
            if let Some(round) = into.and_then(|r| flat.get_mut(r)) {
                round.push(*p);
            } else {
                mine.push(flat.len());
                flat.push(vec![*p]);
            }
        }
    }
    of_group.iter().map(|mine| mine.iter().filter_map(|r| flat.get(*r).cloned()).collect()).collect()
}

/// The longest session told before the show is over, with the moving to it; nothing where none is told.
fn longest_s(facts: &Facts, season: SeasonId) -> Option<i64> {
    let off = facts.season(season).and_then(|s| s.lights_off);
    let sessions = facts.yard.sessions.iter().filter(|s| !s.lost);
    let open = sessions.filter(|s| off.is_none_or(|off| s.starts.date() <= off));
    let longest = open.map(|s| (s.ends - s.starts).num_seconds()).max()?;
    let moving = facts.yard.sites.first().and_then(|s| s.place_minutes).unwrap_or(5) * 60;
    Some(longest - moving)
}

/// What each connect of these placements waits for, with the wait.
pub(super) fn before_connects(steps: &[Step], members: &[PlacementId]) -> Vec<super::step::Edge> {
    let connects = steps.iter().filter(|s| s.deed == StepDeed::Connect);
    let own = connects.filter(|s| s.placement.is_some_and(|p| members.contains(&p)));
    own.flat_map(|s| s.after.iter().cloned()).collect()
}
