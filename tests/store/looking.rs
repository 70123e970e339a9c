//! The screens look the file over once they stand; commands look first.

use std::fs;
use std::time::{Duration, Instant};

use ladderday::app::{App, Ask, Choices, Problem};

use super::{file_in, raw};

#[expect(clippy::disallowed_methods, reason = "a deadline, so that a test can't wait for ever")]
fn looked(app: &mut App) -> (bool, Option<Problem>) {
    let deadline = Instant::now() + Duration::from_secs(60);
    app.begin_looking();
    let begun = app.is_looking();
    while app.is_looking() && Instant::now() < deadline {
        if let Some(problem) = app.take_looked() {
            return (begun, Some(problem));
        }
        std::thread::sleep(Duration::from_millis(1));
    }
    assert!(!app.is_looking(), "still looking");
    (begun, None)
}

#[test]
fn a_whole_file_is_looked_over_once_a_day_and_a_damaged_one_is_written_no_more() {
    let folder = tempfile::tempdir().unwrap();
    let path = file_in(&folder, "y.ladderday");
    drop(App::create(&path, &Choices::default()).unwrap());
    let at = |now: &str| Choices { now: Some(now.to_owned()), ..Choices::default() };
    let open = |now: &str| App::open_to_show(&path, &at(now)).unwrap();
    let mut app = open("2026-11-01T12:00+00:00");
    assert_eq!(looked(&mut app), (true, None));
    drop(app);
    assert_eq!(looked(&mut open("2026-11-02T11:59+00:00")), (false, None), "not due");

    // An index that does not fit its table: every page reads well, only looking it over tells.
    let conn = raw(&path);
    let ask = |sql: &str| conn.query_row(sql, [], |row| row.get::<_, i64>(0)).unwrap() as usize;
    let root =
        ask("SELECT min(rootpage) FROM sqlite_schema WHERE type = 'index' AND tbl_name = 'recipe_step'");
    let size = ask("PRAGMA page_size");
    drop(conn);
    let mut bytes = fs::read(&path).unwrap();
    let page = &mut bytes[(root - 1) * size..root * size];
    // The head of an index leaf without any cell.
    page.fill(0);
    page[0] = 10;
    page[5..7].copy_from_slice(&(size as u16).to_be_bytes());
    fs::write(&path, &bytes).unwrap();
    let mut app = open("2026-11-02T12:00+00:00");
    let problem = looked(&mut app).1.expect("a fault is found");
    assert_eq!(problem.code, "damaged");
    assert!(problem.hints[0].contains("restore"), "{problem}");
    assert!(app.store().notice().unwrap().contains("damaged"));
    let season = Ask::NewSeason {
        code: "x".to_owned(),
        name: String::new(),
        lights_on: Some("2026-11-27".to_owned()),
    };
    assert_eq!(app.perform(&season).unwrap_err().code, "damaged");
    drop(app);
    assert!(fs::read(&path).unwrap() == bytes, "left untouched");
    // A command looks first.
    assert_eq!(App::open(&path, &at("2026-11-02T12:00+00:00")).err().unwrap().code, "damaged");
}

#[test]
fn closing_the_yard_does_not_wait_for_it_to_end() {
    let folder = tempfile::tempdir().unwrap();
    let path = file_in(&folder, "y.ladderday");
    drop(App::create(&path, &Choices::default()).unwrap());
    let mut app = App::open_to_show(&path, &Choices::default()).unwrap();
    app.begin_looking();
    assert!(app.is_looking());
    drop(app);
    // The last to have it open has tidied up.
    assert!(!path.with_extension("ladderday-wal").exists());
}
