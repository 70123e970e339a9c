//! The program as its owner uses it: whole, in a terminal, with a file that is looked at afterwards.

mod by_keys;
mod closing;
mod completions;
mod contradictions;
mod endings;
mod evening;
mod exit_codes;
mod fault_keys;
mod fault_year;
mod handful;
mod lines;
mod own;
mod paper;
mod readme;
mod refused;
mod running;
mod settings;
mod strangers;
mod terminal;
mod without_terminal;
mod year;
mod year_screens;
