//! Totes, shelves and reels.

use super::fact::fact;
use crate::units::{Length, Mass};

fact! {
    /// Where things live when they are down.
    Container, ContainerId, "container" {
        code: String,
        name: String,
        kind: String,
        parent_id: Option<ContainerId>,
        frost_free: bool,
        length_mm: Option<Length>,
        width_mm: Option<Length>,
        height_mm: Option<Length>,
        max_mass_g: Option<Mass>,
        bench: bool,
        note: String,
    }
}
