//! Names of two hundred letters, wide and combining ones, five thousand rows: no panic, no broken frame.

use std::collections::BTreeSet;

use ladderday::answers::view::ScreenId;
use ladderday::tui::keymap::{LINES, When};
use ladderday::tui::popup::Popup;

use super::fake::Fill;
use super::stage::{Stage, lines};

const NAMES: [&str; 4] = ["漢字の長い名前", "e\u{301}a\u{308}o\u{302}", "a name without end ", "🎄🏠"];

fn name(n: usize) -> String {
    NAMES[n % NAMES.len()].chars().cycle().take(200).collect()
}

/// Every list as long and every name as bad as can be.
fn spoiled() -> Stage {
    let mut stage = Stage::new(Fill::Overfull);
    for digit in ["1", "2", "3", "4", "5", "6", "7", "8", "9", "0"] {
        stage.keys(digit);
        stage.state.popups.clear();
    }
    let s = &mut stage.state;
    let mut kit = s.kit.page.clone().unwrap();
    let row = kit.rows[0].clone();
    kit.rows = (0..5_000)
        .map(|n| {
            let mut row = row.clone();
            (row.code, row.name, row.home) = (format!("K-{n}"), name(n), name(n + 1));
            row
        })
        .collect();
    s.kit.set(kit);
    let mut walk = s.walk.page.clone().unwrap();
    for (n, step) in walk.places.iter_mut().flat_map(|p| &mut p.steps).enumerate() {
        (step.prop, step.title, step.deed) = (name(n), name(n + 1), name(n + 2));
        step.people = vec![name(n), name(n + 1)];
    }
    s.walk.set(walk);
    let mut yard = s.yard.page.clone().unwrap();
    for (n, place) in yard.places.iter_mut().enumerate() {
        (place.name, place.x_mm, place.y_mm) = (name(n), i64::MAX - n as i64, i64::MIN + n as i64);
    }
    s.yard.set(yard);
    let mut plan = s.plan.page.clone().unwrap();
    for (n, session) in plan.sessions.iter_mut().enumerate() {
        session.people = vec![name(n), name(n + 1)];
        for step in &mut session.steps {
            (step.bar, step.prop) = (name(n), name(n));
            step.people = vec![name(n)];
        }
    }
    s.plan.set(plan);
    stage
}

#[test]
fn no_name_and_no_number_of_rows_breaks_a_picture() {
    let mut stage = spoiled();
    for digit in ["1", "2", "3", "4", "5", "6", "7", "8", "9", "0"] {
        for open in ["", "tab", "tab tab", "?", ":", "/", "e", "g left", "v", "b", "end"] {
            stage.keys(digit);
            stage.state.popups.clear();
            stage.keys(open);
            for (wide, high) in [(1, 1), (2, 3), (40, 12), (80, 24), (111, 33), (300, 100)] {
                let buffer = stage.buffer(wide, high);
                if wide < 80 {
                    continue;
                }
                let text = lines(&buffer);
                let first = text.lines().next().unwrap_or_default().to_owned();
                assert!(first.starts_with(&format!(" {}", stage.state.screen.name())), "{first}");
                // What is open has its four corners, whatever stands in it.
                let count = |c: char| text.chars().filter(|x| *x == c).count();
                // On the map marks stand over the outlines.
                assert!(digit == "3" || count('┌') == count('┐'), "{digit} {open} {wide}x{high}\n{text}");
            }
            stage.state.popups.clear();
            stage.keys("esc");
        }
    }
}

/// The sort of what is open.
const fn sort(popup: &Popup) -> &'static str {
    match popup {
        Popup::Reading(_) => "page",
        Popup::Pick(_) => "list",
        Popup::Prompt(_) => "question",
        Popup::Form(_) => "form",
        Popup::Find(_) => "search",
    }
}

#[test]
fn whatever_a_key_opens_no_size_breaks_it() {
    let mut stage = spoiled();
    let mut opened = BTreeSet::new();
    for (n, screen) in ScreenId::ALL.into_iter().enumerate() {
        let digit = ((n + 1) % 10).to_string();
        let here = |when: &When| *when == When::On(screen) || (*when == When::Screens && n == 0);
        let keys = LINES.iter().filter(|(when, key, ..)| here(when) && *key != "name" && key.len() < 6);
        for (_, key, ..) in keys {
            // What a first answer leads to is open too.
            for answers in ["", "enter", "1"] {
                stage.keys(&digit);
                stage.state.popups.clear();
                stage.keys(key).keys(answers);
                let Some(top) = stage.state.popups.last() else { continue };
                opened.insert((screen.name(), sort(top)));
                for (wide, high) in [(1, 1), (40, 12), (80, 24), (300, 100)] {
                    let text = lines(&stage.buffer(wide, high));
                    let count = |c: char| text.chars().filter(|x| *x == c).count();
                    let framed = wide < 80 || n == 2 || count('┌') == count('┐');
                    assert!(framed, "{} {key} {answers} {wide}x{high}\n{text}", screen.name());
                }
                stage.state.popups.clear();
            }
        }
    }
    let sorts: BTreeSet<&str> = opened.iter().map(|(_, sort)| *sort).collect();
    assert_eq!(sorts.len(), 5, "{opened:?}");
    assert!(opened.len() > 25, "{opened:?}");
}
