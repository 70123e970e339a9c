//! Plug families that go together: of one name, or of names that are known to mate.

/// What is made for less is made for a supply, not for the mains (IEC 61140: extra-low voltage ends at 50 V).
pub const LOWEST_MAINS_V: f64 = 50.0;

/// The side with the sockets, then the plug or inlet that it takes: NEMA WD 6, IEC TR 60083, IEC 60320-1, all from memory.
const TAKES: [(&str, &str); 14] = [
    ("5-20", "5-15"),
    ("6-20", "6-15"),
    ("7/3", "7/4"),
    ("7/3", "7/7"),
    ("7/5", "7/7"),
    ("7/3", "7/16"),
    ("7/5", "7/16"),
    ("7/3", "7/17"),
    ("7/5", "7/17"),
    ("c5", "c6"),
    ("c7", "c8"),
    ("c13", "c14"),
    ("c15", "c16"),
    ("c19", "c20"),
];

/// What a plug or receptacle of a family is made for, in amperes: NEMA WD 6, IEC 60320-1, IEC TR 60083, BS 1363-1, all from
/// memory.
const AMPS: [(&str, f64); 24] = [
    ("1-15", 15.0),
    ("5-15", 15.0),
    ("6-15", 15.0),
    ("l5-15", 15.0),
    ("5-20", 20.0),
    ("6-20", 20.0),
    ("l5-20", 20.0),
    ("5-30", 30.0),
    ("l5-30", 30.0),
    ("tt-30", 30.0),
    ("7/16", 2.5),
    ("7/3", 16.0),
    ("7/4", 16.0),
    ("7/5", 16.0),
    ("7/7", 16.0),
    ("7/17", 16.0),
    ("bs 1363", 13.0),
    ("bs1363", 13.0),
    ("c7", 2.5),
    ("c8", 2.5),
    ("c13", 10.0),
    ("c14", 10.0),
    ("c19", 16.0),
    ("c20", 16.0),
];

/// Couplers that clauses of the United States rate higher (UL 60320-1, from memory).
const AMPS_US: [(&str, f64); 4] = [("c13", 15.0), ("c14", 15.0), ("c19", 20.0), ("c20", 20.0)];

/// The most that a plug of a family is made for; nothing where the family is not known.
pub fn rated_amps(family: &str, us: bool) -> Option<f64> {
    let family = bare(family);
    let of = |table: &[(&str, f64)]| table.iter().find(|(name, _)| *name == family).map(|(_, amps)| *amps);
    of(&AMPS_US).filter(|_| us).or_else(|| of(&AMPS))
}

/// A family without the name of its standard, by its words in small letters.
fn bare(family: &str) -> String {
    const STANDARDS: [&str; 6] = ["nema", "cee", "iec", "60320", "mains", "en"];
    let lower = family.to_lowercase();
    let words = lower.split(|c: char| c.is_whitespace() || c == '_').filter(|w| !w.is_empty());
    let words: Vec<&str> = words.filter(|w| !STANDARDS.contains(w)).collect();
    let text = words.join(" ");
    let named = ["nema", "mains", "cee", "iec"].iter().find_map(|s| text.strip_prefix(s));
    let text = named.map_or(text.as_str(), |rest| rest.trim_start_matches('-'));
    // "5-15P" and "5-15R" are the plug and the receptacle of one family.
    let side = text.strip_suffix(['p', 'r']).filter(|rest| rest.ends_with(|c: char| c.is_ascii_digit()));
    side.unwrap_or(text).to_owned()
}

/// Whether what comes from the feeding side takes what is plugged into it.
pub fn takes(feeding: &str, plugged: &str) -> bool {
    let (feeding, plugged) = (bare(feeding), bare(plugged));
    // A C15 connector has a ridge less: it goes onto either inlet.
    feeding == plugged
        || (feeding == "c15" && plugged == "c14")
        || TAKES.contains(&(feeding.as_str(), plugged.as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plug_carries_what_its_standard_says() {
        let us = |family| rated_amps(family, true);
        assert_eq!([us("NEMA 5-15P"), us("mains5-20"), us("round3")], [Some(15.0), Some(20.0), None]);
        assert_eq!([us("C13"), rated_amps("IEC C13", false)], [Some(15.0), Some(10.0)]);
    }

    #[test]
    fn families_of_one_name_and_those_that_mate_go_together_one_way() {
        for (feeding, plugged) in [
            ("NEMA 5-20R", "NEMA 5-15P"),
            ("CEE 7/3", "cee 7/7"),
            ("IEC 60320 C13", "C14"),
            ("C15", "c14"),
            ("mains5-20", "mains5-15"),
            ("Round_3", "round 3"),
        ] {
            assert!(takes(feeding, plugged), "{feeding} {plugged}");
        }
        for (feeding, plugged) in [
            ("NEMA 5-15", "NEMA 5-20"),
            ("CEE 7/3", "BS 1363"),
            ("C13", "C16"),
            ("C14", "C13"),
            ("C19", "C14"),
            ("round3", "flat3"),
        ] {
            assert!(!takes(feeding, plugged), "{feeding} {plugged}");
        }
    }
}
