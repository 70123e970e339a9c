//! What is read in a second: the marked row is one bar, what is next stands where it always stands, and no code takes the
//! room of the name that it repeats.

use ladderday::answers::view::ScreenId;
use ladderday::tui::look::Role;
use ladderday::tui::screens::hints;
use ladderday::tui::state::State;
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

/// The screens that say above what they list what is next; on Today and Walk it is the first row.
const NAMED: [(&str, &str); 8] = [
    ("3", "Yard"),
    ("4", "Plan"),
    ("5", "Kit"),
    ("6", "Power"),
    ("7", "Faults"),
    ("8", "Totes"),
    ("9", "Buy"),
    ("0", "Seasons"),
];

/// What each of these screens says is next, at both sizes, on days of a whole yard, of a balcony and of an empty yard.
fn nexts(mut look: impl FnMut(&str, &str, Option<&str>, &State)) {
    let (demo, balcony, empty) = (yards::demo(), yards::balcony(), yards::empty());
    let demos = DAYS.iter().map(|day| (&demo, *day));
    let bare = [(&balcony, "2026-10-10T10:00"), (&balcony, "2026-12-10T20:00"), (&empty, "2026-10-10T10:00")];
    for (yard, day) in demos.chain(bare) {
        let mut stage = Stage::of(yard.open(day), DAY);
        for (digit, name) in NAMED {
            stage.keys(digit);
            stage.state.popups.clear();
            for (wide, high) in SIZES {
                let text = lines(&stage.buffer(wide, high));
                // It begins its line; Yard's heading has the mark in its legend.
                let line = text.lines().skip(2).take(3).find_map(|l| l.trim_start().strip_prefix("▶ next"));
                look(day, name, line.map(str::trim), &stage.state);
            }
        }
    }
}

#[test]
fn every_screen_says_what_is_next() {
    let (mut said, mut missing) = (0, Vec::new());
    nexts(|day, name, line, _| match line {
        Some(_) => said += 1,
        None => missing.push(format!("{day} {name}")),
    });
    assert!(missing.is_empty(), "nothing is said to be next: {missing:#?}");
    assert_eq!(said, (DAYS.len() + 3) * NAMED.len() * SIZES.len());
}

#[test]
fn what_is_next_names_a_key_or_a_screen_that_does_it() {
    nexts(|day, name, line, state| {
        let Some(line) = line else { return };
        let (key, _) = line.split_once(": ").unwrap_or_else(|| panic!("{day} {name}: {line}"));
        let here = hints(state).iter().any(|(k, _)| k == key);
        let there = ScreenId::ALL.iter().any(|s| key.split_once(' ').is_some_and(|(_, n)| n == s.name()));
        // A date that comes by itself asks for no key.
        let date = state.screen == ScreenId::Seasons && key.ends_with(char::is_numeric);
        assert!(here || there || date, "{day} {name}: \"{key}\" is no key of \"{line}\"");
    });
}

#[test]
fn yard_begins_where_the_plan_first_comes_to_a_place() {
    let demo = yards::demo();
    let mut elsewhere = 0;
    for day in DAYS {
        let mut stage = Stage::of(demo.open(day), DAY);
        stage.keys("3");
        let page = stage.state.yard.page.clone().unwrap();
        let first = page.places.iter().find(|p| p.first).map(|p| p.code.clone());
        elsewhere += usize::from(first.is_none() && page.soonest.is_some());
        if let Some(code) = first.or(page.soonest) {
            assert_eq!(stage.state.yard.place().unwrap().code, code, "{day}");
        }
    }
    assert!(elsewhere > 0, "some days begin at the bench or the desk");
}

#[test]
fn power_says_names_for_codes_that_stand_on_no_label() {
    let demo = yards::demo();
    let app = demo.open("2026-11-14T10:20");
    let season = app.yard().seasons.iter().find(|s| s.code == "harbor-2026").unwrap().id;
    let props = app.yard().placements.iter().filter(|p| p.season_id == season).map(|p| p.code.clone());
    let leads = app.yard().links.iter().map(|l| l.code.clone());
    let codes: Vec<String> = props.chain(leads).collect();
    let mut stage = Stage::of(app, DAY);
    stage.keys("6");
    let page = stage.state.power.page.clone().unwrap();
    let said = page.findings.iter().flat_map(|f| {
        [f.place.clone(), f.what.clone(), f.remedy.clone(), f.value.to_string(), f.limit.to_string()]
    });
    let said: Vec<String> = said.chain(page.not_told).collect();
    assert!(said.len() > 20 && codes.len() > 60);
    for text in said {
        let words: Vec<&str> = text.split(|c: char| !c.is_alphanumeric() && c != '-').collect();
        let code = codes.iter().find(|c| words.contains(&c.as_str()));
        assert_eq!(code, None, "{text}");
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
