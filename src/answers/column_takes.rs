//! What a column takes, said with its unit and an example, and what a kind of facts or a column is about where its
//! declaration says that to nobody who tells it.
//!
//! Not here: names of columns and kinds (`column_words`), reading what was typed (`exchange::tell`).

use super::column_words::kind_said;
use crate::domain::{CellKind, Column};

/// What a column takes.
pub fn takes(column: &Column) -> String {
    let own =
        |list: &[(&str, &'static str)]| list.iter().find(|(name, _)| *name == column.name).map(|(_, t)| *t);
    match column.kind {
        CellKind::Text if column.name.starts_with("nightly_") => "an hour like 17:00, 5 pm".to_owned(),
        CellKind::Text => own(&TEXTS).unwrap_or("a few words of your own").to_owned(),
        CellKind::Words => own(&WORDS).unwrap_or("words parted by blanks").to_owned(),
        CellKind::Whole => own(&NUMBERS).unwrap_or("a whole number like 4").to_owned(),
        CellKind::YesNo => "yes or no".to_owned(),
        CellKind::Choice(words) => format!("one of {}", words.join(", ").replace('_', " ")),
        CellKind::Refers(table) => format!("the name or code of a {}", kind_said(table)),
        CellKind::Length => "a length like 7'6\", 2.3 m".to_owned(),
        CellKind::Mass => "a weight like 5 lb, 2.5 kg".to_owned(),
        CellKind::Volume => "a volume like 17 gal, 64 L".to_owned(),
        CellKind::Voltage => "a voltage like 5 V".to_owned(),
        CellKind::Current => "a current like 55 mA, 15 A".to_owned(),
        CellKind::Power => "a power like 350 W".to_owned(),
        CellKind::Force => "a force like 250 N, 55 lbf".to_owned(),
        CellKind::Speed => "a speed like 25 mph, 11 m/s".to_owned(),
        CellKind::Temperature => "a temperature like 31 F, -2 C".to_owned(),
        CellKind::Span => "a duration like 45 min, 1h20".to_owned(),
        CellKind::Money => "an amount like 12.50".to_owned(),
        CellKind::Percent => "a percentage like 40 %".to_owned(),
        CellKind::Angle => "degrees like 43.07 N, -89.4".to_owned(),
        CellKind::Gauge => "a wire like 18 AWG, 0.75 mm2".to_owned(),
        CellKind::Date => "a day like 27 Nov 2026, 2026-11-27".to_owned(),
        CellKind::LocalTime => "a day and hour like 27 Nov 2026 17:00, 2026-11-27 5 pm".to_owned(),
        CellKind::Moment => "a day and hour like 2026-11-27 17:00".to_owned(),
    }
}

/// What a column is about, where its name does not say all.
pub(super) fn about(column: &Column) -> &'static str {
    let own = ABOUT.iter().find(|(name, _)| *name == column.name).map(|(_, words)| *words);
    own.unwrap_or_else(|| column.about.trim())
}

/// What one of a kind is, for who is to tell it.
pub(super) fn kind_about(table: &str, declared: &'static str) -> &'static str {
    KINDS.iter().find(|(name, _)| *name == table).map_or_else(|| declared.trim(), |(_, words)| *words)
}

const KINDS: [(&str, &str); 22] = [
    ("site", "Where the yard is, its units, its limits."),
    ("place", "Where something stands or hangs: gutter, porch, front lawn."),
    ("fall_line", "What is dropped at the upper one lands at the lower."),
    ("container", "Where things live when they are down."),
    ("caution", "A warning, shown at the steps that name it."),
    ("method", "How something is put up: a recipe of steps."),
    ("product", "A make of prop, lead, supply, box: what all of it have in common."),
    ("product_end", "A plug: its kind, which way data runs, its voltage."),
    ("recipe_step", "What is done, for how long, with what, in which weather."),
    ("recipe_use", "Ties, stakes, tape: so many a piece or a metre."),
    ("recipe_run", "Somebody starts it, it runs, somebody looks."),
    ("piece", "One thing with a label: a prop, a lead, a box."),
    ("season", "One show of one year: its dates and hours."),
    ("duty", "A permit, a request, a notice, with its day."),
    ("stock", "What is counted: ties, stakes, fuses, of one batch."),
    ("placement", "A prop: what, how many, where, how it is mounted."),
    ("placement_piece", "Which labelled piece goes out with a prop."),
    ("link", "A lead from one end to another: power, data, network."),
    ("stand", "What must not blow over: guys, ballast, weight."),
    ("session_person", "Who comes, and when if not for all of it."),
    ("offer", "What something costs at a shop, in which pack."),
    ("need", "Something to buy, and by when."),
];

const ABOUT: [(&str, &str); 12] = [
    ("starts", ""),
    ("show", "One show has many seasons."),
    ("step_key", "The step as the program names it."),
    ("recipe_step", "The step of the recipe, from which times are learned."),
    ("serves_as", "What recipes ask for, where this is it."),
    ("equipment", "What is needed to do it."),
    ("tried", "What was tried of the guide."),
    ("result", "What it showed."),
    ("rehearsal", "When power and voltages are tried under load."),
    ("rehearsal_dark", "When all of the show runs once after dark."),
    ("card_stale", "The card in the lid no longer says the truth."),
    ("drag_pct", "How much of the wind it catches: 100 is a flat board's 1.0."),
];

const TEXTS: [(&str, &str); 47] = [
    ("code", "short, as on its label: P-014"),
    ("time_zone", "as America/New_York"),
    ("name", "what you call it, as Front lawn, Big star"),
    ("note", "anything worth keeping"),
    ("title", "what it is, as Ask the neighbours, Spare lead 12 ft"),
    ("kind", "your own word for it, as cut-out, tote, shelf"),
    ("also", "other words for it, with commas"),
    ("batch", "what tells one delivery from another, as 2024-A"),
    ("source", "where it is from, as a shop, a swap, own work"),
    ("text", "the warning in full"),
    ("visitor", "who comes by, as inspector, neighbours"),
    ("why", "why, in your words"),
    ("held_why", "why it waits, as stand is broken"),
    ("measures", "what was measured, as 3 stakes, 4 ft apart"),
    ("show", "one word for it, as winter, autumn"),
    ("symptom", "what is seen, as whole prop dark"),
    ("segment", "which part of it, as left arm"),
    ("weather", "as rain, frost, windy"),
    ("cause", "as water, plug, wind"),
    ("address", "as 192.168.1.20"),
    ("firmware", "its version, as 2.4"),
    ("in_plug", "the kind of plug, as flat, round, waterproof"),
    ("out_plug", "the kind of plug, as flat, round, waterproof"),
    ("plug_family", "the kind of plug, as flat, round, waterproof"),
    ("conductor_order", "as plus data minus"),
    ("end_name", "as in, out"),
    ("from_port", "as it stands on the box: 7, A3, LAN2"),
    ("to_end", "as in, far end"),
    ("ip_class", "as IP65"),
    ("chip", "the type on its data sheet, as WS2811"),
    ("colour", "the colour of its tape or sheath, as red"),
    ("serves_as", "as extension_ladder, step_ladder"),
    ("currency", "three letters, as USD"),
    ("show_network", "as 10.0.7.0/24"),
    ("home_network", "as 192.168.1.0/24"),
    ("residual_group", "what trips together, as GFCI-1"),
    ("lay_down", "what is done then, as take the panel off"),
    ("before_text", "as it was planned"),
    ("after_text", "as it was done"),
    ("link_code", "the code of the lead"),
    ("sha256", "made by the program"),
    ("mime", "the kind of file, as image/jpeg"),
    ("bytes", "made by the program"),
    ("step_key", "made by the program"),
    ("recipe_step", "the code of the step"),
    ("tried", "the code of what was tried"),
    ("result", "the code of what it showed"),
];

const WORDS: [(&str, &str); 4] = [
    ("skills", "words parted by blanks, as ladder electric"),
    ("cautions", "codes of warnings parted by blanks"),
    ("equipment", "words parted by blanks, as step_ladder drill"),
    ("after", "codes of earlier steps parted by blanks; empty means the one before"),
];

const NUMBERS: [(&str, &str); 41] = [
    ("count", "how many, as 8"),
    ("quantity", "how many, as 8"),
    ("worth", "1, the least, to 5, the most"),
    ("stakes", "how many in all, as 4"),
    ("pixels", "how many on one, as 50"),
    ("channels_per_pixel", "3, or 4 with white"),
    ("ports", "how many, as 16"),
    ("port_pixels", "how many pixels a port may drive, as 800"),
    ("pins", "how many, as 3"),
    ("at_pixel", "counted from the data end, as 37"),
    ("dark_hours", "hours, as 3"),
    ("parts_used", "how many, as 2"),
    ("buffer_days", "days, as 4"),
    ("lead_days", "days, as 5"),
    ("handling_days", "days, as 2"),
    ("transit_days", "days, as 4"),
    ("place_minutes", "minutes, as 5"),
    ("ladder_minutes", "minutes, as 10"),
    ("session_minutes", "minutes, as 30"),
    ("drying_slots", "how many, as 12"),
    ("bench_tests", "how many, as 4"),
    ("frame_rate_hz", "frames a second, as 40"),
    ("energy_cents_per_kwh", "cents a kWh, as 19"),
    ("hands", "people, as 2"),
    ("position", "its place in the recipe, as 3"),
    ("per_placement", "so many for a prop, as 4"),
    ("per_piece", "so many a piece, as 2"),
    ("per_metre", "so many a metre, as 3"),
    ("pack", "how many in one pack, as 10"),
    ("packs", "how many packs, as 2"),
    ("min_packs", "packs at least, as 1"),
    ("max_packs", "packs at most, as 5"),
    ("received", "packs that came, as 2"),
    ("done_count", "how many, as 6"),
    ("of_count", "of how many, as 8"),
    ("start_universe", "its first universe, as 6"),
    ("start_slot", "its first slot there, as 1"),
    ("azimuth_deg", "degrees from north, clockwise, as 90 for east"),
    ("area_cm2", "square centimetres, as 4500"),
    ("drag_pct", "hundredths, as 120 for 1.2"),
    ("friction_pct", "hundredths, as 40 for 0.4"),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::{TABLES, Table};

    fn all() -> impl Iterator<Item = (&'static Table, &'static Column)> {
        TABLES.iter().flat_map(|t| t.columns.iter().map(move |c| (t, c)))
    }

    #[test]
    fn every_word_is_for_a_column_or_a_kind_that_is_there() {
        let is = |name: &str, kind: fn(CellKind) -> bool| all().any(|(_, c)| c.name == name && kind(c.kind));
        for (name, _) in TEXTS {
            assert!(is(name, |k| k == CellKind::Text), "{name}");
        }
        for (name, _) in WORDS {
            assert!(is(name, |k| k == CellKind::Words), "{name}");
        }
        for (name, _) in NUMBERS {
            assert!(is(name, |k| k == CellKind::Whole), "{name}");
        }
        for (name, _) in ABOUT {
            assert!(is(name, |_| true), "{name}");
        }
        for (name, _) in KINDS {
            assert!(TABLES.iter().any(|t| t.name == name), "{name}");
        }
    }

    #[test]
    fn each_line_of_a_form_has_an_example_and_no_word_of_a_program() {
        for (table, column) in all().filter(|(t, _)| t.name != "attachment") {
            let (takes, about) = (takes(column), about(column));
            let at = format!("{}.{}", table.name, column.name);
            let bare =
                ["a text", "a whole number like 4", "a few words of your own", "words parted by blanks"];
            assert!(!bare.contains(&takes.as_str()), "{at} takes {takes}");
            for word in ["`", "civil", "derived", "enum", "null"] {
                assert!(!about.contains(word) && !takes.contains(word), "{at}: {about} {takes}");
            }
        }
        for table in TABLES {
            assert!(!kind_about(table.name, table.about).contains('`'), "{}", table.name);
        }
    }
}
