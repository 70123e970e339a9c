//! One language of widgets: every screen is put together from these.
//!
//! Not here: what is shown (`screens`), colours (`look`).

pub mod ascii;
pub mod big;
pub mod canvas;
mod columns;
pub mod field;
pub mod form;
pub mod frame;
pub mod overlay;
pub mod panes;
pub mod table;
pub mod text;

pub use canvas::Canvas;
pub use field::Field;
