//! Works out a stated formula from named figures: numbers, names, + - * / and brackets.

use std::collections::BTreeMap;

struct Reader<'t> {
    rest: &'t str,
    figures: &'t BTreeMap<String, f64>,
}

impl Reader<'_> {
    fn skip(&mut self) {
        self.rest = self.rest.trim_start();
    }

    fn take(&mut self, sign: char) -> bool {
        self.skip();
        let rest = self.rest.strip_prefix(sign);
        self.rest = rest.unwrap_or(self.rest);
        rest.is_some()
    }

    fn sum(&mut self) -> Option<f64> {
        let mut total = self.product()?;
        loop {
            if self.take('+') {
                total += self.product()?;
            } else if self.take('-') {
                total -= self.product()?;
            } else {
                return Some(total);
            }
        }
    }

    fn product(&mut self) -> Option<f64> {
        let mut total = self.one()?;
        loop {
            if self.take('*') {
                total *= self.one()?;
            } else if self.take('/') {
                total /= self.one()?;
            } else {
                return Some(total);
            }
        }
    }

    fn one(&mut self) -> Option<f64> {
        if self.take('(') {
            let inner = self.sum()?;
            return self.take(')').then_some(inner);
        }
        self.skip();
        let end = self
            .rest
            .find(|c: char| !(c.is_alphanumeric() || c == '_' || c == '.'))
            .unwrap_or(self.rest.len());
        let (word, rest) = self.rest.split_at(end);
        self.rest = rest;
        word.parse().ok().or_else(|| self.figures.get(word).copied())
    }
}

/// Each equation of a formula, with the figure it states and the one worked out.
pub fn equations(formula: &str, figures: &BTreeMap<String, f64>) -> Vec<(String, Option<f64>, Option<f64>)> {
    let one = |equation: &str| {
        let (name, right) = equation.split_once('=')?;
        let mut reader = Reader { rest: right, figures };
        let worked = reader.sum().filter(|_| reader.rest.trim().is_empty());
        Some((name.trim().to_owned(), figures.get(name.trim()).copied(), worked))
    };
    formula.split(';').map(|e| one(e).unwrap_or((e.to_owned(), None, None))).collect()
}

/// What is told, counted, or stands in a published table.
const TOLD: &[&str] = &[
    "anchor_untested",
    "circuit_voltage",
    "cords_in_a_row",
    "data_lead_long",
    "duplicate_of",
    "fuse_over_wire",
    "guy_lost",
    "implausible",
    "lead_short",
    "lead_twice",
    "lead_wire",
    "need",
    "no_such_port",
    "numbers_overlap",
    "outlet_late",
    "port_over",
    "port_rates",
    "port_twice",
    "residual_trip",
    "piece_of_another_product",
    "splitter_full",
    "splitter_over",
    "splitters_in_a_row",
    "stock.adaptor",
    "stock.lead",
    "stock.leads",
    "stock.short",
    "stock.twice",
    "supply_voltage",
    "tag_voltage",
    "temporary_wiring",
    "unpacked",
    "weather_too_cold",
    "weather_too_windy",
    "wind_night",
    "ladder_set_up",
    "lowered_too_late",
];
/// What comes out of the solved network, of the bits of a port, or of the search of a gust; and felt cold, whose formula has
/// powers.
const SOLVED: &[&str] = &[
    "back_feed",
    "low_voltage",
    "pixel_below_zero",
    "wire_over",
    "wire_over_at_white",
    "wire_too_thin",
    "start_up",
    "startup_peak",
    "port_pixels",
    "prop_pixels",
    "network_load",
    "guy_pull",
    "guys_do_not_hold",
    "wind_holds",
    "wind_lower_at",
    "wind_push",
    "wind_push_held",
    "wind_chill",
    "cure_longer",
];

/// Whether a finding states figures that should follow from a formula, and states none.
pub fn missing(code: &str, figures: bool, refused: bool) -> bool {
    let weather = code.starts_with("weather_");
    figures && !refused && !weather && !TOLD.contains(&code) && !SOLVED.contains(&code)
}
