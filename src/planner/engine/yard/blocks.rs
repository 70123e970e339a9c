//! Stretches as the decoder takes them: their activities are placed together in one session, or not at all.

use super::decode::{Ask, Decoder};
use super::genes::{Genes, LEFT_OUT};
use super::rows::NO_SESSION;
use super::running::needed;
use crate::planner::engine::problem::{FAR, Mode, Problem, Time};
use std::collections::BTreeSet;

/// How many sessions a block is tried in before it is given up, with the patience its genes ask for and without.
const MOST_TRIES: usize = 40;

/// A test that runs by itself and does not fit is begun so many minutes later.
const LATER: Time = 15;

/// What of a stretch is still to be placed.
pub(super) struct Block {
    /// In the order in which they are placed.
    pub(super) items: Vec<usize>,
    /// What of it is done or begun: the session that binds the rest, and from when on the resource is off.
    begun: Option<(u32, Time)>,
    /// Two-mode resource that stays off until the last of the items starts.
    off: Option<usize>,
    /// What comes before any of them and is none of them.
    outside: Vec<usize>,
}

impl Block {
    /// The last of a stretch whose resource is kept off.
    fn off_until(&self) -> Option<(usize, usize)> {
        self.off.zip(self.items.last().copied())
    }
}

/// Blocks, the block of each activity, and pairs of what comes before what.
type Blocks = (Vec<Block>, Vec<Option<u16>>, Vec<(usize, usize)>);

/// The blocks of a problem, the block of each activity, and pairs by which what a block waits for from outside comes
/// before all of it; a pair that would close a circle is left out.
pub(super) fn blocks(p: &Problem, circle: &[bool]) -> Blocks {
    let n = p.activities.len();
    let mut preds: Vec<Vec<usize>> = vec![Vec::new(); n];
    for e in p.edges.iter().filter(|e| !(circle[e.pred] && circle[e.succ])) {
        preds[e.succ].push(e.pred);
    }
    let (order, _) = crate::planner::engine::order::order_and_circles(p);
    let mut rank = vec![0; n];
    for (k, i) in order.iter().enumerate() {
        rank[*i] = k;
    }
    let mut blocks = Vec::new();
    let mut block_of = vec![None; n];
    let mut first = Vec::new();
    for s in &p.stretches {
        let open = |i: &usize| p.activities[*i].fixed.is_none();
        let mut items: Vec<usize> = s.activities.iter().copied().filter(open).collect();
        items.sort_by_key(|i| rank[*i]);
        items.retain(|i| block_of[*i].is_none());
        let fixed = s.activities.iter().filter_map(|i| p.activities[*i].fixed.as_ref());
        let begun = fixed.filter_map(|f| Some((f.session?, f.start))).min_by_key(|f| f.1);
        let Ok(number) = u16::try_from(blocks.len()) else { break };
        for i in &items {
            block_of[*i] = Some(number);
        }
        let outside: BTreeSet<usize> = items.iter().flat_map(|i| preds[*i].iter().copied()).collect();
        let outside: Vec<usize> = outside.into_iter().filter(|q| !items.contains(q)).collect();
        if let Some(head) = items.first() {
            for q in outside.iter().copied().filter(|q| p.activities[*q].fixed.is_none()) {
                if !preds[*head].contains(&q) && !comes_after(&preds, q, &items) {
                    preds[*head].push(q);
                    first.push((q, *head));
                }
            }
        }
        // Its last is over or begun: nothing is kept off any more.
        let last_open = s.activities.last().is_some_and(open);
        blocks.push(Block { items, begun, off: s.off.filter(|_| last_open), outside });
    }
    (blocks, block_of, first)
}

fn comes_after(preds: &[Vec<usize>], i: usize, items: &[usize]) -> bool {
    let mut seen = BTreeSet::new();
    let mut todo = vec![i];
    while let Some(k) = todo.pop() {
        if items.contains(&k) {
            return true;
        }
        if seen.insert(k) {
            todo.extend(&preds[k]);
        }
    }
    false
}

impl Decoder<'_, '_> {
    /// Whether all that a block waits for was tried.
    pub(super) fn block_ready(&self, block: usize) -> bool {
        let waits = |q: &usize| !self.tried[*q] && !self.state.spots[*q].placed() && !self.m.out[*q];
        !self.m.blocks[block].outside.iter().any(waits)
    }

    /// Places a block where all of it fits into one session; nothing of it where it does not.
    pub(super) fn place_block(&mut self, block: usize, g: &Genes) -> bool {
        [true, false].into_iter().any(|patient| self.fit_block(block, g, patient, None))
    }

    /// The block came too late after what its head must follow in time: asks for a later one of those.
    pub(super) fn push_block(&mut self, block: usize, head: usize, g: &Genes) -> Option<usize> {
        let a = &self.m.p.activities[head];
        let q = self.latest(head).1.filter(|q| self.m.p.activities[*q].fixed.is_none())?;
        if !self.fit_block(block, g, false, Some(a.deadline.map_or(FAR, |d| d - a.duration))) {
            return None;
        }
        let start = self.state.spots[head].start;
        for i in self.m.blocks[block].items.iter().rev() {
            self.open_block(*i);
            self.state.take_back(self.m, *i);
        }
        self.push_for(head, q, start);
        Some(q)
    }

    fn fit_block(&mut self, block: usize, g: &Genes, patient: bool, lst: Option<Time>) -> bool {
        let m = self.m;
        let b = &m.blocks[block];
        let Some(head) = b.items.first().copied() else { return false };
        if b.items.iter().any(|i| m.out[*i]) || g.skip[head] == LEFT_OUT {
            return false;
        }
        let Some(mut from) = self.ready(head) else { return false };
        let lst = lst.unwrap_or_else(|| self.latest(head).0);
        for _ in 0..MOST_TRIES {
            match self.try_block(b, (from, lst), g, patient) {
                Try::Placed => return true,
                Try::Not => return false,
                Try::From(t) => from = t,
            }
        }
        false
    }

    fn try_block(&mut self, b: &Block, (from, lst): (Time, Time), g: &Genes, patient: bool) -> Try {
        let m = self.m;
        let mut only = b.begun.map(|f| f.0);
        let mut start = b.begun.map(|f| f.1);
        for (k, i) in b.items.iter().copied().enumerate() {
            let placed = self.ready(i).and_then(|est| {
                let est = match m.p.activities[i].run {
                    _ if k == 0 => est.max(from),
                    // Others may be busy until then.
                    Some(run) if patient => est.max(self.state.spots[run.from].end.saturating_add(g.wait[i])),
                    _ => est,
                };
                let skip = if k == 0 && patient { g.skip[i] } else { 0 };
                let lst = if k == 0 { lst } else { self.latest(i).0 };
                let ask = Ask { est, lst, skip, only, patient };
                self.find(i, &ask, g)
            });
            let Some(spot) = placed else {
                self.take_out(&b.items[..k]);
                // Another session may have room for all of it; of what runs by itself, a later hour of the same.
                let (Some(session), Some(first)) = (only.filter(|_| k > 0 && b.begun.is_none()), start)
                else {
                    return Try::Not;
                };
                let (end, later) = (m.bounds(session).1, first + LATER);
                let runs = m.p.activities[i].run.is_some();
                return Try::From(if runs && later + needed(m, b) <= end { later } else { end });
            };
            self.state.put(m, i, spot);
            start = start.or(Some(spot.start));
            only = only.or(Some(spot.session).filter(|s| *s != NO_SESSION));
        }
        let (Some((off, last)), Some(start)) = (b.off_until(), start) else { return Try::Placed };
        let until = self.state.spots[last].start;
        let on = self.state.modes[off].iter().filter(|r| r.mode == Mode::On);
        let broken = on.filter(|r| r.start < until && r.end > start).map(|r| r.end).max();
        if let Some(end) = broken {
            self.take_out(&b.items);
            return if b.begun.is_some() { Try::Not } else { Try::From(end) };
        }
        self.state.keep_off(off, start, until);
        Try::Placed
    }

    fn take_out(&mut self, items: &[usize]) {
        for i in items.iter().rev() {
            self.state.take_back(self.m, *i);
        }
    }

    /// The resource of the block that ends with `i` is let go, before `i` is taken back.
    pub(super) fn open_block(&mut self, i: usize) {
        let Some(b) = self.m.block_of[i].and_then(|b| self.m.blocks.get(usize::from(b))) else { return };
        let Some((off, last)) = b.off_until().filter(|x| x.1 == i) else { return };
        let first = b.items.first().map(|f| self.state.spots[*f].start);
        let Some(start) = b.begun.map(|f| f.1).or(first) else { return };
        self.state.let_go(off, start, self.state.spots[last].start);
    }
}

enum Try {
    Placed,
    /// From this time on it may fit.
    From(Time),
    Not,
}
