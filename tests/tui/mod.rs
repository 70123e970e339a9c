//! Screens: keys in, picture out, over a made-up host.

mod buy;
mod colour_blind;
mod contrast;
mod deeds;
mod desk;
mod fake;
mod faults;
mod forms;
mod glance;
mod hostile;
mod keys;
mod laws;
mod next;
mod pictures;
mod power;
mod seconds;
mod stage;
mod walk;
mod yards;
