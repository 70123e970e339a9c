//! A yard told by keys alone, from an empty home: twelve props within the time, and a farm in the southern summer.

use super::terminal::{Home, Terminal};

const NOW: &str = "2026-10-01T09:00";

fn json(text: &str) -> serde_json::Value {
    serde_json::from_str(text).unwrap()
}

/// Seconds a key and a thought take: an average typist who is no clerk, and one preparation before each answer (Card,
/// Moran, Newell: The keystroke-level model, Communications of the ACM 23, 1980; from memory).
const KEY_S: f64 = 0.28;
const THOUGHT_S: f64 = 1.35;

/// From an empty home to a list that is walked and printed: every key is counted, and one thought an answer. As the list
/// stands that is 459 keys and 23 answers: 459 x 0.28 s + 23 x 1.35 s = 160 s.
#[test]
fn twelve_props_are_told_by_keys_within_three_minutes() {
    let home = Home::new();
    let mut screens = Terminal::start(&home, &["--now", NOW, "--seed=1"], 110, 40);
    let (mut keys, mut thoughts) = (0, 0);
    screens.shows(&["Begin here"]);
    let mut type_in = |screens: &mut Terminal, text: &str, then: &str| {
        keys += text.chars().count();
        thoughts += 1;
        screens.keys(text).shows(&[then]);
    };
    type_in(&mut screens, "n", "When do the lights go on?");
    type_in(&mut screens, "27 Nov 2026\r", "Which is the last night?");
    type_in(&mut screens, "6 Jan 2027\r", "Where is the yard?");
    type_in(&mut screens, "Chicago\r", "Who helps?");
    type_in(&mut screens, "Bo, me\r", "Which ladders are there?");
    type_in(&mut screens, "step ladder\r", "A prop");
    for (n, line) in [
        "8 boats, path left, zip-tied",
        "6 arches, drive, on rebar",
        "icicles, porch eaves, gutter clips",
        "2 wreaths, front door, suction cups",
        "star, porch roof, bracket",
        "4 net lights, hedge, draped over",
        "10 canes, walk, ground stakes",
        "snowman, front lawn, sandbags",
        "7 candles, windows, suction cups",
        "garland, mailbox, cable ties",
        "projector, flower bed, just stands there",
        "tree wrap, maple, wrapped around",
    ]
    .into_iter()
    .enumerate()
    {
        type_in(&mut screens, &format!("{line}\r"), &format!("{} so far", n + 1));
    }
    type_in(&mut screens, "\r", "How is \"porch eaves\" reached?");
    type_in(&mut screens, "step ladder\r", "How is \"porch roof\" reached?");
    type_in(&mut screens, "step ladder\r", "Told so far");
    type_in(&mut screens, "\u{1b}", "add a prop");
    type_in(&mut screens, "2", "whole up 0 of");
    // What to bring lies over the list at first.
    screens.keys("\u{3}");
    assert_eq!(screens.ends(), 0);
    let seconds = KEY_S * f64::from(keys as u32) + THOUGHT_S * f64::from(thoughts);
    println!("{keys} keys and {thoughts} thoughts: {seconds:.0} s");
    assert_eq!((keys, thoughts), (459, 23), "the reckoning above is of this list");
    assert!(seconds <= 180.0, "{keys} keys and {thoughts} thoughts: {seconds:.0} s");
    let told = json(&home.ok(&["told", "placement", "--json", "--now", NOW]));
    assert_eq!(told["rows"].as_array().unwrap().len(), 12);
    let set_out =
        told["rows"].as_array().unwrap().iter().filter(|r| r["columns"]["method"] == "set_out").count();
    assert_eq!(set_out, 0, "each way of mounting was understood: {told:#}");
    let paper = home.ok(&["print", "checklist", "up", "--now", NOW]);
    assert!(paper.contains("boats, 8") && paper.contains("[ ]"), "{paper}");
}

/// Sixty props, twelve helpers, 230 V and a midsummer, with no file and no command.
#[test]
fn a_farm_in_the_southern_summer_is_told_by_keys() {
    let home = Home::new();
    let mut screens = Terminal::start(&home, &["--now", NOW, "--seed=1"], 110, 40);
    screens.shows(&["Begin here"]).keys("n").shows(&["When do the lights go on?"]);
    screens.keys("4 Dec 2026\r").shows(&["Friday 4 December 2026", "last night?"]);
    screens.keys("3 Jan 2027\r").shows(&["Where is the yard?"]).keys("Auckland\r").shows(&["Who helps?"]);
    let helpers: Vec<String> = (1..=12).map(|n| format!("Helper {n}")).collect();
    screens.keys(&format!("{}\r", helpers.join(", "))).shows(&["Which ladders are there?"]);
    screens.keys("2 step ladders, extension ladder 7 m\r").shows(&["A prop"]);
    let mounts = [
        "zip-tied to the fence",
        "screwed on",
        "on the ground",
        "star pickets",
        "hung from a branch",
        "sandbags",
    ];
    let places = ["front gate", "boundary fence", "shed wall", "drive", "gum tree", "veranda"];
    let lines: Vec<String> = (0..60)
        .map(|n| format!("{} prop {n}, {} {}, {}", n % 5 + 1, places[n % 6], n / 20, mounts[n % 6]))
        .collect();
    screens.keys(&format!("\u{1b}[200~{}\u{1b}[201~", lines.join("\r"))).shows(&["60 so far"]);
    screens.keys("\r").shows(&["Told so far", "Auckland", "Helper 12"]).keys("\u{1b}").shows(&["add a prop"]);
    // The mains of a shed, by the form of any fact.
    screens.keys("+").shows(&["circuit"]).keys("circuit\r").shows(&["A new mains circuit", "breaker"]);
    screens.keys("Shed\r16 A\r230 V\u{13}").shows(&["New circuit SHED", "230 V", "add a prop"]);
    screens.keys("+").shows(&["circuit"]).keys("site\r").shows(&["latitude", "longitude"]);
    screens.keys("\r\u{15}36.8 S\r\u{15}174.7 E\u{13}").shows(&["36.8"]);
    // Two long days of midsummer.
    screens.keys("4");
    for (begins, day) in
        [("2026-11-28 09:00", "Sat 28"), ("2026-11-29 09:00", "Sun 29"), ("2026-12-04 16:30", "Fri 4")]
    {
        screens.keys("n").shows(&["When does it begin?"]).keys(&format!("{begins}\r"));
        screens.shows(&["When does it end?"]).keys("22:30\r").shows(&["Who comes?"]).keys("\r");
        screens.shows(&["work lights?"]).keys("2").shows(&["New session", day]);
    }
    screens.keys("q");
    assert_eq!(screens.ends(), 0);
    let told = |kind: &str| json(&home.ok(&["told", kind, "--json", "--now", NOW]))["rows"].clone();
    assert_eq!(
        (told("placement").as_array().unwrap().len(), told("person").as_array().unwrap().len()),
        (60, 12)
    );
    let site = told("site")[0]["columns"].clone();
    assert_eq!(
        (&site["time_zone"], &site["units"], &site["terms"]),
        (&"Pacific/Auckland".into(), &"si".into(), &"elsewhere".into())
    );
    let plan = json(&home.ok(&["plan", "up", "--json", "--now", NOW]));
    let session = &plan["sessions"][0];
    assert_eq!(session["people"].as_array().unwrap().len(), 12, "{session}");
    // The sun of late November sets after eight there.
    assert!(session["light"]["sunset"].as_str().unwrap()[11..13].parse::<u32>().unwrap() >= 20, "{session}");
    assert!(plan["unplaced"].as_array().unwrap().is_empty(), "{}", plan["unplaced"]);
}
