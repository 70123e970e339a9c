//! Power: wires, strings, supplies, fuses, mains circuits, energy.
//!
//! Not here: facts of the yard, findings on screen, prices.

pub mod added_feeds;
pub mod branch_load;
pub mod conductor_size;
pub mod cord_amps;
pub mod cord_choice;
pub mod energy;
pub mod feed_points;
pub mod fuse;
pub mod leakage;
pub mod mains_resistance;
pub mod network;
pub mod pixel_defaults;
pub mod startup_phases;
pub mod supply_input;
pub mod supply_load;
pub mod voltage_drop;
pub mod wire_amps;
pub mod wire_resistance;
