//! How soon the screens answer, measured from outside in a pseudo-terminal.
//!
//! `screen_times -- PROGRAM YARD NOW`: starts the program on the yard; prints the time to the first frame, to the first
//! page, from each of some keys to the screen that follows, the processor time of 20 idle seconds, and the memory held.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a harness measures real time and stops at what is wrong"
)]

use std::io::{Read, Write};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use portable_pty::{CommandBuilder, PtySize, native_pty_system};

/// Keys with what shows after them.
const KEYS: [(&str, &str); 14] = [
    ("2", "whole"),
    ("\u{1b}[B", "›"),
    ("\u{1b}[B", "›"),
    (" ", "done"),
    ("3", "Yard"),
    ("4", "Plan"),
    ("5", "Kit"),
    ("6", "Power"),
    ("7", "Faults"),
    ("8", "Totes"),
    ("9", "Buy"),
    ("0", "Seasons"),
    ("1", "Today"),
    ("2", "whole"),
];

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let [program, yard, now] = args.as_slice() else {
        println!("screen_times -- PROGRAM YARD NOW");
        return;
    };
    let pair = native_pty_system()
        .openpty(PtySize { rows: 40, cols: 120, pixel_width: 0, pixel_height: 0 })
        .unwrap();
    let mut command = CommandBuilder::new(program);
    command.args(["--yard", yard, "--now", now]);
    command.env("TERM", "xterm-256color");
    let start = Instant::now();
    let mut child = pair.slave.spawn_command(command).unwrap();
    drop(pair.slave);
    let mut reader = pair.master.try_clone_reader().unwrap();
    let (send, bytes) = channel();
    std::thread::spawn(move || {
        let mut buffer = vec![0_u8; 65536];
        while let Ok(n) = reader.read(&mut buffer) {
            if n == 0 || send.send((Instant::now(), buffer[..n].to_vec())).is_err() {
                break;
            }
        }
    });
    let mut writer = pair.master.take_writer().unwrap();
    let mut parser = vt100::Parser::new(40.try_into().unwrap(), 120.try_into().unwrap(), 0);
    let at = until(&bytes, &mut parser, "Opening the yard");
    println!("first frame: {:.1} ms", ms(start, at));
    let at = until(&bytes, &mut parser, "1 Today");
    println!("first page: {:.1} ms", ms(start, at));
    settle(&bytes, &mut parser, Duration::from_secs(15));
    for (key, shows) in KEYS {
        let pressed = Instant::now();
        writer.write_all(key.as_bytes()).unwrap();
        writer.flush().unwrap();
        let (at, text) = bytes.recv_timeout(Duration::from_secs(30)).unwrap();
        parser.process(&text);
        let name = if key.starts_with('\u{1b}') { "down" } else { key };
        println!("key {name:5} to screen: {:.1} ms", ms(pressed, at));
        settle(&bytes, &mut parser, Duration::from_millis(1500));
        assert!(parser.screen().contents().contains(shows), "{key:?}: {}", parser.screen().contents());
    }
    let mut press = |key: &str, shows: &dyn Fn(&str) -> bool| {
        let pressed = Instant::now();
        writer.write_all(key.as_bytes()).unwrap();
        writer.flush().unwrap();
        ms(pressed, until_it(&bytes, &mut parser, shows))
    };
    // Where a place is done the line of what was said begins with where to go on.
    let ticked = |text: &str| text.contains("Ticked:") && !text.contains("Undone:");
    // Between 0 and 600 ms after a tick pages are made ready and the search begins.
    let mut worst = [("tick", 0.0_f64), ("Today", 0.0), ("Walk", 0.0), ("undo", 0.0)];
    for pause in (0..=600).step_by(25) {
        let wait = || std::thread::sleep(Duration::from_millis(pause));
        let times = [
            (press(" ", &ticked), wait()).0,
            (press("1", &|text| text.contains("to lights on,")), wait()).0,
            (press("2", &|text| text.contains("whole")), wait()).0,
            (press("\u{7f}", &|text| text.contains("Undone:")), wait()).0,
        ];
        for (worst, time) in worst.iter_mut().zip(times) {
            worst.1 = worst.1.max(time);
        }
    }
    for (key, time) in worst {
        println!("worst of 25, {key:5} to screen: {time:.1} ms");
    }
    settle(&bytes, &mut parser, Duration::from_secs(15));
    let pid = child.process_id().unwrap();
    let before = ticks(pid);
    std::thread::sleep(Duration::from_secs(20));
    println!("20 idle seconds: {} processor ticks", ticks(pid) - before);
    let status = std::fs::read_to_string(format!("/proc/{pid}/status")).unwrap_or_default();
    for line in status.lines().filter(|l| l.starts_with("VmRSS") || l.starts_with("VmHWM")) {
        println!("{line}");
    }
    writer.write_all(b"q").unwrap();
    let _ = child.wait();
}

fn ms(from: Instant, to: Instant) -> f64 {
    to.duration_since(from).as_secs_f64() * 1000.0
}

/// When the screen first shows `text`.
fn until(bytes: &Receiver<(Instant, Vec<u8>)>, parser: &mut vt100::Parser, text: &str) -> Instant {
    until_it(bytes, parser, &|shown| shown.contains(text))
}

/// When the screen first is as asked.
fn until_it(
    bytes: &Receiver<(Instant, Vec<u8>)>,
    parser: &mut vt100::Parser,
    shows: &dyn Fn(&str) -> bool,
) -> Instant {
    loop {
        let next = bytes.recv_timeout(Duration::from_secs(30));
        if next.is_err() {
            println!("it does not come:\n{}", parser.screen().contents());
        }
        let (at, got) = next.unwrap();
        parser.process(&got);
        if shows(&parser.screen().contents()) {
            return at;
        }
    }
}

/// Takes in what comes until nothing has come for a while.
fn settle(bytes: &Receiver<(Instant, Vec<u8>)>, parser: &mut vt100::Parser, quiet: Duration) {
    while let Ok((_, got)) = bytes.recv_timeout(quiet) {
        parser.process(&got);
    }
}

/// Processor time so far, in the kernel's ticks.
fn ticks(pid: u32) -> u64 {
    let stat = std::fs::read_to_string(format!("/proc/{pid}/stat")).unwrap_or_default();
    let fields: Vec<&str> = stat.rsplit(')').next().unwrap_or_default().split_whitespace().collect();
    [11, 12].iter().filter_map(|n| fields.get(*n)?.parse::<u64>().ok()).sum()
}
