//! ladderday plans, walks and remembers the yearly putting up and taking down of a pixel-lit display.
//!
//! The layers, from pure to outward: [`units`], [`domain`], [`calc`], [`steps`], [`planner`], [`stats`],
//! [`buying`], [`packing`], [`store`], [`answers`], [`exchange`], [`app`], [`tui`], [`cli`]. Which may import which is held by
//! the test `tests/structure`; DEVELOPERS.md has the map.

pub mod answers;
pub mod app;
pub mod buying;
pub mod calc;
pub mod cli;
pub mod deeds;
pub mod domain;
pub mod exchange;
pub mod packing;
pub mod planner;
pub mod stats;
pub mod steps;
pub mod store;
pub mod tui;
pub mod units;
