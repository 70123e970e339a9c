//! What people call the columns and kinds of facts, where the name in the tables says it to nobody.
//!
//! Not here: the names as files and commands take them (`told`, `exchange::tell`).

use super::told::label;

/// A column in the words of a form; one without words of its own is read as it is named.
pub fn said(column: &str) -> String {
    COLUMNS
        .iter()
        .find(|(name, _)| *name == column)
        .map_or_else(|| label(column), |(_, words)| (*words).to_owned())
}

/// One of a kind of facts in words.
pub fn kind_said(table: &str) -> String {
    let words = KINDS.iter().find(|(name, _)| *name == table).map(|(_, words)| (*words).to_owned());
    words.unwrap_or_else(|| table.replace('_', " "))
}

const KINDS: [(&str, &str); 24] = [
    ("circuit", "mains circuit"),
    ("container", "tote or shelf"),
    ("dark_time", "time it stayed dark"),
    ("desk_task", "desk work"),
    ("fall_line", "place above another"),
    ("link", "lead in use"),
    ("meter_reading", "current that was read"),
    ("method", "way of mounting"),
    ("night", "forecast of a night"),
    ("order_line", "line of an order"),
    ("outlet", "mains outlet"),
    ("piece_look", "look at a piece"),
    ("placement", "prop in its place"),
    ("placement_piece", "piece of a prop"),
    ("product", "kind of thing"),
    ("product_end", "end of a kind of thing"),
    ("purchase_order", "order"),
    ("recipe_run", "test that runs by itself"),
    ("recipe_step", "step of a way of mounting"),
    ("recipe_use", "what a step uses up"),
    ("season_difference", "thing done differently"),
    ("session_person", "person at a session"),
    ("shipping_tier", "shipping fee"),
    ("time_correction", "time put right"),
];

const COLUMNS: [(&str, &str); 95] = [
    ("access", "how it is reached"),
    ("address", "address set on it"),
    ("also", "also called"),
    ("applies", "when it applies"),
    ("area_cm2", "area in the wind"),
    ("at_ms", "when"),
    ("average_level_pct", "average brightness"),
    ("azimuth_deg", "direction, from north"),
    ("bench", "for faulty things"),
    ("bench_tests", "tests side by side"),
    ("box_mode", "box off or on"),
    ("breaker_ma", "breaker"),
    ("buffer_days", "days kept free"),
    ("bunched", "ticked in one go"),
    ("carried_by_id", "hangs on"),
    ("centroid_mm", "height of its middle"),
    ("channels_per_pixel", "colours a pixel"),
    ("closed", "closed days"),
    ("conductor_order", "order of conductors"),
    ("counted", "counted, no labels"),
    ("cutoff_mv", "works down to"),
    ("deed", "what is done"),
    ("design_gust_mms", "gust it must stand"),
    ("done_count", "done"),
    ("down_from", "takedown begins"),
    ("drying_slots", "pieces that can dry"),
    ("due_on", "due"),
    ("end_name", "which end"),
    ("ends", "until"),
    ("energy_cents_per_kwh", "price of a kWh"),
    ("expires_on", "runs out"),
    ("fixed_s", "minutes, whatever many"),
    ("forecast_on", "forecast was told"),
    ("found_ms", "found"),
    ("frame_rate_hz", "frames a second"),
    ("frost_free", "free of frost"),
    ("frozen", "ground frozen"),
    ("goes", "leaves at"),
    ("comes", "comes at"),
    ("got_on", "had since"),
    ("gust_mms", "gusts"),
    ("half_base_mm", "half of its foot"),
    ("hands", "people needed"),
    ("held_why", "held back because"),
    ("home_id", "lives in"),
    ("in_plug", "plug it comes in by"),
    ("ip_class", "IP class"),
    ("ladder_minutes", "minutes a ladder move"),
    ("lay_down_s", "time to lay it down"),
    ("lead_days", "days it takes"),
    ("length_mm", "length"),
    ("level_limit_pct", "brightness limit"),
    ("level_limit_in", "limit is set in"),
    ("lights_off", "last night lit"),
    ("lights_on", "first lit"),
    ("looked_over_on", "last looked over"),
    ("low_mc", "lowest temperature"),
    ("lower_gust_mms", "lowered from a gust of"),
    ("lower_place_id", "place below"),
    ("upper_place_id", "place above"),
    ("map_x_mm", "from the left"),
    ("map_y_mm", "from the road"),
    ("mass_g", "weight"),
    ("max_mass_g", "weight it may hold"),
    ("max_load_g", "weight it carries"),
    ("max_gust_mms", "up to gusts of"),
    ("measures", "measures to keep"),
    ("method_id", "how mounted"),
    ("metre_s", "minutes a metre"),
    ("min_mc", "not colder than"),
    ("mount_id", "stands on"),
    ("nightly_from", "lit each night from"),
    ("nightly_to", "lit each night until"),
    ("night_on", "night of"),
    ("of_count", "of"),
    ("opens_on", "can be asked from"),
    ("out_plug", "plug it goes out by"),
    ("parent_id", "belongs to"),
    ("permanent", "stays up all year"),
    ("piece_s", "minutes a piece"),
    ("pixel_ma", "current of a pixel"),
    ("pixel_mw", "power of a pixel"),
    ("place_minutes", "minutes a change"),
    ("rehearsal_dark", "rehearsal after dark"),
    ("serves_as", "serves as"),
    ("session_minutes", "length of a session"),
    ("show", "which show"),
    ("starts", "from"),
    ("stays", "stays up all year"),
    ("tag_mv", "voltage on its tag"),
    ("visitor", "who visits"),
    ("wished", "not owned yet"),
    ("work_from", "work begins"),
    ("work_lights", "with work lights"),
    ("worth", "worth, 1 to 5"),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::TABLES;

    #[test]
    fn every_word_is_for_a_column_or_a_kind_that_is_there() {
        for (name, words) in COLUMNS {
            assert!(TABLES.iter().any(|t| t.columns.iter().any(|c| c.name == name)), "{name}");
            assert!(words.len() <= 22 && !words.contains('_'), "{words}");
        }
        for (name, _) in KINDS {
            assert!(TABLES.iter().any(|t| t.name == name), "{name}");
        }
    }

    #[test]
    fn no_two_lines_of_a_form_read_alike() {
        for table in TABLES {
            let mut said: Vec<String> = table.columns.iter().map(|c| super::said(c.name)).collect();
            said.sort();
            said.dedup();
            assert_eq!(said.len(), table.columns.len(), "{}", table.name);
        }
    }
}
