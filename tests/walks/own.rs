//! Yards that are not the demo, from an empty home: twelve lines pasted, a balcony for one, a farm by its sheet and by
//! facts told one by one.

use super::terminal::{Home, Terminal};

const NOW: &str = "2026-10-01T09:00";

fn json(text: &str) -> serde_json::Value {
    serde_json::from_str(text).unwrap()
}

const TWELVE: &str = "8 boat cut-outs, 50 pixels, 5 V, path left, zip-tied\n\
    6 bridge arches, drive edge, stuck on rebar\n\
    Icicles, porch eaves, gutter clips\n\
    2 wreaths, front door, wreath hanger over the door\n\
    Star, roof ridge, bracket\n\
    net lights x4, front hedge, draped over\n\
    3 candy canes, walk, ground stakes\n\
    Snowman, front lawn, sandbags\n\
    window candles x7, upstairs windows, suction cups\n\
    Mailbox garland, mailbox, cable ties\n\
    projector, flower bed, on the ground\n\
    Tree wrap, maple, wrapped around the trunk\n";

/// The start by keys: every answer echoed, many lines pasted at once, the whole read back; then it is walked and printed.
#[test]
fn a_date_and_twelve_pasted_lines_are_a_walk_and_a_paper() {
    let home = Home::new();
    let mut screens = Terminal::start(&home, &["--now", NOW, "--seed=1"], 110, 40);
    screens.shows(&["Begin here"]).keys("n").shows(&["When do the lights go on?"]);
    // What is no date is asked for again, with what was typed.
    screens.keys("soon\r").shows(&["this is no date", "soon"]);
    screens.keys("\u{15}27 Nov 2026\r").shows(&["Friday 27 November 2026 17:00", "Which is the last night?"]);
    screens.keys("6 Jan 2027\r").shows(&["Where is the yard?"]);
    screens.keys("Chicago\r").shows(&["Who helps?"]);
    screens.keys("\r").shows(&["Which ladders are there?"]).keys("\r").shows(&["A prop"]);
    // As terminals send it, with carriage returns.
    screens
        .keys(&format!("\u{1b}[200~{}\u{1b}[201~", TWELVE.replace('\n', "\r")))
        .shows(&["A prop; an empty line ends"]);
    screens.keys("\r").shows(&["How is", "reached?"]);
    screens.keys("extension ladder\r").shows(&["how it is reached extension", "roof ridge"]);
    // Asked again until it is understood.
    screens.keys("by drone\r").shows(&["this word is not known", "by drone"]).keys("\u{15}nobody\r");
    screens.shows(&["upstairs windows"]).keys("\r").shows(&["Told so far", "lights on", "assumed"]);
    screens.keys("\u{1b}").shows(&["57 days"]).keys("q");
    assert_eq!(screens.ends(), 0);
    let told = json(&home.ok(&["told", "placement", "--json", "--now", NOW]));
    assert_eq!(told["rows"].as_array().unwrap().len(), 12, "{told}");
    let pieces = json(&home.ok(&["told", "piece", "--json", "--now", NOW]));
    assert_eq!(
        pieces["rows"].as_array().unwrap().len(),
        8,
        "the cut-outs are labelled, as they were told as things"
    );
    let site = json(&home.ok(&["told", "site", "--json", "--now", NOW]));
    assert_eq!(site["rows"][0]["columns"]["time_zone"], "America/Chicago");
    assert_eq!(site["rows"][0]["columns"]["units"], "us");
    let plan = json(&home.ok(&["plan", "up", "--json", "--now", NOW]));
    assert!(plan["unplaced"].as_array().unwrap().is_empty());
    assert!(plan["steps"].as_array().unwrap().len() > 24);
    let paper = home.ok(&["print", "checklist", "up", "--now", NOW]);
    assert!(paper.contains("boat cut-outs, 8") && paper.contains("[ ]"), "{paper}");
}

/// The same questions in a terminal, line by line: a balcony, one person, no ladder.
#[test]
fn a_balcony_is_told_in_six_answers_and_one_person_does_it() {
    let home = Home::new();
    let mut new = Terminal::start(&home, &["new", "--now", NOW], 100, 40);
    new.shows(&["When do the lights go on?"]).keys("5 Dec 2026 17:00\r").shows(&["Saturday 5 December 2026"]);
    new.shows(&["last night?"]).keys("\r").shows(&["Where is the yard?"]).keys("Berlin\r");
    new.shows(&["Who helps?"]).keys("alone\r").shows(&["You are alone"]);
    new.shows(&["ladders"]).keys("none\r").shows(&["No ladder"]);
    new.shows(&["A prop"]).keys("string light, balcony rail, zip ties\r").shows(&["1 so far"]);
    new.keys("star, balcony window, suction cup\r").shows(&["2 so far"]);
    new.keys("lantern, balcony floor, just stands there\r").shows(&["3 so far"]);
    new.keys("\r").shows(&["Told so far", "ladderday shows the screens"]);
    assert_eq!(new.ends(), 0);
    let people = json(&home.ok(&["told", "people", "--json", "--now", NOW]));
    assert_eq!(people["rows"].as_array().unwrap().len(), 1);
    let site = json(&home.ok(&["told", "site", "--json", "--now", NOW]));
    assert_eq!(site["rows"][0]["columns"]["units"], "si");
    home.ok(&["session", "add", "2026-11-28T13:00", "18:30", "--now", NOW]);
    home.ok(&["session", "add", "2026-12-05T16:30", "18:30", "--now", NOW]);
    // What two should be at is told apart; on the ground one may say to do it alone, and then it is planned.
    let plan = json(&home.ok(&["plan", "up", "--json", "--now", NOW]));
    let apart = |plan: &serde_json::Value| -> Vec<String> {
        let keys = plan["unplaced"].as_array().unwrap().iter();
        keys.map(|u| format!("{} {}", u["key"].as_str().unwrap(), u["why"])).collect()
    };
    assert!(!apart(&plan).is_empty());
    let steps = |plan: &serde_json::Value| plan["steps"].as_array().unwrap().clone();
    let mut alone = vec!["step".to_owned(), "alone".to_owned()];
    alone.extend(
        steps(&plan).iter().filter(|s| s["not_alone"] == true).map(|s| s["key"].as_str().unwrap().to_owned()),
    );
    alone.extend(["--now".to_owned(), NOW.to_owned()]);
    home.ok(&alone.iter().map(String::as_str).collect::<Vec<_>>());
    let plan = json(&home.ok(&["plan", "up", "--json", "--now", NOW]));
    assert!(apart(&plan).is_empty(), "{:?}", apart(&plan));
    assert!(steps(&plan).iter().all(|s| s["not_alone"] == false));
    // Three things are rehearsed within the hour.
    let rehearsal = steps(&plan)
        .iter()
        .filter(|s| s["role"] == "rehearsal")
        .map(|s| s["minutes"].as_i64().unwrap())
        .sum::<i64>();
    assert_eq!(rehearsal, 50);
    // The last night was not told: nothing comes down before it was lit, and that is said.
    home.ok(&["session", "add", "2026-12-05T09:00", "16:00", "--now", NOW]);
    home.ok(&["session", "add", "2027-01-09T09:00", "16:00", "--now", NOW]);
    let down = json(&home.ok(&["plan", "down", "--json", "--now", NOW]));
    assert!(steps(&down).iter().all(|s| s["from"].as_str().is_none_or(|from| from > "2026-12-06")));
    let paper = home.ok(&["print", "checklist", "down", "--now", NOW]);
    assert!(paper.contains("last night not told"), "{paper}");
}

/// A farm on the southern half: a sheet of sixty props in metres, twelve helpers and 230 V told by command.
#[test]
fn a_farm_in_southern_summer_is_told_by_a_sheet_and_by_commands() {
    let home = Home::new();
    let mounts = [
        "zip-tied to the fence",
        "screwed on",
        "on the ground",
        "star pickets",
        "hung from a branch",
        "sandbags",
    ];
    let places = ["front gate", "boundary fence", "shed wall", "drive", "gum tree", "veranda"];
    let mut sheet = "Lights on;4/12/2026;;\n".replace("4/12/2026", "4 Dec 2026");
    sheet.push_str("What;No. off;Where;Fixing;Length (m)\n");
    for n in 0..60 {
        let (many, place, mount) = (n % 5 + 1, places[n % 6], mounts[n % 6]);
        sheet = format!("{sheet}Prop {n};{many};{place} {};{mount};2,5\n", n / 20);
    }
    let file = home.path().join("farm.csv");
    std::fs::write(&file, sheet).unwrap();
    home.ok(&["import", file.to_str().unwrap(), "--now", NOW]);
    for n in 1..=12 {
        home.ok(&["tell", "person", &format!("Helper {n}"), "skills=ladder", "--now", NOW]);
    }
    home.ok(&[
        "tell",
        "site",
        "name=Farm",
        "latitude=36.8 S",
        "longitude=174.7 E",
        "time_zone=Pacific/Auckland",
        "units=si",
        "terms=elsewhere",
        "currency=NZD",
        "--now",
        NOW,
    ]);
    let said = home.ok(&["tell", "circuit", "SHED", "volts=230 V", "breaker=16 A", "--now", NOW]);
    assert!(said.contains("volts 230 V, ") || said.contains("230 V"), "{said}");
    home.ok(&["session", "add", "2026-11-28T09:00", "20:00", "--now", NOW]);
    home.ok(&["session", "add", "2026-11-29T09:00", "20:00", "--now", NOW]);
    let plan = json(&home.ok(&["plan", "up", "--json", "--now", NOW]));
    assert_eq!(plan["told"]["people"], true);
    let session = &plan["sessions"][0];
    assert_eq!(session["people"].as_array().unwrap().len(), 12);
    // Midsummer is near: the sun sets late, and south is where it is.
    assert!(session["light"]["sunset"].as_str().unwrap()[11..13].parse::<u32>().unwrap() >= 20, "{session}");
    let (code, _, err) = home.run(&[
        "--yard",
        home.yard().to_str().unwrap(),
        "tell",
        "circuit",
        "SHED",
        "breaker=sixteen",
        "volt=12",
        "--json",
    ]);
    assert_eq!(code, 2, "{err}");
    let error = json(&err);
    assert!(error["error"]["what"].as_str().unwrap().contains("breaker"), "{err}");
    let ended = home.ok(&["end", "person", "Helper 12", "--why", "moved away", "--json", "--now", NOW]);
    assert_eq!(json(&ended)["changed"][0]["kind"], "person");
}
