//! Serial schedule generation forward and backward on the packed profile (R. Kolisch, EJOR 90 (1996) 320-333).

use super::instance::Instance;

/// Working space of one island.
pub(super) struct Slots<'a> {
    pub(super) i: &'a Instance,
    profile: Vec<u64>,
    /// Slots of the profile that may differ from the capacity.
    dirty: (usize, usize),
    /// Who works in each slot, and on each activity.
    busy: Vec<u64>,
    pub(super) crew: Vec<u64>,
}

impl<'a> Slots<'a> {
    pub(super) fn new(i: &'a Instance) -> Self {
        let (slots, n) = if i.crew.is_some() { (i.free.len(), i.n) } else { (0, 0) };
        Self { i, profile: i.free.clone(), dirty: (0, 0), busy: vec![0; slots], crew: vec![0; n] }
    }

    fn clear(&mut self) {
        let (a, b) = self.dirty;
        // Nothing was taken where nobody needs anything, or nothing fitted.
        if a < b {
            self.profile[a..b].copy_from_slice(&self.i.free[a..b]);
            if !self.busy.is_empty() {
                self.busy[a..b].fill(0);
            }
        }
        self.dirty = (self.profile.len(), 0);
    }

    fn take(&mut self, t: usize, d: usize, need: u64) {
        for f in &mut self.profile[t..t + d] {
            *f -= need;
        }
        self.dirty = (self.dirty.0.min(t), self.dirty.1.max(t + d));
    }

    /// Places a precedence-feasible list forward; the makespan, or `None` where the slots run out, or where what comes
    /// after one of them (`tail`) ends later than `most`.
    pub(super) fn forward(
        &mut self,
        list: &[u32],
        start: &mut [i32],
        (tail, most): (&[i32], i32),
    ) -> Option<i32> {
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
            } else {
                loop {
                    t = match self.i.table[j] {
                        Some(k) => self.first_in(k as usize, t, d, need)?,
                        None if need != 0 => self.first(t, d, need)?,
                        None => t,
                    };
                    if self.manned(j, t, d)? {
                        break;
                    }
                    t += 1;
                }
            }
            if t + tail[j] > most {
                return None;
            }
            if need != 0 {
                self.take(t as usize, d as usize, need);
            }
            start[j] = t;
            end = end.max(t + d);
        }
        Some(end)
    }

    /// Finds and takes a crew for all the time; true where nobody is asked for, `None` beyond the slots.
    fn manned(&mut self, j: usize, t: i32, d: i32) -> Option<bool> {
        let Some(crew) = self.i.crew.as_ref().filter(|_| d > 0) else { return Some(true) };
        let (a, b) = (usize::try_from(t).ok()?, usize::try_from(t + d).ok()?);
        let span = self.busy.get_mut(a..b)?;
        let free = !span.iter().fold(0, |s, b| s | b);
        let Some(own) = crew.choose(j, free) else { return Some(false) };
        for b in span {
            *b |= own;
        }
        self.dirty = (self.dirty.0.min(a), self.dirty.1.max(b));
        self.crew[j] = own;
        Some(true)
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
    pub(super) fn backward(&mut self, list: &[u32], start: &mut [i32], end: i32) -> bool {
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
            loop {
                let found = match self.i.table[j] {
                    Some(k) => self.last_in(k as usize, t, d, need),
                    None if need != 0 => self.last(t, d, need),
                    None => Some(t),
                };
                let Some(at) = found.filter(|t| *t >= self.i.release[j]) else { return false };
                t = at;
                match self.manned(j, t, d) {
                    None => return false,
                    Some(true) => break,
                    Some(false) => t -= 1,
                }
            }
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
}
