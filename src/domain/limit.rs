//! What the tables ask of a column beyond its type: the least and most of a whole number, and what an empty one is.
//!
//! The tables check the same; a test compares the two. Told here so that people hear it with a remedy, before
//! anything is written.

use super::cell::{CellKind, Value};
use super::fact::{Column, Table};
use super::text::is_hidden;

/// The years of a yard: what lies outside is a slip of the finger.
pub const YEARS: (i32, i32) = (1900, 2199);
/// No session is longer: it is one stretch of work.
pub const LONGEST_SESSION_H: i64 = 24;
/// Gusts and air that were ever measured outside a cyclone, in mm/s and thousandths of a degree Celsius.
pub const GUST_MMS: (i64, i64) = (0, 90_000);
pub const AIR_MC: (i64, i64) = (-60_000, 50_000);

/// Why a season's code cannot be one: it stands in keys and names of files.
pub fn bad_season_code(code: &str) -> Option<&'static str> {
    let shown = code.chars().any(char::is_alphanumeric);
    let part = |c: char| matches!(c, '/' | '\\' | ':') || is_hidden(c);
    if !shown {
        Some("has no letter or digit")
    } else if code.contains("..") || code.starts_with('.') || code.chars().any(part) {
        Some("has / \\ : or .. in it, or what does not show")
    } else {
        None
    }
}

/// The largest quantity of anything in a yard, in the unit of its column.
pub const MOST: i64 = 1_000_000_000_000;
/// The years 1 to 9999, in milliseconds from 1970: what a calendar can say.
pub const MOMENTS: (i64, i64) = (-62_135_596_800_000, 253_402_300_799_999);

/// The least and the most that a column of whole numbers takes, in the column's unit.
pub fn limits(table: &Table, column: &Column) -> (i64, i64) {
    let (least, most) = limits_by_name(table.name, column.name);
    let (lowest, highest) = if column.kind == CellKind::Moment { MOMENTS } else { (-MOST, MOST) };
    (least.max(lowest), most.min(highest))
}

fn limits_by_name(table: &str, column: &str) -> (i64, i64) {
    match (table, column) {
        (_, "latitude_udeg") => (-90_000_000, 90_000_000),
        (_, "longitude_udeg") => (-180_000_000, 180_000_000),
        (
            _,
            "map_x_mm" | "map_y_mm" | "min_mc" | "low_mc" | "min_handling_mc" | "position" | "at_ms"
            | "began_ms" | "found_ms" | "ticked_ms" | "rise_mm",
        ) => (i64::MIN, i64::MAX),
        (
            _,
            "level_limit_pct" | "efficiency_pct" | "power_factor_pct" | "solid_pct" | "reading_limit_pct"
            | "limit_pct",
        ) => (1, 100),
        (_, "average_level_pct") => (0, 100),
        (_, "frame_rate_hz") => (1, 120),
        (_, "place_minutes" | "ladder_minutes" | "session_minutes") => (0, 120),
        ("site", "bench_tests") => (1, 100),
        (_, "channels_per_pixel") => (1, 8),
        (_, "pins") => (1, 50),
        (_, "buffer_days") => (0, 60),
        ("duty", "lead_days") => (0, 400),
        (_, "hands") => (1, 9),
        ("placement", "count") => (1, 10_000),
        (_, "worth") => (1, 5),
        (_, "start_universe") => (1, 63_999),
        (_, "start_slot") => (1, 512),
        (_, "azimuth_deg") => (0, 360),
        (_, "drag_pct") => (10, 300),
        (_, "friction_pct") => (0, 100),
        ("place", "height_mm") => (0, i64::MAX),
        (
            _,
            "volts_mv" | "output_mv" | "tag_mv" | "rated_mw" | "fuse_ma" | "breaker_ma" | "trip_ma"
            | "pitch_mm" | "length_mm" | "width_mm" | "height_mm" | "depth_mm" | "mass_g" | "max_load_g"
            | "max_mass_g" | "tube_mm" | "guy_height_mm" | "half_base_mm" | "radius_mm" | "at_pixel" | "pack"
            | "packs" | "min_packs" | "max_packs",
        )
        | ("need", "quantity") => (1, i64::MAX),
        _ => (0, i64::MAX),
    }
}

/// What a column holds where nothing is told; nothing where it must be told.
pub fn value_untold(table: &Table, column: &Column) -> Option<Value> {
    if column.optional {
        return Some(Value::Null);
    }
    let text = |t: &str| Some(Value::Text(t.to_owned()));
    match (table.name, column.name) {
        ("repair_entry", "tried" | "result") | ("season_difference", "before_text" | "after_text") => {
            text("")
        }
        ("season_difference", "decision") => text("open"),
        ("site", "units") => text("si"),
        ("site", "terms") => text("us"),
        ("site", "currency") => text(""),
        ("product", "role") => text("prop"),
        ("product_end", "direction") => text("either"),
        ("container", "kind") => text("tote"),
        ("piece", "condition") => text("good"),
        ("recipe_step", "access") => text("place"),
        ("recipe_step", "light") => text("access"),
        ("recipe_step", "applies") => text("always"),
        ("season", "buffer_days") => Some(Value::Int(4)),
        ("duty", "minutes_s") | ("stand", "lay_down_s") => Some(Value::Int(900)),
        (_, "worth") => Some(Value::Int(3)),
        (_, "hands" | "count" | "pack" | "min_packs") => Some(Value::Int(1)),
        (
            _,
            "fixed_s" | "piece_s" | "metre_s" | "stake_s" | "wait_s" | "per_placement" | "per_piece"
            | "per_metre" | "min_order_cents" | "trip_cents" | "shipping_cents" | "tax_cents"
            | "handling_days" | "transit_days" | "received",
        )
        | ("offer", "lead_days") => Some(Value::Int(0)),
        (
            _,
            "note" | "batch" | "why" | "show" | "also" | "measures" | "colour" | "visitor" | "recipe_step"
            | "weather" | "mime" | "lay_down",
        )
        | ("product", "kind")
        | ("piece", "name" | "source")
        | ("tick", "title") => text(""),
        _ => match column.kind {
            CellKind::YesNo => Some(Value::Int(0)),
            CellKind::Words => text(""),
            _ => None,
        },
    }
}
