//! Symptoms and causes of the trade, and what to try by symptom. Common practice, no published source.
//!
//! Not here: faults themselves (`faults`), what the record says of them (`record`).

pub(crate) mod guide;

#[allow(clippy::wildcard_imports, reason = "a table of things to try reads as a table")]
use crate::answers::symptoms::guide::*;
use crate::domain::Terms;

/// What is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct SymptomKind {
    /// Stable, as stored.
    pub code: &'static str,
    pub text: &'static str,
    /// Whether it begins or sits at a pixel.
    pub asks_pixel: bool,
    /// Read before anything is tried.
    pub cautions: &'static [&'static str],
    /// What to try, in order.
    pub guide: &'static [Try],
}

const SAFE: &str =
    "Supply off before anything is opened, cut or plugged; mains parts are for a qualified person.";
const LADDER: &str =
    "Dark, wet or windy: nothing above reach is opened tonight; switch it off and wait for day.";

/// All symptoms, in the order they are picked from.
pub(crate) const SYMPTOMS: &[SymptomKind] = &[
    kind(
        "dark_from",
        "dark from pixel N on",
        true,
        &[SAFE, LADDER],
        &[COUNT, FIRST_DARK, FAR_END, METER, DRY],
    ),
    kind("one_out", "one pixel out", true, &[SAFE, LADDER], &[COUNT, FIRST_DARK]),
    kind("whole_dark", "whole prop dark", false, &[SAFE], &[PLUGS, FUSE, SWAP_PORT, METER]),
    kind("flicker_first", "first pixel flickers", false, &[SAFE], &[PLUGS, COMMON, LEAD_LENGTH, SWAP_PORT]),
    kind(
        "flash_from",
        "random flashing from pixel N",
        true,
        &[SAFE, LADDER],
        &[COUNT, FIRST_DARK, METER, DRY],
    ),
    kind("wrong_colours", "wrong colours", false, &[SAFE], &[ORDER, METER]),
    kind("brown_end", "brown or reddish far end", false, &[SAFE], &[METER, FAR_END, PLUGS]),
    kind(
        "outlet_trips",
        "outlet trips when wet",
        false,
        &["Leave it off in the wet. Never bridge the protection.", SAFE],
        &[ONE_BY_ONE, DRY],
    ),
    kind("water_inside", "water inside", false, &[SAFE], &[DRY, VENT]),
    kind(
        "mount_loose",
        "mount loose",
        false,
        &["Clear the ground below first. Take it in if wind is coming.", LADDER],
        &[MOUNT],
    ),
    kind("other_picture", "shows another prop's picture", false, &[SAFE], &[CARD, SWAP_PORT]),
    kind("mirrored", "mirrored or reversed", false, &[SAFE], &[TURNED, CARD]),
    kind("fails_warm", "fails when warm", true, &[SAFE], &[TWENTY, METER]),
    kind("fuse_blown", "port fuse blown", false, &[SAFE, "Never a bigger fuse."], &[PLUGS, DRY, SWAP_PORT]),
    kind(
        "supply_dead",
        "supply dead",
        false,
        &["Behind the terminal cover: a qualified person only.", SAFE],
        &[MAINS, FUSE],
    ),
    kind("no_network", "no network", false, &[], &[SWITCH, CARD]),
    kind(
        "guy_slack",
        "guy slack",
        false,
        &["Keep out of the fall zone. Re-tension by day, never alone, not in gusts."],
        &[ANCHOR],
    ),
    kind("broken_lead", "broken lead", false, &[SAFE], &[SPARE_LEAD, PLUGS]),
    kind("damage", "damage", false, &[SAFE], &[BARE]),
    kind("missing", "missing", false, &[], &[SEARCH]),
    kind("current_off", "current differs from what was computed", false, &[SAFE], &[AS_CHECKED, PLUGS, DRY]),
];

const fn kind(
    code: &'static str,
    text: &'static str,
    asks_pixel: bool,
    cautions: &'static [&'static str],
    guide: &'static [Try],
) -> SymptomKind {
    SymptomKind { code, text, asks_pixel, cautions, guide }
}

/// Stable words for causes, as people read them, the commonest first.
pub const CAUSES: &[&str] = &[
    "failed_pixel",
    "solder_joint",
    "corrosion",
    "water",
    "plug",
    "voltage_sag",
    "wind",
    "adhesive_let_go",
    "wrong_setting",
    "lead_cut",
    "chewed",
    "pulled",
    "mower",
    "snow_blower",
    "wrong_port",
    "reversed_end",
    "missing_common_minus",
    "wrong_voltage",
    "theft",
    "unknown",
];

/// Whether a word is a known cause.
pub(crate) fn cause_known(word: &str) -> bool {
    CAUSES.contains(&word.replace([' ', '-'], "_").as_str())
}

/// All causes in one line.
pub(crate) fn causes() -> String {
    CAUSES.join(", ")
}

/// The symptom of a code or of its words, as files have it; a file may hold one that this program does not know.
pub(crate) fn symptom(code: &str) -> Option<&'static SymptomKind> {
    SYMPTOMS.iter().find(|s| s.code == code || s.text == code)
}

/// What an answer means: what was tried, what was seen, what that means.
pub(crate) fn answer_words(
    terms: Terms,
    symptom_code: &str,
    tried: &str,
    result: &str,
) -> Option<[String; 3]> {
    let try_it = symptom(symptom_code)?.guide.iter().find(|t| t.code == tried)?;
    let (_, seen, means) = try_it.results.iter().find(|(code, ..)| *code == result)?;
    Some([try_it.what, seen, means].map(|text| terms.say(text)))
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    /// The owner's list of symptoms and causes, word for word.
    #[test]
    fn every_symptom_and_cause_of_the_trade_is_there() {
        let symptoms = "dark from pixel N on; one pixel out; first pixel flickers; random flashing from pixel N; wrong \
             colours; brown or reddish far end; shows another prop's picture; mirrored or reversed; fails when warm; \
             whole prop dark; port fuse blown; supply dead; outlet trips when wet; no network; mount loose; guy slack; \
             water inside; broken lead; damage; missing; current differs from what was computed";
        for text in symptoms.split("; ") {
            assert!(symptom(text).is_some(), "{text}");
        }
        assert_eq!(SYMPTOMS.len(), symptoms.split("; ").count());
        let causes = "failed pixel, solder joint, corrosion, water, voltage sag, wrong voltage, missing common minus, \
             plug, wrong port, reversed end, lead cut, chewed, pulled, mower, snow-blower, wind, adhesive let go, wrong \
             setting, theft, unknown";
        for cause in causes.split(", ") {
            assert!(cause_known(cause.trim()), "{cause}");
        }
        assert_eq!(CAUSES.len(), causes.split(", ").count());
    }

    #[test]
    fn every_symptom_has_something_to_try_and_every_result_a_meaning() {
        for s in SYMPTOMS {
            assert!(!s.guide.is_empty(), "{}", s.code);
            let codes: BTreeSet<_> = s.guide.iter().map(|t| t.code).collect();
            assert_eq!(codes.len(), s.guide.len(), "{}: one code, one thing to try", s.code);
            for t in s.guide {
                assert!(t.results.len() > 1 || s.guide.len() > 1, "{}: one result tells nothing", t.code);
                for (code, ..) in t.results {
                    let [what, seen, means] = answer_words(Terms::Us, s.code, t.code, code).unwrap();
                    assert!(!what.is_empty() && !seen.is_empty() && !means.is_empty());
                }
            }
        }
    }
}
