//! Symptoms and causes of the trade, and what to try by symptom. Common practice, no published source.

/// What is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct SymptomKind {
    /// Stable, as stored.
    pub code: &'static str,
    pub text: &'static str,
    /// Whether it begins or sits at a pixel.
    pub asks_pixel: bool,
    /// What to try, in order.
    pub guide: &'static [&'static str],
}

const SAFE: &str =
    "Supply off before anything is opened, cut or plugged; mains parts are for a qualified person.";
const FIRST_DARK: &str = "Look at the first dark pixel and the last lit one: swap or bridge the first dark one; \
     if nothing changes, it is the one before it.";
const FAR_END: &str = "Feed it from the other end: what lights then shows where the break is.";
const SWAP_PORT: &str =
    "Swap to another port: if the fault moves with the port, it is the box; else the prop or lead.";
const METER: &str = "Meter at the far end under load: well below the near end means sag or a bad joint.";
const DRY: &str = "Open, dry, look for green or white on the joints; re-seal only when it is dry.";
const PLUGS: &str =
    "Part and look at every plug on the way: pins straight, no water, same voltage on both tags.";

/// All symptoms, in the order they are picked from.
pub(super) const SYMPTOMS: &[SymptomKind] = &[
    SymptomKind {
        code: "dark_from",
        text: "dark from pixel N on",
        asks_pixel: true,
        guide: &[SAFE, FIRST_DARK, FAR_END, DRY],
    },
    SymptomKind {
        code: "one_out",
        text: "one pixel out",
        asks_pixel: true,
        guide: &[SAFE, "Count it from the data end and write the number down.", FIRST_DARK],
    },
    SymptomKind {
        code: "whole_dark",
        text: "whole prop dark",
        asks_pixel: false,
        guide: &[SAFE, PLUGS, "Look at its port's fuse.", SWAP_PORT, METER],
    },
    SymptomKind {
        code: "flicker_first",
        text: "first pixel flickers",
        asks_pixel: false,
        guide: &[
            SAFE,
            PLUGS,
            "Common minus between supply and controller? Data lead longer than its limit?",
            SWAP_PORT,
        ],
    },
    SymptomKind {
        code: "flash_from",
        text: "random flashing from pixel N",
        asks_pixel: true,
        guide: &[SAFE, FIRST_DARK, METER, DRY],
    },
    SymptomKind {
        code: "wrong_colours",
        text: "wrong colours",
        asks_pixel: false,
        guide: &["Right colour order set for this port?", SAFE, METER],
    },
    SymptomKind {
        code: "brown_end",
        text: "brown or reddish far end",
        asks_pixel: false,
        guide: &[SAFE, METER, "Lower the level, or add a feed at the far end.", PLUGS],
    },
    SymptomKind {
        code: "outlet_trips",
        text: "outlet trips when wet",
        asks_pixel: false,
        guide: &[
            "Leave it off in the wet. Don't defeat the protection.",
            "Dry weather: plug in one box at a time and see which trips it.",
            DRY,
            SAFE,
        ],
    },
    SymptomKind {
        code: "water_inside",
        text: "water inside",
        asks_pixel: false,
        guide: &[SAFE, DRY, "A strip in a sealed sleeve traps condensation: vent it."],
    },
    SymptomKind {
        code: "mount_loose",
        text: "mount loose",
        asks_pixel: false,
        guide: &[
            "Clear the ground below first. Ladder, roof and wind cautions hold.",
            "Take it in for the night if wind is coming.",
        ],
    },
    SymptomKind {
        code: "other_picture",
        text: "shows another prop's picture",
        asks_pixel: false,
        guide: &[
            "Plugged into the right port? Look at the lid card.",
            "Start universe and slot as on the card?",
        ],
    },
    SymptomKind {
        code: "mirrored",
        text: "mirrored or reversed",
        asks_pixel: false,
        guide: &[
            "Fed from its out end, or hung the other way round?",
            "Turn it in the settings only if the wiring is right.",
        ],
    },
    SymptomKind {
        code: "fails_warm",
        text: "fails when warm",
        asks_pixel: true,
        guide: &[SAFE, "Run it twenty minutes on the bench, press along the joints.", METER],
    },
    SymptomKind {
        code: "fuse_blown",
        text: "port fuse blown",
        asks_pixel: false,
        guide: &[SAFE, "Find the short before a new fuse goes in. Never a bigger fuse.", PLUGS],
    },
    SymptomKind {
        code: "supply_dead",
        text: "supply dead",
        asks_pixel: false,
        guide: &[
            "Breaker and outlet first.",
            "Input voltage selector set? The supply itself is for a qualified person.",
            SAFE,
        ],
    },
    SymptomKind {
        code: "no_network",
        text: "no network",
        asks_pixel: false,
        guide: &["Lights on the switch port? Another cable?", "Address as on the lid card? Two of the same?"],
    },
    SymptomKind {
        code: "guy_slack",
        text: "guy slack",
        asks_pixel: false,
        guide: &[
            "Keep out of the fall zone. Re-tension by day, never alone, not in gusts.",
            "Look at the anchor.",
        ],
    },
    SymptomKind {
        code: "broken_lead",
        text: "broken lead",
        asks_pixel: false,
        guide: &[SAFE, "Replace it by a labelled spare of the same voltage and plug.", PLUGS],
    },
    SymptomKind {
        code: "damage",
        text: "damage",
        asks_pixel: false,
        guide: &[SAFE, "Photograph it; take it in if an edge or wire is bare."],
    },
    SymptomKind {
        code: "missing",
        text: "missing",
        asks_pixel: false,
        guide: &[
            "Look in the bench tote and the last place it stood.",
            "Write down what it was connected to.",
        ],
    },
    SymptomKind {
        code: "current_off",
        text: "current differs from what was computed",
        asks_pixel: false,
        guide: &[
            "Is the level what the check was made for? Everything on this supply lit, and nothing else?",
            "More than expected: look for damp, a wrong part, two feeds on one fuse. Less: a dark or half lit prop.",
            SAFE,
            PLUGS,
        ],
    },
];

/// Stable words for causes.
const CAUSES: &[&str] = &[
    "failed_pixel",
    "solder_joint",
    "corrosion",
    "water",
    "voltage_sag",
    "wrong_voltage",
    "missing_common_minus",
    "plug",
    "wrong_port",
    "reversed_end",
    "lead_cut",
    "chewed",
    "pulled",
    "mower",
    "snow_blower",
    "wind",
    "adhesive_let_go",
    "wrong_setting",
    "theft",
    "unknown",
];

/// Whether a word is a known cause.
pub(super) fn cause_known(word: &str) -> bool {
    CAUSES.contains(&word.replace([' ', '-'], "_").as_str())
}

/// All causes in one line.
pub(super) fn causes() -> String {
    CAUSES.join(", ")
}

/// The symptom of a code or of its words, as files have it; a file may hold one that this program does not know.
pub(super) fn symptom(code: &str) -> Option<&'static SymptomKind> {
    SYMPTOMS.iter().find(|s| s.code == code || s.text == code)
}
