//! Every formula by name, with its source; screens and prints name sources from here.
//!
//! One line a formula file, in alphabetical order; a test fails for a file that is missing.

use super::source::Source;
use super::{daylight, electrical, signal, structural, weather};

/// `field/file` and the source of its formula.
pub const FORMULAS: &[(&str, Source)] = &[
    ("daylight/sun", daylight::SOURCE),
    ("electrical/added_feeds", electrical::added_feeds::SOURCE),
    ("electrical/branch_load", electrical::branch_load::SOURCE),
    ("electrical/conductor_size", electrical::conductor_size::SOURCE),
    ("electrical/cord_amps", electrical::cord_amps::SOURCE),
    ("electrical/cord_choice", electrical::cord_choice::SOURCE),
    ("electrical/energy", electrical::energy::SOURCE),
    ("electrical/feed_points", electrical::feed_points::SOURCE),
    ("electrical/fuse", electrical::fuse::SOURCE),
    ("electrical/leakage", electrical::leakage::SOURCE),
    ("electrical/mains_resistance", electrical::mains_resistance::SOURCE),
    ("electrical/network", electrical::network::SOURCE),
    ("electrical/pixel_defaults", electrical::pixel_defaults::SOURCE),
    ("electrical/startup_phases", electrical::startup_phases::SOURCE),
    ("electrical/supply_input", electrical::supply_input::SOURCE),
    ("electrical/supply_load", electrical::supply_load::SOURCE),
    ("electrical/voltage_drop", electrical::voltage_drop::SOURCE),
    ("electrical/wire_amps", electrical::wire_amps::SOURCE),
    ("electrical/wire_resistance", electrical::wire_resistance::SOURCE),
    ("signal/addressing", signal::addressing::SOURCE),
    ("signal/allocation", signal::allocation::SOURCE),
    ("signal/data_lead", signal::data_lead::SOURCE),
    ("signal/network_load", signal::network_load::SOURCE),
    ("signal/packet", signal::packet::SOURCE),
    ("signal/port_timing", signal::port_timing::SOURCE),
    ("signal/universe", signal::universe::SOURCE),
    ("structural/arch", structural::arch::SOURCE),
    ("structural/ballast", structural::ballast::SOURCE),
    ("structural/concrete", structural::concrete::SOURCE),
    ("structural/force", structural::force::SOURCE),
    ("structural/guyed", structural::guyed::SOURCE),
    ("structural/pressure", structural::pressure::SOURCE),
    ("weather/cure", weather::cure::SOURCE),
    ("weather/duty", weather::duty::SOURCE),
    ("weather/go", weather::go::SOURCE),
    ("weather/ladder", weather::ladder::SOURCE),
    ("weather/lift", weather::lift::SOURCE),
    ("weather/set_time", weather::set_time::SOURCE),
    ("weather/wind_chill", weather::wind_chill::SOURCE),
];
