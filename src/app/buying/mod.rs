//! What to buy: needs gathered, baskets, the stock check, sheets for paper.
//!
//! Not here: the least-cost search (`crate::buying`), orders written and received (`deeds`), drawing.

mod builds;
mod calendar;
mod leads;
mod needs;
mod sheet;
mod shopping;
mod stock;
mod trial;

pub use needs::Wanted;
pub use shopping::{BuyChoice, Shopping};

pub(super) use sheet::VendorBasket;
pub(super) use shopping::missing_words;
