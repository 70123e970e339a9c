//! Data: universes and slots, packets, ports and frame rates, network load, addresses.
//!
//! Not here: facts of the yard, sockets, settings of real controllers.

pub mod addressing;
pub mod allocation;
pub mod data_lead;
pub mod network_load;
pub mod packet;
pub mod port_timing;
pub mod universe;
