//! A strip fails in December, is patched, mended in summer, and the buying list knows of it.

use super::terminal::{Home, Terminal};

#[test]
fn a_failed_strip_is_patched_mended_and_found_on_the_bench() {
    let home = Home::new();
    let mut night = Terminal::start(&home, &["demo", "--now", "2026-12-14T21:05", "--seed=1"], 100, 30);
    night.shows(&["Today"]).keys("7").shows(&["Faults"]);
    // New fault, the target found by typing, the symptom and what was done picked by digit.
    night.keys("n").shows(&["What has the fault"]).keys("arch").shows(&["rch"]).keys("\r");
    night.shows(&["Dark from pixel N on"]).keys("1");
    night.shows(&["ixel"]).keys("37\r");
    night.shows(&["And tonight?"]).keys("2");
    night.shows(&["Logged F-"]).keys("\x1b").keys("q");
    assert_eq!(night.ends(), 0);
    drop(night);

    let open = home.ok(&["fault", "list", "--json", "--now", "2026-12-15T09:00"]);
    let open: serde_json::Value = serde_json::from_str(&open).unwrap();
    let found = open["faults"]
        .as_array()
        .unwrap()
        .iter()
        .find(|f| f["symptom"].as_str().unwrap().contains("pixel 37"))
        .unwrap();
    assert_eq!(found["state"], "patched");
    assert_eq!(found["bench"], true);
    let code = found["code"].as_str().unwrap().to_owned();

    // The buying list for next year names it among the others.
    let mut shop = Terminal::start(&home, &["demo", "--now", "2027-01-20T19:00", "--seed=1"], 120, 40);
    shop.shows(&["Today"]).keys("9").shows(&["Buy"]);
    shop.keys("q");
    assert_eq!(shop.ends(), 0);
    let buy = home.ok(&["buy", "--json", "--now", "2027-01-20T19:00"]);
    let buy: serde_json::Value = serde_json::from_str(&buy).unwrap();
    let needs = buy["needs"].as_array().unwrap();
    let reasons = |n: &serde_json::Value| {
        n["why"].as_array().unwrap().iter().any(|r| r.as_str().unwrap().contains(&code))
    };
    assert!(needs.iter().any(reasons), "{code} asks for something: {buy:#}");
    assert!(needs.len() > 3, "and it is not alone: {buy:#}");

    // In summer it is on the bench list, is mended, and counts only once it is tested.
    let mut bench = Terminal::start(&home, &["demo", "--now", "2027-07-03T10:00", "--seed=1"], 100, 30);
    bench.shows(&["Today"]).keys("7").shows(&["Faults"]).keys("b").shows(&[&code]);
    bench.keys("q");
    assert_eq!(bench.ends(), 0);
    home.ok(&[
        "fault",
        "mend",
        &code,
        "--cause",
        "solder_joint",
        "--minutes",
        "25",
        "--now",
        "2027-07-03T10:30",
    ]);
    let state = |now: &str| {
        let all = home.ok(&["fault", "list", "--all", "--json", "--now", now]);
        let all: serde_json::Value = serde_json::from_str(&all).unwrap();
        let row =
            all["faults"].as_array().unwrap().iter().find(|f| f["code"] == code.as_str()).unwrap().clone();
        (row["state"].as_str().unwrap().to_owned(), row["ended"].as_bool().unwrap())
    };
    assert_eq!(state("2027-07-03T11:00"), ("mended, to be tested".to_owned(), false));
    home.ok(&["fault", "test", &code, "--now", "2027-07-03T11:10"]);
    assert_eq!(state("2027-07-03T12:00"), ("ended".to_owned(), true));
    let (exit, _, err) = home.run(&[
        "--yard",
        home.yard().to_str().unwrap(),
        "fault",
        "mend",
        &code,
        "--now",
        "2026-12-01T10:00",
    ]);
    assert_eq!(exit, 4, "a repair before its fault is refused: {err}");
}
