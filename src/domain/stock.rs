//! Things that are only counted.

use chrono::NaiveDate;

use super::cell::{Moment, choice};
use super::container::ContainerId;
use super::fact::fact;
use super::product::ProductId;
use super::season::SeasonId;

fact! {
    /// A lot of counted things.
    Stock, StockId, "stock" {
        code: String,
        product_id: ProductId,
        home_id: Option<ContainerId>,
        use_by: Option<NaiveDate>,
        batch: String,
        frozen: bool,
        note: String,
    }
}

choice! {
    /// What a movement of stock is.
    MoveKind {
        Counted => "counted",
        Bought => "bought",
        Used => "used",
        Found => "found",
        Lost => "lost",
        Scrapped => "scrapped",
    }
}

fact! {
    /// One movement of a lot.
    StockMove, StockMoveId, "stock_move" {
        stock_id: StockId,
        kind: MoveKind,
        quantity: i64,
        at_ms: Moment,
        season_id: Option<SeasonId>,
        why: String,
    }
}
