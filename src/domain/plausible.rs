//! Figures that are a thousand times off: milli given for whole, or whole for milli. Named, never corrected.
//!
//! The ranges are wide (common practice, no published source): what lies outside is nearly always a slip of the unit.

use super::cell::Value;
use super::fact::RowChange;

/// A figure nobody means, and the one that is likely meant; nothing where a thousandth or a thousandfold is no better.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Doubt {
    pub column: &'static str,
    pub value: i64,
    pub likely: Option<i64>,
}

/// The least and the most of a column that anyone has in a yard, in the column's unit; nothing where anything may be.
fn usual(table: &str, column: &str, (role, kind): (&str, &str)) -> Option<(i64, i64)> {
    Some(match (table, column) {
        ("circuit", "volts_mv") => (50_000, 500_000),
        ("circuit", "breaker_ma") => (1_000, 400_000),
        ("outlet", "trip_ma") => (4, 1_000),
        ("product" | "product_end", "volts_mv") | ("piece", "tag_mv") => (2_500, 500_000),
        // A generator or an inverter gives mains voltage.
        ("product", "output_mv") => (2_500, 500_000),
        ("product", "lowest_mv" | "cutoff_mv" | "knee_mv" | "off_mv") => (1_000, 100_000),
        ("product", "pixels") => (0, 20_000),
        ("product", "pixel_ma") => (1, 5_000),
        ("product", "pixel_mw") => (10, 200_000),
        ("product", "load_mw") if kind.contains("flood") => (2_000, 5_000_000),
        ("product", "load_mw" | "rated_mw") => (1_000, 20_000_000),
        ("product" | "link", "fuse_ma") => (100, 200_000),
        ("product", "startup_ma") => (100, 1_000_000),
        ("product", "pitch_mm") => (2, 3_000),
        ("link", "length_mm") => (50, 500_000),
        ("product" | "piece", "length_mm") => (15, 500_000),
        ("product", "mass_g") if role == "ladder" => (1_500, 100_000),
        ("product", "mass_g") if matches!(role, "" | "prop" | "box" | "supply" | "controller") => {
            (20, 2_000_000)
        }
        ("product", "width_mm" | "height_mm") if matches!(role, "" | "prop") => (10, 60_000),
        ("product", "efficiency_pct") => (30, 100),
        ("product", "min_handling_mc") => (-60_000, 40_000),
        ("stand", "pretension_mn") => (5_000, 50_000_000),
        ("stand", "strap_limit_mn") => (50_000, 500_000_000),
        ("stand", "centroid_mm" | "guy_height_mm") => (50, 50_000),
        ("stand", "area_cm2") => (50, 1_000_000),
        ("guy", "holding_mn") => (20_000, 500_000_000),
        ("session" | "night", "gust_mms") => (300, 120_000),
        ("session" | "night", "low_mc") => (-60_000, 50_000),
        ("person", "mass_g") => (20_000, 300_000),
        ("placement", "height_mm") => (100, 100_000),
        ("placement", "length_mm") => (50, 1_000_000),
        ("site", "design_gust_mms") | ("stand", "lower_gust_mms") => (1_000, 120_000),
        _ => return None,
    })
}

/// The doubtful figures of a row.
pub fn doubts(row: &RowChange) -> Vec<Doubt> {
    let text = |wanted: &str| {
        row.set.iter().find_map(|(column, value)| match value {
            Value::Text(text) if *column == wanted => Some(text.as_str()),
            _ => None,
        })
    };
    let (role, kind) = (text("role").unwrap_or_default(), text("kind").unwrap_or_default());
    row.set
        .iter()
        .filter_map(|(column, value)| {
            let Value::Int(value) = value else { return None };
            let (least, most) = usual(row.table, column, (role, kind))?;
            // Nobody tells a thousandth of a degree, and a calm is told as none.
            let slight = |v: i64| column.ends_with("_mc") && v != 0 && v.abs() < 1_000;
            let calm = |v: i64| matches!(*column, "gust_mms" | "pretension_mn") && v == 0;
            // A box, a cord or a splitter may take nothing of its own.
            let passive = *column == "load_mw" && *value == 0 && !matches!(role, "" | "prop");
            let inside = |v: &i64| ((least..=most).contains(v) || calm(*v)) && !slight(*v);
            let likely =
                if *value < least || slight(*value) { value.checked_mul(1000) } else { Some(value / 1000) };
            (!passive && !inside(value)).then(|| Doubt {
                column,
                value: *value,
                likely: likely.filter(inside),
            })
        })
        .collect()
}

/// A figure of a column in whole units: 500 of `load_mw` is 0.5, "W", and how the unit ends a field's name.
pub fn whole(column: &str, value: i64) -> (f64, &'static str, &'static str) {
    let (unit, name, parts) = match column.rsplit('_').next() {
        Some("mv") => ("V", "v", 1000.0),
        Some("ma") => ("A", "a", 1000.0),
        Some("mw") => ("W", "w", 1000.0),
        Some("mm") => ("m", "m", 1000.0),
        Some("mms") => ("m/s", "ms", 1000.0),
        Some("mc") => ("°C", "c", 1000.0),
        Some("mn") => ("N", "n", 1000.0),
        Some("cm2") => ("m2", "m2", 10_000.0),
        Some("pct") => ("%", "pct", 1.0),
        Some("pixels") => ("pixels", "count", 1.0),
        _ => ("kg", "kg", 1000.0),
    };
    (value as f64 / parts, unit, name)
}

impl Doubt {
    /// "load_mw 500 is 0.5 W; 500 W meant?"
    pub fn words(&self) -> String {
        let (is, unit, _) = whole(self.column, self.value);
        let likely = self.likely.map_or_else(String::new, |l| {
            let (l, unit, _) = whole(self.column, l);
            format!("; {l} {unit} meant?")
        });
        format!("{} {} is {is} {unit}{likely}", self.column, self.value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(table: &'static str, column: &'static str, value: i64) -> Option<String> {
        let row = RowChange::new(table, uuid::Uuid::nil(), vec![(column, Value::Int(value))]);
        doubts(&row).first().map(Doubt::words)
    }

    #[test]
    fn a_thousand_times_off_is_named_with_what_is_likely_meant() {
        assert_eq!(of("product", "load_mw", 500).unwrap(), "load_mw 500 is 0.5 W; 500 W meant?");
        assert_eq!(of("product", "volts_mv", 12).unwrap(), "volts_mv 12 is 0.012 V; 12 V meant?");
        assert_eq!(of("person", "mass_g", 82).unwrap(), "mass_g 82 is 0.082 kg; 82 kg meant?");
        assert_eq!(of("link", "length_mm", 15).unwrap(), "length_mm 15 is 0.015 m; 15 m meant?");
        assert_eq!(of("product", "pixel_ma", 55_000).unwrap(), "pixel_ma 55000 is 55 A; 0.055 A meant?");
        assert_eq!(
            of("product", "min_handling_mc", -15).unwrap(),
            "min_handling_mc -15 is -0.015 °C; -15 °C meant?"
        );
        assert_eq!(
            of("product", "pixels", 100_000).unwrap(),
            "pixels 100000 is 100000 pixels; 100 pixels meant?"
        );
        assert_eq!(of("session", "gust_mms", 5).unwrap(), "gust_mms 5 is 0.005 m/s; 5 m/s meant?");
        assert_eq!(of("session", "gust_mms", 0), None);
        assert_eq!(of("session", "low_mc", 0), None);
        let told = |role: &str| {
            let cells = vec![("role", Value::Text(role.into())), ("load_mw", Value::Int(0))];
            doubts(&RowChange::new("product", uuid::Uuid::nil(), cells)).len()
        };
        assert_eq!((told("box"), told("lead"), told("prop")), (0, 0, 1));
        assert_eq!(of("product", "efficiency_pct", 1).unwrap(), "efficiency_pct 1 is 1 %");
        for (table, column, value) in
            [("product", "load_mw", 500_000), ("product", "volts_mv", 12_000), ("person", "mass_g", 82_000)]
        {
            assert_eq!(of(table, column, value), None);
        }
    }
}
