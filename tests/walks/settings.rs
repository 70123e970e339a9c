//! The settings file at start, props and sessions as commands.

use super::terminal::{Home, Terminal};

fn with_settings(text: &str) -> Home {
    let home = Home::new();
    let folder = home.path().join(".config/ladderday");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join("settings.toml"), text).unwrap();
    home
}

#[test]
fn faults_of_the_settings_are_told_at_once_and_the_program_starts() {
    let home = with_settings("look = \"dusk\"\n[[key]]\non = \"walk\"\nkey = \"x\"\ndoes = \"fly\"\n");
    home.ok(&["new", "--now", "2026-10-01T09:00"]);
    let (code, _, err) = home.run(&["settings", "--check"]);
    assert_eq!(code, 2, "{err}");
    assert!(err.contains("line 1, column 8") && err.contains("line 2, column 1"), "{err}");
    let mut terminal = Terminal::start(&home, &["--now", "2026-10-01T09:00"], 120, 30);
    terminal.shows(&["settings.toml has 2 faults, defaults hold", "line 1, column 8"]);
    terminal.keys(":").shows(&["Run a command"]).keys("show-settings\r").shows(&["\"fly\" is no command"]);
    terminal.keys("\x1b").keys("q");
    assert_eq!(terminal.ends(), 0);
}

#[test]
fn settings_that_are_no_text_file_end_with_three_and_never_hang() {
    let home = with_settings("");
    let file = home.path().join(".config/ladderday/settings.toml");
    home.ok(&["new", "--now", "2026-10-01T09:00"]);
    let make: [(&str, &dyn Fn()); 4] = [
        ("folder", &|| std::fs::create_dir(&file).unwrap()),
        ("no text", &|| std::fs::write(&file, b"\xff\xfe\0look").unwrap()),
        ("pipe", &|| assert!(std::process::Command::new("mkfifo").arg(&file).status().unwrap().success())),
        // Read from without an end.
        ("device", &|| std::os::unix::fs::symlink("/dev/zero", &file).unwrap()),
    ];
    for (what, make) in make {
        std::fs::remove_file(&file).or_else(|_| std::fs::remove_dir(&file)).unwrap();
        make();
        let (code, out, err) = home.run(&["settings", "--check"]);
        assert!(code == 3 && out.is_empty() && err.contains("the defaults hold"), "{what}: {code} {err}");
        assert!(!err.contains("line 1"), "{err}");
        // It never stops a start.
        home.ok(&["session", "list"]);
    }
}

#[test]
fn settings_hold_and_the_look_is_kept() {
    let home = with_settings("ascii = true\n[[key]]\non = \"screens\"\nkey = \"x\"\ndoes = \"go-kit\"\n");
    home.ok(&["demo", "--fresh", "--now", "2026-10-15T18:05"]);
    let (code, out, _) = home.run(&["settings", "--check"]);
    assert!(code == 0 && out.contains("reads well"), "{out}");
    let mut terminal =
        Terminal::start(&home, &["--season", "harbor-2026", "--now", "2026-10-15T18:05"], 100, 30);
    terminal.shows(&["Midwinter"]).keys("x").shows(&["Code", "Where"]);
    assert!(terminal.screen().is_ascii(), "{}", terminal.screen());
    terminal.keys("l").keys("q");
    assert_eq!(terminal.ends(), 0);
    let kept = std::fs::read_to_string(home.path().join(".local/state/ladderday/look.txt")).unwrap();
    assert_eq!(kept, "night");
    let sample = home.run(&["settings"]).1;
    assert!(sample.contains("settings.toml") && sample.contains("#glove_ms = 150"), "{sample}");
}

#[test]
fn a_locale_without_these_letters_gets_screens_in_ascii() {
    let home = Home::demo();
    for (locale, ascii) in
        [("LC_ALL=C", true), ("LC_ALL= LC_CTYPE=en_US.UTF-8", false), ("LC_ALL= LANG=", false)]
    {
        let mut shell = portable_pty::CommandBuilder::new("sh");
        let program = env!("CARGO_BIN_EXE_ladderday");
        shell.args([
            "-c",
            &format!("export {locale}; exec '{program}' --yard \"$1\" --now 2026-10-15T18:05"),
            "sh",
        ]);
        shell.arg(home.yard());
        shell.env_remove("LC_CTYPE");
        shell.env_remove("LANG");
        let mut terminal = Terminal::start_command(&home, shell, 100, 30);
        terminal.shows(&["lights on"]);
        assert_eq!(terminal.screen().is_ascii(), ascii, "{locale}: {}", terminal.screen());
        terminal.keys("q");
        assert_eq!(terminal.ends(), 0);
    }
}

#[test]
fn props_sessions_and_fields_are_commands() {
    let home = Home::new();
    let now = ["--now", "2026-10-01T09:00"];
    let ok = |args: &[&str]| home.ok(&[args, &now].concat());
    let refused = |args: &[&str]| {
        let yard = home.yard();
        let (code, _, err) = home.run(&[&["--yard", yard.to_str().unwrap()], args, &now].concat());
        assert_eq!(code, 4, "{args:?}: {err}");
        err
    };
    ok(&["new"]);
    // The day may be told later: the season that the first prop began gets it.
    let said = ok(&["prop", "add", "Arch"]);
    assert!(said.contains("day of lights on is not told"), "{said}");
    ok(&["season", "new", "lights-2026", "--lights-on", "2026-11-27"]);
    let seasons = ok(&["season", "list"]);
    assert_eq!(seasons.matches("27 Nov 2026").count(), 1, "{seasons}");
    assert!(!seasons.contains("not told"), "{seasons}");
    let said = ok(&["prop", "add", "Bridge arches, big", "6", "drive edge", "timber base"]);
    assert!(said.contains("2 so far"), "{said}");
    let twice = ["prop", "add", "Bridge arches, big", "6", "drive edge", "timber base"];
    assert!(refused(&twice).contains("already"));
    let err = refused(&["prop", "add", "Boat", "2", "path", "by magic"]);
    assert!(err.contains("by magic") && err.contains("nearest are"), "{err}");
    let list = ok(&["kit", "list", "bridge"]);
    let code = list.split_whitespace().next().unwrap().to_owned();
    assert!(list.contains("6 pieces"), "{list}");
    ok(&["kit", "set", &code, "count", "8"]);
    assert!(ok(&["kit", "list", "bridge"]).contains("8 pieces"));
    assert!(refused(&["kit", "set", &code, "colour", "red"]).contains("fields: name,"));
    ok(&["session", "add", "2026-10-17T09:00", "16:30"]);
    ok(&["session", "forecast", "S-1017-0900", "rain"]);
    let said = ok(&["session", "move", "S-1017-0900", "2026-10-18T10:00"]);
    assert!(said.contains("forecast was of the other day"), "{said}");
    let list = ok(&["session", "list"]);
    assert!(list.contains("Sun 18 Oct 2026 10:00 to 17:30") && !list.contains("rain"), "{list}");
    assert!(refused(&["session", "people", "S-1017-0900", "--with", "Nobody"]).contains("nobody called"));
    ok(&["prop", "hold", &code, "--why", "paint wet"]);
    ok(&["prop", "release", &code]);
    ok(&["session", "drop", "S-1017-0900"]);
    assert!(!ok(&["session", "list"]).contains("S-1017"));
    ok(&["undo"]);
    assert!(ok(&["session", "list"]).contains("S-1017"));
}

#[test]
fn the_viewer_of_the_settings_gets_the_photo_as_one_argument() {
    use std::os::unix::fs::PermissionsExt as _;
    let home = Home::new();
    let (script, said) = (home.path().join("show it"), home.path().join("said"));
    std::fs::write(
        &script,
        format!("#!/bin/sh\nprintf '%s\\n' \"$@\" > '{}.part'\nmv '{0}.part' '{0}'\n", said.display()),
    )
    .unwrap();
    std::fs::set_permissions(&script, std::fs::Permissions::from_mode(0o755)).unwrap();
    let folder = home.path().join(".config/ladderday");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(
        folder.join("settings.toml"),
        format!("viewer = [\"{}\", \"--full screen\"]\n", script.display()),
    )
    .unwrap();
    let photo = home.path().join("-rf; $(touch hit) 'x'.png");
    std::fs::write(&photo, b"\x89PNG\r\n\x1a\nrest").unwrap();
    let now = ["--now", "2026-09-01T12:00"];
    home.ok(&[&["demo"], &now[..]].concat());
    home.ok(&[&["fault", "photo", "F25-10", photo.to_str().unwrap()], &now[..]].concat());
    let told = home.ok(&[&["fault", "photo", "F25-10", "--open", "1"], &now[..]].concat());
    assert!(told.contains("show it"), "{told}");
    let lines = super::terminal::wait_for(|| std::fs::read_to_string(&said).ok());
    let lines: Vec<&str> = lines.lines().collect();
    assert_eq!((lines.len(), lines[0]), (2, "--full screen"), "{lines:?}");
    assert_eq!(std::fs::read(lines[1]).unwrap(), b"\x89PNG\r\n\x1a\nrest");
}
