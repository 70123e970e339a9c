//! The terminal's window is closed, or text is pasted into it: an ordinary end, and ordinary text.

#![expect(clippy::disallowed_methods, reason = "how long pasting takes is what is asked")]

use std::io::Read;
use std::time::Instant;

use portable_pty::{CommandBuilder, PtySize, native_pty_system};

use super::terminal::{Home, Terminal, wait_for};

/// Starts the screens in a terminal, waits for them, and takes the terminal away at once.
fn hang_up(home: &Home, keys: &str) -> u32 {
    let pair =
        native_pty_system().openpty(PtySize { rows: 24, cols: 80, pixel_width: 0, pixel_height: 0 }).unwrap();
    let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_ladderday"));
    command.args([
        "--yard",
        home.yard().to_str().unwrap(),
        "--season",
        "harbor-2026",
        "--now",
        "2026-10-15T18:05",
    ]);
    command.env("HOME", home.path());
    command.env("TERM", "xterm-256color");
    let mut child = pair.slave.spawn_command(command).unwrap();
    drop(pair.slave);
    let (mut reader, mut writer) =
        (pair.master.try_clone_reader().unwrap(), pair.master.take_writer().unwrap());
    let (mut seen, mut buffer) = (Vec::new(), [0_u8; 4096]);
    while !String::from_utf8_lossy(&seen).contains("Midwinter") {
        let n = reader.read(&mut buffer).unwrap();
        assert!(n > 0, "it ended early");
        seen.extend_from_slice(&buffer[..n]);
    }
    writer.write_all(keys.as_bytes()).unwrap();
    drop((reader, writer, pair.master));
    wait_for(|| child.try_wait().unwrap()).exit_code()
}

#[test]
fn a_closed_window_is_an_ordinary_end() {
    let home = Home::demo();
    for keys in ["", "2", "3", "4", "2 ", "jjjj", "5", "?"] {
        // As of a program that the end of its terminal ended.
        assert_eq!(hang_up(&home, keys), 129, "{keys:?}");
    }
    let notes: Vec<_> = walk(home.path()).into_iter().filter(|n| n.contains("panic")).collect();
    assert!(notes.is_empty(), "no panic is told of: {notes:?}");
    assert!(home.ok(&["verify"]).contains("all is well"));
}

/// Every name below a folder.
fn walk(folder: &std::path::Path) -> Vec<String> {
    let mut names = Vec::new();
    for file in std::fs::read_dir(folder).unwrap().map(|f| f.unwrap().path()) {
        if file.is_dir() {
            names.extend(walk(&file));
        }
        names.push(file.display().to_string());
    }
    names
}

#[test]
fn pasted_text_is_taken_at_once() {
    let home = Home::demo();
    let mut terminal =
        Terminal::start(&home, &["--season", "harbor-2026", "--now", "2026-10-15T18:05"], 80, 24);
    terminal.shows(&["Midwinter"]).keys("/");
    let begun = Instant::now();
    terminal.keys(&format!("\u{1b}[200~{}and nothing is like it\u{1b}[201~", "word ".repeat(20_000)));
    terminal.shows(&["0 of ", " match"]);
    let took = begun.elapsed().as_secs_f64();
    assert!(took < 3.0, "100 kB took {took:.1} s");
}
