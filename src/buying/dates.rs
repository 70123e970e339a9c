//! The last day on which an order still arrives in time.

use std::collections::BTreeSet;

use chrono::{Datelike, Days, NaiveDate, Weekday};

/// How the days on the road are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TransitDays {
    Calendar(u32),
    /// Monday to Friday without holidays.
    Business(u32),
}

/// How a vendor delivers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Delivery {
    /// Business days between order and parcel, counted after the day of the order.
    pub handling: u32,
    pub transit: TransitDays,
}

/// The last order date and the arrival it gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OrderBy {
    pub order_by: NaiveDate,
    pub arrives: NaiveDate,
}

/// Longest handling, transit or buffer taken, in days.
const LONGEST_DAYS: u32 = 400;

/// The last order date so that the parcel arrives `buffer_days` calendar days before `need_by`, or sooner.
///
/// An order on a day that is no business day counts from the next one; handling counts business days after that.
/// Nothing where a span is longer than 400 days.
pub fn order_by(
    need_by: NaiveDate,
    buffer_days: u32,
    delivery: Delivery,
    holidays: &BTreeSet<NaiveDate>,
) -> Option<OrderBy> {
    let (TransitDays::Calendar(transit) | TransitDays::Business(transit)) = delivery.transit;
    if [buffer_days, delivery.handling, transit].into_iter().any(|d| d > LONGEST_DAYS) {
        return None;
    }
    let limit = need_by.checked_sub_days(Days::new(u64::from(buffer_days)))?;
    // Business days come at least five in fourteen, whatever the holidays of a year.
    let horizon = 3 * u64::from(delivery.handling + transit) + 60;
    let mut order_by = limit;
    for _ in 0..=horizon {
        let arrives = arrival(order_by, delivery, holidays)?;
        if arrives <= limit {
            return Some(OrderBy { order_by, arrives });
        }
        order_by = order_by.pred_opt()?;
    }
    None
}

/// The day on which an order arrives.
///
/// Nothing where the calendar ends before.
pub fn arrival(order: NaiveDate, delivery: Delivery, holidays: &BTreeSet<NaiveDate>) -> Option<NaiveDate> {
    let mut day = order;
    while !is_business(day, holidays) {
        day = day.succ_opt()?;
    }
    day = add_business(day, delivery.handling, holidays)?;
    match delivery.transit {
        TransitDays::Calendar(days) => day.checked_add_days(Days::new(u64::from(days))),
        TransitDays::Business(days) => add_business(day, days, holidays),
    }
}

fn add_business(mut day: NaiveDate, days: u32, holidays: &BTreeSet<NaiveDate>) -> Option<NaiveDate> {
    for _ in 0..days {
        day = day.succ_opt()?;
        while !is_business(day, holidays) {
            day = day.succ_opt()?;
        }
    }
    Some(day)
}

fn is_business(day: NaiveDate, holidays: &BTreeSet<NaiveDate>) -> bool {
    !matches!(day.weekday(), Weekday::Sat | Weekday::Sun) && !holidays.contains(&day)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn date(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn a_weekend_order_counts_from_monday() {
        let delivery = Delivery { handling: 0, transit: TransitDays::Calendar(2) };
        let got = order_by(date("2026-09-16"), 0, delivery, &BTreeSet::new()).unwrap();
        assert_eq!(got, OrderBy { order_by: date("2026-09-14"), arrives: date("2026-09-16") });
        let got = order_by(date("2026-09-15"), 0, delivery, &BTreeSet::new()).unwrap();
        assert_eq!(got, OrderBy { order_by: date("2026-09-11"), arrives: date("2026-09-13") });
    }

    #[test]
    fn a_holiday_is_no_business_day() {
        let holidays = BTreeSet::from([date("2026-09-07")]);
        let delivery = Delivery { handling: 1, transit: TransitDays::Business(1) };
        let got = order_by(date("2026-09-08"), 0, delivery, &holidays).unwrap();
        assert_eq!(got.order_by, date("2026-09-03"));
    }

    proptest! {
        #[test]
        fn one_day_later_is_too_late(
            day in 0_u64..2000, buffer in 0_u32..20, handling in 0_u32..10, transit in 0_u32..40, business: bool,
        ) {
            let need_by = date("2024-01-01") + Days::new(day);
            let transit = if business { TransitDays::Business(transit) } else { TransitDays::Calendar(transit) };
            let delivery = Delivery { handling, transit };
            let holidays = BTreeSet::from([date("2026-11-26"), date("2026-12-25")]);
            let got = order_by(need_by, buffer, delivery, &holidays).unwrap();
            prop_assert!(got.arrives + Days::new(u64::from(buffer)) <= need_by);
            let next = arrival(got.order_by + Days::new(1), delivery, &holidays).unwrap();
            prop_assert!(next + Days::new(u64::from(buffer)) > need_by);
        }
    }
}
