//! What tells apart the rows of a table without codes.

/// The columns that tell apart the rows of a table without codes.
pub fn natural_key(table: &str) -> &'static [&'static str] {
    match table {
        "fall_line" => &["upper_place_id", "lower_place_id"],
        "product_end" => &["product_id", "end_name"],
        "recipe_use" => &["recipe_step_id", "product_id"],
        "recipe_run" => &["recipe_step_id"],
        "placement_piece" => &["placement_id", "piece_id"],
        "session_person" => &["session_id", "person_id"],
        "shipping_tier" => &["vendor_id", "from_subtotal_cents"],
        "stock_move" => &["stock_id", "at_ms", "kind"],
        "repair_entry" => &["fault_id", "at_ms", "deed"],
        "tick" => &["step_key", "kind", "at_ms", "person_id"],
        "night" => &["night_on"],
        "dark_time" => &["season_id", "placement_id", "night_on", "at_ms"],
        "meter_reading" => &["step_key", "piece_id", "circuit_id", "at_ms"],
        "time_correction" => &["step_key", "ticked_ms", "at_ms"],
        "season_difference" => &["season_id", "placement_id", "what", "at_ms"],
        "order_line" => &["order_id", "product_id"],
        "piece_look" => &["piece_id", "at_ms", "kind"],
        // The one site of a yard.
        _ => &[],
    }
}
