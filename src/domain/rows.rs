//! The rows of a table, shared by copies of a yard.

use std::ops::{Deref, DerefMut};
use std::sync::Arc;

/// Rows that copies share until one of them is changed: work beside the screens takes a yard along for nothing, and a
/// tick meanwhile copies one table, not all.
#[derive(Debug, PartialEq, Eq)]
pub struct Rows<T>(Arc<Vec<T>>);

impl<T> Clone for Rows<T> {
    fn clone(&self) -> Self {
        Self(Arc::clone(&self.0))
    }
}

impl<T> Default for Rows<T> {
    fn default() -> Self {
        Self(Arc::default())
    }
}

impl<T> From<Vec<T>> for Rows<T> {
    fn from(mut rows: Vec<T>) -> Self {
        // Read row by row, a table has room for up to as many again.
        rows.shrink_to_fit();
        Self(Arc::new(rows))
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
        &self.0
    }
}

impl<T: Clone> DerefMut for Rows<T> {
    fn deref_mut(&mut self) -> &mut Vec<T> {
        Arc::make_mut(&mut self.0)
    }
}

impl<'a, T> IntoIterator for &'a Rows<T> {
    type Item = &'a T;
    type IntoIter = std::slice::Iter<'a, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.iter()
    }
}

impl<'a, T: Clone> IntoIterator for &'a mut Rows<T> {
    type Item = &'a mut T;
    type IntoIter = std::slice::IterMut<'a, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter_mut()
    }
}
