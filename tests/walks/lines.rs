//! Line by line: the same screens through a pipe, without escape codes, and an evening of one key a step.

use std::io::Write;
use std::process::{Command, Stdio};

use super::terminal::{Home, Terminal};

/// Lines in, all that was printed out.
fn talk(home: &Home, lines: &[&str]) -> String {
    let mut child = Command::new(env!("CARGO_BIN_EXE_ladderday"))
        .args([
            "--yard",
            home.yard().to_str().unwrap(),
            "--plain",
            "--season",
            "harbor-2026",
            "--now",
            "2026-10-15T18:05",
        ])
        .env("HOME", home.path())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut input = child.stdin.take().unwrap();
    input.write_all(format!("{}\n", lines.join("\n")).as_bytes()).unwrap();
    drop(input);
    let out = child.wait_with_output().unwrap();
    assert!(out.status.success());
    let text = String::from_utf8(out.stdout).unwrap();
    let escape = text.chars().find(|c| c.is_control() && *c != '\n');
    assert_eq!(escape, None, "{text}");
    text
}

#[test]
fn every_screen_reads_in_lines_and_a_step_is_ticked() {
    let home = Home::demo();
    let text = talk(&home, &["2", "3", "4", "5", "6", "7", "8", "9", "10", "q"]);
    for screen in ["Today", "Walk", "Yard", "Plan", "Kit", "Power", "Faults", "Totes", "Buy", "Seasons"] {
        assert!(text.contains(&format!("\n{screen}: ")), "{screen} is not in\n{text}");
    }
    assert!(!text.contains(['│', '─', '█', '░', '┌']), "{text}");
    let walk = talk(&home, &["go-walk", "g", "enter", "h", "esc", "undo-deed", "?", "nonsense"]);
    for said in ["Bring for", "Ticked: ", "Undone: Ticked", "Keys on Walk", "is no key and no command"] {
        assert!(walk.contains(said), "{said} is not in\n{walk}");
    }
    let list = home.ok(&["journal", "--now", "2026-10-15T18:06"]);
    assert!(list.contains("Ticked: "), "{list}");
}

#[test]
fn a_question_and_a_list_are_answered_in_lines() {
    let home = Home::demo();
    let text = talk(&home, &["5", "/icicle", "e", "", "Icicles by the door", "save", ":", "go-buy", "q"]);
    assert!(text.contains(" match") && text.contains("name Icicles by the door"), "{text}");
    assert!(text.contains("\nBuy: "), "a command of the list by letters: {text}");
}

/// The evening session of the demo: its steps are ticked with one key each, and the places follow by themselves.
#[test]
fn an_evening_of_25_steps_takes_one_key_a_step() {
    let home = Home::demo();
    let mut terminal =
        Terminal::start(&home, &["--now", "2026-10-15T18:05", "--season", "harbor-2026"], 120, 40);
    terminal.shows(&["Midwinter"]).keys("2").shows(&["Bring", "\n here "]);
    // The plan improves meanwhile: the count of the whole phase is what only ticks move.
    let whole = |screen: &str| -> usize {
        let after = screen.split("whole up ").nth(1).unwrap();
        after.split_whitespace().next().unwrap().parse().unwrap()
    };
    let before = whole(&terminal.screen());
    let mut keys = 0_usize;
    let mut steps = 0_usize;
    let mut sessions = 0_usize;
    let mut space = false;
    while steps < 25 {
        // Enter and Space in turn, as one key so soon after itself counts once.
        let mut press = |terminal: &mut Terminal| {
            space = !space;
            terminal.keys(if space { " " } else { "\r" });
        };
        keys += 1;
        steps += 1;
        let done = format!("whole up {} of", before + steps);
        // By a clock that stands still no test ends: told again, it is ticked.
        let ticked = (0..3).any(|_| {
            press(&mut terminal);
            terminal.shows_soon(&done)
        });
        assert!(ticked, "waited for {done:?}; the screen shows\n{}", terminal.screen());
        if terminal.screen().contains("] shows the next one") {
            terminal.keys("]").shows(&["\n here 0 of"]);
            keys += 1;
            sessions += 1;
        }
    }
    println!("{steps} steps, {keys} keys, {sessions} changes of session");
    assert_eq!(keys, steps + sessions, "one key a step, and one where a session begins");
    assert!(sessions <= 2, "{sessions} changes of session in {steps} steps");
    terminal.keys("q");
    assert_eq!(terminal.ends(), 0);
}

#[test]
fn keys_doubled_within_150_ms_tick_once() {
    let home = Home::demo();
    let mut terminal =
        Terminal::start(&home, &["--now", "2026-10-15T18:05", "--season", "harbor-2026"], 100, 30);
    terminal.shows(&["Midwinter"]).keys("2").shows(&["Bring", "here 0 of"]);
    terminal.keys("  ").shows(&["counted once", "here 1 of"]);
    terminal.keys("q");
    assert_eq!(terminal.ends(), 0);
}
