//! Single labelled things.

use chrono::NaiveDate;

use super::cell::choice;
use super::container::ContainerId;
use super::fact::fact;
use super::product::ProductId;
use crate::units::{Length, Money, Voltage};

choice! {
    /// The state of a piece.
    Condition {
        Good => "good",
        Faulty => "faulty",
        Lent => "lent",
        Lost => "lost",
        Scrapped => "scrapped",
    }
}

fact! {
    /// One labelled thing.
    Piece, PieceId, "piece" {
        code: String,
        product_id: ProductId,
        name: String,
        batch: String,
        condition: Condition,
        home_id: Option<ContainerId>,
        got_on: Option<NaiveDate>,
        source: String,
        price_cents: Option<Money>,
        /// The voltage on its tag.
        tag_mv: Option<Voltage>,
        in_plug: Option<String>,
        out_plug: Option<String>,
        address: Option<String>,
        firmware: Option<String>,
        length_mm: Option<Length>,
        looked_over_on: Option<NaiveDate>,
        note: String,
    }
}
