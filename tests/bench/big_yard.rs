//! The screens over a yard far larger than anybody's: what a screen waits for.

use std::path::PathBuf;
use std::sync::OnceLock;

use divan::Bencher;
use ladderday::answers::view::ScreenId;
use ladderday::app::{App, Ask, Choices, Form};
use ladderday::domain::TickKind;

#[path = "../harness/big_yard/make.rs"]
mod make;

fn choices() -> Choices {
    Choices { now: Some("2026-10-20T08:00".to_owned()), ..Choices::default() }
}

/// The file with all of it, made once.
fn file() -> &'static PathBuf {
    static FILE: OnceLock<(tempfile::TempDir, PathBuf)> = OnceLock::new();
    let (_, path) = FILE.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        let tables = folder.path().join("tables");
        std::fs::create_dir(&tables).unwrap();
        for (name, text) in make::tables(make::BIG) {
            std::fs::write(tables.join(name), text).unwrap();
        }
        let path = folder.path().join("big.ladderday");
        App::create(&path, &choices()).unwrap().import(&[tables]).unwrap();
        (folder, path)
    });
    path
}

#[divan::bench(sample_count = 10)]
fn open(bencher: Bencher) {
    let path = file();
    bencher.bench_local(|| App::open(path, &choices()).unwrap());
}

const SCREENS: [ScreenId; 10] = ScreenId::ALL;

#[divan::bench(args = SCREENS, sample_count = 5)]
fn screen(bencher: Bencher, screen: ScreenId) {
    let mut app = App::open(file(), &choices()).unwrap();
    app.page(screen, &ladderday::app::PageWant::default()).unwrap();
    bencher.bench_local(|| app.page(screen, &ladderday::app::PageWant::default()).unwrap());
}

/// A step ticked, and the walk as it then stands.
#[divan::bench(sample_count = 5)]
fn tick(bencher: Bencher) {
    let mut app = App::open(file(), &choices()).unwrap();
    app.page(ScreenId::Walk, &ladderday::app::PageWant::default()).unwrap();
    let mut n = 0;
    bencher.bench_local(|| {
        n += 1;
        let key = format!("placement:PM26-{:03}/stake.mark/up", 16 + n * 4 % 180);
        app.perform(&Ask::Tick { key, kind: TickKind::Note, count: None, why: Some("seen".to_owned()) })
            .unwrap();
        app.page(ScreenId::Walk, &ladderday::app::PageWant::default()).unwrap()
    });
}

/// The whole record: rates, comparisons, survival, durations.
#[divan::bench(sample_count = 5)]
fn history(bencher: Bencher) {
    let mut app = App::open(file(), &choices()).unwrap();
    bencher.bench_local(|| app.history_answer(Form::Json).unwrap());
}
