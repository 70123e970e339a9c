//! Power and signal calculations, seen from outside.

mod network;
mod network_faults;
mod reference_cases;
mod register;
