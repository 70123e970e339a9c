//! Walk: the checklist of one session, what to fetch, cautions in words.
//!
//! Not here: ticks (`deeds`), drawing.

pub(crate) mod apart;
pub(crate) mod connect;
pub(crate) mod fetch;
pub(crate) mod list;
pub(crate) mod not_yet;
pub(crate) mod page;
pub(crate) mod ready;
pub(crate) mod running;
pub(crate) mod states;
pub(crate) mod words;
pub(crate) mod work;
