//! Laws of every picture: what is cut is cut for want of room, no two rows are alike, the marked row is named whole,
//! and the line of keys is complete.

use std::collections::BTreeMap;

use ladderday::answers::view::ScreenId;
use ladderday::tui::screens::copied;
use ladderday::tui::widgets::text::{clean, width};
use ladderday::tui::{Depth, Look, Theme};

use super::fake::Fill;
use super::stage::{Stage, lines};

const DAY: Look = Look { theme: Theme::Day, depth: Depth::True, ascii: false };
const SIZES: [(u16, u16); 4] = [(80, 24), (100, 30), (120, 40), (200, 60)];

/// Parts of a row between the lines that part panes.
fn panes(row: &str) -> impl Iterator<Item = &str> {
    row.split(['│', '┃'])
}

/// Text that was cut although three or more cells beside it are blank.
fn cut_beside_blank(row: &str) -> Option<String> {
    for pane in panes(row) {
        let pane = pane.trim_end();
        let letters: Vec<char> = pane.chars().collect();
        for (at, _) in letters.iter().enumerate().filter(|(_, c)| **c == '…') {
            let blank = letters.iter().skip(at + 1).take_while(|c| **c == ' ').count();
            let goes_on = letters.len() > at + 1 + blank;
            // Before it: from the last gap of three blanks on, where something stands before that gap.
            let before: String = letters.iter().take(at).collect();
            let gap = before.rfind("   ").is_some_and(|g| !before.get(..g).unwrap_or("").trim().is_empty());
            if (goes_on && blank >= 3) || gap {
                return Some(pane.to_owned());
            }
        }
    }
    None
}

/// Every screen as it is met: its parts, with the mark moved on.
fn visit(fill: Fill, look: Look, mut see: impl FnMut(&str, &mut Stage)) {
    for digit in 0..10 {
        for open in
            ["", "tab", "tab tab", "tab tab tab", "down down", "down down down down down", "end", "v", "g"]
        {
            let mut stage = Stage::looking(fill, look);
            stage.keys(&digit.to_string());
            stage.state.popups.clear();
            stage.keys(open);
            stage.state.popups.clear();
            stage.state.status = None;
            let name = format!("{fill:?} {} \"{open}\"", stage.state.screen.name());
            see(&name, &mut stage);
        }
    }
}

#[test]
fn text_is_cut_only_where_its_row_is_full() {
    assert!(cut_beside_blank("abc…     def").is_some(), "the law would see it");
    assert!(cut_beside_blank("abc     def…").is_some());
    assert!(cut_beside_blank("  abc…  def │      x").is_none());
    let mut broken = BTreeMap::new();
    for fill in [Fill::Empty, Fill::Normal, Fill::Overfull] {
        visit(fill, DAY, |name, stage| {
            for (wide, high) in SIZES {
                for row in lines(&stage.buffer(wide, high)).lines() {
                    // A bar has the room of its hours: what is blank beside it are other hours.
                    let month = name.contains("\"tab");
                    let bars =
                        stage.state.screen == ScreenId::Plan && (month || row.contains(['✓', '▶', '▲', '│']));
                    if let Some(found) = cut_beside_blank(row).filter(|_| !bars) {
                        broken.entry(format!("{name} {wide}x{high}")).or_insert(found);
                    }
                }
            }
        });
    }
    assert!(broken.is_empty(), "{broken:#?}");
}

#[test]
fn no_two_rows_are_alike() {
    visit(Fill::Normal, DAY, |name, stage| {
        for (wide, high) in SIZES {
            let text = lines(&stage.buffer(wide, high));
            let rows: Vec<&str> = text.lines().skip(2).collect();
            for (at, row) in rows.iter().enumerate() {
                // Two days of the same hours have the same light, and two days may go on with the same work.
                let says = row.chars().filter(|c| c.is_alphanumeric()).count() > 6
                    && !row.starts_with(" light ")
                    && !row.starts_with("   up: ");
                assert!(!says || !rows.iter().skip(at + 1).any(|r| r == row), "{name}: twice\n{row}\n{text}");
            }
        }
    });
}

#[test]
fn the_marked_row_is_named_whole() {
    for fill in [Fill::Normal, Fill::Overfull] {
        visit(fill, DAY, |name, stage| {
            let screen = stage.state.screen;
            // Parts without a mark, and those whose mark is a session or a string.
            if matches!(screen, ScreenId::Today | ScreenId::Buy | ScreenId::Power | ScreenId::Seasons) {
                return;
            }
            let named = match screen {
                ScreenId::Walk => stage.state.walk.step().map(|s| s.prop.clone()),
                ScreenId::Yard => stage.state.yard.place().map(|p| p.name.clone()),
                ScreenId::Plan if name.contains("tab") => None,
                ScreenId::Plan => stage.state.plan.step().map(|(_, s)| s.prop.clone()),
                ScreenId::Kit => stage.state.kit.row().map(|r| r.name.clone()),
                ScreenId::Faults => stage.state.faults.row().map(|r| r.target.clone()),
                _ => stage.state.totes.row().map(|r| r.name.clone()),
            };
            let Some(named) = named.filter(|n| !n.is_empty()) else { return };
            assert!(copied(&stage.state, true).is_some(), "{name}");
            for (wide, high) in SIZES {
                let buffer = stage.buffer(wide, high);
                // A wide letter has an empty cell behind it, and beside a list the lines of a name have other text
                // between them: so it is looked for word by word, without blanks.
                let text: String = lines(&buffer).split_whitespace().collect();
                let whole = clean(&named).split_whitespace().all(|word| text.contains(word));
                assert!(whole, "{name} {wide}x{high}: \"{named}\" is not whole in\n{}", lines(&buffer));
            }
        });
    }
}

#[test]
fn the_line_of_keys_is_complete() {
    for digit in 0..10 {
        let mut stage = Stage::looking(Fill::Normal, DAY);
        stage.keys(&digit.to_string());
        stage.state.popups.clear();
        let text = lines(&stage.buffer(80, 24));
        let line = text.lines().nth(22).unwrap_or_default().to_owned();
        for (key, word) in stage.state.keymap.hints(stage.state.mode()) {
            let said = format!("{key} {word}");
            assert!(line.contains(&said), "{}: \"{said}\" is not in\n{line}", stage.state.screen.name());
        }
        assert!(line.ends_with("? keys"), "{line}");
        assert!(!line.contains('…') && width(&line) <= 80, "{line}");
    }
}

#[test]
fn at_night_the_dark_hours_are_not_the_brightest() {
    let mut stage = Stage::looking(Fill::Normal, Look { theme: Theme::Night, ..DAY });
    stage.keys("4 end");
    let buffer = stage.buffer(120, 40);
    let text = lines(&buffer);
    assert!(text.contains("dark"), "{text}");
    for line in text.lines().filter(|l| l.contains("light ")) {
        assert!(!line.contains('█'), "{line}");
    }
}
