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
