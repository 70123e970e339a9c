//! The terminal is as a shell expects it after every ending, and while stopped.

#![expect(clippy::disallowed_methods, reason = "the child is told by its environment that it is one")]

use std::path::Path;

use ladderday::answers::view::{Frame, PastRow, ScreenId, Today};
use ladderday::app::PageWant;
use ladderday::app::{Ask, Detail, DetailOf, LookWord, Page, Problem, ProblemKind};
use ladderday::domain::Phase;
use ladderday::tui::{Background, Host, Options, run};
use portable_pty::CommandBuilder;

use super::terminal::{Home, Terminal};

/// Where the child leaves the text of its panic, below its home.
const NOTE: &str = "state/note.txt";

/// What the child of this test binary is to end by.
const CHILD: &str = "LADDERDAY_TEST_ENDING";

fn started(home: &Home) -> Terminal {
    let mut terminal =
        Terminal::start(home, &["--season", "harbor-2026", "--now", "2026-10-15T18:05", "--mouse"], 80, 24);
    terminal.shows(&["Today", "Midwinter"]).becomes_sane(false);
    terminal
}

#[test]
fn quit_and_signals_give_the_terminal_back() {
    let home = Home::demo();
    let mut quit = started(&home);
    quit.keys("q");
    assert_eq!(quit.ends(), 0);
    quit.becomes_sane(true);
    for (name, number) in [("TERM", 15), ("HUP", 1), ("INT", 2), ("QUIT", 3)] {
        let mut terminal = started(&home);
        terminal.signal(name);
        assert_eq!(terminal.ends(), 128 + number, "{name}");
        terminal.becomes_sane(true);
    }
}

#[test]
fn stopped_it_gives_the_terminal_back_and_continued_it_draws_again() {
    let home = Home::demo();
    let mut terminal = started(&home);
    terminal.signal("TSTP").becomes_sane(true).stands_still();
    terminal.signal("CONT").becomes_sane(false).shows(&["Today", "Midwinter"]);
    terminal.keys("\x1a").becomes_sane(true).stands_still();
    terminal.signal("CONT").becomes_sane(false).shows(&["Midwinter"]).keys("q");
    assert_eq!(terminal.ends(), 0);
    terminal.becomes_sane(true);
}

#[test]
fn a_panic_and_an_error_give_the_terminal_back() {
    let home = Home::new();
    for (ending, told) in [("panic", "a planted panic"), ("error", "a planted refusal")] {
        let mut command = CommandBuilder::new(std::env::current_exe().unwrap());
        command.args(["--exact", "walks::endings::child", "--nocapture", "--test-threads=1"]);
        command.env(CHILD, ending);
        command.env("RUST_BACKTRACE", "0");
        let mut terminal = Terminal::start_command(&home, command, 100, 30);
        terminal.shows(&["Today"]).becomes_sane(false).keys("3");
        if ending == "error" {
            terminal.shows(&[told]).keys("q");
        }
        terminal.ends();
        terminal.becomes_sane(true);
        let screen = terminal.screen();
        assert!(ending == "error" || screen.contains(told), "{screen}");
        let note = std::fs::read_to_string(home.path().join(NOTE));
        match ending {
            "panic" => assert!(note.unwrap().contains(told), "its text is left for the next start"),
            _ => assert!(note.is_err(), "only a panic leaves a note"),
        }
        let _ = std::fs::remove_file(home.path().join(NOTE));
    }
}

/// No test of its own: what the one above starts in a terminal.
#[test]
fn child() {
    if let Ok(ending) = std::env::var(CHILD) {
        let ended = {
            let note = std::env::var_os("HOME").map(|home| Path::new(&home).join(NOTE));
            run(|| Ok(Broken(ending)), Options { panic_note: note, ..Options::default() })
        };
        assert!(ended.is_ok(), "{ended:?}");
    }
}

/// A host whose Yard page panics or is refused.
struct Broken(String);

impl Host for Broken {
    fn frame(&self) -> Frame {
        Frame { season: "A season".to_owned(), ..Frame::default() }
    }

    fn page(&mut self, screen: ScreenId, _: &PageWant) -> Result<Page, Problem> {
        match screen {
            ScreenId::Today => Ok(Page::Today(Today::default())),
            _ if self.0 == "panic" => panic!("a planted panic"),
            _ => Err(Problem::new(ProblemKind::Data, "planted", "a planted refusal")),
        }
    }

    fn detail(&self, _: DetailOf) -> Option<Detail> {
        None
    }

    fn perform(&mut self, _: &Ask) -> Result<String, Problem> {
        Ok(String::new())
    }

    fn past(&self) -> Result<Vec<PastRow>, Problem> {
        Ok(Vec::new())
    }

    fn what_if(&mut self, _: Option<Phase>, _: &str) -> Result<(), Problem> {
        Ok(())
    }

    fn weighed(&mut self, _: bool) -> Option<Result<Vec<(String, String)>, Problem>> {
        None
    }

    fn open_photo(&mut self, _: &str, _: usize) -> Result<String, Problem> {
        Ok(String::new())
    }

    fn switch_season(&mut self, _: &str) -> String {
        String::new()
    }

    fn keep_look(&mut self, _: LookWord) -> Result<(), Problem> {
        Ok(())
    }

    fn background(&mut self) -> Option<Background> {
        None
    }

    fn poll(&mut self) -> Vec<ScreenId> {
        Vec::new()
    }

    fn stop(&mut self) -> &'static str {
        ""
    }
}
