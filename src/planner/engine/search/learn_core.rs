//! Integer bounds with learned clauses: trail, propagation of clauses and (conditional) lags, first-UIP analysis.
//!
//! O. Ohrimenko, P. J. Stuckey, M. Codish, "Propagation via lazy clause generation", Constraints 14 (2009) 357-391;
//! analysis and watched literals after N. Eén, N. Sörensson, "An extensible SAT-solver", SAT 2003.

mod analysis;

/// Twice the number of an atom, which says of a variable that it is at least so much; plus 1: it is not (at most 1 less).
pub(super) type Lit = u32;

pub(super) const fn not(l: Lit) -> Lit {
    l ^ 1
}

/// Why a bound changed.
#[derive(Clone, Copy, Debug)]
pub(super) enum Why {
    Decision,
    Clause(u32),
    /// These literals of the store (from, to) imply it.
    Stored(u32, u32),
    /// A lag from this bound.
    One(Lit),
    /// A lag from the first under the second.
    Two(Lit, Lit),
}

#[derive(Clone, Copy, Debug)]
struct Entry {
    lit: Lit,
    old: i32,
    prev: u32,
    level: u32,
    why: Why,
}

#[derive(Clone, Copy, Debug)]
struct Edge {
    to: u32,
    lag: i32,
    /// Holds only when this is true; [`NONE`]: always.
    cond: Lit,
}

struct Clause {
    lits: Vec<Lit>,
    distance: u32,
}

pub(super) const NONE: u32 = u32::MAX;

pub(super) struct Core {
    /// What each atom says: this variable is at least so much.
    atoms: Vec<(u32, i32)>,
    /// The atoms of each variable: the number of the first, and what that one and the last say; the first holds, the
    /// last does not, whatever is decided.
    own: Vec<(u32, i32, i32)>,
    pub(super) low: Vec<i32>,
    pub(super) high: Vec<i32>,
    trail: Vec<Entry>,
    /// Latest entry of a variable: lower bound at 2v, upper at 2v + 1.
    last: Vec<u32>,
    store: Vec<Lit>,
    marks: Vec<(usize, usize)>,
    head: usize,
    watches: Vec<Vec<u32>>,
    clauses: Vec<Clause>,
    out: Vec<Vec<Edge>>,
    into: Vec<Vec<Edge>>,
    /// Conditional edges (from, to, lag, cond) by variable that may rule them out, and by condition.
    by_cond: Vec<Vec<(u32, u32, i32)>>,
    pub(super) touched: Vec<bool>,
    /// Variables whose bounds changed, either way, since somebody last took them from here.
    moved: Vec<u32>,
    is_moved: Vec<bool>,
    activity: Vec<f64>,
    step: f64,
    heap: std::collections::BinaryHeap<(u64, u32)>,
    /// Taken off the heap while decided; back on it when something is undone.
    parked: Vec<u32>,
    seen: Vec<i32>,
    pub(super) conflict: Vec<Lit>,
    pub(super) conflicts: u64,
}

impl Core {
    /// No low is above its high.
    pub(super) fn new(low: Vec<i32>, high: Vec<i32>) -> Self {
        let n = low.len();
        let (mut atoms, mut own) = (Vec::new(), Vec::with_capacity(n));
        for (v, (l, h)) in low.iter().zip(&high).enumerate() {
            own.push((atoms.len() as u32, *l, h + 1));
            atoms.extend((*l..=h + 1).map(|k| (v as u32, k)));
        }
        Self {
            last: vec![NONE; 2 * n],
            watches: vec![Vec::new(); 2 * atoms.len()],
            out: vec![Vec::new(); n],
            into: vec![Vec::new(); n],
            by_cond: vec![Vec::new(); n],
            touched: vec![true; n],
            moved: (0..n as u32).collect(),
            is_moved: vec![true; n],
            activity: vec![0.0; atoms.len()],
            atoms,
            own,
            low,
            high,
            trail: Vec::new(),
            store: Vec::new(),
            marks: Vec::new(),
            head: 0,
            clauses: Vec::new(),
            step: 1.0,
            heap: std::collections::BinaryHeap::new(),
            parked: Vec::new(),
            seen: Vec::new(),
            conflict: Vec::new(),
            conflicts: 0,
        }
    }

    pub(super) fn at_least(&self, v: usize, k: i32) -> Lit {
        let (first, from, to) = self.own[v];
        2 * (first + (k.clamp(from, to) - from) as Lit)
    }

    pub(super) fn at_most(&self, v: usize, k: i32) -> Lit {
        not(self.at_least(v, k + 1))
    }

    fn split(&self, l: Lit) -> (usize, i32) {
        let (v, k) = self.atoms[(l / 2) as usize];
        (v as usize, k)
    }

    /// `Some(true)` where it holds, `Some(false)` where it cannot.
    pub(super) fn value(&self, l: Lit) -> Option<bool> {
        let (v, k) = self.split(l);
        let atom = if self.low[v] >= k {
            true
        } else if self.high[v] < k {
            false
        } else {
            return None;
        };
        Some(atom == (l & 1 == 0))
    }

    /// `from + lag <= to`, always or under a condition (a variable of 0 and 1, at 1 or 0).
    pub(super) fn edge(&mut self, from: usize, to: usize, lag: i32, cond: Lit) {
        self.out[from].push(Edge { to: to as u32, lag, cond });
        self.into[to].push(Edge { to: from as u32, lag, cond });
        if cond != NONE {
            let v = self.split(cond).0;
            self.by_cond[v].push((from as u32, to as u32, lag));
        }
    }

    pub(super) fn level(&self) -> u32 {
        self.marks.len() as u32
    }

    pub(super) fn keep(&mut self, lits: &[Lit]) -> Why {
        let from = self.store.len() as u32;
        self.store.extend_from_slice(lits);
        Why::Stored(from, self.store.len() as u32)
    }

    /// Makes a literal true; `false` is a conflict, left in `conflict`.
    pub(super) fn set(&mut self, l: Lit, why: Why) -> bool {
        match self.value(l) {
            Some(true) => return true,
            Some(false) => {
                // What implies it and what forbids it; often all below this level.
                let mut lits = std::mem::take(&mut self.conflict);
                lits.clear();
                self.reasons(why, l, &mut lits);
                lits.push(not(l));
                self.conflict = lits;
                return false;
            }
            None => {}
        }
        let (v, k) = self.split(l);
        let side = 2 * v + (l & 1) as usize;
        let bound = if l & 1 == 0 { &mut self.low[v] } else { &mut self.high[v] };
        let old = *bound;
        *bound = if l & 1 == 0 { k } else { k - 1 };
        let level = self.marks.len() as u32;
        self.trail.push(Entry { lit: l, old, prev: self.last[side], level, why });
        self.last[side] = self.trail.len() as u32 - 1;
        self.touched[v] = true;
        self.mark(v);
        true
    }

    fn mark(&mut self, v: usize) {
        if !std::mem::replace(&mut self.is_moved[v], true) {
            self.moved.push(v as u32);
        }
    }

    /// The next variable whose bounds changed since it was last asked for.
    pub(super) fn next_moved(&mut self) -> Option<usize> {
        let v = self.moved.pop()? as usize;
        self.is_moved[v] = false;
        Some(v)
    }

    fn reasons(&self, why: Why, of: Lit, lits: &mut Vec<Lit>) {
        match why {
            Why::Decision => {}
            Why::One(a) => lits.push(a),
            Why::Two(a, b) => lits.extend([a, b]),
            Why::Stored(a, b) => lits.extend_from_slice(&self.store[a as usize..b as usize]),
            Why::Clause(c) => {
                lits.extend(self.clauses[c as usize].lits.iter().filter(|l| **l != of).map(|l| not(*l)));
            }
        }
    }

    pub(super) fn decide(&mut self, l: Lit) {
        self.marks.push((self.trail.len(), self.store.len()));
        self.set(l, Why::Decision);
    }

    pub(super) fn back(&mut self, level: u32) {
        let Some((to, store)) = self.marks.get(level as usize).copied() else { return };
        while self.trail.len() > to {
            let Some(e) = self.trail.pop() else { break };
            let v = self.split(e.lit).0;
            let side = 2 * v + (e.lit & 1) as usize;
            if e.lit & 1 == 0 {
                self.low[v] = e.old;
            } else {
                self.high[v] = e.old;
            }
            self.last[side] = e.prev;
            self.mark(v);
            let atom = e.lit / 2;
            if self.activity[atom as usize] > 0.0 {
                self.heap.push((self.activity[atom as usize].to_bits(), atom));
            }
        }
        for atom in std::mem::take(&mut self.parked) {
            if self.value(2 * atom).is_none() {
                self.heap.push((self.activity[atom as usize].to_bits(), atom));
            } else {
                self.parked.push(atom);
            }
        }
        self.store.truncate(store);
        self.marks.truncate(level as usize);
        self.head = self.trail.len();
    }

    /// Clauses and lags to their fixed point.
    pub(super) fn propagate(&mut self) -> bool {
        while let Some(e) = self.trail.get(self.head).copied() {
            self.head += 1;
            if !self.clauses_of(e) || !self.lags_of(e) {
                return false;
            }
        }
        true
    }

    fn clauses_of(&mut self, e: Entry) -> bool {
        let (v, k) = self.split(e.lit);
        let (from, to, sign) = if e.lit & 1 == 0 { (e.old + 1, k, 1) } else { (k, e.old, 0) };
        for x in from..=to {
            let gone = self.at_least(v, x) + sign;
            if self.watches[gone as usize].is_empty() {
                continue;
            }
            let mut list = std::mem::take(&mut self.watches[gone as usize]);
            let (mut i, mut j, mut fine) = (0, 0, true);
            'next: while i < list.len() {
                let c = list[i];
                i += 1;
                let mut lits = std::mem::take(&mut self.clauses[c as usize].lits);
                if lits.first() == Some(&gone) {
                    lits.swap(0, 1);
                }
                if self.value(lits[0]) == Some(true) {
                    list[j] = c;
                    j += 1;
                    self.clauses[c as usize].lits = lits;
                    continue;
                }
                for q in 2..lits.len() {
                    if self.value(lits[q]) != Some(false) {
                        lits.swap(1, q);
                        self.watches[lits[1] as usize].push(c);
                        self.clauses[c as usize].lits = lits;
                        continue 'next;
                    }
                }
                list[j] = c;
                j += 1;
                if self.value(lits[0]) == Some(false) {
                    self.conflict.clear();
                    self.conflict.extend(lits.iter().map(|l| not(*l)));
                    fine = false;
                } else {
                    fine = self.set(lits[0], Why::Clause(c));
                }
                self.clauses[c as usize].lits = lits;
                if !fine {
                    break;
                }
            }
            while i < list.len() {
                list[j] = list[i];
                i += 1;
                j += 1;
            }
            list.truncate(j);
            self.watches[gone as usize] = list;
            if !fine {
                return false;
            }
        }
        true
    }

    fn lags_of(&mut self, e: Entry) -> bool {
        let v = self.split(e.lit).0;
        for k in 0..self.by_cond[v].len() {
            let (from, to, lag) = self.by_cond[v][k];
            let (from, to) = (from as usize, to as usize);
            for c in 0..self.out[from].len() {
                let x = self.out[from][c];
                if x.to as usize == to && x.lag == lag && x.cond != NONE && self.value(x.cond) == Some(true) {
                    let (a, b) =
                        (self.at_least(to, self.low[from] + lag), self.at_least(from, self.low[from]));
                    if !self.set(a, Why::Two(b, x.cond)) {
                        return false;
                    }
                    let (a, b) = (self.at_most(from, self.high[to] - lag), self.at_most(to, self.high[to]));
                    if self.high[to] - lag < 0 {
                        self.conflict.clear();
                        self.conflict.extend([self.at_most(to, lag - 1), x.cond]);
                        return false;
                    }
                    if !self.set(a, Why::Two(b, x.cond)) {
                        return false;
                    }
                }
            }
        }
        let lower = e.lit & 1 == 0;
        let count = if lower { self.out[v].len() } else { self.into[v].len() };
        for k in 0..count {
            let x = if lower { self.out[v][k] } else { self.into[v][k] };
            let o = x.to as usize;
            // Most say nothing new, under whatever condition.
            let new =
                if lower { self.low[v] + x.lag > self.low[o] } else { self.high[v] - x.lag < self.high[o] };
            if !new {
                continue;
            }
            let known = if x.cond == NONE { Some(true) } else { self.value(x.cond) };
            let (from, to) = if lower { (v, o) } else { (o, v) };
            if known == Some(true) {
                let (a, b) = if lower {
                    (self.at_least(o, self.low[v] + x.lag), self.at_least(v, self.low[v]))
                } else if self.high[v] - x.lag < 0 {
                    self.conflict.clear();
                    self.conflict.push(self.at_most(v, x.lag - 1));
                    if x.cond != NONE {
                        self.conflict.push(x.cond);
                    }
                    return false;
                } else {
                    (self.at_most(o, self.high[v] - x.lag), self.at_most(v, self.high[v]))
                };
                let why = if x.cond == NONE { Why::One(b) } else { Why::Two(b, x.cond) };
                if !self.set(a, why) {
                    return false;
                }
            } else if known.is_none() && self.low[from] + x.lag > self.high[to] {
                let a = self.low[from];
                let (p, q) = (self.at_least(from, a), self.at_most(to, a + x.lag - 1));
                if !self.set(not(x.cond), Why::Two(p, q)) {
                    return false;
                }
            }
        }
        true
    }
}
