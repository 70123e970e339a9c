//! The members of a population: who is picked for parent, and whose place a child takes.

use super::scheme::{Member, Score};
use fastrand::Rng;

pub(super) struct Crowd<G> {
    members: Vec<Member<G>>,
    /// A number made of each member's starts, so that few have to be compared with a child's.
    prints: Vec<u64>,
}

impl<G> Crowd<G> {
    pub(super) const fn new() -> Self {
        Self { members: Vec::new(), prints: Vec::new() }
    }

    pub(super) fn all(&self) -> &[Member<G>] {
        &self.members
    }

    pub(super) fn len(&self) -> usize {
        self.members.len()
    }

    pub(super) fn push(&mut self, m: Member<G>) {
        self.prints.push(print(&m.start));
        self.members.push(m);
    }

    /// The better of two by chance.
    pub(super) fn pick(&self, rng: &mut Rng) -> usize {
        let (a, b) = (rng.usize(..self.len()), rng.usize(..self.len()));
        if self.score(a) <= self.score(b) { a } else { b }
    }

    fn score(&self, k: usize) -> &Score {
        &self.members[k].score
    }

    fn set(&mut self, k: usize, m: Member<G>, print: u64) -> Member<G> {
        self.prints[k] = print;
        std::mem::replace(&mut self.members[k], m)
    }

    /// A child takes the place of the worse parent where it is no worse, or of a random worse member; what is left over.
    pub(super) fn place(
        &mut self,
        child: Member<G>,
        (father, mother): (usize, usize),
        rng: &mut Rng,
    ) -> Member<G> {
        let print = print(&child.start);
        let same = |m: &Member<G>| m.score == child.score && m.start == child.start;
        let mut alike = self.prints.iter().zip(&self.members).filter(|(p, _)| **p == print);
        if alike.any(|(_, m)| same(m)) {
            return child;
        }
        let worse = if self.score(father) >= self.score(mother) { father } else { mother };
        if child.score <= *self.score(worse) {
            return self.set(worse, child, print);
        }
        let other = rng.usize(..self.len());
        if child.score < *self.score(other) { self.set(other, child, print) } else { child }
    }

    /// Takes in what was found elsewhere, in place of the worst where there are `most`.
    pub(super) fn adopt(&mut self, m: Member<G>, most: usize) {
        let worst = (0..self.len()).max_by_key(|k| self.score(*k)).filter(|_| self.len() >= most);
        match worst {
            Some(k) => {
                let print = print(&m.start);
                self.set(k, m, print);
            }
            None => self.push(m),
        }
    }

    /// Only the best so many stay.
    pub(super) fn cut(&mut self, keep: usize) {
        self.members.sort_by_key(|m| m.score);
        self.members.truncate(keep);
        self.prints.clear();
        self.prints.extend(self.members.iter().map(|m| print(&m.start)));
    }
}

fn print(start: &[i32]) -> u64 {
    let mix = |h: u64, t: &i32| (h.rotate_left(5) ^ u64::from(*t as u32)).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    let (a, b) = start.split_at(start.len() / 2);
    a.iter().fold(1, mix) ^ b.iter().fold(2, mix)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn member(end: i64, start: &[i32]) -> Member<Vec<u32>> {
        Member { score: [0, 0, 0, 0, end], start: start.to_vec(), genes: Vec::new() }
    }

    #[test]
    fn a_child_takes_the_place_of_the_worse_parent_and_its_like_does_not() {
        let mut crowd = Crowd::new();
        for (end, start) in [(9, [0, 4]), (8, [0, 3]), (7, [0, 2])] {
            crowd.push(member(end, &start));
        }
        let mut rng = Rng::with_seed(1);
        let left = crowd.place(member(8, &[1, 3]), (0, 2), &mut rng);
        assert_eq!((left.score[4], left.start), (9, vec![0, 4]), "the worse parent");
        let ends = |c: &Crowd<Vec<u32>>| c.all().iter().map(|m| m.score[4]).collect::<Vec<i64>>();
        assert_eq!(ends(&crowd), [8, 8, 7]);
        // Its like is there already, under other parents too, and after others have gone.
        for _ in 0..20 {
            let left = crowd.place(member(8, &[1, 3]), (1, 2), &mut rng);
            assert_eq!((left.score[4], left.start), (8, vec![1, 3]));
        }
        crowd.cut(1);
        assert_eq!(ends(&crowd), [7]);
        let left = crowd.place(member(7, &[0, 2]), (0, 0), &mut rng);
        assert_eq!((left.start, crowd.len()), (vec![0, 2], 1));
        crowd.adopt(member(6, &[1, 1]), 1);
        assert_eq!(ends(&crowd), [6], "what was found elsewhere takes the place of the worst");
        crowd.adopt(member(9, &[2, 2]), 2);
        assert_eq!(ends(&crowd), [6, 9], "while there is room it is one more");
    }
}
