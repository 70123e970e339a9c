//! Power: wires, strings, supplies, fuses, mains circuits, energy.
//!
//! Not here: facts of the yard, findings on screen, prices.

pub mod network;
