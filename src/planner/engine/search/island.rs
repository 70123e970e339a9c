//! A population of schedules, crossed in time segments, varied and justified.
//!
//! S. Hartmann, "A competitive genetic algorithm for resource-constrained project scheduling", Naval Research
//! Logistics 45 (1998) 733-750 (activity lists); D. Debels, M. Vanhoucke, "A bi-population based genetic algorithm for
//! the resource-constrained project scheduling problem", LNCS 3483 (2005) 378-387 (the middle of one parent's schedule
//! with the outer parts in the other's order; right-justified parents have children built forward, here justified at
//! once into the one population); V. Valls, F. Ballestín, S. Quintanilla, "Justification and RCPSP: a technique that
//! pays", EJOR 165 (2005) 375-386 (a backward and a forward pass over a finished schedule).

use super::NEVER;
use super::crowd::Crowd;
use super::maker::{Job, Maker, Net};
use super::scheme::{Genes, Member, Scheme, Score, Spread};
use super::windows::Look;
use fastrand::Rng;
use rayon::prelude::*;

/// Several makers work for one population at once; each sees it as it was before they began, so that the answer is the
/// same on any number of threads.
pub(in crate::planner::engine) struct Island<S: Scheme> {
    makers: Vec<Maker<S>>,
    net: Net,
    rng: Rng,
    crowd: Crowd<S::Genes>,
    spread: Spread,
    pub(in crate::planner::engine) best: Option<Member<S::Genes>>,
    stale: u64,
    /// The best leaves out what others may have room for, and it is time to look for them.
    pub(super) lacks: bool,
}

impl<S: Scheme> Island<S> {
    pub(in crate::planner::engine) fn new(
        make: &impl Fn() -> S,
        order: &[u32],
        seed: u64,
        spread: Spread,
    ) -> Self {
        let makers: Vec<Maker<S>> =
            (0..spread.makers.max(1)).map(|_| Maker::new(make(), order.len())).collect();
        let next = makers.first().map_or_else(Vec::new, |m| m.s.next());
        Self {
            makers,
            net: Net::new(order, next),
            rng: Rng::with_seed(seed),
            crowd: Crowd::new(),
            spread,
            best: None,
            stale: 0,
            lacks: false,
        }
    }

    /// Schedules made so far.
    pub(super) fn passes(&self) -> u64 {
        self.makers.iter().map(|m| m.passes).sum()
    }

    /// Any decoder of it.
    pub(super) fn decoder(&mut self) -> &mut S {
        &mut self.makers[0].s
    }

    /// Makes schedules until `passes` more have been spent or `goal` is met.
    pub(super) fn run(&mut self, passes: u64, goal: &Score) {
        let until = self.passes() + passes;
        let most = self.makers.len() * self.spread.share;
        let mut spent = self.passes();
        while spent < until && self.best.as_ref().is_none_or(|b| b.score > *goal) {
            if self.crowd.len() >= self.spread.members && self.stale > self.spread.patience {
                self.renew();
            }
            let lacking = self.spread.members.saturating_sub(self.crowd.len());
            let many = (until - spent).min(if lacking > 0 { lacking.min(most) } else { most } as u64);
            let jobs: Vec<Job> = (0..many).map(|_| self.job(lacking > 0)).collect();
            let made = self.make(&jobs);
            let each = self.each(jobs.len());
            for (k, (job, m)) in jobs.iter().zip(made).enumerate() {
                let left = self.take_in(*job, m);
                self.makers[k / each].spare.extend(left);
            }
            spent = self.passes();
        }
    }

    fn job(&mut self, sample: bool) -> Job {
        let parents = (!sample).then(|| {
            let father = self.crowd.pick(&mut self.rng);
            let mut mother = father;
            if self.crowd.len() > 1 && self.rng.u32(..256) < self.spread.crossed {
                for _ in 0..5 {
                    mother = self.crowd.pick(&mut self.rng);
                    if mother != father {
                        break;
                    }
                }
            }
            (father, mother)
        });
        let fits = self.lacks && parents.is_some() && self.rng.bool();
        Job { parents, seed: self.rng.u64(..), fits }
    }

    /// So many jobs go to each maker.
    fn each(&self, jobs: usize) -> usize {
        jobs.div_ceil(self.makers.len()).max(1)
    }

    /// All jobs, shared among the makers.
    fn make(&mut self, jobs: &[Job]) -> Vec<Option<Member<S::Genes>>> {
        let each = self.each(jobs.len());
        let Self { makers, net, crowd, best, spread, .. } = self;
        let members = crowd.all();
        let best = best.as_ref().map(|b| &b.genes);
        let mut made: Vec<Option<Member<S::Genes>>> = Vec::with_capacity(jobs.len());
        made.resize_with(jobs.len(), || None);
        let shares = makers.par_iter_mut().zip(jobs.par_chunks(each)).zip(made.par_chunks_mut(each));
        shares.for_each(|((maker, jobs), made)| {
            for (job, made) in jobs.iter().zip(made) {
                *made = maker.job(net, *job, (members, best), *spread);
            }
        });
        made
    }

    /// What is of no further use comes back.
    fn take_in(&mut self, job: Job, made: Option<Member<S::Genes>>) -> Option<Member<S::Genes>> {
        self.stale += u64::from(job.parents.is_some());
        let m = made?;
        self.keep(&m);
        if let Some(parents) = job.parents {
            return Some(self.crowd.place(m, parents, &mut self.rng));
        }
        self.crowd.push(m);
        None
    }

    /// Takes in the schedule of these genes.
    pub(super) fn found(&mut self, genes: S::Genes) {
        let justified = self.spread.justified > 0 && self.spread.members > self.crowd.len();
        if let Some(m) = self.makers[0].build_of(&self.net, genes, justified) {
            self.keep(&m);
            self.crowd.push(m);
        }
    }

    /// Takes in the schedule of the order of these starts.
    pub(super) fn ordered(&mut self, start: &[i32]) {
        let Some(mut genes) = self.best.as_ref().map(|b| b.genes.clone()) else { return };
        self.makers[0].sort(&self.net, genes.list_mut(), |j| start[j], false);
        if let Some(m) = self.makers[0].build_of(&self.net, genes, self.spread.justified > 0) {
            self.keep(&m);
            self.adopt(&m);
        }
    }

    /// A schedule of the population, as often as not the best, as early and as late as it goes; none while the population
    /// still finds better ones by itself (windows from the start on cost more than they found in a second, and found more
    /// in four, on published files of 120).
    pub(super) fn look(&mut self) -> Option<Look> {
        if self.stale < self.spread.patience / 2 {
            return None;
        }
        let member = if self.crowd.len() == 0 || self.rng.bool() {
            self.best.as_ref()?.clone()
        } else {
            let k = self.crowd.pick(&mut self.rng);
            self.crowd.all()[k].clone()
        };
        self.makers[0].look(&self.net, member)
    }

    /// In a new best everything starts as soon as it can.
    fn keep(&mut self, m: &Member<S::Genes>) {
        if self.best.as_ref().is_some_and(|b| m.score >= b.score) {
            return;
        }
        self.stale = 0;
        let mut m = m.clone();
        let maker = &mut self.makers[0];
        if self.spread.justified > 0 && !maker.s.unordered() && !m.start.contains(&NEVER) {
            let mut genes = m.genes.clone();
            maker.sort(&self.net, genes.list_mut(), |j| m.start[j], false);
            if let Some(score) = maker.pass(&mut genes)
                && score <= m.score
            {
                m = Member { score, start: maker.fresh.clone(), genes };
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
        self.crowd.adopt(m.clone(), self.spread.members);
    }

    /// Most of a population that has gone stale is drawn anew.
    fn renew(&mut self) {
        self.stale = 0;
        let keep = self.rng.usize(..=1 + self.spread.members / 10);
        self.crowd.cut(keep);
    }
}
