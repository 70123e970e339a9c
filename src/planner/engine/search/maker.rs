//! Makes schedules for a population: children of two members, crossed in time segments and justified, and samples.

use super::NEVER;
use super::scheme::{Genes, Member, Scheme, Score, Spread};
use super::windows::Look;
use fastrand::Rng;

/// What comes before first, where each activity is in that order, and what comes after each.
pub(super) struct Net {
    pub(super) order: Vec<u32>,
    pub(super) rank: Vec<u32>,
    pub(super) next: Vec<Vec<u32>>,
}

/// A decoder with its working space: makes schedules of genes.
pub(super) struct Maker<S: Scheme> {
    pub(super) s: S,
    pub(super) passes: u64,
    pub(super) fresh: Vec<i32>,
    old: Vec<i32>,
    keys: Vec<u64>,
    done: Vec<bool>,
    stack: Vec<u32>,
    at: [Vec<u32>; 2],
}

/// What is asked of a maker: a child of two members, or a sample.
#[derive(Clone, Copy)]
pub(super) struct Job {
    pub(super) parents: Option<(usize, usize)>,
    pub(super) seed: u64,
    /// A schedule, as often as not the best, changed so that what it leaves out may find room.
    pub(super) fits: bool,
}

impl<S: Scheme> Maker<S> {
    pub(super) fn new(s: S, n: usize) -> Self {
        Self {
            s,
            passes: 0,
            fresh: vec![0; n],
            old: vec![0; n],
            keys: Vec::with_capacity(n),
            done: vec![false; n],
            stack: Vec::new(),
            at: [vec![0; n], vec![0; n]],
        }
    }

    pub(super) fn job(
        &mut self,
        net: &Net,
        job: Job,
        (members, best): (&[Member<S::Genes>], Option<&S::Genes>),
        spread: Spread,
    ) -> Option<Member<S::Genes>> {
        let mut rng = Rng::with_seed(job.seed);
        let Some((father, mother)) = job.parents else {
            let genes = self.s.sample(&mut rng, best);
            return self.build(net, genes, None, spread.justified > 0);
        };
        let (f, m) = (&members[father], &members[mother]);
        if job.fits {
            let mut genes = best.filter(|_| rng.bool()).unwrap_or(&f.genes).clone();
            for _ in 0..rng.usize(1..=3) {
                self.s.fit_in(&mut genes, &mut rng);
            }
            return self.build(net, genes, None, false);
        }
        let mut genes = f.genes.clone();
        if mother != father && !self.s.unordered() {
            self.cross(&mut genes, (f, m), &mut rng);
        }
        self.s.vary(&mut genes, &mut rng);
        let justified = rng.u32(..256) < spread.justified;
        self.build(net, genes, Some(&f.score.max(m.score)), justified)
    }

    pub(super) fn pass(&mut self, genes: &mut S::Genes) -> Option<Score> {
        self.passes += 1;
        self.s.forward(genes, &mut self.fresh)
    }

    /// Schedules the genes and justifies the result.
    pub(super) fn build(
        &mut self,
        net: &Net,
        mut genes: S::Genes,
        worse: Option<&Score>,
        justified: bool,
    ) -> Option<Member<S::Genes>> {
        self.s.hope(worse);
        let score = self.pass(&mut genes);
        self.s.hope(None);
        let score = score?;
        let mut m = Member { score, start: self.fresh.clone(), genes };
        if justified {
            self.justify(net, &mut m);
        }
        Some(m)
    }

    /// To the right, and, unless one time is as good as another, to the left again; stays where that is no better.
    fn justify(&mut self, net: &Net, m: &mut Member<S::Genes>) {
        if self.s.unordered() || m.start.contains(&NEVER) {
            return;
        }
        let end = self.s.end(&m.score);
        let mut list = std::mem::take(m.genes.list_mut());
        let old_list = list.clone();
        self.sort_ends(net, &mut list, &m.start, end);
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
            self.sort(net, &mut list, |j| start[j], false);
            m.start = start;
            m.score[4] -= i64::from(idle);
            *m.genes.list_mut() = list;
        } else {
            self.sort(net, &mut list, |j| late[j], false);
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

    /// A schedule as early and as late as its order lets it; `None` where it can't be moved back.
    pub(super) fn look(&mut self, net: &Net, m: Member<S::Genes>) -> Option<Look> {
        if self.s.unordered() || m.start.contains(&NEVER) {
            return None;
        }
        let mut genes = m.genes;
        self.sort(net, genes.list_mut(), |j| m.start[j], false);
        let score = self.pass(&mut genes)?;
        let (early, end) = (self.fresh.clone(), self.s.end(&score));
        let mut list = std::mem::take(genes.list_mut());
        self.sort_ends(net, &mut list, &early, end);
        self.passes += 1;
        let mut late = early.clone();
        self.s.backward(&list, &mut late, end).then_some(Look { early, late, end })
    }

    /// A segment of a tenth to a half of the father's schedule, and what lies around it in the mother's order.
    fn cross(&mut self, genes: &mut S::Genes, (f, m): (&Member<S::Genes>, &Member<S::Genes>), rng: &mut Rng) {
        let placed = || f.start.iter().copied().filter(|t| *t != NEVER);
        let first = placed().min().unwrap_or(0);
        let span = (placed().max().unwrap_or(0) - first).max(2);
        let len = rng.i32(span / 10..=span / 2);
        let from = first + rng.i32(0..=span - len);
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

    /// Sorts by time, then by topological rank (backwards: by rank falling).
    pub(super) fn sort(
        &mut self,
        net: &Net,
        list: &mut Vec<u32>,
        key: impl Fn(usize) -> i32,
        backwards: bool,
    ) {
        let rank = &net.rank;
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
        list.extend(self.keys.iter().map(|k| net.order[if backwards { last - by(k) } else { by(k) }]));
    }

    /// What ends last first, in an order in which what comes after comes first.
    fn sort_ends(&mut self, net: &Net, list: &mut Vec<u32>, start: &[i32], end: i32) {
        let lengths: Vec<i32> = (0..start.len()).map(|j| end - start[j] - self.s.duration(j)).collect();
        self.sort(net, list, |j| lengths[j], true);
        if self.s.overlapping() {
            self.mend(net, list);
        }
    }

    /// Makes a backward order one in which all that comes after an activity comes first.
    fn mend(&mut self, net: &Net, list: &mut Vec<u32>) {
        let (next, done, stack) = (&net.next, &mut self.done, &mut self.stack);
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
