//! Laws of every picture: what is cut is cut for want of room, no two rows are alike, the marked row is named whole,
//! and the line of keys is complete.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use ladderday::answers::view::ScreenId;
use ladderday::app::App;
use ladderday::tui::look::{Role, Tint};
use ladderday::tui::screens::plan::Part;
use ladderday::tui::screens::{buy, copied, hints, power, seasons};
use ladderday::tui::state::State;
use ladderday::tui::widgets::canvas::Click;
use ladderday::tui::widgets::text::{clean, width};
use ladderday::tui::{Depth, Host, Look, Theme};
use ratatui::buffer::Cell;
use ratatui::layout::Rect;
use ratatui::style::Color;

use super::contrast::{least, luminance, shown};
use super::fake::Fill;
use super::stage::{Stage, lines};
use super::yards;

const DAY: Look = Look { theme: Theme::Day, depth: Depth::True, ascii: false };
/// Rows in which no list scrolls.
const TALL: u16 = 700;
const SIZES: [(u16, u16); 4] = [(80, 24), (100, 30), (120, 40), (200, 60)];
/// The sizes at which pages stand below and beside their lists.
const ENDS: [(u16, u16); 2] = [(80, 24), (120, 40)];

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
    picture.lines().enumerate().any(|(n, line)| n != row && writes(line))
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

/// A row of the picture whose text is cut beside room; nothing where the law holds.
///
/// What scrolls is looked at where all its rows show: there its columns are the same.
fn cut_for_nothing<H: Host>(stage: &mut Stage<H>, (wide, high): (u16, u16)) -> Option<String> {
    let bars = |state: &State, row: &str| match (state.screen, state.plan.part) {
        // A bar has the room of its hours: what is blank beside it are other hours.
        (ScreenId::Plan, Part::Days) => row.contains(['✓', '▶', '▲', '│', '✗']),
        (ScreenId::Plan, Part::Month) => true,
        _ => false,
    };
    let mut text = lines(&stage.buffer(wide, high));
    if text.contains(['↑', '↓']) && stage.state.popups.is_empty() {
        text = lines(&stage.buffer(wide, TALL));
    }
    // What stands around the lists is no column of theirs.
    let body: Vec<&str> = text.lines().skip(3).collect();
    let body = body[..body.len().saturating_sub(2)].join("\n");
    let found = body.lines().enumerate().find(|(at, row)| {
        let blank = cut_beside_blank(row).filter(|blank| !column_of_others(&body, *at, blank));
        blank.is_some() && !bars(&stage.state, row)
    });
    found.map(|(_, row)| row.to_owned())
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
            for size in SIZES {
                if let Some(row) = cut_for_nothing(stage, size) {
                    broken.entry(format!("{name} {size:?}")).or_insert(row);
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
                    // Behind a text that would be cut a chip stands later: names are whole before columns are straight.
                    let straight = rows.iter().filter(|r| r.iter().all(|x| most.contains(x))).count();
                    let stands = 2 * straight >= rows.len() || fill == Fill::Overfull;
                    assert!(stands, "{name} {wide}x{high}: {rows:?}\n{}", lines(&buffer));
                }
            }
        });
    }
    assert!(seen > 50, "only {seen} lists had chips");
}

/// Two rows of a list that say the same; nothing where all differ.
fn alike<H: Host>(stage: &mut Stage<H>, (wide, high): (u16, u16)) -> Option<String> {
    stage.hits(wide, high);
    let buffer = stage.buffer(wide, high);
    let says = |area: &Rect| -> String {
        let cells = (area.x..area.right()).filter_map(|x| buffer.cell((x, area.y)));
        cells.map(ratatui::buffer::Cell::symbol).collect()
    };
    let rows = stage.state.hits.iter().filter(|(a, c)| matches!(c, Click::Row(_)) && a.width > 20);
    let mut said = BTreeSet::new();
    rows.map(|(area, _)| says(area).replace('›', " ")).find(|row| !said.insert(row.clone()))
}

#[test]
fn no_two_rows_are_alike() {
    visit(Fill::Normal, DAY, |name, stage| {
        for size in SIZES {
            assert_eq!(alike(stage, size), None, "{name} {size:?}");
        }
    });
}

/// The name of the marked row; nothing on parts without one.
fn marked(state: &State) -> Option<String> {
    let name = match state.screen {
        ScreenId::Today => state.today.words().map(|(short, _)| short),
        ScreenId::Walk => state.walk.step().map(|s| s.prop.clone()),
        ScreenId::Yard => state.yard.place().map(|p| p.name.clone()),
        ScreenId::Plan if state.plan.part == Part::Days => state.plan.step().map(|(_, s)| s.prop.clone()),
        ScreenId::Kit => state.kit.row().map(|r| r.name.clone()),
        ScreenId::Power if state.power.part == power::Part::Findings => {
            state.power.page.as_ref().and_then(|p| p.findings.get(state.power.at)).map(|f| f.what.clone())
        }
        ScreenId::Power => {
            power::copied(state).map(|(_, words)| words.split(": ").next().unwrap_or_default().to_owned())
        }
        ScreenId::Faults => state.faults.row().map(|r| r.target.clone()),
        ScreenId::Totes => state.totes.row().map(|r| r.name.clone()),
        ScreenId::Buy if state.buy.part == buy::Part::Needs => {
            let need = state.buy.page.as_ref().zip(state.buy.list.marked());
            need.and_then(|(p, n)| p.needs.get(n)).map(|n| n.title.clone())
        }
        ScreenId::Seasons => {
            let (page, at) = (state.seasons.page.as_ref(), state.seasons.at);
            match state.seasons.part {
                seasons::Part::Dates => page.and_then(|p| p.dates.rows.get(at)).map(|r| r.title.clone()),
                seasons::Part::Durations => page
                    .and_then(|p| p.durations.get(at))
                    .map(|r| r.0.split_once(": ").map_or(r.0.clone(), |n| n.1.to_owned())),
                _ => state.seasons.row().map(|r| r.name.clone()),
            }
        }
        _ => None,
    };
    name.filter(|n| !n.is_empty())
}

/// The name of the marked row and the picture where it is not whole in it.
fn unnamed<H: Host>(stage: &mut Stage<H>, (wide, high): (u16, u16)) -> Option<String> {
    let name = marked(&stage.state)?;
    let text = lines(&stage.buffer(wide, high));
    // A wide letter has an empty cell behind it, and beside a list the lines of a name have other text between them: so
    // it is looked for word by word, without blanks; a word longer than the page of a row is broken there.
    let all: String = text.split_whitespace().collect();
    let whole = clean(&name).split_whitespace().all(|word| width(word) > 38 || all.contains(word));
    (!whole).then(|| format!("\"{name}\" is not whole in\n{text}"))
}

#[test]
fn the_marked_row_is_named_whole() {
    for fill in [Fill::Normal, Fill::Overfull] {
        visit(fill, DAY, |name, stage| {
            assert!(marked(&stage.state).is_none() || copied(&stage.state, true).is_some(), "{name}");
            for size in SIZES {
                assert_eq!(unnamed(stage, size), None, "{name} {size:?}");
            }
        });
    }
}

/// What is missing in the line of keys; nothing where it is complete.
fn keys_missing<H: Host>(stage: &mut Stage<H>) -> Option<String> {
    let text = lines(&stage.buffer(80, 24));
    let line = text.lines().nth(22).unwrap_or_default().to_owned();
    let missing =
        hints(&stage.state).into_iter().find(|(key, word)| !line.contains(&format!("{key} {word}")));
    let whole = line.ends_with("? keys") && !line.contains('…') && width(&line) <= 80;
    missing.map(|(key, word)| format!("\"{key} {word}\" is not in\n{line}")).or((!whole).then_some(line))
}

#[test]
fn the_line_of_keys_is_complete() {
    for fill in [Fill::Empty, Fill::Normal] {
        for digit in 0..10 {
            let mut stage = Stage::looking(fill, DAY);
            stage.keys(&digit.to_string());
            stage.state.popups.clear();
            assert_eq!(keys_missing(&mut stage), None, "{}", stage.state.screen.name());
        }
    }
}

/// What a picture is not in another look: read in the sun, read at night with nothing brighter than amber, without colour,
/// in ASCII alone; nothing where all hold.
fn in_other_looks<H: Host>(stage: &mut Stage<H>, (wide, high): (u16, u16)) -> Option<String> {
    let looks = [
        (DAY, 7.0),
        (Look { theme: Theme::Night, ..DAY }, 4.5),
        (Look { theme: Theme::Plain, ..DAY }, 0.0),
        (Look { ascii: true, ..DAY }, 7.0),
    ];
    let mut found = None;
    for (look, most) in looks {
        stage.state.look = look;
        let buffer = stage.buffer(wide, high);
        let plain = |c: &Cell| c.fg == Color::Reset && c.bg == Color::Reset;
        if look.theme == Theme::Plain {
            found = found.or(buffer.content.iter().find(|c| !plain(c)).map(|c| format!("coloured: {c:?}")));
            continue;
        }
        let (ratio, what) = least(&buffer, 0.0);
        found = found.or((ratio < most).then(|| format!("{ratio:.1} {what}")));
        // Behind a wide letter stands a cell of no colour.
        let light = |colour: Color| if colour == Color::Reset { 0.0 } else { luminance(shown(colour)) };
        let amber = |c: &&Cell| light(c.fg).max(light(c.bg)) > luminance(0xFF_B000) + 1e-9;
        let bright = buffer.content.iter().find(|c| look.theme == Theme::Night && amber(c));
        found = found.or(bright.map(|c| format!("brighter than amber: {c:?}")));
        let odd = buffer.content.iter().find(|c| look.ascii && !c.symbol().is_ascii());
        found = found.or(odd.map(|c| format!("not ASCII: {}", c.symbol())));
    }
    stage.state.look = DAY;
    found
}

#[test]
fn another_look_that_breaks_its_law_would_be_seen() {
    let mut stage = Stage::looking(Fill::Normal, DAY);
    assert_eq!(in_other_looks(&mut stage, (80, 24)), None);
    // A letter that has no ASCII stand-in shows as "?", so ASCII holds; grey on white would not.
    let mut buffer = stage.buffer(80, 24);
    buffer[(3, 3)].set_symbol("x").set_fg(Color::Rgb(0x90, 0x90, 0x90));
    assert!(least(&buffer, 0.0).0 < 7.0);
}

/// Every law on every screen of a program, with what is broken by where it is.
fn all_laws(name: &str, app: App, sizes: &[(u16, u16)]) -> BTreeMap<String, String> {
    let mut stage = Stage::of(app, DAY);
    let mut broken = BTreeMap::new();
    for digit in 0..10 {
        for open in ["", "tab", "tab", "tab", "tab", "home down down", "end", "home"] {
            stage.keys(&digit.to_string());
            stage.state.popups.clear();
            stage.keys(open);
            stage.state.popups.clear();
            stage.state.status = None;
            let here = format!("{name} {} \"{open}\"", stage.state.screen.name());
            for size in sizes.iter().copied() {
                for (law, found) in [
                    ("cut", cut_for_nothing(&mut stage, size)),
                    ("alike", alike(&mut stage, size)),
                    ("not named", unnamed(&mut stage, size)),
                ] {
                    let place = || format!("{here} {size:?} {law}");
                    broken.extend(found.map(|row| (place(), row)));
                }
            }
            broken.extend(keys_missing(&mut stage).map(|line| (format!("{here} keys"), line)));
            for size in ENDS {
                broken.extend(
                    in_other_looks(&mut stage, size).map(|what| (format!("{here} {size:?} look"), what)),
                );
            }
        }
        // Whatever is open, at whatever size: no panic, and four corners where there is a frame.
        for open in ["?", ":", "+", "/", "e", "enter"] {
            // In Walk it ticks.
            if (digit, open) == (2, "enter") {
                continue;
            }
            stage.keys(&digit.to_string());
            stage.state.popups.clear();
            stage.keys(open);
            for (wide, high) in
                [(1, 1), (2, 3), (40, 12), (79, 24), (80, 24), (81, 25), (133, 37), (300, 100)]
            {
                let text = lines(&stage.buffer(wide, high));
                let count = |c: char| text.chars().filter(|x| *x == c).count();
                let whole = stage.state.screen == ScreenId::Yard || count('┌') == count('┐');
                if !whole {
                    broken.insert(format!("{name} {digit} \"{open}\" {wide}x{high} frame"), text);
                }
            }
            stage.state.popups.clear();
            stage.keys("esc");
        }
    }
    broken
}

#[test]
fn the_laws_hold_on_the_demo_before_its_shows() {
    let yard = yards::demo();
    for now in &YEAR[..2] {
        let broken = all_laws(now, yard.open(now), &SIZES);
        assert!(broken.is_empty(), "{broken:#?}");
    }
}

#[test]
fn the_laws_hold_on_the_demo_while_it_is_lit_and_after() {
    let yard = yards::demo();
    for now in &YEAR[2..] {
        let broken = all_laws(now, yard.open(now), &ENDS);
        assert!(broken.is_empty(), "{broken:#?}");
    }
}

#[test]
fn the_laws_hold_on_yards_at_random() {
    let times = ["2026-10-03T08:00", "2026-11-20T19:00", "2026-12-12T17:30"];
    for (seed, now) in (0..).zip(times) {
        let yard = yards::random(seed);
        let broken = all_laws(&format!("seed {seed} {now}"), yard.open(now), &ENDS);
        assert!(broken.is_empty(), "{broken:#?}");
    }
}

/// Six months of a year: before both shows, between them, lit, after, and the quiet summer.
const YEAR: [&str; 6] = [
    "2026-09-20T10:00",
    "2026-10-15T18:05",
    "2026-11-29T17:30",
    "2026-12-20T18:05",
    "2027-01-10T10:00",
    "2027-07-10T10:00",
];

#[test]
fn the_laws_hold_on_an_empty_yard_on_a_balcony_and_on_a_farm_all_year() {
    for (name, yard) in [("empty", yards::empty()), ("balcony", yards::balcony()), ("farm", yards::farm())] {
        for now in YEAR {
            let broken = all_laws(&format!("{name} {now}"), yard.open(now), &ENDS);
            assert!(broken.is_empty(), "{broken:#?}");
        }
    }
}

/// What each screen says is next, in what month ever: a chip of what is due, open or to be done now, or words in bold.
#[test]
fn every_screen_of_the_demo_says_what_is_next_or_that_nothing_is() {
    let yard = yards::demo();
    for now in ["2026-09-20T10:00", "2026-11-29T17:30", "2027-01-10T10:00", "2027-07-10T10:00"] {
        let mut stage = Stage::of(yard.open(now), DAY);
        for (digit, says) in
            [(2, ["○", "no show is ahead"]), (3, ["▶ next", "No step"]), (4, ["▶ next", "nothing"])]
        {
            stage.keys(&digit.to_string());
            stage.state.popups.clear();
            let text = lines(&stage.buffer(80, 24));
            assert!(says.iter().any(|word| text.contains(word)), "{now} {digit}\n{text}");
        }
    }
}

#[test]
fn while_takedown_is_open_and_no_show_is_ahead_walk_yard_and_plan_show_it() {
    let yard = yards::demo();
    let mut stage = Stage::of(yard.open("2027-07-10T10:00"), DAY);
    stage.shows("takedown left");
    for (digit, says) in [(2, "DOWN"), (3, "▶ next"), (4, "Was lit until")] {
        stage.keys(&digit.to_string());
        stage.state.popups.clear();
        stage.shows(says).hides("no show is ahead");
    }
    // While it is lit Walk has the round, and Plan the takedown that comes after it.
    let mut stage = Stage::of(yard.open("2026-12-20T18:05"), DAY);
    stage.keys("2").shows("TONIGHT").keys("4").shows("DOWN").shows("of tonight's round").shows("▶ next");
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
