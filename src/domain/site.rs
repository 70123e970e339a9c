//! Where the yard is and how it is measured.

use super::cell::choice;
use super::fact::fact;
use crate::units::{Angle, Percent, Speed, System};

choice! {
    /// Whose electrical words the screens use.
    Terms {
        Us => "us",
        Elsewhere => "elsewhere",
    }
}

/// Trade words of the United States, and what they are called elsewhere.
const WORDS: [(&str, &str); 10] = [
    ("plus", "positive"),
    ("minus", "negative"),
    ("breaker", "MCB"),
    ("breakers", "MCBs"),
    ("cord", "lead"),
    ("cords", "leads"),
    ("GFCI", "RCD"),
    ("GFCIs", "RCDs"),
    ("outlet", "socket"),
    ("outlets", "sockets"),
];

/// Shipped texts are spelled as outside the United States; there, as there.
const SPELLED: [(&str, &str); 16] = [
    ("plus", "positive"),
    ("minus", "negative"),
    ("colour", "color"),
    ("colours", "colors"),
    ("Colour", "Color"),
    ("neighbour", "neighbor"),
    ("neighbours", "neighbors"),
    ("Neighbours", "Neighbors"),
    ("metre", "meter"),
    ("metres", "meters"),
    ("grey", "gray"),
    ("centre", "center"),
    ("licence", "license"),
    ("earth", "ground"),
    ("millimetre", "millimeter"),
    ("millimetres", "millimeters"),
];

impl Terms {
    const fn pick(self, us: &'static str, elsewhere: &'static str) -> &'static str {
        match self {
            Self::Us => us,
            Self::Elsewhere => elsewhere,
        }
    }

    pub const fn breaker(self) -> &'static str {
        self.pick("breaker", "MCB")
    }

    const fn pick_words(self) -> &'static [(&'static str, &'static str)] {
        match self {
            Self::Us => &SPELLED,
            Self::Elsewhere => &WORDS,
        }
    }

    /// The residual-current device.
    pub const fn residual(self) -> &'static str {
        self.pick("GFCI", "RCD")
    }

    /// A flexible mains cable with plugs.
    pub const fn cord(self) -> &'static str {
        self.pick("cord", "lead")
    }

    /// The protective conductor.
    pub const fn earth(self) -> &'static str {
        self.pick("ground", "earth")
    }

    /// Where mains is taken from.
    pub const fn outlet(self) -> &'static str {
        self.pick("outlet", "socket")
    }

    /// A shipped text, which has the trade's words of the United States, in the words and spelling of the site.
    pub fn say(self, text: &str) -> String {
        let words: &[(&str, &str)] = self.pick_words();
        let word = |w: &str| words.iter().find(|(from, _)| *from == w).map_or(w, |(_, to)| to).to_owned();
        // Ground is also what props stand on.
        let earth = if self == Self::Us { "protective ground" } else { "protective earth" };
        text.replace("protective ground", earth)
            .split_inclusive(|c: char| !c.is_alphanumeric())
            .map(|part| {
                let bare = part.trim_end_matches(|c: char| !c.is_alphanumeric());
                word(bare) + part.get(bare.len()..).unwrap_or_default()
            })
            .collect()
    }
}

choice! {
    /// Where the brightness limit is set.
    LimitIn {
        Hardware => "hardware",
        Software => "software",
    }
}

choice! {
    /// Whose formula turns a gust into pressure.
    WindMethod {
        /// ASCE/SEI 7-16: the gust at 10 m, by terrain and height.
        Asce716 => "asce_7_16",
        /// Stagnation pressure of the gust at the thing itself.
        Simple => "simple",
    }
}

choice! {
    /// What lies around, by ASCE/SEI 7: suburb or wood, open country, open water.
    WindExposure {
        B => "b",
        C => "c",
        D => "d",
    }
}

fact! {
    /// The one site of a yard.
    Site, SiteId, "site" {
        name: String,
        latitude_udeg: Option<Angle>,
        longitude_udeg: Option<Angle>,
        time_zone: Option<String>,
        units: System,
        terms: Terms,
        currency: String,
        level_limit_pct: Option<Percent>,
        level_limit_in: Option<LimitIn>,
        frame_rate_hz: Option<i64>,
        show_network: Option<String>,
        home_network: Option<String>,
        /// Minutes to go to another place; assumed when not told.
        place_minutes: Option<i64>,
        /// Minutes to set up a ladder; assumed when not told.
        ladder_minutes: Option<i64>,
        /// How many placements the drying place takes at once.
        drying_slots: Option<i64>,
        roof_max_gust_mms: Option<Speed>,
        energy_cents_per_kwh: Option<i64>,
        /// How far a meter reading may lie off what was computed; assumed when not told.
        reading_limit_pct: Option<Percent>,
        wind_method: Option<WindMethod>,
        wind_exposure: Option<WindExposure>,
        /// The gust that what stays up must stand.
        design_gust_mms: Option<Speed>,
        /// How many tests run side by side at the bench; assumed when not told.
        bench_tests: Option<i64>,
        /// Minutes that a session costs besides its work; assumed when not told.
        session_minutes: Option<i64>,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_words_change_and_nothing_else() {
        let text = "breaker or outlet; its cord, two cords (GFCI), recorded in accord; protective ground above ground";
        assert_eq!(Terms::Us.say(text), text);
        assert_eq!(
            Terms::Elsewhere.say(text),
            "MCB or socket; its lead, two leads (RCD), recorded in accord; protective earth above ground"
        );
    }
}
