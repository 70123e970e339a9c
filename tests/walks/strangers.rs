//! What others wrote, or left lying there: text that steers, files that never end, copies that come home.

use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;

use ladderday::domain::{CellKind, TABLES, is_hidden};

use super::terminal::Home;

/// What a terminal obeys, what turns the reading direction, what nobody sees: one of each sort.
const STEERS: &str = "\u{1b}]0;owned\u{7}\u{1b}[2J\u{9b}31m\u{8}\r\u{202e}\u{2066}\u{200b}\u{200d}\u{feff}\u{ad}\u{2028}\u{e0041}";

/// Puts that behind every text of the yard, its codes too where asked for.
fn spoil(yard: &Path, codes: bool) {
    let conn = rusqlite::Connection::open(yard).unwrap();
    // What the program itself reads by, and text that is no sentence.
    let kept = [
        "time_zone",
        "currency",
        "sha256",
        "bytes",
        "mime",
        "step_key",
        "recipe_step",
        "also",
        "measures",
        "chip",
    ];
    for table in TABLES {
        for column in table.columns {
            let spoilt = match column.kind {
                CellKind::Text if column.name == "code" => codes,
                CellKind::Text => !kept.contains(&column.name),
                _ => false,
            };
            if spoilt {
                let sql = format!(
                    "UPDATE {} SET {c} = {c} || ?1 WHERE {c} IS NOT NULL",
                    table.name,
                    c = column.name
                );
                conn.execute(&sql, [STEERS]).unwrap();
            }
        }
    }
    conn.execute("UPDATE journal_entry SET what = what || ?1", [STEERS]).unwrap();
}

fn refuse_hidden(what: &str, text: &str) {
    let letters: Vec<char> = text.chars().collect();
    for (at, c) in letters.iter().enumerate() {
        let line_end = *c == '\r' && letters.get(at + 1) == Some(&'\n');
        let there: String = letters[at.saturating_sub(30)..=at].iter().collect();
        assert!(!is_hidden(*c) || *c == '\n' || line_end, "{what}: {c:?} gets out after {there:?}");
    }
}

const NOW: &str = "2026-11-14T10:20";

/// Every command form that answers with text of the yard, or of what was typed.
const FORMS: &[&str] = &[
    "",
    "plan up --schedules 1",
    "plan bench --schedules 1",
    "plan tonight --schedules 1",
    "plan down --schedules 1",
    "plan change --schedules 1",
    "plan why X",
    "step list",
    "step list down",
    "step done X",
    "step note X Y",
    "step took X 12",
    "step hold X",
    "step differently X port Y",
    "session list",
    "session add X",
    "session drop X",
    "session people X --with X",
    "session forecast X Y",
    "session move X Y",
    "prop add X",
    "prop hold X",
    "prop release X",
    "kit list",
    "kit list X",
    "kit set X Y Z",
    "fault list",
    "fault add X dark_from",
    "fault add ARCH-01 X",
    "fault add ARCH-01 dark_from --at 12",
    "fault dark X",
    "fault by X",
    "fault photo X Y",
    "fault guide F-001",
    "fault guide X",
    "fault bench",
    "fault replace X Y",
    "season list",
    "season new X",
    "season close X",
    "buy",
    "buy list",
    "buy order X",
    "buy receive X",
    "buy expect X Y",
    "check",
    "check power",
    "check signal",
    "check wind",
    "check weather",
    "check stock",
    "print checklist up",
    "print checklist up --html",
    "print checklist down",
    "print wiring",
    "print wiring --html",
    "print shopping",
    "print shopping --html",
    "print calendar",
    "history",
    "spares",
    "journal",
    "undo",
    "redo",
    "conflict list",
    "conflict decide X Y",
    "verify",
    "merge X",
    "restore X",
    "lend X/Y",
    "backup X/Y",
    "import X",
    "settings",
    "X",
    "--season X step list",
    "--now X step list",
    "plan up --what-if X",
    "export X/Y/Z",
];

#[test]
fn nothing_that_steers_a_terminal_gets_out_of_any_command() {
    for codes in [false, true] {
        let home = Home::new();
        home.ok(&["demo", "--fresh", "--now", NOW]);
        spoil(&home.yard(), codes);
        let yard = home.yard();
        let mut answered = 0;
        for form in FORMS {
            let mut args = vec!["--yard", yard.to_str().unwrap()];
            if !form.contains("--now") {
                args.extend(["--now", NOW]);
            }
            let words: Vec<String> = form
                .split_whitespace()
                .map(|w| match w {
                    "X" | "Y" | "Z" => STEERS.to_owned(),
                    // Written into this home, never where the test happens to run.
                    "X/Y" | "X/Y/Z" => {
                        format!("{}/{}", home.path().display(), w.replace(['X', 'Y', 'Z'], STEERS))
                    }
                    other => other.to_owned(),
                })
                .collect();
            args.extend(words.iter().map(String::as_str));
            // Documents of a yard whose codes can be named, text of one whose codes steer too.
            if !codes {
                args.push("--json");
            }
            let (code, out, err) = home.run(&args);
            assert!((0..=4).contains(&code), "{form}: exit {code}, {err}");
            refuse_hidden(form, &out);
            refuse_hidden(form, &err);
            answered += usize::from(!out.is_empty());
        }
        assert!(answered > 30, "{answered} answered");
    }
}

#[test]
fn what_never_ends_is_no_import_and_no_yard() {
    let home = Home::new();
    home.ok(&["new"]);
    let yard = home.yard();
    let before = fs::read(&yard).unwrap();
    let at = |name: &str| home.path().join(name);
    assert!(std::process::Command::new("mkfifo").arg(at("pipe.csv")).status().unwrap().success());
    fs::write(at("commas.csv"), format!("code,name\n{}\n", ",".repeat(20_000_000))).unwrap();
    fs::write(at("lines.csv"), format!("code,name\n{}", "a,b\n".repeat(600_000))).unwrap();
    for (path, told) in [
        ("/dev/zero".to_owned(), "no file"),
        (at("pipe.csv").display().to_string(), "no file"),
        (at("commas.csv").display().to_string(), "cells"),
        (at("lines.csv").display().to_string(), "lines"),
    ] {
        let (code, _, err) = home.run(&["--yard", yard.to_str().unwrap(), "import", &path]);
        assert_eq!(code, 3, "{path}: {err}");
        assert!(err.contains(told) && err.lines().count() > 1, "{path}: {err}");
        let (code, _, err) = home.run(&["--yard", &path, "step", "list"]);
        assert_eq!(code, 3, "{path}: {err}");
        assert!(err.contains("not a yard file"), "{path}: {err}");
    }
    assert!(fs::read(&yard).unwrap() == before);
}

#[test]
fn what_is_written_out_is_for_its_owner_alone() {
    let home = Home::new();
    home.ok(&["new"]);
    let out = home.path().join("out");
    let run = |args: &str| {
        let script = format!("umask 0; exec \"$0\" --yard \"$1\" {args}");
        let mut command = std::process::Command::new("sh");
        command.args(["-c", &script, env!("CARGO_BIN_EXE_ladderday")]).arg(home.yard()).arg(&out);
        assert!(command.env("HOME", home.path()).status().unwrap().success(), "{args}");
    };
    run("export \"$2\"");
    run("export \"$2\"");
    run("backup \"$2/copy\"");
    run("lend \"$2/lent\"");
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
    assert_eq!(mode(&out), 0o700);
    let inside: Vec<_> = fs::read_dir(&out).unwrap().map(|f| f.unwrap().path()).collect();
    assert!(inside.len() > 4);
    for file in inside {
        assert_eq!(mode(&file), 0o600, "{}", file.display());
    }
}

#[test]
fn undo_asks_before_it_takes_back_what_made_the_yard_and_an_import_comes_again() {
    let home = Home::new();
    home.ok(&["new"]);
    let csv = home.path().join("place.csv");
    fs::write(&csv, "code,name\nPL-1,Porch\nPL-2,Lawn\n").unwrap();
    let (yard, csv) = (home.yard().display().to_string(), csv.display().to_string());
    home.ok(&["import", &csv]);
    let whole = home.ok(&["kit", "list", "--json"]);
    for _ in 0..3 {
        let (code, _, err) = home.run(&["--yard", &yard, "undo"]);
        assert_eq!(code, 4, "{err}");
        assert!(err.contains("undo-border") && err.contains("2 rows (2 of place)"), "{err}");
    }
    let places = || ladderday::store::Store::open(&home.yard()).unwrap().load_yard().unwrap().places.len();
    assert_eq!(places(), 2);
    home.ok(&["undo", "--yes"]);
    assert_eq!(places(), 0);
    home.ok(&["redo"]);
    assert_eq!(places(), 2);
    home.ok(&["undo", "--yes"]);
    home.ok(&["undo", "--yes"]);
    let (code, _, err) = home.run(&["--yard", &yard, "undo", "--yes"]);
    assert_eq!((code, err.contains("nothing to undo")), (4, true), "{err}");
    home.ok(&["redo"]);
    home.ok(&["redo"]);
    assert_eq!(home.ok(&["kit", "list", "--json"]), whole);
}

#[test]
fn copies_come_home_and_what_they_contradict_is_decided_by_a_command() {
    let home = Home::new();
    home.ok(&["new"]);
    let csv = home.path().join("place.csv");
    let import = |yard: &str, name: &str| {
        fs::write(&csv, format!("code,name\nPL-1,{name}\n")).unwrap();
        let (code, _, err) = home.run(&["--yard", yard, "import", csv.to_str().unwrap()]);
        assert_eq!(code, 0, "{err}");
    };
    let ours = home.yard().display().to_string();
    import(&ours, "Porch");
    let at = |name: &str| home.path().join(name).display().to_string();
    for (name, mark) in [("one", "copy B"), ("two", "copy C")] {
        assert!(home.ok(&["lend", &at(name)]).contains(mark));
    }
    import(&at("one"), "Front porch");
    import(&at("two"), "Back porch");
    import(&ours, "Side porch");
    home.ok(&["merge", &at("one")]);
    let said = home.ok(&["merge", &at("two")]);
    assert!(said.contains("1 conflict to decide"), "{said}");
    let list: serde_json::Value = serde_json::from_str(&home.ok(&["conflict", "list", "--json"])).unwrap();
    let (code, rivals) = (list[0]["code"].as_str().unwrap(), list[0]["rivals"].as_array().unwrap());
    assert_eq!(
        (list[0]["of"].as_str(), list[0]["column"].as_str(), rivals.len()),
        (Some("PL-1"), Some("name"), 3)
    );
    let mut copies: Vec<_> = rivals.iter().map(|r| r["copy"].as_str().unwrap()).collect();
    copies.sort_unstable();
    assert_eq!(copies, ["A", "B", "C"]);
    let (exit, _, err) = home.run(&["--yard", &ours, "conflict", "decide", code, "Cellar"]);
    assert_eq!((exit, err.contains("not-a-rival") && err.contains("Back porch")), (4, true), "{err}");
    home.ok(&["conflict", "decide", code, "Front porch"]);
    assert!(home.ok(&["conflict", "list"]).contains("nothing to decide"));
    let (_, out, _) = home.run(&["--yard", &at("two"), "merge", &ours]);
    assert!(out.contains("0 conflicts"), "{out}");
}
