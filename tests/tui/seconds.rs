//! What is read in a second: the marked row is one bar, what is next stands where it always stands, and no code takes the
//! room of the name that it repeats.

use std::collections::BTreeMap;

use ladderday::answers::view::ScreenId;
use ladderday::tui::look::Role;
use ladderday::tui::screens::hints;
use ladderday::tui::widgets::canvas::Click;
use ladderday::tui::{Depth, Host, Look, Theme};

use super::fake::Fill;
use super::stage::{Stage, lines};
use super::yards;

const DAY: Look = Look { theme: Theme::Day, depth: Depth::True, ascii: false };
const SIZES: [(u16, u16); 2] = [(80, 24), (120, 40)];
/// Days of the demo that ask for different things.
const DAYS: [&str; 6] = [
    "2026-09-05T10:00",
    "2026-10-17T10:00",
    "2026-11-14T10:20",
    "2026-12-12T20:30",
    "2027-01-09T10:00",
    "2027-03-06T10:00",
];

/// The cells of the marked row of a list that stand out of its bar; nothing where it is one bar, or no row is marked.
fn holes<H: Host>(stage: &mut Stage<H>, (wide, high): (u16, u16)) -> Option<String> {
    stage.hits(wide, high);
    let buffer = stage.buffer(wide, high);
    let bar = stage.state.look.style(Role::Selected);
    let ground = |x: u16, y: u16| buffer.cell((x, y)).map(|c| (c.bg, c.modifier & bar.add_modifier));
    let rows = stage.state.hits.iter().filter(|(a, c)| matches!(c, Click::Row(_)) && a.width > 20);
    let marked =
        rows.map(|(a, _)| *a).find(|a| buffer.cell((a.x, a.y)).is_some_and(|c| c.symbol() == "›"))?;
    let first = ground(marked.x, marked.y);
    // How many rows are out of sight stands at the right end, apart from the row.
    let end = marked.right().saturating_sub(8);
    let out = (marked.x..end).find(|x| ground(*x, marked.y) != first)?;
    Some(format!("column {out}\n{}", lines(&buffer)))
}

#[test]
fn the_marked_row_is_one_bar_in_every_look() {
    let mut seen = 0;
    for theme in [Theme::Day, Theme::Night, Theme::Plain] {
        for depth in [Depth::True, Depth::Indexed, Depth::Sixteen] {
            let look = Look { theme, depth, ..DAY };
            for screen in ["1", "2", "3", "5", "6", "7", "8", "9", "0"] {
                for open in ["", "down", "end"] {
                    let mut stage = Stage::looking(Fill::Normal, look);
                    stage.keys(screen);
                    stage.state.popups.clear();
                    stage.keys(open);
                    for size in SIZES {
                        assert_eq!(holes(&mut stage, size), None, "{look:?} {screen} {open} {size:?}");
                        seen += 1;
                    }
                }
            }
        }
    }
    assert_eq!(seen, 3 * 3 * 9 * 3 * 2);
}

#[test]
fn what_is_next_names_a_key_or_a_screen_that_does_it() {
    let demo = yards::demo();
    let mut said: BTreeMap<&str, usize> = BTreeMap::new();
    for day in DAYS {
        let mut stage = Stage::of(demo.open(day), DAY);
        for digit in ["5", "8", "9", "0"] {
            stage.keys(digit);
            stage.state.popups.clear();
            for (wide, high) in SIZES {
                let text = lines(&stage.buffer(wide, high));
                let Some(line) = text.lines().skip(2).take(3).find_map(|l| l.split_once("▶ next")) else {
                    continue;
                };
                let line = line.1.trim();
                let (key, _) = line.split_once(": ").unwrap_or_else(|| panic!("{day} {digit}: {line}"));
                *said.entry(stage.state.screen.name()).or_default() += 1;
                let here = hints(&stage.state).iter().any(|(k, _)| k == key);
                let there =
                    ScreenId::ALL.iter().any(|s| key.split_once(' ').is_some_and(|(_, n)| n == s.name()));
                // A date that comes by itself asks for no key.
                let date = stage.state.screen == ScreenId::Seasons && key.ends_with(char::is_numeric);
                assert!(here || there || date, "{day}: \"{key}\" is no key of\n{text}");
            }
        }
    }
    for screen in ["Kit", "Totes", "Buy", "Seasons"] {
        assert!(said.get(screen).is_some_and(|n| *n >= 6), "{screen} says it: {said:?}");
    }
}

#[test]
fn a_code_that_repeats_the_name_takes_no_room_in_kit() {
    let yard = yards::balcony();
    let mut stage = Stage::of(yard.open("2026-10-10T10:00"), DAY);
    stage.keys("5");
    stage.state.popups.clear();
    let rows = stage.state.kit.page.as_ref().unwrap().rows.clone();
    let made = rows.iter().find(|r| r.name == "paper star").unwrap();
    assert_eq!((made.code.as_str(), made.own_code()), ("PAPER-STAR-26", ""));
    let list: String = stage.picture().lines().take(10).collect();
    assert!(list.contains("paper star") && !list.contains(&made.code), "{list}");
    // What was typed is found by its code all the same, and its page says it.
    stage.keys("/").text(&made.code).keys("enter").shows(&made.code);
}
