//! What is on order and still to come.

use std::fmt::Write as _;

use chrono::NaiveDate;

use crate::answers::Outlook;
use crate::answers::words::{n_of, say_date, some};
use crate::domain::{ProductId, PurchaseOrder, Season};

/// How many of a product are still to come, order by order.
pub(super) fn to_come<'a>(
    outlook: &Outlook<'a>,
    product: ProductId,
) -> impl Iterator<Item = (i64, &'a PurchaseOrder)> {
    let yard = outlook.yard;
    let lines = yard.order_lines.iter().filter(move |l| l.product_id == product);
    let open = lines.map(|l| (l.packs * l.pack - l.received, l.order_id)).filter(|(n, _)| *n > 0);
    open.filter_map(|(n, id)| Some((n, yard.purchase_orders.iter().find(|o| o.id == id)?)))
}

/// What comes by the day it is wanted, and how that is said.
#[derive(Default)]
pub(super) struct Coming {
    pub(super) in_time: i64,
    /// "; 5 on order (PO1, expected Sat 10 Oct 2026)"
    pub(super) words: String,
}

/// The day by which what is ordered must have come: that of the last session before the rehearsal, or before the lights go
/// on where none is told; without sessions the day before.
fn must_be_there(outlook: &Outlook, season: &Season) -> Option<NaiveDate> {
    let due = season.rehearsal.into_iter().chain(season.lights_on).min()?;
    let today = outlook.tonight();
    let sessions = outlook.yard.sessions.iter().filter(|s| !s.lost && s.starts < due);
    let last = sessions.map(|s| s.starts.date()).filter(|d| *d >= today).max();
    last.or(due.date().pred_opt())
}

/// What comes in time for a season; of an order of which nobody told when it comes that is said.
pub(super) fn coming(
    outlook: &Outlook,
    product: ProductId,
    season: &Season,
    not_told: &mut Vec<String>,
) -> Coming {
    let by = must_be_there(outlook, season);
    let mut coming = Coming::default();
    let mut undated = Vec::new();
    for (n, order) in to_come(outlook, product) {
        let Some(day) = order.expected_on else {
            undated.push(order.code.clone());
            coming.in_time += n;
            let _ = write!(coming.words, "; {n} on order ({})", order.code);
            continue;
        };
        let late = by.is_some_and(|by| day > by);
        coming.in_time += if late { 0 } else { n };
        let too_late = if late { ": too late" } else { "" };
        let expected = say_date(day);
        let _ = write!(coming.words, "; {n} on order ({}, expected {expected}{too_late})", order.code);
    }
    if !undated.is_empty() {
        let orders = n_of(undated.len(), "order");
        not_told.push(format!("when it comes not told of {orders} ({}): taken as in time", some(undated)));
    }
    coming
}
