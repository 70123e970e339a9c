//! Power and signal of a whole yard: what a check finds, and what it must not call fine.

mod bad_input;
mod demo;
mod mains;
mod numbers;
mod readings;
mod small;
mod trial;
mod yards;
mod zones;
