//! How many of a lot are on hand.

use crate::domain::{MoveKind, StockId, Yard};

/// The last count, and the movements after it.
pub fn on_hand(yard: &Yard, stock: StockId) -> i64 {
    let mut moves: Vec<_> = yard.stock_moves.iter().filter(|m| m.stock_id == stock).collect();
    moves.sort_by_key(|m| (m.at_ms, m.id));
    moves.iter().fold(0, |have, m| match m.kind {
        MoveKind::Counted => m.quantity,
        MoveKind::Bought | MoveKind::Found => have + m.quantity,
        MoveKind::Used | MoveKind::Lost | MoveKind::Scrapped => (have - m.quantity).max(0),
    })
}
