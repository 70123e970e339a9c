//! Energy and cost of a season.

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::Watts;

/// kWh = W h / 1000, from average, not full-white, watts.
pub const SOURCE: Source = Source {
    title: "Definition of the kilowatt-hour",
    edition: "SI Brochure, 9th edition",
    clause: "table 8",
    standing: Standing::FromMemory,
};

/// One thing that runs every day of the season.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Item {
    /// On average while it runs.
    pub watts: Watts,
    /// 0 to 24.
    pub hours_a_day: f64,
    /// 0 to 366.
    pub days: f64,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Input {
    pub items: Vec<Item>,
    /// In the site's currency, 0 to 100.
    pub price_per_kwh: f64,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Output {
    pub kwh: f64,
    pub cost: f64,
}

/// What the season takes and costs.
///
/// # Errors
/// `hours_a_day` outside 0 to 24, `days` outside 0 to 366, `price_per_kwh` outside 0 to 100.
pub fn energy(input: &Input) -> Result<Output, Refusal> {
    let within = |code, what, value, unit, high| {
        let remedy = "give a number in this range";
        Refusal { code, what, value, unit, range: (0.0, high), remedy }.unless_within()
    };
    let mut kwh = 0.0;
    for item in &input.items {
        let hours = within("hours_a_day", "hours a day", item.hours_a_day, "h", 24.0)?;
        let days = within("days", "days", item.days, "d", 366.0)?;
        kwh += item.watts.get() * hours * days / 1000.0;
    }
    let price = within("price_per_kwh", "price of a kWh", input.price_per_kwh, "", 100.0)?;
    Ok(Output { kwh, cost: kwh * price })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn season(watts: f64, hours_a_day: f64, days: f64) -> Item {
        Item { watts: Watts::new(watts).unwrap(), hours_a_day, days }
    }

    /// Worked by hand: 350 W x 5.5 h x 38 d + 40 W x 24 h x 45 d = 116.35 kWh, 19.78 at 0.17.
    #[test]
    fn a_season_adds_up() {
        let items = vec![season(350.0, 5.5, 38.0), season(40.0, 24.0, 45.0)];
        let got = energy(&Input { items, price_per_kwh: 0.17 }).unwrap();
        assert!((got.kwh - 116.35).abs() < 1e-9 && (got.cost - 19.7795).abs() < 1e-9, "{got:?}");
    }

    #[test]
    fn a_day_of_25_hours_is_refused() {
        let refused = energy(&Input { items: vec![season(1.0, 25.0, 1.0)], price_per_kwh: 0.2 });
        assert_eq!(refused.map_err(|refusal| refusal.code), Err("hours_a_day"));
    }

    proptest! {
        #[test]
        fn a_longer_night_never_takes_less(hours in 0.0..12.0_f64, more in 0.0..12.0_f64) {
            let of = |hours| energy(&Input { items: vec![season(100.0, hours, 30.0)], price_per_kwh: 0.2 }).unwrap().kwh;
            prop_assert!(of(hours + more) >= of(hours));
        }
    }
}
