//! The keymap table: no clash, no gap, help for all, own rows.

use ladderday::answers::view::ScreenId;
use ladderday::tui::action::Action;
use ladderday::tui::keymap::{Key, KeyText, Keymap, LINES, Line, When};

use super::fake::Fill;
use super::stage::Stage;

fn own(place: &str, key: &str, action: &str) -> KeyText {
    KeyText { place: place.into(), key: key.into(), action: action.into() }
}

/// Pairs of lines that want one key at one time.
fn clashes(lines: &[Line]) -> Vec<(Line, Line)> {
    let keyed: Vec<&Line> = lines.iter().filter(|(_, key, ..)| *key != "name").collect();
    let pairs =
        keyed.iter().enumerate().flat_map(|(at, a)| keyed.iter().skip(at + 1).map(move |b| (**a, **b)));
    pairs.filter(|(a, b)| a.1 == b.1 && a.0.overlaps(b.0)).collect()
}

#[test]
fn no_two_rows_want_one_key_at_one_time() {
    let found = clashes(LINES);
    assert!(found.is_empty(), "{found:?}");
    let planted =
        [(When::Screens, "u", Action::UndoDeed, ""), (When::On(ScreenId::Walk), "u", Action::DoStep, "")];
    assert_eq!(clashes(&planted).len(), 1, "the test would see it");
    let apart = [planted[1], (When::On(ScreenId::Kit), "u", Action::UndoDeed, "")];
    assert!(clashes(&apart).is_empty());
}

#[test]
fn every_line_of_the_table_is_a_row() {
    for (when, key, ..) in LINES {
        assert!(*key == "name" || Key::parse(key).is_some(), "{key} on {when:?} is no key");
    }
}

#[test]
fn every_action_has_a_row_and_help() {
    for action in Action::NAMED {
        assert!(LINES.iter().any(|(_, _, a, _)| a == action), "{} has no row", action.name());
        assert!(action.help().len() > 8, "{} has no help", action.name());
        assert_eq!(Action::from_name(action.name()), Some(*action), "{} is there twice", action.name());
        assert!(action.name().contains('-'), "{} is no verb-noun", action.name());
    }
}

#[test]
fn keys_print_as_they_are_read() {
    for text in ["enter", "a", "A", "ctrl-z", "f5", "shift-tab", "?", "space"] {
        let key = Key::parse(text).unwrap();
        assert_eq!(key.to_string().to_lowercase().replace(' ', "space"), text.to_lowercase(), "{key:?}");
    }
    assert_eq!(Key::parse("ctrl-"), None);
    assert_eq!(Key::parse("f99"), None);
    assert_eq!(Key::parse(""), None);
}

#[test]
fn hints_are_few_enough_to_read() {
    let map = Keymap::default();
    for screen in ScreenId::ALL {
        let n = map.hints(When::On(screen), |_| true).len();
        assert!((3..=14).contains(&n), "{} has {n} hints", screen.name());
    }
}

#[test]
fn own_rows_lie_over_the_shipped_ones() {
    let rows = [own("walk", "j", "move-down"), own("walk", "enter", "start-step")];
    let (map, refused) = Keymap::with_good_rows(&rows);
    assert!(refused.is_empty());
    let walk = When::On(ScreenId::Walk);
    assert_eq!(map.action(walk, Key::Char('j')), Some(Action::MoveDown));
    assert_eq!(map.action(walk, Key::Enter), Some(Action::StartStep));
    assert_eq!(map.action(When::On(ScreenId::Kit), Key::Char('j')), None);
    assert!(
        map.help(walk).iter().any(|(_, keys, _)| keys.split(' ').any(|k| k == "j")),
        "help comes from the same rows"
    );
}

#[test]
fn own_rows_that_are_wrong_are_refused_with_the_word() {
    for (row, word) in [
        (own("cellar", "j", "move-down"), "cellar"),
        (own("walk", "hyper-j", "move-down"), "hyper-j"),
        (own("walk", "j", "fly-away"), "fly-away"),
        (own("typing", "j", "close-popup"), "typing"),
    ] {
        let (_, refused) = Keymap::with_good_rows(std::slice::from_ref(&row));
        let (_, problem) = refused.first().unwrap();
        assert!(problem.what.contains(word) && !problem.hints.is_empty(), "{problem}");
    }
    let locked = [own("screens", "q", "show-help"), own("always", "ctrl-c", "show-help")];
    let (map, refused) = Keymap::with_good_rows(&locked);
    assert!(refused.last().unwrap().1.what.contains("quit-program"));
    assert_eq!(map, Keymap::default(), "none of them is taken");
}

#[test]
fn digits_go_to_the_screens_and_pick_in_pick_lists() {
    let mut stage = Stage::new(Fill::Normal);
    for (digit, screen) in ["1", "2", "3", "4", "5", "6", "7", "8", "9", "0"].iter().zip(ScreenId::ALL) {
        stage.keys(digit);
        assert_eq!(stage.state.screen, screen);
        stage.state.popups.clear();
    }
    stage.keys("2 p 4");
    assert_eq!(stage.state.screen, ScreenId::Walk);
    assert_eq!(stage.state.phase, Some(ladderday::domain::Phase::Down));
}

#[test]
fn help_lists_the_keys_of_the_screen_and_closes() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("7 ?").shows("Keys on Faults").shows("Logs a fault");
    stage.keys("esc").hides("Keys on Faults");
}

#[test]
fn the_command_list_shows_keys_and_runs_on_the_right_screen() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys(":").text("new-fault").shows("new-fault").shows("key n");
    stage.keys("enter");
    assert_eq!(stage.state.screen, ScreenId::Faults);
    stage.shows("What has the fault?");
}

#[test]
fn every_key_of_a_screen_acts_or_says_why_not() {
    for fill in [Fill::Empty, Fill::Normal] {
        for screen in ScreenId::ALL {
            for (_, key, ..) in LINES.iter().filter(|(w, k, ..)| *w == When::On(screen) && *k != "name") {
                let mut stage = Stage::new(fill);
                let at = ScreenId::ALL.iter().position(|s| *s == screen).unwrap();
                stage.keys(&((at + 1) % 10).to_string());
                stage.state.popups.clear();
                let before = stage.picture();
                stage.keys(key);
                let after = stage.picture();
                let left = stage.outcome != ladderday::tui::run::Outcome::Go;
                assert!(left || before != after, "{key} on {} does nothing in silence", screen.name());
            }
        }
    }
}

#[test]
fn a_key_without_use_says_so_everywhere() {
    for screen in 0..10 {
        let mut stage = Stage::new(Fill::Normal);
        stage.keys(&screen.to_string());
        stage.state.popups.clear();
        stage.keys("Z");
        assert!(stage.status().contains("Z does nothing"), "{}", stage.status());
    }
}
