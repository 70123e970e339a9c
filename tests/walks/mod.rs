//! The program as its owner uses it: whole, in a terminal, with a file that is looked at afterwards.

mod evening;
mod fault_keys;
mod fault_year;
mod handful;
mod refused;
mod terminal;
mod without_terminal;
