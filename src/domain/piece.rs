//! Single labelled things.

use chrono::NaiveDate;

use super::cell::{Moment, choice};
use super::container::ContainerId;
use super::fact::fact;
use super::product::{Product, ProductId};
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

impl Piece {
    /// A good one, of which nothing but its label is told.
    pub fn plain(id: PieceId, code: String, product_id: ProductId) -> Self {
        Self {
            id,
            ended_at: None,
            code,
            product_id,
            name: String::new(),
            batch: String::new(),
            condition: Condition::Good,
            home_id: None,
            got_on: None,
            source: String::new(),
            price_cents: None,
            tag_mv: None,
            in_plug: None,
            out_plug: None,
            address: None,
            firmware: None,
            length_mm: None,
            looked_over_on: None,
            note: String::new(),
        }
    }

    /// How long it is: as told for itself, else for what it is.
    pub fn long(&self, product: Option<&Product>) -> Option<Length> {
        self.length_mm.or_else(|| product?.length_mm)
    }
}

choice! {
    /// What was seen of a piece.
    LookKind {
        /// Put into a container by hand.
        Put => "put",
        Taken => "taken",
        Counted => "counted",
        Missing => "missing",
        Good => "good",
        /// It dries before it is packed.
        Wet => "wet",
        Worn => "worn",
        Faulty => "faulty",
    }
}

fact! {
    /// A piece as it was seen; rows are added.
    PieceLook, PieceLookId, "piece_look" {
        piece_id: PieceId,
        /// Where it was put or counted.
        container_id: Option<ContainerId>,
        kind: LookKind,
        at_ms: Moment,
        why: String,
    }
}
