//! A whole invented year: two shows on shared pieces, lit, patched, taken down, packed, counted, closed, bought for, mended
//! on the bench and opened again. At each date the program says what an owner must do next.

use std::io::Write;
use std::process::{Command, Stdio};

use serde_json::Value;

use super::terminal::Home;

const FILES: &[(&str, &str)] = &[
    ("site.csv", "name,time_zone,units,currency\nHill farm,Europe/Berlin,si,EUR\n"),
    ("place.csv", "code,name,access\nGATE,Gate,ground\nBARN,Barn gable,step_ladder\n"),
    (
        "container.csv",
        "code,name,kind,parent,length_mm,width_mm,height_mm,max_mass_g,bench\nSH,Barn shelf,shelf,,,,,,no\n\
         K-1,Stars,tote,SH,600,400,320,15000,no\nK-2,Lanterns,tote,SH,600,400,320,15000,no\n\
         BNC,Bench,tote,SH,600,400,320,15000,yes\n",
    ),
    (
        "product.csv",
        "code,name,kind,role,pixels,width_mm,height_mm,depth_mm,mass_g\nSTAR,Star,star,prop,50,300,300,100,1500\n\
         LAMP,Lantern,lantern,prop,24,200,200,300,900\n",
    ),
    (
        "piece.csv",
        "code,product,home\nS-1,STAR,K-1\nS-2,STAR,K-1\nS-3,STAR,K-1\nL-1,LAMP,K-2\nL-2,LAMP,K-2\n",
    ),
    (
        "season.csv",
        "code,name,show,lights_on,lights_off\nglow-2026,Glow,glow,2026-10-10T18:00,2026-10-31\n\
         frost-2026,Frost,frost,2026-11-27T17:00,2027-01-03\n",
    ),
    (
        "placement.csv",
        "code,name,season,product,count,place,method\nG-L,Lanterns,glow-2026,LAMP,2,GATE,stake\n\
         F-L,Gate lanterns,frost-2026,LAMP,2,GATE,stake\nF-S,Stars,frost-2026,STAR,3,BARN,hook\n",
    ),
    (
        "placement_piece.csv",
        "placement,piece\nG-L,L-1\nG-L,L-2\nF-L,L-1\nF-L,L-2\nF-S,S-1\nF-S,S-2\nF-S,S-3\n",
    ),
    ("vendor.csv", "code,name,handling_days\nQUAY,Quay Lights,2\n"),
    ("offer.csv", "code,vendor,product,pack,price_cents,min_packs,lead_days\nO-1,QUAY,STAR,1,2400,1,10\n"),
];

/// A yard of its own with these facts.
pub(super) fn farm() -> Home {
    let home = Home::new();
    let csv = home.path().join("csv");
    std::fs::create_dir(&csv).unwrap();
    for (name, text) in FILES {
        std::fs::write(csv.join(name), text).unwrap();
    }
    home.ok(&["new", "--now", "2026-09-01T09:00"]);
    home.ok(&["import", csv.to_str().unwrap(), "--now", "2026-09-01T09:00"]);
    home
}

pub(super) fn json(home: &Home, now: &str, args: &[&str]) -> Value {
    let mut all = args.to_vec();
    all.extend(["--json", "--now", now]);
    serde_json::from_str(&home.ok(&all)).unwrap()
}

/// What Today says, line by line.
fn today(home: &Home, now: &str) -> String {
    let mut child = Command::new(env!("CARGO_BIN_EXE_ladderday"))
        .args(["--yard", home.yard().to_str().unwrap(), "--plain", "--now", now])
        .env("HOME", home.path())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(b"q\n").unwrap();
    String::from_utf8(child.wait_with_output().unwrap().stdout).unwrap()
}

/// Keys of a phase's steps that are open and match.
fn open(home: &Home, now: &str, phase: &str, want: &str) -> Vec<String> {
    let doc = json(home, now, &["step", "list", phase]);
    let rows = doc["steps"].as_array().unwrap().clone();
    let is = |s: &&Value| s["state"] == "open" && s["code_key"].as_str().unwrap().contains(want);
    rows.iter().filter(is).map(|s| s["code_key"].as_str().unwrap().to_owned()).collect()
}

pub(super) fn done(home: &Home, now: &str, phase: &str) {
    let keys = open(home, now, phase, "");
    assert!(!keys.is_empty(), "{phase} at {now}");
    let mut args = vec!["step", "done"];
    args.extend(keys.iter().map(String::as_str));
    args.extend(["--now", now]);
    home.ok(&args);
}

pub(super) fn tote(home: &Home, now: &str, code: &str) -> (u64, u64) {
    let doc = json(home, now, &["tote", "list"]);
    let row = doc.as_array().unwrap().iter().find(|r| r["code"] == code).unwrap().clone();
    (row["in"].as_u64().unwrap(), row["of"].as_u64().unwrap())
}

#[test]
fn a_whole_year_by_commands() {
    let home = farm();
    // September: what goes out is tested and put up.
    assert_eq!(json(&home, "2026-09-05T09:00", &["plan"])["phase"], "up");
    done(&home, "2026-10-03T10:00", "up");
    assert_eq!(tote(&home, "2026-10-04T10:00", "K-2"), (0, 2), "the lanterns are up");

    // October: one show is lit, the other comes. The change is planned, and nothing lit is touched.
    let change = json(&home, "2026-10-15T10:00", &["plan"]);
    assert_eq!((&change["phase"], &change["season"]), (&"change".into(), &"frost-2026".into()));
    assert!(
        today(&home, "2026-10-15T10:00").contains("Glow is lit until"),
        "{}",
        today(&home, "2026-10-15T10:00")
    );
    done(&home, "2026-11-07T10:00", "change");
    assert_eq!(tote(&home, "2026-11-08T10:00", "K-1"), (0, 3), "the stars are up too");

    // December: a fault on three stars is logged in the dark, patched, and looked at the morning after.
    let said = home.ok(&[
        "fault",
        "add",
        "F-S",
        "dark_from",
        "--at",
        "12",
        "--tonight",
        "patched",
        "--now",
        "2026-12-05T21:00",
    ]);
    assert!(said.contains("which of its pieces is not known"), "{said}");
    let morning = today(&home, "2026-12-06T09:00");
    assert!(morning.contains("patched last night: Stars"), "{morning}");
    let round = home.ok(&["step", "list", "tonight", "--now", "2026-12-06T20:00"]);
    assert!(round.contains("patch of Stars, F-001"), "{round}");
    home.ok(&["fault", "which", "F-001", "S-2", "--now", "2026-12-07T10:00"]);

    // January: takedown. One lantern is wet, one star is missing, S-2 is faulty; the rest is good and dry.
    let now = "2027-01-09T10:00";
    assert_eq!(json(&home, now, &["plan"])["phase"], "down");
    let said = today(&home, now);
    assert!(said.contains("takedown of Frost") && !said.contains("days since lights on"), "{said}");
    let lift = open(&home, now, "down", "F-L/stake.lift").remove(0);
    home.ok(&["step", "off", &lift, "wet", "--piece", "L-1", "--now", now]);
    home.ok(&["step", "off", &lift, "--now", now]);
    let unhook = open(&home, now, "down", "F-S/hook.unhook").remove(0);
    home.ok(&["step", "off", &unhook, "missing", "--piece", "S-3", "--now", now]);
    home.ok(&["step", "off", &unhook, "--now", now]);
    let left = open(&home, now, "down", ".dry");
    assert_eq!(left.len(), 1, "only what is wet dries: {left:?}");
    done(&home, "2027-01-11T10:00", "down");
    assert_eq!(tote(&home, "2027-01-11T11:00", "K-1"), (1, 3), "S-1 is home, S-2 on the bench, S-3 lost");
    let bench = home.ok(&["tote", "find", "s-2", "--now", now]);
    assert!(bench.starts_with("S-2") && bench.contains("BNC Bench, Barn shelf (on the bench)"), "{bench}");
    let pack = json(&home, now, &["pack"]);
    assert_eq!(pack["proven"], true, "{pack:#}");
    home.run(&["--yard", home.yard().to_str().unwrap(), "pack", "--write", "--now", now]);

    // February: the count, then the close, which says what is open and opens the next year.
    let now = "2027-02-10T10:00";
    assert!(
        today(&home, now).contains("totes are not counted since Frost went off"),
        "{}",
        today(&home, now)
    );
    let lived_in: Vec<String> = json(&home, now, &["tote", "list"])
        .as_array()
        .unwrap()
        .iter()
        .filter(|r| r["in"].as_u64().unwrap() > 0 && r["code"] != "BNC")
        .map(|r| r["code"].as_str().unwrap().to_owned())
        .collect();
    for code in &lived_in {
        home.ok(&["tote", "count", code, "--now", now]);
    }
    home.ok(&["season", "close", "glow-2026", "--keep", "--now", now]);
    let said = home.ok(&[
        "season",
        "close",
        "frost-2026",
        "--keep",
        "--next",
        "frost-2027",
        "--lights-on",
        "2027-11-26",
        "--now",
        now,
    ]);
    for words in [
        "still open: ",
        "1 fault is open",
        "lost: look again",
        "New season frost-2027, 2 placements as last time",
    ] {
        assert!(said.contains(words), "{words} in {said}");
    }

    // Spring: the lost star is bought; an order is shown, placed, received; then it is no need any more.
    let now = "2027-03-15T10:00";
    let needs = |now: &str| -> Vec<Value> { json(&home, now, &["buy"])["needs"].as_array().unwrap().clone() };
    let star = needs(now).into_iter().find(|n| n["title"] == "Star").expect("a star is wanted");
    assert_eq!(star["vendor"], "Quay Lights", "{star:#}");
    assert!(home.ok(&["buy", "order", "QUAY", "--try", "--now", now]).contains("x Star"));
    let order = home.ok(&["buy", "order", "QUAY", "--now", now]);
    let code = order.split_whitespace().nth(1).unwrap().to_owned();
    let late = today(&home, "2027-05-20T10:00");
    assert!(late.contains(&format!("order {code} has not come")), "{late}");
    home.ok(&["buy", "receive", &code, "--into", "K-1", "--now", "2027-05-21T10:00"]);
    let lost = |n: &Value| n["why"].to_string().contains("lost: ");
    assert!(!needs("2027-05-22T10:00").iter().any(lost), "what came is no need");

    // Summer: the bench.
    let now = "2027-07-03T10:00";
    assert!(today(&home, now).contains("on the bench, first Star (S-2)"), "{}", today(&home, now));
    for deed in [["fault", "mend", "F-001"], ["fault", "test", "F-001"]] {
        let mut args = deed.to_vec();
        args.extend(["--now", now]);
        home.ok(&args);
    }
    home.ok(&["tote", "put", "K-1", "S-2", "--now", now]);

    // September: the next year stands open, every piece is somewhere, every fault has its life.
    let now = "2027-09-05T10:00";
    let plan = json(&home, now, &["plan"]);
    assert_eq!((&plan["phase"], &plan["season"]), (&"up".into(), &"frost-2027".into()));
    let faults = json(&home, now, &["fault", "list"]);
    assert_eq!(faults["faults"].as_array().unwrap().len(), 0, "{faults:#}");
    let list = home.ok(&["tote", "list", "--now", now]);
    assert!(!list.contains("not told") && !list.contains("no home"), "{list}");
    for need in needs(now) {
        let unmet = json(&home, now, &["buy"])["unmet"].to_string();
        let named = unmet.contains(need["title"].as_str().unwrap());
        assert!(need["vendor"].is_string() || named, "met, or said why not: {need:#}");
    }
    home.ok(&["verify", "--now", now]);
}
