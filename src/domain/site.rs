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

/// A word of prose has letters and digits; an underscore makes it a column or a code.
fn in_word(c: char) -> bool {
    c == '_' || c.is_alphanumeric()
}

/// The article at the end of a text, as the word after it wants it: a socket, an MCB.
fn article(said: &mut String, word: &str) {
    let before = |article: &str| {
        let rest = said.strip_suffix(article)?;
        (!rest.ends_with(in_word)).then_some(rest.len())
    };
    let Some(at) = before("a ").or_else(|| before("an ")) else { return };
    said.truncate(at);
    let vowel = matches!(word, "MCB" | "RCD") || word.starts_with(['a', 'e', 'i', 'o', 'u']);
    said.push_str(if vowel { "an " } else { "a " });
}

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
        self.say_beside(text, &[])
    }

    /// The same of a text in which the owner's own names stand: these stay, and so does what is no word of prose but a
    /// column or a code, as `breaker_ma`.
    pub fn say_beside(self, text: &str, names: &[&str]) -> String {
        let next = names
            .iter()
            .filter_map(|n| Some((text.find(n)?, n.len())))
            .min_by_key(|(at, n)| (*at, usize::MAX - n));
        let Some((at, long)) = next else { return self.in_words(text) };
        let (before, rest) = text.split_at(at);
        let (name, after) = rest.split_at(long);
        self.in_words(before) + name + &self.say_beside(after, names)
    }

    fn in_words(self, text: &str) -> String {
        // Ground is also what props stand on.
        let earth = if self == Self::Us { "protective ground" } else { "protective earth" };
        let text = text.replace("protective ground", earth);
        let mut said = String::with_capacity(text.len());
        for part in text.split_inclusive(|c: char| !in_word(c)) {
            let bare = part.trim_end_matches(|c: char| !in_word(c));
            if let Some(word) = self.word(bare) {
                article(&mut said, word);
                said.push_str(word);
                said.push_str(part.get(bare.len()..).unwrap_or_default());
            } else {
                said.push_str(part);
            }
        }
        said
    }

    fn word(self, word: &str) -> Option<&'static str> {
        self.pick_words().iter().find(|(from, _)| *from == word).map(|(_, to)| *to)
    }

    /// Whether a name would be read as prose: it has one of the words, among others.
    pub fn would_change(self, name: &str) -> bool {
        self.word(name).is_none() && name.split(|c: char| !in_word(c)).any(|w| self.word(w).is_some())
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

/// Time zones of the United States, where US words and units are used (IANA zone data, file `northamerica`).
const US_ZONES: [&str; 18] = [
    "America/New_York",
    "America/Detroit",
    "America/Chicago",
    "America/Menominee",
    "America/Denver",
    "America/Boise",
    "America/Phoenix",
    "America/Los_Angeles",
    "America/Anchorage",
    "America/Juneau",
    "America/Sitka",
    "America/Nome",
    "America/Metlakatla",
    "America/Yakutat",
    "America/Adak",
    "Pacific/Honolulu",
    "America/Louisville",
    "America/Indianapolis",
];

/// Whether a time zone is one of the United States.
pub fn us_zone(zone: &str) -> bool {
    let parts = ["US/", "America/Indiana/", "America/Kentucky/", "America/North_Dakota/"];
    US_ZONES.contains(&zone) || parts.iter().any(|p| zone.starts_with(p))
}

impl Site {
    /// The currency told, else the dollar in a time zone of the United States; empty where neither is known.
    pub fn currency(&self) -> &str {
        match self.time_zone.as_deref() {
            _ if !self.currency.is_empty() => &self.currency,
            Some(zone) if us_zone(zone) => "USD",
            _ => "",
        }
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

    #[test]
    fn columns_codes_and_names_stay_as_they_are() {
        let said = |text, names: &[&str]| Terms::Elsewhere.say_beside(text, names);
        assert_eq!(
            said("breaker_ma 16 is small: tell the breaker", &[]),
            "breaker_ma 16 is small: tell the MCB"
        );
        let names = ["Star over the outlet", "outlet-2"];
        assert_eq!(
            said("a breaker; the cord of Star over the outlet, outlet-2, at an outlet", &names),
            "an MCB; the lead of Star over the outlet, outlet-2, at a socket"
        );
        assert!(Terms::Elsewhere.would_change("outlet-2") && Terms::Us.would_change("Wall of colour"));
        assert!(!Terms::Elsewhere.would_change("breaker_ma") && !Terms::Elsewhere.would_change("outlet"));
    }
}
