//! Power and signal calculations, seen from outside.

mod network;
mod network_faults;
mod network_laws;
mod networks;
mod reference_cases;
mod register;
