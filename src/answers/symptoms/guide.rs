//! What to try by symptom, and what each result means. Common practice, no published source.

/// One thing to try, and what each result means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Try {
    /// Stable, as stored with the answer.
    pub code: &'static str,
    pub what: &'static str,
    /// Code as stored, what is seen, what it means.
    pub results: &'static [(&'static str, &'static str, &'static str)],
}

pub(crate) const COUNT: Try = Try {
    code: "count",
    what: "Count from the data end to the first dark or odd pixel and write the number down.",
    results: &[
        ("same", "The number stays the same", "one spot: a pixel or a joint there"),
        ("moves", "It wanders from one look to the next", "water, a loose joint, or data that is too weak"),
    ],
};
pub(crate) const FIRST_DARK: Try = Try {
    code: "first_dark",
    what: "Swap or bridge the first dark pixel.",
    results: &[
        ("lights", "What follows lights", "that pixel had failed: solder a new one in and seal it"),
        ("same", "Nothing changes", "it is the last lit one, which no longer passes data on: swap that one"),
        (
            "further",
            "It is dark a little further on",
            "water or bad joints run along it: to the bench, dry and re-seal",
        ),
    ],
};
pub(crate) const FAR_END: Try = Try {
    code: "far_end",
    what: "Feed positive and negative in at the other end as well.",
    results: &[
        (
            "lights",
            "What was dark lights",
            "a supply wire is broken between the last lit and the first dark pixel",
        ),
        ("same", "Nothing changes", "supply is there: data is lost at that spot, so it is the pixel"),
    ],
};
pub(crate) const SWAP_PORT: Try = Try {
    code: "swap_port",
    what: "Plug it into another port that works.",
    results: &[
        (
            "moves",
            "It works there",
            "it is the port: its fuse, its driver or its settings; leave it there and say so",
        ),
        ("stays", "The fault goes along", "it is the prop or its lead"),
    ],
};
pub(crate) const METER: Try = Try {
    code: "meter",
    what: "Meter positive to negative at the far end, while it shows white.",
    results: &[
        (
            "low",
            "Clearly below the near end",
            "voltage sags: a bad joint, too thin or too long; feed the far end too",
        ),
        ("level", "About the same", "supply is fine: look at the data line and the settings"),
        ("none", "Nothing there", "a cut lead, a plug apart or a blown fuse before it"),
    ],
};
pub(crate) const DRY: Try = Try {
    code: "dry",
    what: "Open it indoors and look for water and green or white joints.",
    results: &[
        (
            "wet",
            "Wet or green",
            "dry it for two days, clean or renew the joints, re-seal only when dry, test",
        ),
        ("dry", "Dry and clean", "water is not it: go on with the next"),
    ],
};
pub(crate) const PLUGS: Try = Try {
    code: "plugs",
    what: "Part every plug on the way and look into it.",
    results: &[
        ("pin", "A bent pin, dirt or water", "clean and dry it, or a new plug"),
        ("voltage", "The voltages on the two tags differ", "wrong lead: take it off and don't try it"),
        ("apart", "One was not home", "push it home, supply off; test"),
        ("fine", "All are fine", "go on with the next"),
    ],
};
pub(crate) const FUSE: Try = Try {
    code: "fuse",
    what: "Look at its port's fuse.",
    results: &[
        ("blown", "Blown", "find the short first; then the same rating, never a bigger one"),
        ("whole", "Whole", "go on with the next"),
    ],
};
pub(crate) const COMMON: Try = Try {
    code: "common_minus",
    what: "Meter between the negative of the supply and the negative of the controller.",
    results: &[
        ("zero", "No volts", "the common negative is there: go on"),
        ("volts", "Some volts", "the common negative is missing: join them before anything else"),
    ],
};
pub(crate) const LEAD_LENGTH: Try = Try {
    code: "lead_length",
    what: "Put a short data lead in, or a first pixel near the box.",
    results: &[
        ("helps", "It is steady", "the data lead is too long: a booster, or a pixel near the box"),
        ("same", "It still flickers", "the first pixel's input has suffered: swap the first pixel"),
    ],
};
pub(crate) const ORDER: Try = Try {
    code: "colour_order",
    what: "Show plain red, green and blue from the controller's own test.",
    results: &[
        ("swapped", "Colours are swapped all along", "the colour order of this port is set wrong"),
        ("from", "They are wrong from one pixel on", "another sort of pixel was spliced in there"),
        ("right", "They are right", "it is the show's file or the start slot"),
    ],
};
pub(crate) const CARD: Try = Try {
    code: "card",
    what: "Compare port, start universe and slot with the lid card.",
    results: &[
        ("port", "Another port", "plug it as the card says, supply off; or say it was done differently"),
        ("settings", "Other settings", "set them as the card says"),
        ("same", "All as on the card", "two props may share a universe: see Power, or `check signal`"),
    ],
};
pub(crate) const TURNED: Try = Try {
    code: "turned",
    what: "Look which end is fed and which way round it hangs.",
    results: &[
        ("out_end", "It is fed at its out end", "turn it: data runs one way only"),
        ("hung", "It hangs the other way round", "hang it right, or turn it in the settings"),
        ("right", "Both are right", "the settings have it reversed"),
    ],
};
pub(crate) const TWENTY: Try = Try {
    code: "twenty",
    what: "Run it for twenty minutes on the bench, then press along the joints.",
    results: &[
        ("joint", "It changes where pressed", "a joint opens when warm: solder it anew"),
        ("pixel", "It stops at one pixel", "that pixel fails when warm: swap it"),
        ("fine", "It runs", "look at plugs and supply under load where it stands"),
    ],
};
pub(crate) const ONE_BY_ONE: Try = Try {
    code: "one_by_one",
    what: "In dry weather plug in one box at a time.",
    results: &[
        ("one", "One box trips it", "its cord, lid, entries or a supply let water in: take it in"),
        ("all", "It trips with nothing plugged in", "the outlet itself: a qualified person"),
        ("none", "None trips it dry", "look for plugs that lay in the wet"),
    ],
};
pub(crate) const VENT: Try = Try {
    code: "vent",
    what: "Look how it is sealed.",
    results: &[
        (
            "sealed",
            "A strip in a closed sleeve",
            "condensation is trapped: vent it, or a coated strip in a vented channel",
        ),
        ("open", "Seal torn or end cap gone", "dry it and seal the end anew"),
    ],
};
pub(crate) const MOUNT: Try = Try {
    code: "mount",
    what: "Look what let go, by day.",
    results: &[
        ("fixing", "A screw, tie or clamp", "tighten it or put a new one in"),
        ("bond", "Glue or tape", "bonding needs warmth and days: tie it for now, bond it in summer"),
        ("ground", "Stake or anchor", "set it deeper or elsewhere, marked lines only"),
    ],
};
pub(crate) const MAINS: Try = Try {
    code: "mains",
    what: "Look at breaker and protected outlet, then try another lamp in that outlet.",
    results: &[
        ("no_mains", "No mains there", "breaker or outlet: reset it once; trips again, leave it off"),
        (
            "mains",
            "Mains is there",
            "the supply, or its input voltage selector: swap the box or a qualified person",
        ),
    ],
};
pub(crate) const SWITCH: Try = Try {
    code: "switch",
    what: "Look at the light of its switch port, then try another cable.",
    results: &[
        ("cable", "The light comes with another cable", "the cable or its plugs"),
        ("dark", "It stays dark", "no supply to the box, or the switch port is dead"),
        ("lit", "It is lit", "address: as on the lid card, and no other has it?"),
    ],
};
pub(crate) const ANCHOR: Try = Try {
    code: "anchor",
    what: "By day and not alone, look at the anchor, the ratchet and the rope.",
    results: &[
        ("anchor", "The anchor has moved", "clear the fall zone; set a new anchor before it is tensioned"),
        ("ratchet", "The ratchet has slipped", "tension it again, look at it after the next wind"),
    ],
};
pub(crate) const AS_CHECKED: Try = Try {
    code: "as_checked",
    what: "Same level as the check was made for, everything on this supply lit and nothing else? Read again.",
    results: &[
        ("as_expected", "As expected now", "nothing is wrong: say so and close it"),
        (
            "more",
            "More than expected",
            "look for damp, a wrong part, two feeds on one fuse; leave it off meanwhile",
        ),
        (
            "less",
            "Less than expected",
            "look for a prop that is dark or half lit, or a plug that is not home",
        ),
    ],
};
pub(crate) const SPARE_LEAD: Try = Try {
    code: "spare_lead",
    what: "Put a labelled spare in, of the same voltage and plug.",
    results: &[
        ("works", "It works", "the old lead goes to the bench tote"),
        ("same", "Still dark", "it was not the lead: see \"whole prop dark\""),
    ],
};
pub(crate) const BARE: Try = Try {
    code: "bare",
    what: "Look for bare wire, sharp edges, a cracked housing. Photograph it.",
    results: &[
        ("bare", "Bare wire or an edge", "off, and in for the bench"),
        ("whole", "Only its looks", "it may stay up; mend it in summer"),
    ],
};
pub(crate) const SEARCH: Try = Try {
    code: "search",
    what: "Look in the bench tote, its home, and where it stood last.",
    results: &[
        ("found", "Found", "put it home, end this fault"),
        (
            "gone",
            "Not there",
            "write down what it fed and was fed from; it goes on the buying list once lost",
        ),
    ],
};
