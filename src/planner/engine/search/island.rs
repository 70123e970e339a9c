//! A population of schedules, crossed in time segments, varied and justified.
//!
//! S. Hartmann, "A competitive genetic algorithm for resource-constrained project scheduling", Naval Research
//! Logistics 45 (1998) 733-750 (activity lists); D. Debels, M. Vanhoucke, "A bi-population based genetic algorithm for
//! the resource-constrained project scheduling problem", LNCS 3483 (2005) 378-387 (the middle of one parent's schedule
//! with the outer parts in the other's order; right-justified parents have children built forward, here justified at
//! once into the one population); V. Valls, F. Ballestín, S. Quintanilla, "Justification and RCPSP: a technique that
//! pays", EJOR 165 (2005) 375-386 (a backward and a forward pass over a finished schedule).

use super::NEVER;
use super::scheme::{Genes, Member, Scheme, Score, Spread};
use fastrand::Rng;

pub(in crate::planner::engine) struct Island<S: Scheme> {
    pub(in crate::planner::engine) s: S,
    rng: Rng,
    members: Vec<Member<S::Genes>>,
    spread: Spread,
    pub(in crate::planner::engine) best: Option<Member<S::Genes>>,
    pub(in crate::planner::engine) passes: u64,
    next: Vec<Vec<u32>>,
    /// Topological, and where each activity is in it.
    order: Vec<u32>,
    rank: Vec<u32>,
    stale: u64,
    // Working space.
    fresh: Vec<i32>,
    old: Vec<i32>,
    keys: Vec<u64>,
    done: Vec<bool>,
    stack: Vec<u32>,
    at: [Vec<u32>; 2],
}

impl<S: Scheme> Island<S> {
    pub(in crate::planner::engine) fn new(s: S, order: &[u32], seed: u64, spread: Spread) -> Self {
        let n = order.len();
        let mut rank = vec![0; n];
        for (k, j) in order.iter().enumerate() {
            rank[*j as usize] = k as u32;
        }
        Self {
            next: s.next(),
            s,
            rng: Rng::with_seed(seed),
            members: Vec::new(),
            spread,
            best: None,
            passes: 0,
            order: order.to_vec(),
            rank,
            stale: 0,
            fresh: vec![0; n],
            old: vec![0; n],
            keys: Vec::with_capacity(n),
            done: vec![false; n],
            stack: Vec::new(),
            at: [vec![0; n], vec![0; n]],
        }
    }

    /// Makes schedules until `passes` more have been spent or `goal` is met.
    pub(super) fn run(&mut self, passes: u64, goal: &Score) {
        let until = self.passes + passes;
        while self.passes < until && self.best.as_ref().is_none_or(|b| b.score > *goal) {
            if self.members.len() < self.spread.members {
                let genes = self.s.sample(&mut self.rng, self.best.as_ref().map(|b| &b.genes));
                self.found(genes);
            } else if self.stale > self.spread.patience {
                self.renew();
            } else {
                self.child();
            }
        }
    }

    /// Takes in the schedule of these genes.
    pub(super) fn found(&mut self, genes: S::Genes) {
        let justified = self.spread.justified > 0 && self.spread.members > self.members.len();
        if let Some(m) = self.build(genes, None, justified) {
            self.keep(&m);
            self.members.push(m);
        }
    }

    /// Takes in the schedule of the order of these starts.
    pub(super) fn ordered(&mut self, start: &[i32]) {
        let Some(mut genes) = self.best.as_ref().map(|b| b.genes.clone()) else { return };
        self.sort(genes.list_mut(), |j| start[j], false);
        if let Some(m) = self.build(genes, None, self.spread.justified > 0) {
            self.keep(&m);
            self.adopt(&m);
        }
    }

    /// Begins where another has begun.
    pub(super) fn like(&mut self, o: &Self) {
        self.best.clone_from(&o.best);
        self.members.clone_from(&o.members);
    }

    fn pass(&mut self, genes: &mut S::Genes) -> Option<Score> {
        self.passes += 1;
        self.s.forward(genes, &mut self.fresh)
    }

    /// Schedules the genes and justifies the result.
    fn build(
        &mut self,
        mut genes: S::Genes,
        worse: Option<&Score>,
        justified: bool,
    ) -> Option<Member<S::Genes>> {
        let score = self.pass(&mut genes)?;
        if worse.is_some_and(|w| !self.s.hopeful(&score, w)) {
            return None;
        }
        let mut m = Member { score, start: self.fresh.clone(), genes };
        if justified {
            self.justify(&mut m);
        }
        Some(m)
    }

    /// To the right, and, unless one time is as good as another, to the left again; stays where that is no better.
    fn justify(&mut self, m: &mut Member<S::Genes>) {
        if self.s.unordered() || m.start.contains(&NEVER) {
            return;
        }
        let end = self.s.end(&m.score);
        let mut list = std::mem::take(m.genes.list_mut());
        let old_list = list.clone();
        self.sort_ends(&mut list, &m.start, end);
        self.passes += 1;
        self.old.clone_from(&m.start);
        let mut late = std::mem::take(&mut self.old);
        let fits = self.s.backward(&list, &mut late, end);
        if !fits {
            *m.genes.list_mut() = old_list;
        } else if self.s.shiftable() {
            let idle = late.iter().copied().min().unwrap_or(0);
            for (t, l) in m.start.iter_mut().zip(&late) {
                *t = l - idle;
            }
            let start = std::mem::take(&mut m.start);
            self.sort(&mut list, |j| start[j], false);
            m.start = start;
            m.score[4] -= i64::from(idle);
            *m.genes.list_mut() = list;
        } else {
            self.sort(&mut list, |j| late[j], false);
            let mut genes = m.genes.clone();
            *genes.list_mut() = list;
            match self.pass(&mut genes) {
                Some(score) if score <= m.score => {
                    m.score = score;
                    m.start.copy_from_slice(&self.fresh);
                    m.genes = genes;
                }
                _ => *m.genes.list_mut() = old_list,
            }
        }
        self.old = late;
    }

    /// In a new best everything starts as soon as it can.
    fn keep(&mut self, m: &Member<S::Genes>) {
        if self.best.as_ref().is_some_and(|b| m.score >= b.score) {
            return;
        }
        self.stale = 0;
        let mut m = m.clone();
        if self.spread.justified > 0 && !self.s.unordered() && !m.start.contains(&NEVER) {
            let mut genes = m.genes.clone();
            self.sort(genes.list_mut(), |j| m.start[j], false);
            if let Some(score) = self.pass(&mut genes)
                && score <= m.score
            {
                m = Member { score, start: self.fresh.clone(), genes };
            }
        }
        self.best = Some(m);
    }

    /// Takes in a schedule found elsewhere.
    pub(super) fn adopt(&mut self, m: &Member<S::Genes>) {
        if self.best.as_ref().is_none_or(|b| m.score < b.score) {
            self.stale = 0;
            self.best = Some(m.clone());
        }
        if self.members.len() >= self.spread.members
            && let Some(k) = (0..self.members.len()).max_by_key(|k| self.members[*k].score)
        {
            self.members[k] = m.clone();
        } else {
            self.members.push(m.clone());
        }
    }

    /// Most of a population that has gone stale is drawn anew.
    fn renew(&mut self) {
        self.stale = 0;
        self.members.sort_by_key(|m| m.score);
        let keep = self.rng.usize(..=1 + self.spread.members / 10);
        self.members.truncate(keep);
    }

    fn pick(&mut self) -> usize {
        let (a, b) = (self.rng.usize(..self.members.len()), self.rng.usize(..self.members.len()));
        let key = |k: usize| self.members[k].score;
        if key(a) <= key(b) { a } else { b }
    }

    fn child(&mut self) {
        let father = self.pick();
        let mut mother = father;
        if self.members.len() > 1 && self.rng.u32(..256) < self.spread.crossed {
            for _ in 0..5 {
                mother = self.pick();
                if mother != father {
                    break;
                }
            }
        }
        let mut genes = self.members[father].genes.clone();
        if mother != father && !self.s.unordered() {
            self.cross(&mut genes, father, mother);
        }
        self.s.vary(&mut genes, &mut self.rng);
        self.stale += 1;
        let worse = self.members[father].score.max(self.members[mother].score);
        let justified = self.rng.u32(..256) < self.spread.justified;
        let Some(child) = self.build(genes, Some(&worse), justified) else { return };
        self.keep(&child);
        self.place(child, father, mother);
    }

    /// A segment of a tenth to a half of the father's schedule, and what lies around it in the mother's order.
    fn cross(&mut self, genes: &mut S::Genes, father: usize, mother: usize) {
        let (f, m) = (&self.members[father], &self.members[mother]);
        let placed = || f.start.iter().copied().filter(|t| *t != NEVER);
        let first = placed().min().unwrap_or(0);
        let span = (placed().max().unwrap_or(0) - first).max(2);
        let len = self.rng.i32(span / 10..=span / 2);
        let from = first + self.rng.i32(0..=span - len);
        let to = from + len;
        for (at, parent) in self.at.iter_mut().zip([f, m]) {
            for (k, j) in parent.genes.list().iter().enumerate() {
                at[*j as usize] = k as u32;
            }
        }
        let within = |j: usize| from <= f.start[j] && f.start[j] <= to;
        self.keys.clear();
        self.keys.extend((0..f.start.len()).map(|j| {
            let (zone, at) = match f.start[j] {
                t if t < from => (0, self.at[1][j]),
                t if t > to => (2, self.at[1][j]),
                _ => (1u64, self.at[0][j]),
            };
            zone << 60 | u64::from(at) << 30 | j as u64
        }));
        self.keys.sort_unstable();
        let list = genes.list_mut();
        list.clear();
        list.extend(self.keys.iter().map(|k| (k & 0x3fff_ffff) as u32));
        self.s.mix(genes, &m.genes, &within);
    }

    /// A child takes the place of the worse parent where it is no worse, or of a random worse member.
    fn place(&mut self, child: Member<S::Genes>, father: usize, mother: usize) {
        if self.members.iter().any(|m| m.score == child.score && m.start == child.start) {
            return;
        }
        let key = |m: &Member<S::Genes>| m.score;
        let worse = if key(&self.members[father]) >= key(&self.members[mother]) { father } else { mother };
        if key(&child) <= key(&self.members[worse]) {
            self.members[worse] = child;
            return;
        }
        let other = self.rng.usize(..self.members.len());
        if key(&child) < key(&self.members[other]) {
            self.members[other] = child;
        }
    }

    /// Sorts by time, then by topological rank (backwards: by rank falling).
    fn sort(&mut self, list: &mut Vec<u32>, key: impl Fn(usize) -> i32, backwards: bool) {
        let rank = &self.rank;
        self.keys.clear();
        self.keys.extend((0..rank.len()).map(|j| {
            let r = if backwards { rank.len() as u32 - 1 - rank[j] } else { rank[j] };
            let time = (i64::from(key(j)) - i64::from(i32::MIN)) as u64;
            time << 32 | u64::from(r)
        }));
        self.keys.sort_unstable();
        list.clear();
        // Rank and activity name each other.
        let last = rank.len() - 1;
        let by = |k: &u64| (k & 0xffff_ffff) as usize;
        list.extend(self.keys.iter().map(|k| self.order[if backwards { last - by(k) } else { by(k) }]));
    }

    /// What ends last first, in an order in which what comes after comes first.
    fn sort_ends(&mut self, list: &mut Vec<u32>, start: &[i32], end: i32) {
        let lengths: Vec<i32> = (0..start.len()).map(|j| end - start[j] - self.s.duration(j)).collect();
        self.sort(list, |j| lengths[j], true);
        if self.s.overlapping() {
            self.mend(list);
        }
    }

    /// Makes a backward order one in which all that comes after an activity comes first.
    fn mend(&mut self, list: &mut Vec<u32>) {
        let (next, done, stack) = (&self.next, &mut self.done, &mut self.stack);
        done.fill(false);
        let order = std::mem::take(list);
        for j in &order {
            stack.push(*j);
            while let Some(top) = stack.last().copied() {
                if done[top as usize] {
                    stack.pop();
                    continue;
                }
                let open = stack.len();
                stack.extend(next[top as usize].iter().copied().filter(|x| !done[*x as usize]));
                if stack.len() == open {
                    done[top as usize] = true;
                    list.push(top);
                    stack.pop();
                }
            }
        }
    }
}
