//! What to buy: needs gathered, baskets, the stock check, sheets for paper.
//!
//! Not here: the least-cost search (`crate::buying`), orders written and received (`deeds`), drawing.

pub(crate) mod builds;
pub(crate) mod calendar;
mod hand_out;
pub(crate) mod leads;
pub(crate) mod list;
pub(crate) mod needs;
mod ordered;
mod owned;
pub(crate) mod page;
pub(crate) mod plugs;
pub(crate) mod sheet;
pub(crate) mod stock;
mod stock_kept;
pub(crate) mod trial;

pub use list::{BuyChoice, Shopping};
pub use needs::Wanted;
pub use page::buy_page;

pub(crate) use list::{late_words, missing_words};
pub(crate) use sheet::VendorBasket;
