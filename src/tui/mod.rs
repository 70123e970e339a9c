//! The screens: plain state, actions, effects as data, one table of keys, one folder a screen.
//!
//! A key becomes an [`action::Action`] by the rows of [`keymap`]; [`update`] changes the [`state::State`] and
//! gives [`effect::Effect`]s; [`mod@run`] carries them out on a [`host::Host`] and draws with [`draw`].
//!
//! Not here: facts, plans, files (`app`), arguments (`cli`); threads, signals and terminal outside [`mod@run`].

pub mod action;
pub mod ahead;
pub mod carry_out;
pub mod clipboard;
pub mod draw;
pub mod effect;
pub mod find;
pub mod form;
mod help;
pub mod host;
pub mod keymap;
pub mod listing;
pub mod look;
mod paste;
pub mod plain;
pub mod popup;
pub mod run;
mod screen;
pub mod screens;
pub mod state;
pub mod update;
pub mod viewer;
pub mod widgets;

pub use host::{Background, Host};
pub use keymap::{KeyText, Keymap};
pub use look::{Depth, Look, Theme};
pub use run::{Ended, Options, run};
