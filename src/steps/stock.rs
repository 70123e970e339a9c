//! How many of a lot are on hand, and what steps use up.

use super::facts::Facts;
use crate::domain::{MoveKind, Placement, ProductId, RecipeUse, StockId, Yard};

impl Facts<'_> {
    /// What one recipe step of a placement uses up. A begun metre is used whole; an untold length uses none.
    pub fn used_up(&self, placement: &Placement, recipe_step: &str) -> Vec<(ProductId, i64)> {
        let Some(recipe) = self.yard.recipe_steps.iter().find(|r| r.code == recipe_step) else {
            return Vec::new();
        };
        let metres = placement.length_mm.map_or(0, |l| (l.mm() + 999) / 1000);
        let used = |u: &RecipeUse| {
            let by_piece = u.per_piece.saturating_mul(placement.count);
            u.per_placement.saturating_add(by_piece).saturating_add(u.per_metre.saturating_mul(metres))
        };
        let rows = self.yard.recipe_uses.iter().filter(|u| u.recipe_step_id == recipe.id);
        rows.map(|u| (u.product_id, used(u))).collect()
    }
}

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
