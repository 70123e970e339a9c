//! What is learned from a conflict, and which atoms are worth deciding next.

use super::{Clause, Core, Lit, NONE, Why, not};

impl Core {
    /// Learns from `conflict`, goes back and asserts; `false` where the problem has no solution.
    pub(in crate::planner::engine::search) fn learn(&mut self) -> bool {
        self.conflicts += 1;
        self.step *= 1.0 / 0.95;
        let now = self.level();
        if now == 0 {
            return false;
        }
        self.seen.clear();
        self.seen.resize(self.trail.len(), i32::MIN);
        let mut rest: Vec<usize> = Vec::new();
        let mut open = 0;
        let mut lits = std::mem::take(&mut self.conflict);
        let mut at = self.trail.len();
        let uip = loop {
            for l in lits.drain(..) {
                let Some(e) = self.entry(l) else { continue };
                if self.trail[e].level == 0 {
                    continue;
                }
                self.bump(l / 2);
                let k = self.split(l).1;
                if self.seen[e] == i32::MIN {
                    if self.trail[e].level == now {
                        open += 1;
                    } else {
                        rest.push(e);
                    }
                    self.seen[e] = k;
                } else {
                    self.seen[e] = if l & 1 == 0 { self.seen[e].max(k) } else { self.seen[e].min(k) };
                }
            }
            if open == 0 {
                // The whole conflict lies below this level: the deepest level takes its part.
                break None;
            }
            loop {
                at -= 1;
                if self.seen[at] != i32::MIN && self.trail[at].level == now {
                    break;
                }
            }
            if open == 1 {
                break Some(at);
            }
            open -= 1;
            self.because(at, &mut lits);
        };
        self.conflict = lits;
        let Some(uip) = uip else {
            // Found late: back to where it first shows, and once more.
            let deepest = rest.iter().map(|e| self.trail[*e].level).max().unwrap_or(0);
            let again: Vec<Lit> = rest.iter().map(|e| self.literal(*e)).collect();
            self.back(deepest);
            self.conflict = again;
            return self.learn();
        };
        let mut clause = vec![not(self.literal(uip))];
        rest.sort_unstable();
        rest.dedup();
        // What others of the clause imply says nothing new (local minimisation).
        let mut lits = std::mem::take(&mut self.conflict);
        let rest: Vec<usize> = rest
            .iter()
            .copied()
            .filter(|e| {
                if matches!(self.trail[*e].why, Why::Decision) {
                    return true;
                }
                lits.clear();
                self.because(*e, &mut lits);
                !lits.iter().all(|l| {
                    self.entry(*l).is_none_or(|x| {
                        let (k, s) = (self.split(*l).1, self.seen[x]);
                        self.trail[x].level == 0
                            || (self.trail[x].level < now
                                && s != i32::MIN
                                && if l & 1 == 0 { s >= k } else { s <= k })
                    })
                })
            })
            .collect();
        self.conflict = lits;
        // Of two bounds of one side the stronger says it all.
        let mut strongest: std::collections::BTreeMap<usize, usize> = std::collections::BTreeMap::new();
        for e in rest {
            let l = self.trail[e].lit;
            strongest.insert(2 * self.split(l).0 + (l & 1) as usize, e);
        }
        let mut rest: Vec<usize> = strongest.into_values().collect();
        rest.sort_by_key(|e| std::cmp::Reverse((self.trail[*e].level, *e)));
        let back = rest.first().map_or(0, |e| self.trail[*e].level);
        let mut levels: Vec<u32> = rest.iter().map(|e| self.trail[*e].level).collect();
        levels.dedup();
        clause.extend(rest.iter().map(|e| not(self.literal(*e))));
        self.back(back);
        if self.step > 1e100 {
            self.rescale();
        }
        let first = clause[0];
        if clause.len() == 1 {
            return self.set(first, Why::Decision);
        }
        let c = self.clauses.len() as u32;
        self.watches[clause[0] as usize].push(c);
        self.watches[clause[1] as usize].push(c);
        self.clauses.push(Clause { lits: clause, distance: levels.len() as u32 });
        self.set(first, Why::Clause(c))
    }

    /// The trail entry that made a true literal true; `None` at the root.
    fn entry(&self, l: Lit) -> Option<usize> {
        let (v, k) = self.split(l);
        let mut at = self.last[2 * v + (l & 1) as usize];
        while at != NONE {
            let e = self.trail[at as usize];
            let before = if l & 1 == 0 { e.old >= k } else { e.old < k };
            if !before {
                return Some(at as usize);
            }
            at = e.prev;
        }
        None
    }

    /// The weakest form of an entry's literal that the analysis needs.
    fn literal(&self, e: usize) -> Lit {
        let l = self.trail[e].lit;
        let v = self.split(l).0;
        self.at_least(v, self.seen[e]) | (l & 1)
    }

    fn because(&self, at: usize, lits: &mut Vec<Lit>) {
        let e = self.trail[at];
        match e.why {
            Why::One(a) => lits.extend(self.shifted(a, at)),
            Why::Two(a, b) => {
                lits.extend(self.shifted(a, at));
                lits.push(b);
            }
            why => self.reasons(why, e.lit, lits),
        }
    }

    /// The bound behind a lag, weakened as far as the bound that is needed; `None` where it always holds.
    fn shifted(&self, l: Lit, at: usize) -> Option<Lit> {
        let (own, need) = (self.split(self.trail[at].lit).1, self.seen[at]);
        let (v, k) = self.split(l);
        if need == i32::MIN || need == own || (l ^ self.trail[at].lit) & 1 == 1 {
            return Some(l);
        }
        let k = k + need - own;
        let (_, from, to) = self.own[v];
        (from < k && k < to).then(|| self.at_least(v, k) | (l & 1))
    }

    fn bump(&mut self, atom: u32) {
        let a = &mut self.activity[atom as usize];
        *a += self.step;
        self.heap.push((a.to_bits(), atom));
    }

    fn rescale(&mut self) {
        for a in &mut self.activity {
            *a *= 1e-100;
        }
        self.step *= 1e-100;
        self.rebuild();
    }

    fn rebuild(&mut self) {
        let live = self.activity.iter().enumerate().filter(|a| *a.1 > 0.0);
        self.parked.clear();
        self.heap = live.map(|(i, a)| (a.to_bits(), i as u32)).collect();
    }

    /// The most active undecided atom.
    pub(in crate::planner::engine::search) fn next(&mut self) -> Option<Lit> {
        if self.heap.len() > 4 * self.activity.len() + 1000 {
            self.rebuild();
        }
        while let Some((a, atom)) = self.heap.pop() {
            if self.activity[atom as usize].to_bits() != a {
                continue;
            }
            if self.value(2 * atom).is_none() {
                return Some(2 * atom);
            }
            self.parked.push(atom);
        }
        None
    }

    /// How many bounds stand changed.
    pub(in crate::planner::engine::search) fn changes(&self) -> usize {
        self.trail.len()
    }

    /// Variable and value of an atom.
    pub(in crate::planner::engine::search) fn atom(&self, l: Lit) -> (usize, i32) {
        self.split(l)
    }

    /// At the root: forgets the worse half of what was learned, once there is more than `most`.
    pub(in crate::planner::engine::search) fn forget(&mut self, most: usize) {
        self.rebuild();
        if self.clauses.len() <= most || self.level() > 0 {
            return;
        }
        let mut by: Vec<(u32, usize, usize)> = self
            .clauses
            .iter()
            .enumerate()
            .map(|(i, c)| (c.distance, c.lits.len(), self.clauses.len() - i))
            .collect();
        by.sort_unstable();
        let cut = by.get(most / 2).copied().unwrap_or((NONE, 0, 0));
        let total = self.clauses.len();
        let mut i = 0;
        self.clauses.retain(|c| {
            i += 1;
            (c.distance, c.lits.len(), total + 1 - i) < cut || c.distance <= 2
        });
        for e in &mut self.trail {
            // Root entries need no reason any more, and the clauses have moved.
            e.why = Why::Decision;
        }
        for w in &mut self.watches {
            w.clear();
        }
        let mut units = Vec::new();
        for c in 0..self.clauses.len() {
            let mut lits = std::mem::take(&mut self.clauses[c].lits);
            // Two literals that are not false come first, if there are two.
            lits.sort_by_key(|l| self.value(*l) == Some(false));
            if self.value(lits[0]) != Some(true) && self.value(lits[1]) == Some(false) {
                units.push(lits[0]);
            }
            self.watches[lits[0] as usize].push(c as u32);
            self.watches[lits[1] as usize].push(c as u32);
            self.clauses[c].lits = lits;
        }
        for l in units {
            if !self.set(l, Why::Decision) {
                break;
            }
        }
    }
}
