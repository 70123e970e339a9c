//! What is owned: lists, all about one thing, a piece's whole life.

pub(crate) mod detail;
pub(crate) mod life;
pub(crate) mod page;
