//! Sheets as PDF: all that the plain text has is on them, within the page, an evening on one page.

use ladderday::app::{App, Choices, Paper, Pick, SheetForm};
use ladderday::domain::Phase;

/// One line of text on a page: left edge, base line, size, words.
type Drawn = (f64, f64, f64, String);

/// What is drawn on each page, and its size.
fn pages(pdf: &[u8]) -> Vec<((f64, f64), Vec<Drawn>)> {
    // All of it but the sheet's words is ASCII, and those are written in hexadecimal.
    let text = std::str::from_utf8(pdf).unwrap();
    assert!(text.starts_with("%PDF-1.4"));
    let mut out = Vec::new();
    for page in text.split("/MediaBox [0 0 ").skip(1) {
        let numbers = |t: &str| t.split([' ', ']']).filter_map(|n| n.parse().ok()).collect::<Vec<f64>>();
        let size = numbers(page.split("/Resources").next().unwrap());
        let drawn = page.lines().filter_map(|l| l.strip_prefix("BT /F")).map(|l| {
            let (at, words) = l.split_once('<').unwrap();
            let n = numbers(at);
            let hex = words.split('>').next().unwrap().as_bytes();
            let of = |pair: &[u8]| u8::from_str_radix(std::str::from_utf8(pair).unwrap(), 16).unwrap();
            (
                n[n.len() - 2],
                n[n.len() - 1],
                n[n.len() - 3],
                hex.chunks(2).map(|p| char::from(of(p))).collect(),
            )
        });
        out.push(((size[0], size[1]), drawn.collect()));
    }
    out
}

fn words(page: &[Drawn]) -> String {
    page.iter().map(|d| d.3.as_str()).collect::<String>().replace(' ', "")
}

/// The demo yard on a day.
fn demo(now: &str) -> (tempfile::TempDir, App) {
    let folder = tempfile::tempdir().unwrap();
    let choices =
        Choices { now: Some(now.to_owned()), season: Some("harbor-2026".to_owned()), ..Choices::default() };
    let app = App::demo(&folder.path().join("yard.ladderday"), true, &choices).unwrap();
    (folder, app)
}

#[test]
fn a_checklist_has_all_steps_within_the_page_and_an_evening_on_one() {
    let (folder, mut app) = demo("2026-09-01T09:00");
    let file = folder.path().join("list.pdf");
    for (paper, size) in [(None, (612.0, 792.0)), (Some(Paper::A4), (595.28, 841.89))] {
        let text = app.checklist(Phase::Up, &Pick::default(), 8, SheetForm::Text).unwrap();
        let said = app.checklist(Phase::Up, &Pick::default(), 8, SheetForm::Pdf(&file, paper)).unwrap();
        let pages = pages(&std::fs::read(&file).unwrap());
        assert!(said.starts_with(&format!("{} pages", pages.len())), "{said}");
        for (of, page) in &pages {
            assert_eq!(*of, size);
            for (x, y, high, words) in page {
                // No letter is narrower than a fifth of its height.
                let right = x + high * 0.2 * words.chars().count() as f64;
                assert!(*x >= 28.0 && right <= size.0 - 28.0 && *y >= 28.0 && *y <= size.1 - 28.0, "{words}");
            }
        }
        let all: String = pages.iter().map(|p| words(&p.1)).collect();
        let lines = text.lines().filter_map(|l| l.trim_start().strip_prefix("[ ] "));
        let mut steps = 0;
        for line in lines {
            // Number, hour and title; counts are blanks to fill in on paper.
            let (number, rest) = line.trim_start().split_once(' ').unwrap();
            let title = rest
                .trim()
                .split("  ")
                .next()
                .unwrap()
                .rsplit_once(", ")
                .unwrap()
                .0
                .split(" (")
                .next()
                .unwrap();
            assert!(number.parse::<usize>().is_ok() && all.contains(&title.replace(' ', "")), "{line}");
            steps += 1;
        }
        assert!(steps > 100);
        for evening in text.lines().filter(|l| l.contains(" 19:00 to 21:30  ")) {
            let name = evening.split("  (sheet").next().unwrap();
            let goes_on = format!("{name}, goes on").replace(' ', "");
            assert!(!all.contains(&goes_on), "{name} takes more than a page");
        }
    }
}

#[test]
fn lid_cards_are_a_page_a_box_and_a_shopping_list_names_every_shop() {
    let (folder, mut app) = demo("2026-10-15T18:05");
    let file = folder.path().join("sheet.pdf");
    let cards = app.wiring_cards(SheetForm::Text).unwrap();
    let boxes: Vec<&str> = cards
        .lines()
        .filter(|l| !l.starts_with(' ') && !l.is_empty())
        .map(|l| l.split("  (").next().unwrap())
        .collect();
    app.wiring_cards(SheetForm::Pdf(&file, None)).unwrap();
    let printed = pages(&std::fs::read(&file).unwrap());
    assert_eq!(printed.len(), boxes.len(), "{boxes:?}");
    for ((_, page), name) in printed.iter().zip(boxes) {
        assert!(words(page).starts_with(&name.replace(' ', "")), "{name}");
    }
    let list = app.shopping_sheet(SheetForm::Text).unwrap();
    app.shopping_sheet(SheetForm::Pdf(&file, None)).unwrap();
    let all: String = pages(&std::fs::read(&file).unwrap()).iter().map(|p| words(&p.1)).collect();
    let bought: Vec<&str> = list.lines().filter_map(|l| l.strip_prefix("  [ ] ")).collect();
    assert!(!bought.is_empty());
    for line in bought {
        let item = line.split("  ").next().unwrap().replace(' ', "");
        assert!(all.contains(&item), "{item}");
    }
}

#[test]
fn letters_that_the_pdf_lacks_are_said() {
    let (folder, mut app) = demo("2026-10-15T18:05");
    let file = folder.path().join("sheet.pdf");
    let said = app.wiring_cards(SheetForm::Pdf(&file, None)).unwrap();
    assert!(!said.contains('?'), "{said}");
    let name = ladderday::app::Ask::AddNeed { title: "Лента".to_owned(), quantity: 1, need_by: None };
    app.perform(&name).unwrap();
    let said = app.shopping_sheet(SheetForm::Pdf(&file, None)).unwrap();
    assert!(said.contains("--html has them all"), "{said}");
    let none = folder.path().join("none/sheet.pdf");
    assert!(app.shopping_sheet(SheetForm::Pdf(&none, None)).is_err());
}
