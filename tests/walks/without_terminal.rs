//! No terminal: an answer, an exit code, never a panic.

use super::terminal::Home;

#[test]
fn the_demo_prints_plan_faults_and_buying_list() {
    let home = Home::new();
    let out = home.ok(&["demo", "--fresh", "--now", "2026-09-01T18:00"]);
    for part in ["[ ]", "Open faults", "To buy"] {
        assert!(out.contains(part), "{part} is missing in\n{out}");
    }
}

#[test]
fn the_demo_answers_in_json() {
    let home = Home::new();
    let out = home.ok(&["demo", "--fresh", "--json", "--now", "2026-09-01T18:00"]);
    let out: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(out["plan"]["season"], "tide-2026");
    assert!(out["faults"].as_array().is_some_and(|rows| rows.iter().all(|r| r["ended"] == false)));
    assert!(out["buy"]["needs"].as_array().is_some_and(|rows| !rows.is_empty()));
}

#[test]
fn a_logged_fault_is_said_with_its_pixel() {
    let home = Home::new();
    home.ok(&["demo", "--fresh", "--now", "2026-11-14T09:00"]);
    let yard = home.yard();
    let said = home.ok(&[
        "fault",
        "add",
        "ARCH-01",
        "dark_from",
        "--at",
        "12",
        "--yard",
        yard.to_str().unwrap(),
        "--now",
        "2026-11-14T09:00",
    ]);
    assert!(said.contains("dark from pixel 12 on"), "{said}");
}

#[test]
fn two_demos_with_one_clock_give_the_same_bytes() {
    let (one, two) = (Home::new(), Home::new());
    for args in [
        &["demo", "--json"][..],
        &["plan", "up", "--json", "--season", "harbor-2026", "--schedules", "200"],
        &["fault", "list", "--json", "--all"],
        &["season", "list", "--json"],
        &["buy", "--json"],
    ] {
        let mut all = args.to_vec();
        all.extend(["--now", "2026-09-01T18:00"]);
        assert_eq!(one.ok(&all), two.ok(&all), "{args:?}");
    }
}

#[test]
fn the_demo_yard_is_planned_whole() {
    let home = Home::new();
    home.ok(&["demo", "--fresh", "--now", "2026-09-01T18:00"]);
    let plan = home.ok(&[
        "plan",
        "up",
        "--json",
        "--season",
        "harbor-2026",
        "--schedules",
        "200",
        "--now",
        "2026-09-01T18:00",
    ]);
    let plan: serde_json::Value = serde_json::from_str(&plan).unwrap();
    let steps = plan["steps"].as_array().unwrap();
    assert!(steps.len() >= 350, "{} steps", steps.len());
    assert_eq!(plan["unplaced"].as_array().unwrap().len(), 0, "{:#}", plan["unplaced"]);
    let reasons: std::collections::BTreeSet<&str> = steps
        .iter()
        .flat_map(|s| s["after"].as_array().unwrap())
        .map(|e| e["reason"].as_str().unwrap())
        .collect();
    for reason in ["sequence", "carries", "feeds", "above", "tested", "unpowered", "bench"] {
        assert!(reasons.contains(reason), "no edge of reason {reason}: {reasons:?}");
    }
    for phase in ["down", "change", "bench", "tonight"] {
        home.ok(&[
            "plan",
            phase,
            "--json",
            "--season",
            "harbor-2026",
            "--schedules",
            "100",
            "--now",
            "2026-09-01T18:00",
        ]);
    }
}

#[test]
fn deeds_are_commands_and_can_be_undone() {
    let home = Home::new();
    home.ok(&["demo", "--fresh", "--now", "2026-10-13T18:05"]);
    let list = home.ok(&["step", "list", "up", "--json", "--now", "2026-10-13T18:05"]);
    let list: serde_json::Value = serde_json::from_str(&list).unwrap();
    let open = list["steps"].as_array().unwrap().iter().find(|s| s["state"] == "open").unwrap();
    let key = open["code_key"].as_str().unwrap();
    home.ok(&["step", "done", key, "--now", "2026-10-13T18:10"]);
    let state = |now: &str| {
        let list = home.ok(&["step", "list", "up", "--json", "--now", now]);
        let list: serde_json::Value = serde_json::from_str(&list).unwrap();
        let row = list["steps"].as_array().unwrap().iter().find(|s| s["code_key"] == key).unwrap();
        row["state"].as_str().unwrap().to_owned()
    };
    assert_eq!(state("2026-10-13T18:11"), "done");
    home.ok(&["undo", "--now", "2026-10-13T18:12"]);
    assert_eq!(state("2026-10-13T18:13"), "open");
    home.ok(&["redo", "--now", "2026-10-13T18:14"]);
    assert_eq!(state("2026-10-13T18:15"), "done");
    let copy = home.path().join("copy.ladderday");
    home.ok(&["backup", copy.to_str().unwrap()]);
    home.ok(&["verify"]);
}
