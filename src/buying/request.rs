//! What is asked and what is answered, in plain words: needs, vendors, offers; a basket.

use std::collections::BTreeSet;
use std::fmt;

use chrono::NaiveDate;

use crate::units::Money;

/// Something wanted by a date. The same item may be needed several times by different dates.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Need {
    pub item: String,
    /// Pieces, at most 100,000 of one item.
    pub quantity: u32,
    /// Last day on which it may arrive.
    pub need_by: NaiveDate,
}

/// A shop with what it charges for an order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Vendor {
    pub id: String,
    /// The fee of the tier with the largest `from` not above the subtotal; empty means no fee.
    pub shipping: Vec<ShippingTier>,
    /// An order below it is not taken.
    pub min_order: Money,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ShippingTier {
    pub from: Money,
    pub fee: Money,
}

/// A pack of one item at one vendor; a price break is an offer of its own with `min_packs`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer {
    pub vendor: String,
    pub item: String,
    /// Pieces in a pack.
    pub pack: u32,
    /// Price of the pack.
    pub price: Money,
    /// Calendar days from order to arrival.
    pub lead_days: u32,
    /// Fewest packs where the offer is used at all.
    pub min_packs: u32,
    pub max_packs: Option<u32>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Request {
    pub order_date: NaiveDate,
    pub needs: Vec<Need>,
    pub vendors: Vec<Vendor>,
    pub offers: Vec<Offer>,
}

/// Packs of one offer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Line {
    /// Place in [`Request::offers`].
    pub offer: usize,
    pub packs: u64,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct VendorTotal {
    /// Place in [`Request::vendors`].
    pub vendor: usize,
    pub goods: Money,
    pub shipping: Money,
}

/// Whether nothing cheaper exists.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Proof {
    Proven,
    /// The search was cut short; nothing below `at_least` exists.
    BestFound {
        at_least: Money,
    },
}

/// A need that can't be met, told apart from the rest, which is still answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Missing {
    /// Place in [`Request::needs`].
    pub need: usize,
    pub reason: MissingReason,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MissingReason {
    NoOffer,
    /// Offers exist; the soonest arrives on this day.
    AllTooLate {
        soonest: NaiveDate,
    },
    /// The vendors cap their packs, or take no order as small as all they sell of it.
    NotEnough,
}

impl MissingReason {
    pub const fn code(self) -> &'static str {
        match self {
            Self::NoOffer => "buying.no_offer",
            Self::AllTooLate { .. } => "buying.all_too_late",
            Self::NotEnough => "buying.not_enough",
        }
    }
}

/// The cheapest way found to meet every need that can be met.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Basket {
    /// In the order of the offers.
    pub lines: Vec<Line>,
    /// In the order of the vendors, only those ordered from.
    pub vendors: Vec<VendorTotal>,
    pub goods: Money,
    pub shipping: Money,
    pub total: Money,
    pub missing: Vec<Missing>,
    pub proof: Proof,
}

/// Most pieces of one item, all its needs together.
pub(super) const MOST_PIECES: u32 = 100_000;
/// Most cents of a price, fee, tier or minimum order (one million of the currency).
pub(super) const MOST_CENTS: i64 = 100_000_000;
/// Most vendors with something usable.
pub(super) const MOST_VENDORS: usize = 30;

/// A request that can't be read as one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RequestError {
    /// An offer names a vendor that isn't told.
    UnknownVendor { offer: usize, vendor: String },
    /// Two vendors have the same id.
    SameVendor(String),
    /// A price, fee, tier or minimum below zero or above one million of the currency.
    Amount { what: &'static str, of: String, amount: Money },
    /// A pack of no pieces, `min_packs` 0, or more `min_packs` than `max_packs`.
    Packs { offer: usize },
    /// The lowest shipping tier does not begin at zero, so that a small order has no fee told.
    TierGap { vendor: String, from: Money },
    /// Two shipping tiers begin at the same subtotal.
    SameTier { vendor: String, from: Money },
    /// More pieces than 100,000.
    Quantity { item: String, pieces: u64 },
    /// More vendors than 30.
    Vendors(usize),
}

impl RequestError {
    pub const fn code(&self) -> &'static str {
        match self {
            Self::UnknownVendor { .. } => "buying.unknown_vendor",
            Self::SameVendor(_) => "buying.same_vendor",
            Self::Amount { .. } => "buying.amount",
            Self::Packs { .. } => "buying.packs",
            Self::TierGap { .. } => "buying.tier_gap",
            Self::SameTier { .. } => "buying.same_tier",
            Self::Quantity { .. } => "buying.quantity",
            Self::Vendors(_) => "buying.vendors",
        }
    }
}

impl fmt::Display for RequestError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnknownVendor { offer, vendor } => {
                write!(f, "offer {} is of vendor {vendor}, who is not told; add the vendor", offer + 1)
            }
            Self::SameVendor(id) => write!(f, "vendor {id} is told twice; keep one"),
            Self::Amount { what, of, amount } => write!(
                f,
                "{what} of {of} is {}; it must be 0 to {}",
                amount.show(""),
                Money::from_cents(MOST_CENTS).show("")
            ),
            Self::Packs { offer } => write!(
                f,
                "offer {}: a pack holds at least 1 piece, at least 1 pack is bought, and the most is not below the fewest",
                offer + 1
            ),
            Self::TierGap { vendor, from } => write!(
                f,
                "vendor {vendor}: shipping is told from {} only; add the fee of a smaller order, or a minimum order",
                from.show("")
            ),
            Self::SameTier { vendor, from } => {
                write!(f, "vendor {vendor}: two shipping fees from {}; keep one", from.show(""))
            }
            Self::Quantity { item, pieces } => {
                write!(f, "{pieces} pieces of {item} are more than {MOST_PIECES}; count in larger units")
            }
            Self::Vendors(n) => write!(f, "{n} vendors are more than {MOST_VENDORS}; close some"),
        }
    }
}

impl std::error::Error for RequestError {}

impl Request {
    /// Refuses what can't be meant.
    pub fn check(&self) -> Result<(), RequestError> {
        let amount = |what, of: &str, amount: Money| {
            if (0..=MOST_CENTS).contains(&amount.cents()) {
                Ok(())
            } else {
                Err(RequestError::Amount { what, of: of.to_owned(), amount })
            }
        };
        let mut ids = BTreeSet::new();
        for vendor in &self.vendors {
            if !ids.insert(vendor.id.as_str()) {
                return Err(RequestError::SameVendor(vendor.id.clone()));
            }
            amount("minimum order", &vendor.id, vendor.min_order)?;
            let mut starts = BTreeSet::new();
            for tier in &vendor.shipping {
                amount("shipping fee", &vendor.id, tier.fee)?;
                amount("shipping tier", &vendor.id, tier.from)?;
                if !starts.insert(tier.from) {
                    return Err(RequestError::SameTier { vendor: vendor.id.clone(), from: tier.from });
                }
            }
            match starts.first() {
                Some(&from) if from > vendor.min_order => {
                    return Err(RequestError::TierGap { vendor: vendor.id.clone(), from });
                }
                _ => {}
            }
        }
        for (at, offer) in self.offers.iter().enumerate() {
            if !ids.contains(offer.vendor.as_str()) {
                return Err(RequestError::UnknownVendor { offer: at, vendor: offer.vendor.clone() });
            }
            amount("price", &offer.item, offer.price)?;
            if offer.pack == 0 || offer.min_packs == 0 || offer.max_packs.is_some_and(|m| m < offer.min_packs)
            {
                return Err(RequestError::Packs { offer: at });
            }
        }
        for need in &self.needs {
            let pieces =
                self.needs.iter().filter(|n| n.item == need.item).map(|n| u64::from(n.quantity)).sum::<u64>();
            if pieces > u64::from(MOST_PIECES) {
                return Err(RequestError::Quantity { item: need.item.clone(), pieces });
            }
        }
        Ok(())
    }
}
