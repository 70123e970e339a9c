//! What to order where at least cost, and by when.
//!
//! [`cheapest`] gives exact least-cost baskets by vendor and says whether they are proven; [`within_budget`] says what
//! to leave out; [`order_by`] gives the last order date. How it is found: the shop states (unused, or used in one
//! shipping tier) are searched best first; in one state a price credit on vendors that must reach a tier
//! (Lagrangian relaxation) makes items separable and gives a bound; what the bound leaves open is settled by a
//! dynamic programme over what is spent at those vendors.
//!
//! Not here: where needs come from (`stats`, `steps`), orders already placed (`domain`), any screen.

mod budget;
mod cover;
mod dates;
mod filler;
mod labels;
mod model;
mod request;
mod search;

pub use budget::{BudgetAnswer, within_budget};
pub use dates::{Delivery, OrderBy, TransitDays, arrival, order_by};
pub use request::{
    Basket, Line, Missing, MissingReason, Need, Offer, Proof, Request, RequestError, ShippingTier, Vendor,
    VendorTotal,
};
pub use search::cheapest;
