//! The rows of one table: shared by copies of a yard until one of them changes, stamped anew at each change, and noted
//! when they are read.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::ops::{Deref, DerefMut};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

/// Names what a table says: two tables with one stamp say the same. Copies keep it, every change takes a new one.
pub type Stamp = u64;

/// The latest stamp that was given.
static LAST: AtomicU64 = AtomicU64::new(0);

fn next_stamp() -> Stamp {
    LAST.fetch_add(1, Ordering::Relaxed) + 1
}

thread_local! {
    /// What was read since [`reading`] began; nothing where nobody asked.
    static READING: RefCell<Option<BTreeSet<Stamp>>> = const { RefCell::new(None) };
}

fn note(stamp: Stamp) {
    READING.with_borrow_mut(|open| {
        if let Some(list) = open {
            list.insert(stamp);
        }
    });
}

/// The tables that something was worked out from.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Read(Vec<Stamp>);

impl Read {
    /// Whether it would come out the same of facts with these stamps.
    pub fn holds(&self, now: &BTreeSet<Stamp>) -> bool {
        self.0.iter().all(|s| now.contains(s))
    }

    /// Without one table, for what keeps its own account of that.
    #[must_use]
    pub fn except(mut self, stamp: Stamp) -> Self {
        self.0.retain(|s| *s != stamp);
        self
    }

    /// With the table that another one was made from in its place.
    #[must_use]
    pub fn made_from(mut self, made: Stamp, from: Stamp) -> Self {
        self.0.iter_mut().filter(|s| **s == made).for_each(|s| *s = from);
        self
    }

    /// Counts as read by whatever is worked out now.
    pub fn note(&self) {
        READING.with_borrow_mut(|open| {
            if let Some(list) = open {
                list.extend(&self.0);
            }
        });
    }
}

/// Does `work` and says which tables it read, on this thread. What is worked out within is part of what is around it.
pub fn reading<T>(work: impl FnOnce() -> T) -> (T, Read) {
    let (out, read) = reading_apart(work);
    read.note();
    (out, read)
}

/// The same, and leaves it to the caller what of it counts for what is around it.
pub fn reading_apart<T>(work: impl FnOnce() -> T) -> (T, Read) {
    // A table made by the work itself is none of its sources: those that it was made from were read for it.
    let before = LAST.load(Ordering::Relaxed);
    let outer = READING.replace(Some(BTreeSet::new()));
    let out = work();
    let read = Read(READING.replace(outer).into_iter().flatten().filter(|s| *s <= before).collect());
    (out, read)
}

/// The rows of one table, as a list; the first change of a copy takes rows of its own.
#[derive(Debug)]
pub struct Rows<T> {
    rows: Arc<Vec<T>>,
    stamp: Stamp,
}

impl<T> Rows<T> {
    /// See [`Stamp`]; asking for it reads nothing.
    pub fn stamp(&self) -> Stamp {
        self.stamp
    }
}

impl<T: PartialEq> Rows<T> {
    /// Keeps the rows of `before` where they say the same, stamp and all.
    pub(super) fn keep(&mut self, before: &Self) {
        if self.rows == before.rows {
            *self = before.clone();
        }
    }
}

impl<T: PartialEq> PartialEq for Rows<T> {
    fn eq(&self, other: &Self) -> bool {
        self.stamp == other.stamp || self.rows == other.rows
    }
}

impl<T: Eq> Eq for Rows<T> {}

impl<T> Clone for Rows<T> {
    fn clone(&self) -> Self {
        Self { rows: Arc::clone(&self.rows), stamp: self.stamp }
    }
}

impl<T> Default for Rows<T> {
    fn default() -> Self {
        Self { rows: Arc::default(), stamp: next_stamp() }
    }
}

impl<T> From<Vec<T>> for Rows<T> {
    fn from(mut rows: Vec<T>) -> Self {
        // Read row by row, a table has room for up to as many again.
        rows.shrink_to_fit();
        Self { rows: Arc::new(rows), stamp: next_stamp() }
    }
}

impl<T> FromIterator<T> for Rows<T> {
    fn from_iter<I: IntoIterator<Item = T>>(rows: I) -> Self {
        Vec::from_iter(rows).into()
    }
}

impl<T> Deref for Rows<T> {
    type Target = Vec<T>;

    fn deref(&self) -> &Vec<T> {
        note(self.stamp);
        &self.rows
    }
}

impl<T: Clone> DerefMut for Rows<T> {
    fn deref_mut(&mut self) -> &mut Vec<T> {
        // What it becomes follows from what it was.
        note(self.stamp);
        self.stamp = next_stamp();
        Arc::make_mut(&mut self.rows)
    }
}

impl<'a, T> IntoIterator for &'a Rows<T> {
    type Item = &'a T;
    type IntoIter = std::slice::Iter<'a, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.deref().iter()
    }
}

impl<'a, T: Clone> IntoIterator for &'a mut Rows<T> {
    type Item = &'a mut T;
    type IntoIter = std::slice::IterMut<'a, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter_mut()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_read_holds_until_one_of_its_tables_changes() {
        let mut read_one: Rows<u8> = vec![1].into();
        let mut other: Rows<u8> = vec![2].into();
        let stamps = |a: &Rows<u8>, b: &Rows<u8>| BTreeSet::from([a.stamp(), b.stamp()]);
        let (sum, read) = reading(|| read_one.iter().sum::<u8>());
        assert_eq!(sum, 1);
        other.push(3);
        assert!(read.holds(&stamps(&read_one, &other)));
        read_one.push(4);
        assert!(!read.holds(&stamps(&read_one, &other)));
    }

    #[test]
    fn what_is_read_within_counts_for_what_is_around() {
        let rows: Rows<u8> = vec![1].into();
        let ((_, inner), outer) = reading(|| reading(|| rows.len()));
        assert_eq!(inner, outer);
        let ((), again) = reading(|| inner.note());
        assert_eq!(again, outer);
        assert_eq!(reading(|| rows.stamp()).1, Read::default());
    }

    #[test]
    fn a_table_made_on_the_way_stands_for_what_it_was_made_from() {
        let mut told: Rows<u8> = vec![1, 2].into();
        let ahead: Rows<u8> = vec![9].into();
        let now = |told: &Rows<u8>| BTreeSet::from([told.stamp(), ahead.stamp()]);
        // A copy that is changed, and one that is gathered, are read in an account of their own, too.
        let (sum, read) = reading(|| {
            let mut copy = told.clone();
            copy.push(3);
            let gathered: Rows<u8> = copy.iter().map(|n| n * 2).collect();
            reading(|| gathered.iter().sum::<u8>()).0
        });
        assert_eq!(sum, 12);
        assert!(read.holds(&now(&told)), "it holds while what was told is the same");
        told.push(4);
        assert!(!read.holds(&now(&told)), "and not over a change of that");
        // What was made before is a source like any other.
        let made: Rows<u8> = told.iter().copied().collect();
        assert!(!reading(|| made.len()).1.holds(&now(&told)));
    }

    #[test]
    fn rows_that_say_the_same_keep_their_stamp() {
        let before: Rows<u8> = vec![1].into();
        let mut same: Rows<u8> = vec![1].into();
        let mut other: Rows<u8> = vec![2].into();
        same.keep(&before);
        other.keep(&before);
        assert_eq!(same.stamp(), before.stamp());
        assert_ne!(other.stamp(), before.stamp());
    }
}
