//! Which lead goes to which way.

use std::collections::BTreeSet;

use crate::answers::shopping::leads::{Free, Way};

/// For each lead the way that it goes to: as many ways as can be get one of their own.
pub(super) fn hand_out<'w>(ways: &[&'w Way], free: &[Free]) -> Vec<Option<&'w Way>> {
    HandOut { ways, free, of: vec![None; free.len()], dead: BTreeSet::new() }.all()
}

/// A way that has a lead gives it up where another does for it.
struct HandOut<'a, 'w, 'f> {
    ways: &'a [&'w Way],
    free: &'a [Free<'f>],
    /// The way that each lead went to.
    of: Vec<Option<usize>>,
    /// Leads from which no exchange ends at a free one, nor will.
    dead: BTreeSet<usize>,
}

impl<'w> HandOut<'_, 'w, '_> {
    fn all(mut self) -> Vec<Option<&'w Way>> {
        for way in 0..self.ways.len() {
            let mut seen = BTreeSet::new();
            if !self.seat(way, &mut seen) {
                self.dead.extend(seen);
            }
        }
        let ways = self.ways;
        self.of.into_iter().map(|way| way.and_then(|at| ways.get(at).copied())).collect()
    }

    fn seat(&mut self, at: usize, seen: &mut BTreeSet<usize>) -> bool {
        let (ways, free) = (self.ways, self.free);
        let Some(way) = ways.get(at) else { return false };
        let may = |lead: &usize| free.get(*lead).is_some_and(|l| l.may(way));
        // The shortest first; one that is known to fit before one of which something is not told, one that lies there
        // before one that another way would have to give up.
        let mut fit: Vec<usize> =
            (0..free.len()).filter(|lead| !self.dead.contains(lead)).filter(may).collect();
        let known = |lead: usize| free.get(lead).is_some_and(|l| l.untold(way) == (false, false));
        fit.sort_by_key(|lead| (self.of.get(*lead).is_some_and(Option::is_some), !known(*lead)));
        for lead in fit {
            if !seen.insert(lead) {
                continue;
            }
            let other = self.of.get(lead).copied().flatten();
            if other.is_none_or(|other| self.seat(other, seen)) {
                if let Some(of) = self.of.get_mut(lead) {
                    *of = Some(at);
                }
                return true;
            }
        }
        false
    }
}
