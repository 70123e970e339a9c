//! Kinds of things that are owned or bought.

use super::cell::{Words, choice};
use super::fact::fact;
use crate::units::{Current, Gauge, Length, Mass, Percent, Power, Temperature, Voltage};

choice! {
    /// What a product is to the program.
    Role {
        Prop => "prop",
        Mount => "mount",
        Lead => "lead",
        Adaptor => "adaptor",
        Supply => "supply",
        Controller => "controller",
        Box => "box",
        Network => "network",
        Player => "player",
        Sound => "sound",
        Tool => "tool",
        Ladder => "ladder",
        Consumable => "consumable",
        Part => "part",
    }
}

choice! {
    /// How a pixel draws current.
    LoadModel {
        ConstantCurrent => "constant_current",
        ConstantPower => "constant_power",
        CurrentWithKnee => "current_with_knee",
    }
}

fact! {
    /// A kind of thing; `kind` is the owner's own word.
    Product, ProductId, "product" {
        code: String,
        name: String,
        kind: String,
        role: Role,
        /// The recipe's equipment word that it answers, as `extension_ladder`.
        serves_as: Option<String>,
        volts_mv: Option<Voltage>,
        load_model: Option<LoadModel>,
        pixels: Option<i64>,
        pixel_ma: Option<Current>,
        pixel_mw: Option<Power>,
        cutoff_mv: Option<Voltage>,
        knee_mv: Option<Voltage>,
        off_mv: Option<Voltage>,
        /// The lowest voltage at which a pixel still shows true colours.
        lowest_mv: Option<Voltage>,
        load_mw: Option<Power>,
        chip: Option<String>,
        channels_per_pixel: Option<i64>,
        pitch_mm: Option<Length>,
        /// Wire of its rails or conductors.
        wire: Option<Gauge>,
        length_mm: Option<Length>,
        output_mv: Option<Voltage>,
        rated_mw: Option<Power>,
        efficiency_pct: Option<Percent>,
        ports: Option<i64>,
        port_pixels: Option<i64>,
        fuse_ma: Option<Current>,
        ip_class: Option<String>,
        width_mm: Option<Length>,
        height_mm: Option<Length>,
        depth_mm: Option<Length>,
        mass_g: Option<Mass>,
        max_load_g: Option<Mass>,
        solid_pct: Option<Percent>,
        counted: bool,
        keep_from_frost: bool,
        min_handling_mc: Option<Temperature>,
        cautions: Words,
        note: String,
        /// Peak current from the mains when it is switched on cold.
        startup_ma: Option<Current>,
        /// Real power over apparent power at the mains.
        power_factor_pct: Option<Percent>,
    }
}

choice! {
    /// Which way data runs at an end.
    Direction {
        In => "in",
        Out => "out",
        Either => "either",
    }
}

choice! {
    /// What the plug shows.
    PlugSex {
        Pins => "pins",
        Sockets => "sockets",
        Neutral => "neutral",
    }
}

fact! {
    /// One end of a product: its plug, direction of data and voltage.
    ProductEnd, ProductEndId, "product_end" {
        product_id: ProductId,
        end_name: String,
        direction: Direction,
        plug_family: Option<String>,
        pins: Option<i64>,
        sex: Option<PlugSex>,
        conductor_order: Option<String>,
        volts_mv: Option<Voltage>,
    }
}
