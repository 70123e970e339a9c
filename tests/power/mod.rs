//! Power and signal of a whole yard: what a check finds, and what it must not call fine.

mod demo;
mod small;
mod yards;
