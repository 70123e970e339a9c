//! Needs, vendors, offers and orders.

use chrono::NaiveDate;

use super::cell::choice;
use super::fact::fact;
use super::fault::FaultId;
use super::product::ProductId;
use super::season::SeasonId;
use crate::units::Money;

choice! {
    /// Why something is needed.
    NeedReason {
        Scrapped => "scrapped",
        Lost => "lost",
        Repair => "repair",
        Spare => "spare",
        Consumable => "consumable",
        NewBuild => "new_build",
        Improvement => "improvement",
        Shortfall => "shortfall",
        Noted => "noted",
    }
}

fact! {
    /// Something to buy.
    Need, NeedId, "need" {
        code: String,
        product_id: Option<ProductId>,
        title: String,
        quantity: i64,
        season_id: Option<SeasonId>,
        need_by: Option<NaiveDate>,
        reason: NeedReason,
        fault_id: Option<FaultId>,
        worth: i64,
        met_on: Option<NaiveDate>,
        note: String,
    }
}

fact! {
    /// Where things are bought.
    Vendor, VendorId, "vendor" {
        code: String,
        name: String,
        local: bool,
        min_order_cents: Money,
        handling_days: i64,
        closed: bool,
        trip_cents: Money,
        note: String,
    }
}

fact! {
    /// A vendor's shipping fee from a subtotal on.
    ShippingTier, ShippingTierId, "shipping_tier" {
        vendor_id: VendorId,
        from_subtotal_cents: Money,
        fee_cents: Money,
        transit_days: i64,
    }
}

fact! {
    /// A price of a product at a vendor.
    Offer, OfferId, "offer" {
        code: String,
        vendor_id: VendorId,
        product_id: ProductId,
        pack: i64,
        price_cents: Money,
        min_packs: i64,
        max_packs: Option<i64>,
        lead_days: i64,
        sale_from: Option<NaiveDate>,
        sale_to: Option<NaiveDate>,
        priced_on: Option<NaiveDate>,
        note: String,
    }
}

fact! {
    /// An order placed.
    PurchaseOrder, PurchaseOrderId, "purchase_order" {
        code: String,
        vendor_id: VendorId,
        ordered_on: NaiveDate,
        expected_on: Option<NaiveDate>,
        shipping_cents: Money,
        tax_cents: Money,
        note: String,
    }
}

fact! {
    /// One line of an order.
    OrderLine, OrderLineId, "order_line" {
        order_id: PurchaseOrderId,
        product_id: ProductId,
        offer_id: Option<OfferId>,
        packs: i64,
        pack: i64,
        price_cents: Money,
        received: i64,
        received_on: Option<NaiveDate>,
    }
}
