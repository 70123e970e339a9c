//! One newtype a quantity: whole numbers in the column's unit for facts, checked `f64` in SI for formulas.
//!
//! Facts ([`Length`], [`Voltage`] …) are `i64` in millimetres, millivolts and so on, exactly as stored. What people
//! type is parsed leniently by `parse` and shown by `show` in the site's [`System`]. Formulas take the types of
//! [`si`], whose constructors refuse what is not finite or out of range.
//!
//! Not here: facts about the yard (`domain`), formulas (`calc`), any clock or locale of the machine.

mod count;
mod gauge;
mod length;
mod money;
mod parse;
mod quantity;
pub mod si;
mod span;
mod system;
mod temperature;

pub use count::{Angle, Percent};
pub use gauge::{Gauge, GaugeSystem};
pub use length::Length;
pub use money::Money;
pub use parse::{UnitError, figure, parse_number};
pub use quantity::{Current, Force, Mass, Power, Speed, Voltage, Volume};
pub use span::{Span, hours_and_minutes};
pub use system::System;
pub use temperature::Temperature;
