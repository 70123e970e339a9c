//! The ids of rows that come from files: the same yard, table and code give the same id on every laptop.

use sha2::{Digest, Sha256};
use uuid::Uuid;

/// A UUID version 8 (RFC 9562, 5.8) from the first 16 bytes of SHA-256 over yard, table and code.
pub(in crate::exchange) fn id_of(yard: Uuid, table: &str, code: &str) -> Uuid {
    let mut hash = Sha256::new();
    hash.update(yard.as_bytes());
    for part in [table, code] {
        hash.update([0x1F]);
        hash.update(part.as_bytes());
    }
    let digest = hash.finalize();
    let mut bytes = [0_u8; 16];
    for (to, from) in bytes.iter_mut().zip(digest.iter()) {
        *to = *from;
    }
    Uuid::new_v8(bytes)
}

/// The columns that tell apart the rows of a table without codes.
pub(super) fn natural_key(table: &str) -> &'static [&'static str] {
    match table {
        "fall_line" => &["upper_place_id", "lower_place_id"],
        "product_end" => &["product_id", "end_name"],
        "recipe_use" => &["recipe_step_id", "product_id"],
        "placement_piece" => &["placement_id", "piece_id"],
        "session_person" => &["session_id", "person_id"],
        "shipping_tier" => &["vendor_id", "from_subtotal_cents"],
        "stock_move" => &["stock_id", "at_ms", "kind"],
        "repair_entry" => &["fault_id", "at_ms", "deed"],
        "tick" => &["step_key", "kind", "at_ms", "person_id"],
        "night" => &["night_on"],
        "dark_time" => &["season_id", "placement_id", "night_on", "at_ms"],
        "meter_reading" => &["step_key", "piece_id", "circuit_id", "at_ms"],
        "time_correction" => &["step_key", "ticked_ms", "at_ms"],
        "season_difference" => &["season_id", "placement_id", "what", "at_ms"],
        "order_line" => &["order_id", "product_id"],
        "piece_look" => &["piece_id", "at_ms", "kind"],
        // The one site of a yard.
        _ => &[],
    }
}

/// Whether two rows with the same key are two events, not one told twice.
pub(super) fn may_repeat(table: &str) -> bool {
    matches!(
        table,
        "stock_move"
            | "repair_entry"
            | "tick"
            | "time_correction"
            | "season_difference"
            | "order_line"
            | "piece_look"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_are_of_version_8_and_depend_on_all_three() {
        let (a, b) = (Uuid::from_u128(1), Uuid::from_u128(2));
        let id = id_of(a, "place", "LAWN");
        assert_eq!(id.get_version_num(), 8);
        assert_eq!(id, id_of(a, "place", "LAWN"));
        for other in [id_of(b, "place", "LAWN"), id_of(a, "piece", "LAWN"), id_of(a, "place", "LAWN2")] {
            assert_ne!(id, other);
        }
    }
}
