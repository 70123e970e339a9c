//! Every screen in every look, size and fill: no panic, no hostile text, what fits fits.

use ladderday::answers::view::ScreenId;
use ladderday::tui::keymap::Key;
use ladderday::tui::{Depth, Look, Theme};
use proptest::prelude::*;
use ratatui::buffer::Buffer;

use super::fake::Fill;
use super::stage::{Stage, lines};

/// Keys that open everything there is on a screen, after its digit.
const OPENED: [&str; 14] =
    ["", "?", ":", "tab", "tab tab", "/", "down down", "end", "b", "enter", "n", "f 1", "p", "c"];

/// Looks at every screen with everything open in it, at 80x24 and 120x40.
pub(super) fn visit(look: Look, fills: &[Fill], mut see: impl FnMut(&str, &Buffer)) {
    for fill in fills {
        for digit in 0..10 {
            for open in OPENED {
                let mut stage = Stage::looking(*fill, look);
                stage.keys(&digit.to_string());
                stage.state.popups.clear();
                stage.keys(open);
                for (wide, high) in [(80, 24), (120, 40)] {
                    let name = format!("{fill:?} {} \"{open}\" {wide}x{high}", stage.state.screen.name());
                    see(&name, &stage.buffer(wide, high));
                }
            }
        }
    }
}

const LOOKS: [Look; 4] = [
    Look { theme: Theme::Day, depth: Depth::True, ascii: false },
    Look { theme: Theme::Night, depth: Depth::Indexed, ascii: false },
    Look { theme: Theme::Plain, depth: Depth::Sixteen, ascii: false },
    Look { theme: Theme::Day, depth: Depth::Sixteen, ascii: true },
];

#[test]
fn every_screen_in_four_looks_names_itself_and_its_keys() {
    for look in LOOKS {
        visit(look, &[Fill::Empty, Fill::Normal, Fill::Overfull], |name, buffer| {
            let text = lines(buffer);
            let head = text.lines().next().unwrap_or_default();
            assert!(
                ScreenId::ALL.iter().any(|s| head.starts_with(&format!(" {}", s.name()))),
                "{name}: {head}"
            );
            assert!(text.lines().count() > 20, "{name} is blank");
            for cell in &buffer.content {
                let hostile = |c: char| {
                    c.is_control()
                        || matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
                };
                assert!(!cell.symbol().chars().any(hostile), "{name}: {:?}", cell.symbol());
                assert!(!look.ascii || cell.symbol().is_ascii(), "{name}: {:?} is not ASCII", cell.symbol());
            }
        });
    }
}

#[test]
fn too_small_says_what_is_needed() {
    let mut stage = Stage::new(Fill::Normal);
    let text = lines(&stage.buffer(79, 24));
    assert!(text.contains("needs 80x24, is 79x24"), "{text}");
    assert_eq!(text.lines().filter(|l| !l.trim().is_empty()).count(), 1);
    assert!(lines(&stage.buffer(80, 23)).contains("needs 80x24, is 80x23"));
}

#[test]
fn no_size_panics() {
    for fill in [Fill::Empty, Fill::Overfull] {
        for digit in 0..10 {
            let mut stage = Stage::new(fill);
            stage.keys(&digit.to_string());
            for wide in (1..=300).step_by(11) {
                for high in [1, 2, 5, 23, 24, 25, 31, 44, 60, 100] {
                    stage.buffer(wide, high);
                }
            }
        }
    }
    // Every size there is around the least one; coarser above.
    for open in ["1", "2 esc", "3", "4", "5"] {
        let mut stage = Stage::new(Fill::Overfull);
        stage.keys(open);
        for wide in (1..=90).chain((93..=200).step_by(9)) {
            for high in (1..=30).chain((33..=60).step_by(5)) {
                stage.buffer(wide, high);
            }
        }
    }
}

#[test]
fn below_the_least_size_one_line_in_the_middle_names_both_sizes() {
    let mut stage = Stage::new(Fill::Normal);
    for wide in 1..=90_u16 {
        for high in 1..=30_u16 {
            if wide >= 80 && high >= 24 {
                continue;
            }
            let told = format!("needs 80x24, is {wide}x{high}");
            let text = lines(&stage.buffer(wide, high));
            let filled: Vec<_> = text.lines().enumerate().filter(|(_, l)| !l.trim().is_empty()).collect();
            let [(row, line)] = filled.as_slice() else { panic!("{wide}x{high} shows\n{text}") };
            assert_eq!(*row, usize::from(high / 2), "{wide}x{high}");
            if usize::from(wide) < told.len() {
                continue;
            }
            assert_eq!(line.trim(), told);
            let before = line.len() - told.len();
            assert_eq!(before, (usize::from(wide) - told.len()) / 2, "{wide}x{high}");
        }
    }
}

#[test]
fn overfull_lists_say_how_much_is_out_of_sight() {
    let mut stage = Stage::new(Fill::Overfull);
    for digit in ["1", "2", "4", "6 tab", "7", "8", "9", "0"] {
        stage.keys(digit);
        stage.state.popups.clear();
        stage.shows("↓");
        stage.keys("end");
    }
}

fn any_key() -> impl Strategy<Value = Key> {
    prop_oneof![
        6 => prop::char::range(' ', '~').prop_map(Key::Char),
        3 => prop::sample::select(vec![
            Key::Enter, Key::Esc, Key::Back, Key::Tab, Key::BackTab, Key::Up, Key::Down, Key::Left, Key::Right,
            Key::Home, Key::End, Key::PageUp, Key::PageDown, Key::Delete, Key::F(5), Key::Ctrl('u'), Key::Ctrl('x'),
        ]),
        1 => any::<char>().prop_map(Key::Char),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn no_keys_panic_at_any_size(
        keys in prop::collection::vec((any_key(), 0u64..400), 0..60),
        wide in 1u16..=300,
        high in 1u16..=100,
        look in 0usize..4,
        fill in prop::sample::select(vec![Fill::Empty, Fill::Normal, Fill::Overfull]),
    ) {
        let mut stage = Stage::looking(fill, LOOKS[look]);
        for (key, after) in keys {
            stage.key(key, after);
        }
        stage.buffer(wide, high);
        stage.buffer(80, 24);
    }
}

#[test]
fn pictures_of_the_main_screens() {
    insta::with_settings!({ snapshot_path => "../fixtures/tui", prepend_module_to_snapshot => false }, {
        let mut stage = Stage::new(Fill::Normal);
        insta::assert_snapshot!("today", stage.picture());
        stage.keys("2 esc enter");
        insta::assert_snapshot!("walk", stage.picture());
        stage.keys("down down down b");
        insta::assert_snapshot!("walk_big", stage.picture());
        stage.keys("4");
        insta::assert_snapshot!("plan", stage.picture());
    });
}
