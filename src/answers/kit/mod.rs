//! What is owned: lists, all about one thing, a piece's whole life.
//!
//! Not here: where it is in the yard (`walk`), deeds.

pub(crate) mod detail;
pub(crate) mod life;
pub(crate) mod page;
