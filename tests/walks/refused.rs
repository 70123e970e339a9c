//! Bad input: a clear refusal, the right exit code, nothing lost.

use super::terminal::{Home, Terminal};

#[test]
fn a_wrong_csv_tells_every_fault_and_writes_nothing() {
    let home = Home::new();
    home.ok(&["new"]);
    let before = std::fs::read(home.yard()).unwrap();
    let csv = home.path().join("place.csv");
    std::fs::write(&csv, "code,name,access\nP1,Porch,porch\nP1,Porch again,ground\n,Nameless,roof\n")
        .unwrap();
    let yard = home.yard();
    let (code, out, err) = home.run(&["--yard", yard.to_str().unwrap(), "import", csv.to_str().unwrap()]);
    assert_eq!(code, 4);
    assert!(out.is_empty(), "{out}");
    for part in ["place.csv", "line 2", "access", "porch", "line 3", "line 4"] {
        assert!(err.contains(part), "{part} is missing in\n{err}");
    }
    assert_eq!(std::fs::read(home.yard()).unwrap(), before);
}

#[test]
fn a_circle_of_carrying_is_named_in_words() {
    let home = Home::new();
    home.ok(&["new"]);
    let csv = home.path().join("props.csv");
    let text = "name,how many,where,how mounted,carried by\nFrame,1,lawn,strut frame,Panel\nPanel,1,lawn,clamps,Frame\n";
    std::fs::write(&csv, text).unwrap();
    let (code, _, err) =
        home.run(&["--yard", home.yard().to_str().unwrap(), "import", csv.to_str().unwrap()]);
    assert_eq!(code, 4, "{err}");
    assert!(err.contains("Frame") && err.contains("Panel") && err.contains("carr"), "{err}");
}

#[test]
fn a_file_that_is_no_yard_is_left_alone() {
    let home = Home::new();
    let file = home.yard();
    let arg = file.to_str().unwrap().to_owned();
    let plan = |home: &Home| home.run(&["--yard", &arg, "plan", "up"]);
    let (code, _, err) = plan(&home);
    assert_eq!((code, err.contains("no yard file")), (3, true), "{err}");
    std::fs::write(&file, "this is a letter to the neighbours, not a yard").unwrap();
    let (code, _, err) = plan(&home);
    assert_eq!(code, 3, "{err}");
    assert_eq!(std::fs::read_to_string(&file).unwrap(), "this is a letter to the neighbours, not a yard");
    std::fs::remove_file(&file).unwrap();
    home.ok(&["new"]);
    let mut bytes = std::fs::read(&file).unwrap();
    for b in bytes.iter_mut().skip(4096).take(4096) {
        *b = 0xA5;
    }
    std::fs::write(&file, &bytes).unwrap();
    let (code, _, err) = plan(&home);
    assert_eq!(code, 3, "{err}");
    assert_eq!(std::fs::read(&file).unwrap(), bytes, "a damaged file is left untouched");
}

#[test]
fn wrong_use_says_what_is_right() {
    let home = Home::new();
    home.ok(&["new"]);
    let yard = home.yard();
    let run = |args: &[&str]| {
        let mut all = vec!["--yard", yard.to_str().unwrap()];
        all.extend(args);
        home.run(&all)
    };
    assert_eq!(run(&["plan", "sideways"]).0, 2);
    assert_eq!(run(&["plan", "up", "--now", "yesterday"]).0, 2);
    assert_eq!(run(&["plan", "up", "--season", "none-1999"]).0, 4);
    assert_eq!(run(&["step", "done", "placement:none/none/up"]).0, 4);
    let (code, _, err) = run(&["session", "add", "2026-10-17T16:00", "09:00"]);
    assert_eq!((code, err.contains("ends before it begins")), (4, true), "{err}");
}

/// One plain sentence, nothing made anywhere.
#[test]
fn a_home_that_is_none_is_refused_and_not_made() {
    let home = Home::new();
    let gone = home.path().join("gone");
    for at in [gone.to_str().unwrap(), "relative"] {
        for args in [&["new"][..], &["demo"], &["plan", "up"], &["settings"]] {
            let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_ladderday"));
            command.args(args).current_dir(home.path()).env("HOME", at).env_remove("XDG_DATA_HOME");
            let out = command.stdin(std::process::Stdio::null()).output().unwrap();
            let err = String::from_utf8_lossy(&out.stderr);
            assert!(out.status.code() == Some(3) && err.contains("[no-home]"), "{at} {args:?}: {err}");
        }
    }
    assert_eq!(std::fs::read_dir(home.path()).unwrap().count(), 0, "something was made");
}

#[test]
fn an_answer_that_can_not_be_written_is_said() {
    let home = Home::new();
    for word in ["settings", "--help", "--version"] {
        let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_ladderday"));
        let out = command.args([word]).env("HOME", home.path()).stdout(full).output().unwrap();
        let err = String::from_utf8_lossy(&out.stderr);
        assert!(out.status.code() == Some(3) && err.contains("could not be written"), "{word}: {err}");
    }
}

#[test]
fn that_a_file_can_only_be_read_is_said_once() {
    let home = Home::new();
    home.ok(&["new"]);
    let conn = rusqlite::Connection::open(home.yard()).unwrap();
    conn.pragma_update(None, "user_version", 9999).unwrap();
    drop(conn);
    let yard = home.yard();
    let (code, _, err) =
        home.run(&["--yard", yard.to_str().unwrap(), "season", "new", "a-2027", "--lights-on", "2027-11-26"]);
    assert_eq!(code, 3, "{err}");
    assert_eq!(err.matches("it can be read, not changed").count(), 1, "{err}");
    assert!(err.contains("nothing is written [newer]") && err.contains("use the newer ladderday"), "{err}");
}

/// Answers as where there is no terminal, without an escape code.
#[test]
fn a_dumb_terminal_gets_the_answer_as_text() {
    let home = Home::new();
    home.ok(&["new"]);
    home.ok(&["season", "new", "lights-2026", "--lights-on", "2026-11-27", "--now", "2026-10-01T09:00"]);
    let mut command = portable_pty::CommandBuilder::new("env");
    let yard = home.yard();
    command.args(["TERM=dumb", env!("CARGO_BIN_EXE_ladderday"), "--yard", yard.to_str().unwrap()]);
    command.args(["--now", "2026-10-01T09:00"]);
    let mut terminal = Terminal::start_command(&home, command, 80, 24);
    terminal.shows(&["--plain reads them line by line"]);
    assert_eq!(terminal.ends(), 0);
}
