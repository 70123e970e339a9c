//! A running program, whatever was done in it and beside it, shows what a program opened afresh shows.

mod afresh;
mod recipes;
mod two_programs;

use std::path::PathBuf;
use std::time::{Duration, Instant};

use ladderday::answers::view::ScreenId;
use ladderday::app::{App, Choices, Page, PageWant};
use ladderday::domain::Phase;

/// A yard file in a folder of its own.
pub struct Yard {
    folder: tempfile::TempDir,
}

/// Eight lines in an owner's words, without people, sessions, pixels or totes.
const HANDFUL: &str = "lights on,2026-11-27
name,how many,where,how mounted
boat cut-outs,8,path left,stakes
canes,6,path right,stakes
icicles,4,porch,hooks
post wraps,4,porch posts,wrap
star,1,gable,hooks
cluster,5,porch,hooks
penguin,1,,
garland,1,gate,stakes
";

impl Yard {
    pub fn demo() -> Self {
        let yard = Self { folder: tempfile::tempdir().unwrap() };
        App::demo(&yard.path(), true, &at("2026-09-01T12:00")).unwrap();
        yard
    }

    /// A handful of props, and of `sessions` evenings and days in autumn.
    pub fn handful(sessions: u32) -> Self {
        let yard = Self { folder: tempfile::tempdir().unwrap() };
        let mut app = App::create(&yard.path(), &at("2026-09-01T12:00")).unwrap();
        let csv = yard.folder.path().join("props.csv");
        std::fs::write(&csv, HANDFUL).unwrap();
        app.import(&[csv]).unwrap();
        for n in 0..sessions {
            let day = 10 + n * 2;
            app.perform(&ladderday::app::Ask::AddSession {
                starts: format!("2026-10-{day}T09:00"),
                ends: format!("2026-10-{day}T15:00"),
                people: Vec::new(),
                work_lights: false,
            })
            .unwrap();
        }
        yard
    }

    pub fn path(&self) -> PathBuf {
        self.folder.path().join("yard.ladderday")
    }

    pub fn open(&self, now: &str) -> App {
        App::open(&self.path(), &at(now)).unwrap()
    }
}

pub fn at(now: &str) -> Choices {
    Choices { now: Some(now.to_owned()), ..Choices::default() }
}

/// Lets the work beside the screens end, with a phase shown.
#[expect(clippy::disallowed_methods, reason = "a deadline for the thread that plans")]
pub fn settle(app: &mut App, phase: Phase) {
    let deadline = Instant::now() + Duration::from_secs(120);
    // What another program wrote is taken in with the first page.
    app.page(ScreenId::Kit, &PageWant::default()).unwrap();
    let _ = app.improve_once(phase);
    while app.improving().is_some() {
        app.take_improved();
        assert!(Instant::now() < deadline, "the search does not end");
        std::thread::sleep(Duration::from_millis(2));
    }
}

/// All ten screens once the work beside them has ended, and Walk of two other phases.
pub fn ten_screens(app: &mut App) -> Vec<(String, Page)> {
    settle(app, app.outlook().phase_now());
    let mut out = Vec::new();
    for screen in ScreenId::ALL {
        let page = app.page(screen, &PageWant::default()).unwrap();
        out.push((screen.name().to_owned(), page));
    }
    for phase in [Phase::Bench, Phase::Down] {
        settle(app, phase);
        let want = PageWant { phase: Some(phase), ..PageWant::default() };
        out.push((format!("Walk {}", phase.as_str()), app.page(ScreenId::Walk, &want).unwrap()));
    }
    out
}

/// Says which screens differ.
pub fn assert_same(running: &mut App, afresh: &mut App, after: &str) {
    let (shown, right) = (ten_screens(running), ten_screens(afresh));
    for ((name, shown), (_, right)) in shown.iter().zip(&right) {
        if shown != right {
            let (a, b) = (format!("{shown:#?}"), format!("{right:#?}"));
            let line = a.lines().zip(b.lines()).find(|(x, y)| x != y);
            panic!("{name} after {after}: shown and right differ first in {line:?}");
        }
    }
}
