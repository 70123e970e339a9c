//! The Buy screen: needs, baskets by vendor, orders.

use chrono::NaiveDate;

use crate::units::Money;

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Buy {
    pub needs: Vec<NeedRow>,
    pub baskets: Vec<Basket>,
    /// Of all baskets; nothing where there is none.
    pub total: Option<Money>,
    /// ISO 4217.
    pub currency: String,
    /// The baskets are proven to be the least cost.
    pub proven: bool,
    /// Needs that no offer meets, with why and what to do.
    pub unmet: Vec<String>,
    pub orders: Vec<OrderRow>,
    /// Order-by dates in order: "Mon 3 Aug: order at …".
    pub calendar: Vec<String>,
    /// What the budget does not reach.
    pub left_out: Vec<String>,
    /// What a choice changes against the plain answer.
    pub against: Option<String>,
    /// The choice in words, where one is tried.
    pub tried: Option<String>,
    /// What differs from the plain answer, one line each.
    pub changes: Vec<String>,
    /// What could not be counted, as nothing of it is told.
    pub not_told: Vec<String>,
    /// Code and name of every vendor that is open.
    pub vendors: Vec<(String, String)>,
}

impl Buy {
    /// Orders of which something is still to come.
    pub fn to_come(&self) -> impl Iterator<Item = &OrderRow> {
        self.orders.iter().filter(|o| o.state != "received")
    }
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NeedRow {
    pub title: String,
    pub quantity: i64,
    /// Nothing where no step uses it.
    pub need_by: Option<NaiveDate>,
    /// The latest day to order it, where an offer is known.
    pub order_by: Option<NaiveDate>,
    /// It comes after it is needed, whenever it is ordered.
    pub late: bool,
    pub vendor: Option<String>,
    /// Of all packs bought for it.
    pub price: Option<Money>,
    /// Each with its source: "scrapped: bridge arch 2", "one spare".
    pub reasons: Vec<String>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Basket {
    pub vendor: String,
    /// Nothing where any day will do.
    pub order_by: Option<NaiveDate>,
    pub late: bool,
    pub lines: Vec<BasketLine>,
    pub goods: Money,
    pub shipping: Money,
    pub total: Money,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BasketLine {
    pub item: String,
    pub packs: i64,
    pub pack: i64,
    /// Of all packs.
    pub price: Money,
    /// The day of the price.
    pub priced_on: Option<NaiveDate>,
    /// "priced 29 Nov 2025"; empty where no day is told.
    pub priced: String,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderRow {
    pub code: String,
    pub vendor: String,
    pub ordered: String,
    pub expected: String,
    pub state: String,
}
