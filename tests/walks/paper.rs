//! From a printed checklist back into the yard: by the numbers of that sheet, whatever was planned since.

use super::terminal::Home;

const PROPS: &str = "lights on,2026-11-27
name,how many,where,how mounted
Bridge arches,6,drive edge,timber base
Boat cut-outs,8,path left,ground stakes
Roof stars,5,roof east,roof strap
";
const NOW: [&str; 2] = ["--now", "2026-10-01T09:00"];

struct Printed {
    home: Home,
    code: String,
    text: String,
}

impl Printed {
    fn new(more: &[&str]) -> Self {
        let home = Home::new();
        let csv = home.path().join("props.csv");
        std::fs::write(&csv, PROPS).unwrap();
        home.ok(&["import", csv.to_str().unwrap(), NOW[0], NOW[1]]);
        let text = home.ok(&[&["print", "checklist", "up"], more, &NOW].concat());
        let code = text.split("step paper ").nth(1).and_then(|t| t.split(' ').next()).unwrap().to_owned();
        Self { home, code, text }
    }

    fn paper(&self, numbers: &[&str]) -> (i32, String, String) {
        let yard = self.home.yard().display().to_string();
        let mut args = vec!["--yard", &yard, "step", "paper", &self.code];
        args.extend(numbers);
        args.extend(NOW);
        self.home.run(&args)
    }

    /// The printed title of a number.
    fn title(&self, number: usize) -> String {
        let begins = format!("[ ] {number:>3}  ");
        let line = self.text.lines().find_map(|l| l.trim_start().strip_prefix(&begins)).unwrap();
        line.split_once(". ")
            .unwrap()
            .1
            .split(" (")
            .next()
            .unwrap()
            .rsplit_once(',')
            .map_or_else(String::new, |t| t.0.to_owned())
    }

    fn states(&self) -> Vec<(String, String)> {
        let list = self.home.ok(&[&["step", "list", "up", "--json"][..], &NOW].concat());
        let list: serde_json::Value = serde_json::from_str(&list).unwrap();
        let text = |v: &serde_json::Value| v.as_str().unwrap_or_default().to_owned();
        list["steps"].as_array().unwrap().iter().map(|s| (text(&s["key"]), text(&s["state"]))).collect()
    }

    fn done(&self) -> usize {
        self.states().iter().filter(|s| s.1 == "done").count()
    }
}

#[test]
fn numbers_of_a_sheet_are_shown_first_and_taken_with_yes() {
    let sheet = Printed::new(&[]);
    let (code, out, err) = sheet.paper(&["2", "4-5"]);
    assert_eq!(code, 0, "{err}");
    assert!(out.contains(&sheet.title(4)) && out.contains("Nothing is taken yet"), "{out}");
    assert_eq!(sheet.done(), 0);
    let (code, out, err) = sheet.paper(&["2", "4-5", "--yes"]);
    assert!(code == 0 && out.contains("took 3"), "{err}{out}");
    assert_eq!(sheet.done(), 3);
    // Typed twice, nothing is added.
    let (code, _, err) = sheet.paper(&["2", "4,5", "--yes"]);
    assert!(code == 4 && err.contains("nothing-open"), "{err}");
    sheet.home.ok(&[&["undo"][..], &NOW].concat());
    assert_eq!(sheet.done(), 0, "one entry, one undo");
}

#[test]
fn numbers_stay_those_of_the_sheet_when_the_order_changes() {
    let sheet = Printed::new(&[]);
    let wanted = sheet.title(6);
    // More props and other sheets make another order.
    sheet.home.ok(&[&["prop", "add", "Aaa stars", "3", "gable", "gutter hooks"][..], &NOW].concat());
    let other = sheet.home.ok(&[&["print", "checklist", "up"][..], &NOW].concat());
    assert!(!other.contains(&format!("step paper {}", sheet.code)), "each sheet has its own code");
    let (_, out, _) = sheet.paper(&["6"]);
    assert!(out.contains(&wanted) && !out.contains("stale"), "{wanted}: {out}");
    // What the paper says and the yard does not say any more is named.
    let list = sheet.home.ok(&[&["kit", "list", "Boat", "--json"][..], &NOW].concat());
    let list: serde_json::Value = serde_json::from_str(&list).unwrap();
    let boats = list["kit"].as_array().unwrap().iter().find(|r| r["kind"] == "placement").unwrap();
    sheet.home.ok(&[&["kit", "set", boats["code"].as_str().unwrap(), "count", "9"][..], &NOW].concat());
    let (_, out, _) = sheet.paper(&["6"]);
    assert!(out.contains("The sheet is stale") && out.contains("now Boat cut-outs, 9"), "{out}");
}

#[test]
fn what_is_no_number_of_the_sheet_is_refused_and_nothing_taken() {
    let sheet = Printed::new(&[]);
    for (numbers, code, says) in [
        (&["x"][..], 2, "no number of a sheet"),
        (&["5-2"], 2, "no number of a sheet"),
        (&["1", "9000"], 4, "number-beyond"),
        (&["0"], 2, "no number of a sheet"),
    ] {
        let (ends, _, err) = sheet.paper(&[numbers, &["--yes"]].concat());
        assert!(ends == code && err.contains(says), "{numbers:?}: {ends} {err}");
    }
    let yard = sheet.home.yard().display().to_string();
    let (ends, _, err) = sheet.home.run(&["--yard", &yard, "step", "paper", "99ZZ", "1", NOW[0], NOW[1]]);
    assert!(ends == 4 && err.contains(&sheet.code), "the known sheets are named: {err}");
    assert_eq!(sheet.done(), 0);
}

#[test]
fn a_sheet_can_be_of_one_place_and_names_what_there_is() {
    let sheet = Printed::new(&["--place", "roof east"]);
    assert!(
        sheet.text.contains("only at roof east") && !sheet.text.contains("Boat cut-outs"),
        "{}",
        sheet.text
    );
    let yard = sheet.home.yard().display().to_string();
    let run =
        |more: &[&str]| sheet.home.run(&[&["--yard", &yard, "print", "checklist"][..], more, &NOW].concat());
    let (code, _, err) = run(&["--place", "moon"]);
    assert!(code == 4 && err.contains("path left"), "{err}");
    let page = run(&["--html"]).1;
    let rows = page.matches("<li data-n=").count();
    assert!(rows > 20 && page.contains("id=\"line\"") && page.contains("data-sheet=\""), "{rows} rows");
}

#[test]
fn a_lid_card_strikes_out_what_stood_there_before_a_port_was_changed() {
    let home = Home::demo();
    let at = ["--now", "2026-10-15T18:05", "--season", "harbor-2026"];
    let card = |home: &Home| home.ok(&[&["print", "wiring", "--html"][..], &at].concat());
    let before = card(&home);
    assert!(!before.contains("<s>") && before.matches("<section").count() >= 4, "a page a box");
    home.ok(&[&["step", "differently", "placement:HM26-25/stake.connect/up", "port", "7"][..], &at].concat());
    let after = card(&home);
    assert_eq!(after.matches("<s>").count(), 1, "{after}");
}
