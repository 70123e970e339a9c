//! How orders become schedules: what the search asks of a decoder.

use crate::planner::engine::schedule::{Placed, Unplaced};

/// Goal values in order, smaller is better: worth not ready, left out, days over, minutes given, finish; the last two
/// the other way round where the finish comes first.
pub(in crate::planner::engine) type Score = [i64; 5];

/// Every activity once, what comes before first, and whatever else a decoder lets vary.
pub(in crate::planner::engine) trait Genes: Clone + Send + Sync {
    fn list(&self) -> &[u32];
    fn list_mut(&mut self) -> &mut Vec<u32>;
}

/// An order and nothing else.
impl Genes for Vec<u32> {
    fn list(&self) -> &[u32] {
        self
    }

    fn list_mut(&mut self) -> &mut Vec<u32> {
        self
    }
}

/// One schedule.
#[derive(Clone, Debug)]
pub(in crate::planner::engine) struct Member<G> {
    pub(in crate::planner::engine) score: Score,
    /// [`super::NEVER`] where it is left out.
    pub(in crate::planner::engine) start: Vec<i32>,
    pub(in crate::planner::engine) genes: G,
}

/// How far a search of a decoder's schedules spreads; the same on any machine.
#[derive(Clone, Copy, Debug)]
pub(in crate::planner::engine) struct Spread {
    /// Schedules are made by so many at once, and so many by each before they are taken in.
    pub(in crate::planner::engine) makers: usize,
    pub(in crate::planner::engine) share: usize,
    /// Members of the population.
    pub(in crate::planner::engine) members: usize,
    /// Passes between two looks at the bound and the clock.
    pub(in crate::planner::engine) round: u64,
    /// Without a better schedule for this many, most members are drawn anew.
    pub(in crate::planner::engine) patience: u64,
    /// Of 256 children so many have two parents, and so many are justified.
    pub(in crate::planner::engine) crossed: u32,
    pub(in crate::planner::engine) justified: u32,
}

/// A decoder with its working space.
pub(in crate::planner::engine) trait Scheme: Send {
    type Genes: Genes;

    /// For each activity those that come after it.
    fn next(&self) -> Vec<Vec<u32>>;
    fn duration(&self, j: usize) -> i32;
    /// Starts alone need not be an order: something may start before what it waits for.
    fn unordered(&self) -> bool;
    /// Starts that move backward need not be an order, as activities overlap those that come after them.
    fn overlapping(&self) -> bool;
    /// A schedule may be shifted as a whole.
    fn shiftable(&self) -> bool;

    /// One pass in the order of the genes; `None` where there is no room for it.
    fn forward(&mut self, genes: &mut Self::Genes, start: &mut [i32]) -> Option<Score>;
    /// One pass from `end` on in the given order, what comes after first; `false` where it does not fit, or waits that
    /// depend on the session and moves before work leave no way back.
    fn backward(&mut self, _list: &[u32], _start: &mut [i32], _end: i32) -> bool {
        false
    }
    /// The end of a schedule that has this score.
    fn end(&self, score: &Score) -> i32;
    /// What is made from here on has this for the worse of its parents: one too far from it need not be made to its end.
    fn hope(&mut self, _worse: Option<&Score>) {}

    /// Genes by chance, not far from those that are known.
    fn sample(&self, rng: &mut fastrand::Rng, best: Option<&Self::Genes>) -> Self::Genes;
    /// A child's genes have the father's order; for what starts in the segment also the rest of his genes.
    fn mix(&self, genes: &mut Self::Genes, mother: &Self::Genes, own: &dyn Fn(usize) -> bool);
    /// Small changes.
    fn vary(&mut self, genes: &mut Self::Genes, rng: &mut fastrand::Rng);

    /// A change that lets hope for room for what is left out.
    fn fit_in(&mut self, genes: &mut Self::Genes, rng: &mut fastrand::Rng) {
        self.vary(genes, rng);
    }

    /// The answer as it is handed out.
    fn hand_out(&mut self, best: Member<Self::Genes>) -> (Vec<Option<Placed>>, Vec<Unplaced>);
}
