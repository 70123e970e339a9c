//! The buying list of the demo yard: needs gathered and the least-cost basket, as `buy` answers.

use divan::Bencher;
use ladderday::app::{App, BuyChoice, Choices, Form};

/// The plan is there already, as it is on the screen.
#[divan::bench(sample_count = 20)]
fn demo_basket(bencher: Bencher) {
    let dir = tempfile::tempdir().unwrap();
    let choices = Choices { now: Some("2026-09-01T08:00".to_owned()), ..Choices::default() };
    let mut app = App::demo(&dir.path().join("demo.ladderday"), false, &choices).unwrap();
    app.buy_answer(&BuyChoice::default(), Form::Json).unwrap();
    bencher.bench_local(|| app.buy_answer(&BuyChoice::default(), Form::Json).unwrap());
}
