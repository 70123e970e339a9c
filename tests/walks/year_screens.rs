//! The invented year once more, on the screens alone: at each date they show what comes next, and keys do it.

use super::terminal::{Home, Terminal};
use super::year::{done, farm, json, tote};

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

/// Walks a phase to its end, place by place; what to bring is said above the list at first.
fn walk_all(screens: &mut Terminal, bring: &str, places: usize, done: &str) {
    screens.keys("2").shows(&[bring]);
    for _ in 0..places {
        screens.keys("a");
    }
    screens.shows(&[done]);
}

/// Goes down Today to a row and opens it.
fn open_row(screens: &mut Terminal, text: &str) {
    let marked = |screen: &str| screen.lines().find(|l| l.starts_with(" ›")).unwrap_or_default().to_owned();
    for _ in 0..12 {
        let here = marked(&screens.screen());
        if here.contains(text) {
            break;
        }
        screens.keys(DOWN);
        super::terminal::wait_for(|| (marked(&screens.screen()) != here).then_some(()));
    }
    screens.keys("\r");
}

/// Presses keys and waits for what they say.
fn said(screens: &mut Terminal, keys: &str, texts: &[&str]) {
    screens.keys(keys).shows(texts);
}

/// Answers what is asked with a text.
fn typed(screens: &mut Terminal, keys: &str, asked: &str, text: &str, texts: &[&str]) {
    screens.keys(keys).shows(&[asked]).keys(text).shows(&[text]).keys("\r").shows(texts);
}

/// Ticks as many steps one by one; Enter and Space take turns, as one key twice within a blink counts once.
fn tick(screens: &mut Terminal, from: usize, to: usize, of: usize) {
    for n in from + 1..=to {
        screens.keys(if n % 2 == 0 { "\r" } else { " " }).shows(&[&format!("here {n} of {of}")]);
    }
}

const DOWN: &str = "\x1b[B";
const UP: &str = "\x1b[A";

#[test]
fn a_small_yard_through_a_whole_year_on_the_screens() {
    let home = farm();
    autumn(&home);
    takedown(&home);
    count_and_close(&home);
    buy_and_mend(&home);
    let mut screens = at(&home, "2027-09-05T10:00", &["82 days to lights on", "Nothing known is in the way"]);
    screens.shows(&["Ready now: 4 steps", "Start bench test"]).keys("2").shows(&["Bring "]);
    screens.shows(&["UP", "whole up 0 of 17", "Enter done"]);
    tick(&mut screens, 0, 1, 17);
    said(&mut screens, "7", &["0 not ended", "F-001", "ended", "solder joint, 25 min", "tested, good again"]);
    leave(screens);
    // Every piece is somewhere, every need is met, and the fault has its life.
    let now = "2027-09-05T11:00";
    for (code, of) in [("K-1", (5, 6)), ("K-2", (2, 2)), ("BNC", (0, 0))] {
        assert_eq!(tote(&home, now, code), of, "{code}");
    }
    let needs = json(&home, now, &["buy"])["needs"].as_array().unwrap().clone();
    assert!(needs.is_empty(), "{needs:?}");
    let life = home.ok(&["fault", "list", "--all", "--now", now]);
    assert!(life.contains("F-001") && life.contains("S-2"), "{life}");
}

fn autumn(home: &Home) {
    // September: tested on the bench and put up.
    let mut screens =
        at(home, "2026-09-05T09:00", &["35 days to lights on", "Ready now", "Start bench test"]);
    walk_all(&mut screens, "Bring ", 3, "whole up 9 of 9");
    leave(screens);
    // October: one show is lit and stays as it is, what it does not need is made ready for the other.
    let mut screens =
        at(home, "2026-10-15T10:00", &["Glow is lit until Sat 31 Oct 2026", "Stars, 3: Fit the hooks"]);
    let today = screens.screen();
    let ready = today.split("Ready now").nth(1).unwrap();
    // To ask where lines are buried touches nothing.
    let touched = ready.replace("Gate lanterns, 2: Buried lines", "");
    assert!(
        !touched.contains("Power off") && !touched.contains("Gate lanterns"),
        "lit is not touched: {today}"
    );
    screens.keys("2").shows(&["CHANGEOVER", "Power off"]).keys("/power off\r");
    screens.shows(&["not before Sun 1 Nov 2026"]);
    leave(screens);
    // November: the last night is over, and it changes over.
    let mut screens = at(home, "2026-11-07T10:00", &["20 days to lights on", "Power off"]);
    walk_all(&mut screens, "CHANGEOVER", 6, "whole change 12 of 12");
    leave(screens);
    // December: a fault is found and patched in the dark; the piece is told by day.
    let mut screens = at(home, "2026-12-05T21:00", &["tonight's round: Frost is lit"]);
    screens.keys("7").shows(&["No fault was logged yet"]).keys("n").shows(&["What has the fault"]);
    screens.keys("stars\r").shows(&["Stars: what is seen?"]).keys("1").shows(&["ixel"]).keys("12\r");
    screens.shows(&["And tonight?"]).keys("2").shows(&["F-001 is logged. Which one?"]).keys("\r");
    leave(screens);
    let mut screens = at(home, "2026-12-06T09:00", &["patched last night: Stars (F-S), F-001"]);
    screens.keys("7").shows(&["F-001", "patched"]).keys("x");
    screens
        .shows(&["Which piece it is"])
        .keys("6")
        .shows(&["Which one?"])
        .keys("S-2\r")
        .shows(&["Star (S-2)"]);
    leave(screens);
}

/// January: what came off wet dries first, the faulty goes to the bench, the missing stays listed.
fn takedown(home: &Home) {
    let mut screens = at(home, "2027-01-09T10:00", &["11 steps of takedown left", "takedown of Frost"]);
    screens.keys("2").shows(&["Bring ", "Power off", "all good", "not good"]);
    tick(&mut screens, 0, 3, 11);
    screens.shows(&["into       K-2 Lanterns"]);
    screens.keys("x").shows(&["what is not good and dry?", "4  Missing"]);
    typed(&mut screens, "1", "labels of L-1, L-2", "S-1", &["none of the pieces here"]);
    said(&mut screens, "\u{15}L-1\r", &["Wet: L-1, to the drying place today"]);
    said(&mut screens, "y", &["Good and dry: Gate lanterns, 2", "here 4 of 11"]);
    tick(&mut screens, 4, 5, 11);
    screens.shows(&["wet: L-1"]);
    tick(&mut screens, 5, 6, 11);
    // To be packed before it is dry: the mark goes past it; there it is refused with the hour, unless told again, and one
    // key takes it back.
    screens.shows(&["Barn gable ─"]).keys(UP);
    said(&mut screens, " ", &["Too early, it dries before it is packed: until Sun 10 Jan 2027 10:00"]);
    said(&mut screens, "\r", &["Early: it dries before it is packed"]);
    said(&mut screens, "u", &["Undone", "here 6 of 11"]);
    screens.keys(DOWN).shows(&["Barn gable ─"]);
    tick(&mut screens, 6, 7, 11);
    for (digit, label, words) in [
        ("3", "S-2", "Faulty: S-2, into BNC, not home"),
        ("4", "S-3", "Missing: S-3; listed until it is found"),
        ("2", "s-1", "Worn: S-1; it goes home"),
    ] {
        screens.keys("x").shows(&["what is not good and dry?"]);
        typed(&mut screens, digit, "which pieces?", label, &[words]);
    }
    // What is dry needs no drying, and the mark goes on to what is to be done.
    said(&mut screens, "y", &["Good and dry: Stars, 3", "here 9 of 11"]);
    screens.keys("8").shows(&["K-1", "1 to come", "2 to come", "BNC", "dry by Sun"]);
    leave(screens);
    let mut screens = at(home, "2027-01-11T10:00", &["2 steps of takedown left"]);
    screens.keys("2").shows(&["Enter done", "whole down 9 of 11"]);
    tick(&mut screens, 9, 11, 11);
    screens.shows(&["Nothing is open in this session any more"]);
    screens.keys("1").shows(&["The takedown is done", "2 totes are not counted since Frost went off"]);
    // What pack proposes is where all of it lies already.
    screens.keys("8").shows(&["4 of 5 pieces in"]).keys("k");
    screens.shows(&["Every piece lives where packing would put it"]);
    leave(screens);
}

/// February: the count, in part and whole, then the close, which opens the next year.
fn count_and_close(home: &Home) {
    let mut screens = at(home, "2027-02-10T10:00", &["2 totes are not counted since Frost went off"]);
    screens.keys("8").shows(&["K-1", "count"]).keys(DOWN).shows(&["K-2 Lanterns, on"]);
    typed(&mut screens, "c", "Count K-2", "only +L-1", &["Counted in part, K-2: 1 there; not counted: L-2"]);
    typed(&mut screens, "c", "Count K-2", "only +L-2", &["Counted in part, K-2: 1 there"]);
    assert!(!screens.screen().contains("not counted: L-1"), "it was counted: {}", screens.screen());
    typed(&mut screens, "c", "Count", "L-77", &["no piece of this yard has the label"]);
    said(&mut screens, "\x1b", &["Enter contents"]);
    screens
        .shows(&["K-1 Stars, on"])
        .keys("c")
        .shows(&["Count K-1"])
        .keys("\r")
        .shows(&["Counted K-1: 1 there"]);
    screens.keys("/").shows(&["Find:"]).keys("BNC\r").shows(&["BNC Bench, on", "Enter contents"]);
    screens.keys("c").shows(&["Count BNC"]).keys("\r").shows(&["Counted BNC: 1 there"]);
    screens.keys("1").shows(&["Frost is over and not closed"]).keys("0").shows(&["Frost", "to close"]);
    screens.keys("c").shows(&["Close which season?"]).keys("1");
    screens.shows(&[
        "1 fault is open: kept on the bench list",
        "piece is lost: look again, or buy anew",
        "Open the next one?",
    ]);
    screens.keys("frost-2027 26 Nov 2027\r").shows(&["Closed season frost-2026", "planned"]);
    // What stayed for the next show is no takedown that was left.
    screens.keys("c").shows(&["Close which season?"]).keys("1").shows(&["Close glow-2026"]);
    assert!(!screens.screen().contains("takedown"), "{}", screens.screen());
    screens.keys("\r").shows(&["Closed season glow-2026"]);
    screens.keys("1").shows(&[
        "289 days to lights on",
        "1 job on the bench, first Star (S-2)",
        "1 piece is lost",
    ]);
    leave(screens);
}

/// Spring and summer: what is lost is bought, what is faulty is mended.
fn buy_and_mend(home: &Home) {
    let mut screens = at(home, "2027-03-15T10:00", &["256 days to lights on"]);
    screens.keys("9").shows(&["lost: S-3", "Quay Lights", "17 Oct 2027"]);
    screens.keys("o").shows(&["Order at which vendor?"]).keys("1").shows(&["Place this order", "Star"]);
    screens.keys("1").shows(&[
        "Ordered PO27-001 at Quay Lights: 1 line, ",
        "is ordered: PO27-001",
        "r received",
    ]);
    leave(screens);
    let mut screens = at(home, "2027-05-20T10:00", &["order PO27-001 has not come, it was due"]);
    screens.keys("9").shows(&["PO27-001"]).keys("r").shows(&["What arrived?"]);
    typed(
        &mut screens,
        "1",
        "into which tote?",
        "STAR=9 into K-1",
        &["9 of STAR can't arrive", "give 1 to 3"],
    );
    said(&mut screens, "\u{15}into K-77\r", &["there is no tote \"K-77\""]);
    said(&mut screens, "\u{15}into K-1\r", &["Received of PO27-001: 3 x Star into K-1"]);
    screens.keys("1").shows(&["190 days"]);
    assert!(!screens.screen().contains("PO27-001 has not come"), "{}", screens.screen());
    leave(screens);
    let mut screens = at(home, "2027-07-03T10:00", &["1 job on the bench, first Star (S-2)"]);
    screens.keys("4").shows(&["No session to come is told"]).keys("7").shows(&["F-001", "patched", "S-2"]);
    screens.keys("m").shows(&["Mended Star (S-2): what was it?"]).keys("2").shows(&["How many minutes"]);
    said(&mut screens, "25\r", &["mended, to be tested", "test it on the bench"]);
    said(&mut screens, "t", &["tested, good again; put it back into K-1 Stars"]);
    screens.keys("8").shows(&["K-1"]).keys("p").shows(&["Into", "which piece?"]);
    typed(&mut screens, "K-1\r", "Into K-1", "S-2", &["Into K-1 Stars"]);
    screens.keys("\x1b").shows(&["Enter contents"]);
    leave(screens);
}

/// The same year on the demo yard: a few steps by keys in each part of it, the rest ticked by commands between.
#[test]
fn a_whole_year_on_the_screens() {
    let home = Home::demo();
    lit_autumn(&home);
    done(&home, "2026-11-08T16:00", "change");
    change_over(&home);
    done(&home, "2026-11-12T20:00", "down");
    done(&home, "2026-11-22T17:00", "up");
    lit_winter(&home);
    comes_down(&home);
    done(&home, "2027-01-10T16:00", "down");
    packed(&home);
    let now = "2027-02-12T09:00";
    for row in json(&home, now, &["tote", "list"]).as_array().unwrap() {
        let code = row["code"].as_str().unwrap();
        if row["in"] != 0 && code != "T-07" {
            home.ok(&["tote", "count", code, "--now", now]);
        }
    }
    next_year(&home);
    let now = "2027-09-05T11:00";
    let list = home.ok(&["tote", "list", "--now", now]);
    assert!(!list.contains("not told") && !list.contains("no home"), "{list}");
    for need in json(&home, now, &["buy"])["needs"].as_array().unwrap() {
        let unmet = json(&home, now, &["buy"])["unmet"].to_string();
        let named = unmet.contains(need["title"].as_str().unwrap());
        assert!(need["vendor"].is_string() || named, "met, or said why not: {need:#}");
    }
    home.ok(&["verify", "--now", now]);
}

/// September and October: the dates of both shows, and one that is lit.
fn lit_autumn(home: &Home) {
    let mut screens = at(home, "2026-09-01T10:00", &["Today"]);
    screens.keys("0").shows(&["Seasons", "tide-2026"]).keys("\t");
    screens.shows(&["Lantern Tide 2026", "Sun 22 Nov 2026 13:00", "No conflict of dates"]);
    leave(screens);
    let mut screens = at(home, "2026-10-15T18:05", &["Lantern Tide 2026 is lit until Sat 31 Oct 2026"]);
    open_row(&mut screens, "tonight's round");
    screens.shows(&["TONIGHT"]).keys(" ").shows(&["whole tonight 1 of"]);
    leave(screens);
}

/// November: what was only in the autumn show comes down.
fn change_over(home: &Home) {
    let mut screens = at(home, "2026-11-08T17:00", &["takedown of Lantern Tide 2026: 60 steps open"]);
    open_row(&mut screens, "takedown of Lantern Tide 2026");
    screens.shows(&["DOWN", "whole down 27 of 87"]).keys("\r").shows(&["Enter done"]);
    screens.keys(" ").shows(&["whole down 28 of 87"]);
    leave(screens);
}

/// December: a fault, and the morning after.
fn lit_winter(home: &Home) {
    let mut screens = at(home, "2026-12-14T19:00", &["tonight's round: Midwinter Harbor 2026 is lit until"]);
    screens.keys("7").shows(&["Seen"]).keys("n").shows(&["What has the fault"]).keys("gull spinner 2\r");
    screens.shows(&["what is seen?"]).keys("1").shows(&["ixel"]).keys("12\r").shows(&["And tonight?"]);
    screens.keys("2").shows(&["Logged F-001: Gull spinner (GULL-02)"]);
    leave(screens);
    leave(at(home, "2026-12-15T09:00", &["patched last night: Gull spinner"]));
}

/// January: the takedown says what to bring, and what is not good.
fn comes_down(home: &Home) {
    let mut screens = at(home, "2027-01-09T10:00", &["takedown of Midwinter Harbor"]);
    // Whichever comes down first, its tote is wanted.
    screens.keys("2").shows(&["Bring "]).keys("g").shows(&["Bring for", "tote    T-"]);
    let bring = screens.screen();
    assert!(!bring.contains("BOX-MAIN"), "it hangs outside and is on no shelf: {bring}");
    screens.keys("\r").shows(&["Enter done"]).keys(" ").shows(&["whole down 1 of 270"]);
    let props = [
        ("Gull spinner 1", "GULL-01"),
        ("Cone minis 1 to 3", "MINI-01"),
        ("Boats 1 and 2", "BOAT-01"),
        ("Mooring canes 1 to 3", "CANE-01"),
    ];
    let (name, label) = *props.iter().find(|p| is_in_session(&mut screens, p.0)).unwrap();
    screens.keys("\r").shows(&[&format!("{name}, ")]);
    screens.keys("x").shows(&["what is not good and dry?"]);
    typed(&mut screens, "2", "labels of", label, &[&format!("Worn: {label}; it goes home")]);
    leave(screens);
}

/// Looks for the unplugging of a prop in the session that is walked; the search stays open where it is found.
fn is_in_session(screens: &mut Terminal, name: &str) -> bool {
    screens.keys("/").shows(&["Go to a step"]).keys(name);
    for _ in 0..400 {
        let seen = screens.screen();
        if seen.contains(&format!("{name}: Unplug")) {
            return true;
        }
        if seen.contains(&format!("› {name}")) && seen.contains("Nothing matches") {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(25));
    }
    screens.keys("\x1b").shows(&["Enter done"]);
    false
}

/// The totes after it: a map, pieces in and out by their labels, a box found and counted.
fn packed(home: &Home) {
    let mut screens = at(home, "2027-01-11T10:00", &["The takedown is done", "totes are not counted"]);
    screens.keys("8").shows(&["Totes", "T-07"]);
    screens.keys("m").shows(&["SH-L  Loft over the garage", "T-07 10 of 10 in"]).keys("m").shows(&["Stands"]);
    // Scanned in: a label and Enter, another, and an empty Enter ends.
    screens.keys("p").shows(&["which piece?"]).keys("t-01\r").shows(&["Into T-01: which piece?"]);
    screens.keys("STR-01\r").shows(&["Into T-01 Strands"]).keys("\r");
    screens.keys("t").shows(&["Take out which pieces?"]).keys("STR-01\r").shows(&["Taken out: STR-01"]);
    screens.keys("/").keys("canes").shows(&["T-07"]).keys("\r").keys("c").shows(&["what is missing?"]);
    screens.keys("\r").shows(&["Counted T-07"]);
    leave(screens);
}

/// February to September: closed, bought for, mended, begun again.
fn next_year(home: &Home) {
    let mut screens = at(home, "2027-02-12T10:00", &["Midwinter Harbor 2026 is over and not closed"]);
    screens.keys("0").shows(&["Seasons"]).keys("c").shows(&["Close which season?"]).keys("1");
    screens.shows(&["Close harbor-2026", "1 order is still to come"]).keys("harbor-2027 26 Nov 2027\r");
    screens.shows(&["Closed season harbor-2026", "planned"]).keys("c").shows(&["Close which season?"]);
    screens.keys("1").shows(&["Close tide-2026"]).keys("\r").shows(&["Closed season tide-2026"]);
    screens.keys("1").shows(&["287 days to lights on, Fri 26 Nov 2027", "on the bench"]);
    leave(screens);
    let mut screens = at(home, "2027-03-15T10:00", &["needs should have been ordered by now"]);
    screens.keys("9").shows(&["order today"]).keys("o").shows(&["Order at which vendor?"]).keys("1");
    screens.shows(&["Place this order"]).keys("1").shows(&["Ordered PO27-001"]);
    leave(screens);
    let mut screens = at(home, "2027-05-20T10:00", &["order PO26-03 has not come"]);
    screens.keys("9").shows(&["Needs"]).keys("r").shows(&["What arrived?", "PO27-001"]).keys("1");
    screens.shows(&["into which tote?"]).keys("into T-23\r").shows(&["Received of PO", "into T-23"]);
    leave(screens);
    let mut screens = at(home, "2027-07-03T10:00", &["146 days to lights on", "on the bench"]);
    screens.keys("4").shows(&["No session to come is told"]).keys("7").shows(&["patched", "Gull spinner"]);
    screens
        .keys("/")
        .shows(&["Find:"])
        .keys("gull\r")
        .shows(&["m mended"])
        .keys("m")
        .shows(&["what was it?"]);
    screens.keys("2").shows(&["How many minutes"]).keys("25\r").shows(&["mended, to be tested"]);
    said(&mut screens, "t", &["tested, good again; put it back into T-09 Gulls"]);
    screens.keys("8").shows(&["Totes"]).keys("p").shows(&["which piece?"]).keys("t-09\r");
    screens.shows(&["Into T-09: which piece?"]).keys("GULL-02\r").shows(&["Into T-09 Gulls"]).keys("\x1b");
    screens.shows(&["Enter contents"]);
    leave(screens);
    // A box that was lit last year is not tested for this one.
    let up = home.ok(&["step", "list", "up", "--json", "--now", "2027-09-05T10:00"]);
    let up: serde_json::Value = serde_json::from_str(&up).unwrap();
    let of_box = |s: &&serde_json::Value| s["code_key"].as_str().unwrap().starts_with("box:");
    let rounds: Vec<_> = up["steps"].as_array().unwrap().iter().filter(of_box).collect();
    assert!(
        !up["steps"].to_string().contains("fault:F25-1"),
        "what was mended for last year is no work of this"
    );
    assert!(rounds.len() > 20 && rounds.iter().all(|s| s["state"] == "open"), "{rounds:#?}");
    let mut screens = at(home, "2027-09-05T10:00", &["82 days to lights on", "Ready now"]);
    screens.keys("2").shows(&["UP", "Bring ", "Enter done"]).keys(" ");
    screens.shows(&["Ticked: "]);
    leave(screens);
}
