//! Offers that the owner types: a price at a vendor, with the day it was seen.

use super::Desk;
use super::ask::NewOffer;
use super::order::vendor_by_code;
use super::{mistyped, next_code, read_day, refused};
use crate::answers::problem::Problem;
use crate::domain::{Fact, Offer, OfferId};
use crate::exchange::csv::{mixed_currency, other_currency};
use crate::units::Money;

const MOST_CENTS: i64 = 100_000_000;

pub(super) fn add_offer(desk: &mut dyn Desk, new: &NewOffer) -> Result<String, Problem> {
    let vendor = vendor_by_code(desk, &new.vendor)?;
    let wanted = new.product.trim();
    let same =
        |code: &str, name: &str| code.eq_ignore_ascii_case(wanted) || name.eq_ignore_ascii_case(wanted);
    let product = desk.yard().products.iter().find(|p| same(&p.code, &p.name)).cloned().ok_or_else(|| {
        refused("no-product", format!("there is no product {wanted:?}"))
            .hint("add it to product.csv first: an offer is of a product")
    })?;
    let own = desk.outlook().currency();
    if let Some(other) = other_currency(new.price.trim(), &own) {
        let (what, how) = mixed_currency(&other, &own);
        return Err(refused("mixed-currency", what).hint(how));
    }
    let price = Money::parse(new.price.trim())
        .map_err(|e| mistyped("bad-price", e.to_string()).hint("write it like 12.50"))?;
    if !(0..=MOST_CENTS).contains(&price.cents()) {
        let most = Money::from_cents(MOST_CENTS).show(&own);
        return Err(
            mistyped("bad-price", format!("{} is no price", price.show(&own))).hint(format!("0 to {most}"))
        );
    }
    for (what, n, least) in
        [("a pack", new.pack, 1), ("the fewest packs", new.min_packs, 1), ("lead days", new.lead_days, 0)]
    {
        if !(least..=100_000).contains(&n) {
            return Err(mistyped("bad-pack", format!("{what}: {n}")).hint(format!("{least} to 100000")));
        }
    }
    if let Some(most) = new.max_packs.filter(|m| *m < new.min_packs) {
        return Err(refused(
            "most-below-fewest",
            format!("at most {most} packs, but at least {}", new.min_packs),
        )
        .hint("correct one of them"));
    }
    let day = |text: &Option<String>| match text.as_deref().map(str::trim).filter(|t| !t.is_empty()) {
        None => Ok(None),
        Some(t) => read_day(t).map(Some),
    };
    let (from, to) = (day(&new.sale_from)?, day(&new.sale_to)?);
    if let (Some(a), Some(b)) = (from, to)
        && b < a
    {
        return Err(refused("ends-before-start", format!("the sale ends {b}, before it begins {a}"))
            .hint("correct one of them"));
    }
    let now = desk.now();
    let offer = Offer {
        id: OfferId(desk.id()),
        ended_at: None,
        code: next_code(&desk.mark(), "O", desk.yard().offers.iter().map(|o| o.code.as_str())),
        vendor_id: vendor.id,
        product_id: product.id,
        pack: new.pack,
        price_cents: price,
        min_packs: new.min_packs,
        max_packs: new.max_packs,
        lead_days: new.lead_days,
        sale_from: from,
        sale_to: to,
        priced_on: Some(now.with_timezone(&desk.zone()).date_naive()),
        note: String::new(),
    };
    let pack = if new.pack == 1 { String::new() } else { format!(" for {}", new.pack) };
    let said =
        format!("Offer {}: {} at {}, {}{pack}", offer.code, product.name, vendor.name, price.show(&own));
    desk.write("offer-add", &said, vec![offer.to_row()])?;
    Ok(said)
}
