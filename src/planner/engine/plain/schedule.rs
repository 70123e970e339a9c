//! Serial schedule generation forward and backward on the packed profile.
//!
//! R. Kolisch, EJOR 90 (1996) 320-333 (serial scheme); V. Valls, F. Ballestín, S. Quintanilla, "Justification and
//! RCPSP: a technique that pays", EJOR 165 (2005) 375-386 (a backward and a forward pass over a finished schedule).

use super::instance::Instance;

/// Working space of one island.
pub(super) struct Scheduler<'a> {
    pub(super) i: &'a Instance,
    profile: Vec<u64>,
    /// Slots of the profile that may differ from the capacity.
    dirty: (usize, usize),
    keys: Vec<u32>,
    order: Vec<u16>,
    done: Vec<bool>,
    pub(super) passes: u64,
}

impl<'a> Scheduler<'a> {
    pub(super) fn new(i: &'a Instance) -> Self {
        Self {
            i,
            profile: i.free.clone(),
            dirty: (0, 0),
            keys: Vec::with_capacity(i.n),
            order: Vec::with_capacity(i.n),
            done: vec![false; i.n],
            passes: 0,
        }
    }

    fn clear(&mut self) {
        let (a, b) = self.dirty;
        self.profile[a..b].copy_from_slice(&self.i.free[a..b]);
        self.dirty = (self.profile.len(), 0);
        self.passes += 1;
    }

    fn take(&mut self, t: usize, d: usize, need: u64) {
        for f in &mut self.profile[t..t + d] {
            *f -= need;
        }
        self.dirty = (self.dirty.0.min(t), self.dirty.1.max(t + d));
    }

    /// Places a precedence-feasible list forward; the makespan, or `None` where the slots run out.
    pub(super) fn forward(&mut self, list: &[u16], start: &mut [i32]) -> Option<i32> {
        self.clear();
        let mut end = 0;
        for j in list {
            let j = *j as usize;
            let mut t = self.i.release[j];
            for (p, lag) in &self.i.preds[j] {
                t = t.max(start[*p as usize] + lag);
            }
            let d = self.i.dur[j];
            let need = self.i.packed[j];
            if let Some(shape) = &self.i.shape[j] {
                while !self.fits(t, shape)? {
                    t += 1;
                }
                self.take_shape(t as usize, shape);
            } else if let Some(k) = self.i.table[j] {
                t = self.first_in(k as usize, t, d, need)?;
            } else if need != 0 {
                t = self.first(t, d, need)?;
            }
            if need != 0 {
                self.take(t as usize, d as usize, need);
            }
            start[j] = t;
            end = end.max(t + d);
        }
        Some(end)
    }

    /// Is there room for a shape at `t`? `None` beyond the slots.
    fn fits(&self, t: i32, shape: &[u64]) -> Option<bool> {
        let guard = self.i.guard;
        let span = self.profile.get(usize::try_from(t).ok()?..t as usize + shape.len())?;
        Some(span.iter().zip(shape).all(|(f, s)| (f - s) & guard == guard))
    }

    fn take_shape(&mut self, t: usize, shape: &[u64]) {
        for (k, need) in shape.iter().enumerate() {
            self.profile[t + k] -= need;
        }
        self.dirty = (self.dirty.0.min(t), self.dirty.1.max(t + shape.len()));
    }

    fn first(&self, mut t: i32, d: i32, need: u64) -> Option<i32> {
        let guard = self.i.guard;
        let mut low = t;
        loop {
            // From the back, so that one look jumps as far as it can; what was seen free is not seen again.
            let span = self.profile.get(low as usize..(t + d) as usize)?;
            match span.iter().rposition(|f| (f - need) & guard != guard) {
                None => return Some(t),
                Some(k) => {
                    let old = t + d;
                    t = low + k as i32 + 1;
                    low = old.max(t);
                }
            }
        }
    }

    fn first_in(&self, table: usize, t: i32, d: i32, need: u64) -> Option<i32> {
        let guard = self.i.guard;
        let next = &self.i.next_fit[table];
        let mut t = *next.get(t as usize)?;
        loop {
            let span = self.profile.get(t as usize..(t + d) as usize)?;
            match span.iter().rposition(|f| (f - need) & guard != guard) {
                None => return Some(t),
                Some(k) => t = *next.get(t as usize + k + 1)?,
            }
        }
    }

    /// Places backward from `end` in the given order (successors first); `false` where it does not fit.
    fn backward(&mut self, list: &[u16], start: &mut [i32], end: i32) -> bool {
        self.clear();
        for j in list {
            let j = *j as usize;
            let d = self.i.dur[j];
            let mut t = end - d;
            for (s, lag) in &self.i.succs[j] {
                t = t.min(start[*s as usize] - lag);
            }
            let need = self.i.packed[j];
            if let Some(shape) = &self.i.shape[j] {
                while t >= self.i.release[j] && self.fits(t, shape) != Some(true) {
                    t -= 1;
                }
                if t < self.i.release[j] {
                    return false;
                }
                self.take_shape(t as usize, shape);
            }
            let found = match self.i.table[j] {
                Some(k) => self.last_in(k as usize, t, d, need),
                None if need != 0 => self.last(t, d, need),
                None => Some(t),
            };
            let Some(t) = found.filter(|t| *t >= self.i.release[j]) else { return false };
            if need != 0 {
                self.take(t as usize, d as usize, need);
            }
            start[j] = t;
        }
        true
    }

    fn last(&self, mut t: i32, d: i32, need: u64) -> Option<i32> {
        let guard = self.i.guard;
        let mut high = t + d;
        loop {
            if t < 0 {
                return None;
            }
            let span = self.profile.get(t as usize..high as usize)?;
            match span.iter().position(|f| (f - need) & guard != guard) {
                None => return Some(t),
                Some(k) => {
                    let old = t;
                    t = old + k as i32 - d;
                    high = old.min(t + d);
                }
            }
        }
    }

    fn last_in(&self, table: usize, t: i32, d: i32, need: u64) -> Option<i32> {
        let guard = self.i.guard;
        let last = &self.i.last_fit[table];
        let mut t = *last.get(usize::try_from(t).ok()?)?;
        loop {
            let span = self.profile.get(usize::try_from(t).ok()?..(t + d) as usize)?;
            match span.iter().position(|f| (f - need) & guard != guard) {
                None => return Some(t),
                Some(k) => t = *last.get(usize::try_from(t + k as i32 - d).ok()?)?,
            }
        }
    }

    /// Places forward in the order of the last [`Self::sort`].
    pub(super) fn again(&mut self, start: &mut [i32]) -> Option<i32> {
        let list = std::mem::take(&mut self.order);
        let end = self.forward(&list, start);
        self.order = list;
        end
    }

    /// Justification of a schedule; the new makespan, never above the old one. To the right, and, unless one time is
    /// as good as another, to the left again.
    pub(super) fn justify(&mut self, start: &mut [i32], old: &mut Vec<i32>, end: i32) -> i32 {
        old.clear();
        old.extend_from_slice(start);
        let i = self.i;
        self.sort(|j| (end - start[j] - i.dur[j]) as u32, true);
        let list = std::mem::take(&mut self.order);
        let fits = self.backward(&list, start, end);
        self.order = list;
        if !fits {
            start.copy_from_slice(old);
            return end;
        }
        if i.shiftable {
            let idle = start.iter().copied().min().unwrap_or(0);
            for t in start.iter_mut() {
                *t -= idle;
            }
            return end - idle;
        }
        self.sort(|j| start[j] as u32, false);
        match self.again(start) {
            Some(t) if t <= end => t,
            _ => {
                start.copy_from_slice(old);
                end
            }
        }
    }

    /// Sorts by key, then by topological rank (backwards: by rank falling).
    pub(super) fn sort(&mut self, key: impl Fn(usize) -> u32, backwards: bool) {
        let (n, rank) = (self.i.n, &self.i.rank);
        self.keys.clear();
        // Rank and activity name each other, so the key can carry the rank alone.
        let last = n as u32 - 1;
        self.keys.extend((0..n).map(|j| {
            let r = if backwards { last - rank[j] } else { rank[j] };
            key(j) << 15 | r
        }));
        self.keys.sort_unstable();
        self.order.clear();
        let by_rank = &self.i.by_rank;
        self.order.extend(self.keys.iter().map(|k| {
            let r = k & 0x7fff;
            by_rank[(if backwards { last - r } else { r }) as usize]
        }));
        if backwards && self.i.overlapping {
            self.mend();
        }
    }

    /// Makes the order topological where lags let activities overlap their successors.
    fn mend(&mut self) {
        let next = &self.i.succs;
        self.done.fill(false);
        let mut out = Vec::with_capacity(self.i.n);
        let mut stack = Vec::new();
        for j in &self.order {
            stack.push(*j);
            while let Some(top) = stack.last().copied() {
                if self.done[top as usize] {
                    stack.pop();
                    continue;
                }
                let open = stack.len();
                stack.extend(
                    next[top as usize].iter().map(|x| x.0 as u16).filter(|x| !self.done[*x as usize]),
                );
                if stack.len() == open {
                    self.done[top as usize] = true;
                    out.push(top);
                    stack.pop();
                }
            }
        }
        self.order = out;
    }

    /// The order of the last [`Self::sort`].
    pub(super) fn sorted(&self) -> &[u16] {
        &self.order
    }
}
