//! The invented year once more, on the screens alone: at each date they show what comes next, and keys do it.

use super::terminal::{Home, Terminal};
use super::year::farm;

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
fn a_small_yard_from_september_to_december_on_the_screens() {
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
