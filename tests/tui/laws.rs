//! Laws of every picture: what is cut is cut for want of room, no two rows are alike, the marked row is named whole,
//! and the line of keys is complete.

use std::collections::BTreeMap;
use std::ops::Range;

use ladderday::answers::view::ScreenId;
use ladderday::tui::look::{Role, Tint};
use ladderday::tui::screens::{copied, hints};
use ladderday::tui::widgets::canvas::Click;
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

/// The blank cells beside a text that was cut, where there are three or more in its part of the row.
fn cut_beside_blank(row: &str) -> Option<Range<usize>> {
    let mut begin = 0;
    for pane in panes(row) {
        let letters: Vec<char> = pane.trim_end().chars().collect();
        for (at, _) in letters.iter().enumerate().filter(|(_, c)| **c == '…') {
            let blank = letters.iter().skip(at + 1).take_while(|c| **c == ' ').count();
            if letters.len() > at + 1 + blank && blank >= 3 {
                return Some(begin + at + 1..begin + at + 1 + blank);
            }
            // Before it: from the last gap of three blanks on, where something stands before that gap.
            let gap = (0..at.saturating_sub(2)).rev().find(|n| letters[*n..*n + 3].iter().all(|c| *c == ' '));
            if let Some(end) = gap.filter(|g| letters[..*g].iter().any(|c| *c != ' ')) {
                let from = letters[..end].iter().rposition(|c| *c != ' ').map_or(0, |n| n + 1);
                return Some(begin + from..begin + end + 3);
            }
        }
        begin += pane.chars().count() + 1;
    }
    None
}

/// A column stays where it is for all rows: what is blank in one row is no room while another row writes there.
fn column_of_others(picture: &str, row: usize, blank: &Range<usize>) -> bool {
    let writes = |line: &str| line.chars().skip(blank.start).take(blank.len()).any(|c| c != ' ');
    picture.lines().enumerate().any(|(n, line)| n != row && n.abs_diff(row) < 60 && writes(line))
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
    let list = "abc…     def\nabcd chip x";
    assert!(column_of_others(list, 0, &(4..9)) && !column_of_others("abc…     def\nabcd", 0, &(4..9)));
    let mut broken = BTreeMap::new();
    for fill in [Fill::Empty, Fill::Normal, Fill::Overfull] {
        visit(fill, DAY, |name, stage| {
            for (wide, high) in SIZES {
                let picture = lines(&stage.buffer(wide, high));
                // What stands around the lists is no column of theirs.
                let body: Vec<&str> = picture.lines().skip(3).collect();
                let body = body[..body.len().saturating_sub(2)].join("\n");
                for (at, row) in body.lines().enumerate() {
                    // A bar has the room of its hours: what is blank beside it are other hours.
                    let month = name.contains("\"tab");
                    let bars =
                        stage.state.screen == ScreenId::Plan && (month || row.contains(['✓', '▶', '▲', '│']));
                    let found = cut_beside_blank(row).filter(|blank| !column_of_others(&body, at, blank));
                    // A column is as wide as all rows of its list want it, those out of sight too.
                    let unseen = body.contains(['↑', '↓']);
                    if found.is_some() && !bars && !unseen {
                        broken.entry(format!("{name} {wide}x{high}")).or_insert(row.to_owned());
                    }
                }
            }
        });
    }
    assert!(broken.is_empty(), "{broken:#?}");
}

#[test]
fn columns_of_a_list_start_at_the_same_cell_in_all_its_rows() {
    let chips: Vec<_> = Tint::ALL.iter().filter_map(|t| DAY.style(Role::Chip(*t)).bg).collect();
    let mut seen = 0;
    for fill in [Fill::Normal, Fill::Overfull] {
        visit(fill, DAY, |name, stage| {
            for (wide, high) in SIZES {
                stage.hits(wide, high);
                let buffer = stage.buffer(wide, high);
                // Of each list the cells at which chips begin, row by row.
                let mut lists: BTreeMap<(u16, u16), Vec<Vec<u16>>> = BTreeMap::new();
                for (area, _) in
                    stage.state.hits.iter().filter(|(a, c)| matches!(c, Click::Row(_)) && a.width > 20)
                {
                    let chip = |x: u16| buffer.cell((x, area.y)).is_some_and(|c| chips.contains(&c.bg));
                    let begins =
                        (area.x..area.right()).filter(|x| chip(*x) && (*x == area.x || !chip(x - 1)));
                    lists.entry((area.x, area.width)).or_default().push(begins.collect());
                }
                for rows in lists.values() {
                    let most = rows.iter().max_by_key(|r| r.len()).cloned().unwrap_or_default();
                    seen += usize::from(!most.is_empty());
                    let stands = rows.iter().all(|r| r.iter().all(|x| most.contains(x)));
                    assert!(stands, "{name} {wide}x{high}: {rows:?}\n{}", lines(&buffer));
                }
            }
        });
    }
    assert!(seen > 50, "only {seen} lists had chips");
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
        for (key, word) in hints(&stage.state) {
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
