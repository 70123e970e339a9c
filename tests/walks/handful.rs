//! A date and a dozen lines, from an empty file to a checklist that is walked and printed.

use super::terminal::{Home, Terminal};

const PROPS: &str = "lights on,2026-11-27
name,how many,where,how mounted
Bridge arches,6,drive edge,timber base
Boat cut-outs,8,path left,ground stakes
Roof stars,5,roof east,roof strap
Icicle curtains,4,porch eaves,gutter hooks
Cone tree,1,mast lawn,guyed mast
";

#[test]
fn a_handful_of_lines_becomes_a_walk() {
    let home = Home::new();
    let csv = home.path().join("props.csv");
    std::fs::write(&csv, PROPS).unwrap();
    home.ok(&["new", "--now", "2026-10-01T09:00"]);
    let mut empty = Terminal::start(&home, &["--now", "2026-10-01T09:00"], 80, 24);
    empty.shows(&["Nothing is told yet", "Bring in a CSV file"]).keys("q");
    assert_eq!(empty.ends(), 0);
    drop(empty);
    let said = home.ok(&["import", csv.to_str().unwrap(), "--now", "2026-10-01T09:00"]);
    assert!(said.contains("17:00 assumed"), "{said}");
    let again = home.ok(&["import", csv.to_str().unwrap(), "--now", "2026-10-01T09:00"]);
    assert!(again.contains("nothing new"), "{again}");

    for phase in ["up", "down"] {
        let plan = home.ok(&["plan", phase, "--json", "--now", "2026-10-01T09:00"]);
        let plan: serde_json::Value = serde_json::from_str(&plan).unwrap();
        assert_eq!(plan["told"]["sessions"], false);
        assert_eq!(plan["unplaced"].as_array().unwrap().len(), 0);
        let steps = plan["steps"].as_array().unwrap();
        assert!(steps.len() >= 20, "{} steps {phase}", steps.len());
        let order: std::collections::BTreeMap<&str, i64> =
            steps.iter().map(|s| (s["key"].as_str().unwrap(), s["order"].as_i64().unwrap())).collect();
        let mut ranks: Vec<i64> = order.values().copied().collect();
        ranks.sort_unstable();
        assert_eq!(ranks, (1..=steps.len() as i64).collect::<Vec<_>>(), "order is 1, 2, 3 ...");
        for s in steps {
            assert!(s["from"].is_null(), "no date without a session");
            for e in s["after"].as_array().unwrap() {
                assert!(order[e["key"].as_str().unwrap()] < order[s["key"].as_str().unwrap()]);
            }
        }
    }

    let mut walk = Terminal::start(&home, &["--now", "2026-10-01T09:00", "--seed=1"], 100, 30);
    walk.shows(&["57 days"]).keys("2").shows(&["Bring", "here 0 of"]);
    walk.keys(" ").shows(&["here 1 of"]);
    walk.keys("q");
    assert_eq!(walk.ends(), 0);
    let paper = home.ok(&["print", "checklist", "up", "--now", "2026-10-01T09:00"]);
    assert!(
        paper.contains("[ ]") && paper.contains("Cautions") && paper.contains("Boat cut-outs, 8"),
        "{paper}"
    );
    // What was not told is one line a kind, never one for each thing.
    assert_eq!(paper.matches("not told: sessions not told").count(), 1, "{paper}");
}

const STRANGER: &str = "Our lights\nLights on: Fri 27 Nov 2026\n\nItem;Qty;Location;Attachment;Remarks\n\
    Boat cut-out;8x;path left;zip-tied to the fence;new ties\nStar;1;Porch;suction cups;\nWreath;2;Front door;over the door;\nTotal;11;;;\n";

/// One command from a stranger's sheet to a yard that can be walked; looked at first, then again after a change.
#[test]
fn a_strangers_sheet_makes_the_yard_it_is_for() {
    let home = Home::new();
    let csv = home.path().join("our list.csv");
    std::fs::write(&csv, STRANGER).unwrap();
    let (yard, csv) = (home.path().join("ours.ladderday"), csv.to_str().unwrap());
    let on = |args: &[&str]| {
        home.run(&[args, &["--yard", yard.to_str().unwrap(), "--now", "2026-10-01T09:00"]].concat())
    };
    let (code, tried, err) = on(&["import", csv, "--try"]);
    assert!(code == 0 && tried.contains("new: 3") && !yard.exists(), "{tried}{err}");
    let (code, said, err) = on(&["import", csv]);
    assert_eq!(code, 0, "{err}");
    for part in ["Tied on", "because of \"zip-tied\"", "Suction cup on glass", "is a total", "17:00 assumed"]
    {
        assert!(said.contains(part), "{part} is not in\n{said}");
    }
    for phase in ["up", "down"] {
        let (code, plan, _) = on(&["plan", phase, "--json"]);
        let plan: serde_json::Value = serde_json::from_str(&plan).unwrap();
        assert!(code == 0 && plan["unplaced"].as_array().unwrap().is_empty());
        assert!(plan["steps"].as_array().unwrap().len() >= 12, "{phase}");
    }
    let (code, again, _) = on(&["import", csv]);
    assert!(code == 0 && again.contains("nothing new"), "{again}");
    // A sheet that is refused leaves no empty yard behind.
    let bad = home.path().join("bad.csv");
    std::fs::write(&bad, STRANGER.replace("suction cups", "telekinesis")).unwrap();
    let none = home.path().join("none.ladderday");
    let (code, _, err) = home.run(&["import", bad.to_str().unwrap(), "--yard", none.to_str().unwrap()]);
    assert!(code == 4 && err.contains("line 6, Attachment \"telekinesis\"") && !none.exists(), "{err}");
}
