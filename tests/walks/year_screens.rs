//! The invented year once more, on the screens alone: at each date they show what comes next, and keys do it.

use super::terminal::{Home, Terminal};
use super::year::{farm, json};

/// The screens at a date, as Today opens.
fn at(home: &Home, now: &str, shows: &[&str]) -> Terminal {
    let mut screens = Terminal::start(home, &["--now", now, "--seed=1"], 120, 40);
    screens.shows(&["1 Today"]).shows(shows);
    screens
}

fn leave(mut screens: Terminal) {
    screens.keys("q");
    assert_eq!(screens.ends(), 0);
}

/// Walks a phase to its end, place by place; what to bring lies over the list at first.
fn walk_all(screens: &mut Terminal, bring: &str, places: usize, done: &str) {
    screens.keys("2").shows(&[bring]).keys("\r");
    for _ in 0..places {
        screens.keys("a");
    }
    screens.shows(&[done]);
}

#[test]
fn a_whole_year_of_a_small_yard_on_the_screens() {
    let home = farm();
    // September: tested on the bench and put up.
    let mut screens =
        at(&home, "2026-09-05T09:00", &["35 days to lights on", "Ready now", "Start bench test"]);
    walk_all(&mut screens, "Bring for", 3, "whole up 9 of 9");
    leave(screens);
    // October: one show is lit and stays as it is, what it does not need is made ready for the other.
    let mut screens =
        at(&home, "2026-10-15T10:00", &["Glow is lit until Sat 31 Oct 2026", "Stars, 3: Fit the hooks"]);
    let today = screens.screen();
    let ready = today.split("Ready now").nth(1).unwrap();
    // To ask where lines are buried touches nothing.
    let touched = ready.replace("Gate lanterns, 2: Buried lines", "");
    assert!(
        !touched.contains("Power off") && !touched.contains("Gate lanterns"),
        "lit is not touched: {today}"
    );
    screens.keys("2").keys("\r").shows(&["CHANGEOVER", "Power off"]).keys("/power off\r");
    screens.shows(&["not before Sun 1 Nov 2026"]);
    leave(screens);
    // November: the last night is over, and it changes over.
    let mut screens = at(&home, "2026-11-07T10:00", &["20 days to lights on", "Power off"]);
    walk_all(&mut screens, "CHANGEOVER", 6, "whole change 12 of 12");
    leave(screens);
    // December: a fault is found and patched in the dark; the piece is told by day.
    let mut screens = at(&home, "2026-12-05T21:00", &["tonight's round: Frost is lit"]);
    screens.keys("7").shows(&["No fault was logged yet"]).keys("n").shows(&["What has the fault"]);
    screens.keys("stars\r").shows(&["Stars: what is seen?"]).keys("1").shows(&["ixel"]).keys("12\r");
    screens.shows(&["And tonight?"]).keys("2").shows(&["F-001 is logged. Which one?"]).keys("\r");
    leave(screens);
    let mut screens = at(&home, "2026-12-06T09:00", &["patched last night: Stars (F-S), F-001"]);
    screens.keys("7").shows(&["F-001", "patched"]).keys("x");
    screens
        .shows(&["Which piece it is"])
        .keys("6")
        .shows(&["Which one?"])
        .keys("S-2\r")
        .shows(&["Star (S-2)"]);
    leave(screens);
    // January: down; one wet, one missing, the rest good and dry.
    let mut screens = at(&home, "2027-01-09T10:00", &["takedown of Frost: 11 steps open"]);
    screens.keys("2").shows(&["DOWN", "whole down 0 of 11"]);
    for n in 1..=3 {
        // An Enter that comes twice within 150 ms counts once.
        std::thread::sleep(std::time::Duration::from_millis(250));
        screens.keys("\r").shows(&[&format!("whole down {n} of 11")]);
    }
    screens.keys("x").shows(&["what is not good and dry?"]).keys("1").shows(&["which pieces?"]).keys("L-1\r");
    screens.shows(&["Wet: L-1, to the drying place today"]).keys("y").shows(&["what is wet dries first"]);
    screens.keys("\r").shows(&["whole down 5 of 11"]).keys("\r").shows(&["whole down 6 of 11"]);
    screens.keys("/stars unplug\r").keys("\r").shows(&["whole down 7 of 11"]).keys("/unhook\r").keys("x4");
    screens
        .shows(&["Missing: which pieces?"])
        .keys("S-3\r")
        .shows(&["Missing: S-3; listed until it is found"]);
    screens.keys("y").shows(&["whole down 9 of 11"]).keys("1").shows(&["1 piece is lost"]);
    leave(screens);
    let mut screens = at(&home, "2027-01-11T10:00", &["takedown of Frost: 2 steps open", "Pack away"]);
    screens.keys("2").shows(&["whole down 9 of 11"]).keys("a").shows(&["whole down 11 of 11"]);
    screens.keys("8").shows(&["S-2  Star", "on the bench", "S-3  Star", "lost"]).keys("k1");
    screens.shows(&["every piece lives where it would be packed"]);
    leave(screens);
    // February: counted, a part first; closed, and the next one opened.
    let mut screens = at(&home, "2027-02-10T10:00", &["2 totes are not counted since Frost went off"]);
    screens.keys("\r").shows(&["Totes", "count"]).keys("/lanterns\r").keys("c").shows(&["what is missing?"]);
    screens.keys("only +L-1\r").shows(&["Counted in part, K-2: 1 there; not counted: L-2", "count 1 left"]);
    screens.keys("c").shows(&["what is missing?"]).keys("\r").shows(&["Counted K-2: 2 there"]);
    screens.keys("/stars\r").keys("c").shows(&["Count K-1"]).keys("\r").shows(&["Counted K-1: 1 there"]);
    screens.keys("0").shows(&["to close"]).keys("c").shows(&["Close which season?", "1  Frost"]).keys("1");
    screens.shows(&["1 fault is open", "1 piece is lost"]).keys("frost-2027 2027-11-26\r");
    screens.shows(&["Closed season frost-2026"]).keys("c").shows(&["1  Glow"]).keys("1");
    screens.shows(&["Close glow-2026."]).keys("\r").shows(&["Closed season glow-2026"]);
    leave(screens);
    // Spring: what is lost is ordered; it comes late, and is in its tote.
    let mut screens = at(&home, "2027-03-15T10:00", &["1 piece is lost"]);
    screens
        .keys("9")
        .shows(&["Star", "Quay Lights", "lost: S-3"])
        .keys("o")
        .shows(&["Order at which vendor?"]);
    screens.keys("1").shows(&["Place this order"]).keys("1").shows(&["Ordered PO27-001"]);
    leave(screens);
    let mut screens = at(&home, "2027-05-20T10:00", &["order PO27-001 has not come"]);
    screens.keys("9r").shows(&["What arrived?"]).keys("1").shows(&["into which tote?"]).keys("into K-1\r");
    screens.shows(&["Received of PO27-001", "into K-1"]);
    leave(screens);
    // Summer: the bench; mended counts only once it is tested, then it goes home.
    let mut screens = at(&home, "2027-07-03T10:00", &["on the bench, first Star (S-2)"]);
    screens
        .keys("7")
        .shows(&["F-001"])
        .keys("m")
        .shows(&["what was it?"])
        .keys("2")
        .shows(&["ow many minutes"]);
    screens.keys("25\r").shows(&["mended"]).keys("t").shows(&["F-001: Star (S-2) tested"]);
    screens
        .keys("8")
        .shows(&["K-1"])
        .keys("/stars\r")
        .keys("p")
        .shows(&["Into K-1: which piece?"])
        .keys("s-2\r");
    screens.shows(&["Into K-1 Stars: S-2"]).keys("\r").keys("5").shows(&["Kit"]).keys("/S-2\r");
    screens.shows(&["S-2", "solder joint"]);
    leave(screens);
    // September: the next year stands open.
    let screens = at(&home, "2027-09-05T10:00", &["82 days to lights on", "Ready now", "Start bench test"]);
    leave(screens);
    at_the_end(&home, "2027-09-05T10:00");
}

/// Every piece is somewhere, every need met or said why not, every fault over with its life.
fn at_the_end(home: &Home, now: &str) {
    let list = home.ok(&["tote", "list", "--now", now]);
    assert!(!list.contains("not told") && !list.contains("no home"), "{list}");
    let buy = json(home, now, &["buy"]);
    for need in buy["needs"].as_array().unwrap() {
        let named = buy["unmet"].to_string().contains(need["title"].as_str().unwrap());
        assert!(need["vendor"].is_string() || named, "met, or said why not: {need:#}");
    }
    let faults = json(home, now, &["fault", "list"]);
    assert_eq!(faults["faults"].as_array().unwrap().len(), 0, "{faults:#}");
    home.ok(&["verify", "--now", now]);
}

/// The same year on the demo yard, on the screens: each month's Today names its own work, and keys do it.
#[test]
fn a_whole_year_on_the_screens() {
    let home = Home::demo();
    let at = |now: &str| at(&home, now, &[]);
    let mut early = at("2026-09-01T10:00");
    early.shows(&["Today"]).keys("0").shows(&["Seasons", "tide-2026"]).keys("\t");
    early.shows(&["Lantern Tide 2026", "Sun 22 Nov 2026 13:00", "No conflict of dates"]).keys("q");
    assert_eq!(early.ends(), 0);
    let mut lit = at("2026-12-14T12:00");
    lit.shows(&["Today", "is lit until"]).keys("q");
    assert_eq!(lit.ends(), 0);
    let mut january = at("2027-01-09T10:00");
    january.shows(&["Today", "takedown of Midwinter Harbor"]).keys("8").shows(&["Totes", "T-07"]);
    january.keys("m").shows(&["SH-L  Loft over the garage", "T-07 10 of 10 in"]).keys("m").shows(&["Stands"]);
    // Scanned in: a label and Enter, another, and an empty Enter ends.
    january.keys("p").shows(&["which piece?"]).keys("t-01\r").shows(&["Into T-01: which piece?"]);
    january.keys("STR-01\r").shows(&["Into T-01 Strands"]).keys("\r");
    january.keys("t").shows(&["Take out which pieces?"]).keys("STR-01\r").shows(&["Taken out: STR-01"]);
    january.keys("/").keys("canes").shows(&["T-07"]).keys("\r").keys("c").shows(&["what is missing?"]);
    january.keys("\r").shows(&["Counted T-07"]).keys("q");
    assert_eq!(january.ends(), 0);
    let mut close = at("2027-02-12T10:00");
    close
        .shows(&["Today"])
        .keys("0")
        .shows(&["Seasons", "Midwinter Harbor 2026"])
        .keys("c")
        .shows(&["Close which season?"]);
    close.keys("\x1b").keys("s").shows(&["is shown everywhere"]).keys("q");
    assert_eq!(close.ends(), 0);
}
