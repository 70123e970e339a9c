//! Buy's trials: keys in, what is asked of the host and pictures out; then the same over the demo yard.

use ladderday::answers::view::ScreenId;
use ladderday::app::PageWant;
use ladderday::app::{App, BuyChoice, Page};
use ladderday::tui::ahead::Ahead;
use ladderday::tui::run::carry_out;
use ladderday::tui::screens::buy::Part;
use ladderday::tui::state::State;
use ladderday::tui::update::press;
use ladderday::tui::{Host, Keymap, Look};
use ladderday::units::Money;

use super::fake::Fill;
use super::stage::{Stage, lines};

fn last(stage: &Stage) -> BuyChoice {
    stage.host.bought.last().cloned().unwrap()
}

#[test]
fn a_page_made_ready_is_there_when_its_key_comes_and_each_is_made_once() {
    let mut stage = Stage::new(Fill::Normal);
    let mut ahead = Ahead::default();
    while ahead.next(&stage.state).is_some() {
        ahead.prepare(&mut stage.state, &mut stage.host);
    }
    assert!(ScreenId::ALL.into_iter().all(|s| stage.state.has_page(s)));
    assert_eq!((stage.state.screen, stage.host.bought.len()), (ScreenId::Today, 1));
    stage.keys("9");
    assert_eq!(
        (stage.state.screen, stage.host.bought.len()),
        (ScreenId::Buy, 1),
        "nothing is computed again"
    );
}

#[test]
fn each_trial_is_asked_of_the_host_and_shown_at_both_sizes() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("9 w 1").text("100").keys("enter");
    let budget = Some(Money::from_cents(10_000));
    assert_eq!(last(&stage), BuyChoice { budget, ..BuyChoice::default() });
    stage.keys("w 2");
    assert_eq!(last(&stage), BuyChoice { budget, local: true, ..BuyChoice::default() });
    stage.keys("w 3").shows("Which vendor is closed?").keys("2 w 4");
    let without = vec!["strip 60/m, coated, 5 m".to_owned()];
    assert_eq!(last(&stage), BuyChoice { budget, local: true, without, close: vec!["QUAY".to_owned()] });
    for (wide, high) in [(80, 24), (120, 40)] {
        let picture = lines(&stage.buffer(wide, high));
        for text in
            ["Quay Wire closed", "this way it costs $12.00 more", "Quay Wire: nothing instead", "not bought"]
        {
            assert!(picture.contains(text), "{text} is not in {wide}x{high}\n{picture}");
        }
    }
    stage.keys("o");
    assert!(stage.status().contains("only tried"), "{}", stage.status());
    stage.keys("w 5");
    assert!(last(&stage).is_plain() && stage.state.buy.part == Part::Needs);
    assert!(stage.host.asked.is_empty(), "a trial is no deed");
}

#[test]
fn a_wrong_budget_is_refused_where_it_was_typed() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("9 w 1").text("-5").keys("enter").shows("below zero").keys("ctrl-u").text("50").keys("enter");
    assert_eq!(last(&stage).budget, Some(Money::from_cents(5_000)));
    stage.keys("w 1 enter");
    assert!(last(&stage).is_plain(), "nothing lifts the budget");
}

#[test]
fn the_screen_and_the_command_ask_the_same_of_the_demo_yard() {
    let yard = crate::record::Yard::demo();
    let mut app: App = yard.at("2026-09-01T12:00");
    let mut state = State::new(Host::frame(&app), Look::default(), Keymap::default());
    let keys = |state: &mut _, app: &mut App, names: &str| {
        for (n, name) in names.split_whitespace().enumerate() {
            let key = ladderday::tui::keymap::Key::parse(name).unwrap();
            let effects = press(state, key, 1_000 * (n as u64 + 1));
            carry_out(state, app, effects);
        }
    };
    keys(&mut state, &mut app, "9");
    let plain = state.buy.page.clone().unwrap();
    assert!(plain.tried.is_none() && plain.changes.is_empty());
    let at = plain.vendors.iter().position(|(code, _)| code == "NORTHQUAY").unwrap() + 1;
    keys(&mut state, &mut app, &format!("w 3 {at}"));
    let shown = state.buy.page.clone().unwrap();
    let choice = BuyChoice { close: vec!["NORTHQUAY".to_owned()], ..BuyChoice::default() };
    let want = PageWant { buy: choice, ..PageWant::default() };
    let ladderday::app::Page::Buy(asked) = app.page(ScreenId::Buy, &want).unwrap() else { panic!("Buy") };
    assert_eq!(shown, asked);
    assert!(shown.baskets.iter().all(|b| b.vendor != "Northquay Parts"));
    assert!(plain.baskets.iter().any(|b| b.vendor == "Northquay Parts"), "else nothing was shown");
    assert_eq!(shown.tried.as_deref(), Some("Northquay Parts closed"));
    assert!(
        shown.changes.iter().any(|c| c.starts_with("Northquay Parts: nothing instead of $")),
        "{:?}",
        shown.changes
    );
    keys(&mut state, &mut app, "w 2");
    let both = state.buy.page.clone().unwrap();
    assert!(both.baskets.iter().all(|b| b.vendor == "Gannet Hardware"), "{:?}", both.baskets);
    let want = PageWant { buy: BuyChoice::default(), ..PageWant::default() };
    let Page::Buy(again) = Host::page(&mut app, ScreenId::Buy, &want).unwrap() else { panic!("Buy") };
    assert_eq!(again, plain, "no fact was touched");
}
