//! Labels are scanned back from what is printed: plain text, the page for the browser, the PDF.

use ladderday::app::{App, Choices, LabelKind, SheetForm};

/// Reads every code in a picture of dark and light squares, eight dots a square.
fn scan(wide: usize, high: usize, dark: impl Fn(usize, usize) -> bool) -> Vec<String> {
    const DOTS: usize = 8;
    let mut image = rqrr::PreparedImage::prepare_from_greyscale(wide * DOTS, high * DOTS, |x, y| {
        if dark(x / DOTS, y / DOTS) { 0 } else { 255 }
    });
    let mut found: Vec<String> = image.detect_grids().iter().map(|g| g.decode().unwrap().1).collect();
    found.sort();
    found
}

/// The demo yard with a metric and a US sheet to choose from.
fn demo() -> (tempfile::TempDir, App) {
    let folder = tempfile::tempdir().unwrap();
    let choices = Choices { now: Some("2027-01-20T12:00".to_owned()), ..Choices::default() };
    let app = App::demo(&folder.path().join("yard.ladderday"), true, &choices).unwrap();
    (folder, app)
}

/// Codes printed in plain text, each with what stands above it.
fn of_text(text: &str) -> Vec<(String, String)> {
    let mut out = Vec::new();
    let mut said: Vec<&str> = Vec::new();
    let mut rows: Vec<Vec<char>> = Vec::new();
    let code = |l: &str| l.chars().all(|c| " █▀▄".contains(c)) && l.len() > 20;
    for line in text.lines().chain([""]) {
        if code(line) {
            rows.push(line.chars().collect());
            continue;
        }
        if !rows.is_empty() {
            let dark = |x: usize, y: usize| match rows[y / 2][x] {
                '█' => true,
                '▀' => y.is_multiple_of(2),
                '▄' => y % 2 == 1,
                _ => false,
            };
            let found = scan(rows[0].len(), rows.len() * 2, dark);
            assert_eq!(found.len(), 1, "{said:?}");
            out.push((found[0].clone(), said.join("|")));
            rows.clear();
            said.clear();
        }
        said.push(line);
    }
    out
}

#[test]
fn codes_in_plain_text_say_what_is_written_above_them() {
    let (_folder, mut app) = demo();
    let totes = of_text(&app.labels(LabelKind::Totes, None, SheetForm::Text).unwrap());
    assert!(totes.len() > 25);
    for (code, said) in &totes {
        assert!(said.starts_with(&format!("{code}|")), "{said}");
    }
    let bench = totes.iter().find(|(code, _)| code == "BENCH").unwrap();
    assert!(bench.1.contains("FAULTY THINGS ONLY"));
    let shelves = of_text(&app.labels(LabelKind::Shelves, None, SheetForm::Text).unwrap());
    assert!(shelves.iter().any(|(code, said)| code == "SH-L" && said.contains("T-01")), "{shelves:?}");
}

#[test]
fn a_lead_has_a_label_for_each_end_with_volts_and_length() {
    let (_folder, mut app) = demo();
    let text = app.labels(LabelKind::Leads, None, SheetForm::Text).unwrap();
    let lead = {
        let yard = app.yard();
        let link = yard
            .links
            .iter()
            .find(|l| l.lead_id.is_some() && l.kind == ladderday::domain::LinkKind::Dc)
            .unwrap();
        yard.pieces.iter().find(|p| Some(p.id) == link.lead_id).unwrap().code.clone()
    };
    let mine: Vec<&str> = text.split(&format!("{lead}\n")).skip(1).collect();
    assert_eq!(mine.len(), 2, "{lead}");
    for (end, needle) in mine.iter().zip(["goes to ", "comes from "]) {
        let head: Vec<&str> = end.lines().take(3).collect();
        assert!(head[0].contains("this end: ") && head[1].contains(needle), "{head:?}");
        assert!(head[2].contains(" V, "), "{head:?}");
    }
}

/// Rectangles filled within each label of a PDF, in points from the lower left.
fn rectangles(pdf: &str) -> Vec<Vec<[f64; 4]>> {
    let numbers = |l: &str| -> Option<[f64; 4]> {
        let n: Vec<f64> = l.strip_suffix(" re f")?.split(' ').map(|n| n.parse().unwrap()).collect();
        n.try_into().ok()
    };
    let labels = pdf.split("re W n\n").skip(1);
    labels.map(|p| p.split("\nQ\n").next().unwrap().lines().filter_map(numbers).collect()).collect()
}

#[test]
fn the_pdf_is_scanned_page_by_page_on_every_sheet() {
    let (folder, mut app) = demo();
    let file = folder.path().join("labels.pdf");
    for (sheet, (wide, high)) in [
        ("a4-2x7", (595.0, 842.0)),
        ("a4-3x8", (595.0, 842.0)),
        ("letter-2x5", (612.0, 792.0)),
        ("letter-3x10", (612.0, 792.0)),
    ] {
        let said = app.labels(LabelKind::Totes, Some(sheet), SheetForm::Pdf(&file, None)).unwrap();
        assert!(said.contains(sheet) && said.contains("print at 100 %"), "{said}");
        let bytes = std::fs::read(&file).unwrap();
        assert!(bytes.starts_with(b"%PDF-1.4") && bytes.ends_with(b"%%EOF\n"));
        let text = String::from_utf8(bytes).unwrap();
        // The table of objects names where each begins.
        let table =
            text.rsplit("startxref\n").next().unwrap().lines().next().unwrap().parse::<usize>().unwrap();
        assert!(text[table..].starts_with("xref"));
        for (n, line) in text[table..].lines().skip(3).take_while(|l| l.ends_with(" n ")).enumerate() {
            let at: usize = line[..10].parse().unwrap();
            assert!(text[at..].starts_with(&format!("{} 0 obj", n + 1)), "object {}", n + 1);
        }
        let mut found = Vec::new();
        for label in rectangles(&text) {
            let inside =
                |r: &[f64; 4]| r[0] >= 0.0 && r[1] >= 0.0 && r[0] + r[2] <= wide && r[1] + r[3] <= high;
            assert!(label.iter().all(inside), "{sheet}: something lies outside the page");
            let module = label[0][3];
            // Hand scanners read from a third of a millimetre on.
            assert!(module >= 0.33 * 72.0 / 25.4 - 0.01, "{sheet}: {module} points");
            let left = label.iter().map(|r| r[0]).fold(f64::INFINITY, f64::min);
            let top = label.iter().map(|r| r[1] + r[3]).fold(0.0, f64::max);
            let count = |points: f64| (points / module).round() as usize;
            let squares: Vec<(usize, usize, usize)> = label
                .iter()
                .map(|[x, y, w, h]| (count(x - left) + 4, count(top - y - h) + 4, count(*w)))
                .collect();
            let side = squares.iter().map(|(x, _, n)| x + n).max().unwrap() + 4;
            let dark =
                |x: usize, y: usize| squares.iter().any(|(sx, sy, n)| *sy == y && (*sx..sx + n).contains(&x));
            found.extend(scan(side, side, dark));
        }
        found.sort();
        let mut told: Vec<&str> =
            app.yard().containers.iter().filter(|c| c.kind == "tote").map(|c| c.code.as_str()).collect();
        told.retain(|code| !found.iter().any(|f| f == code));
        assert!(told.is_empty(), "{sheet}: {told:?} can't be scanned");
    }
}

#[test]
fn the_page_for_the_browser_has_every_label_once() {
    let (_folder, mut app) = demo();
    let html = app.labels(LabelKind::Totes, None, SheetForm::Html).unwrap();
    let all = app.labels(LabelKind::Totes, None, SheetForm::Text).unwrap();
    assert_eq!(html.matches("<svg").count(), of_text(&all).len());
    // "M4 4h7v1h-7z": the first of them, drawn and scanned.
    let path = html.split("<path d=\"").nth(1).unwrap().split('"').next().unwrap();
    let runs: Vec<(usize, usize, usize)> = path
        .split('M')
        .skip(1)
        .map(|m| {
            let (at, rest) = m.split_once('h').unwrap();
            let (x, y) = at.split_once(' ').unwrap();
            (x.parse().unwrap(), y.parse().unwrap(), rest.split('v').next().unwrap().parse().unwrap())
        })
        .collect();
    let wide = runs.iter().map(|(x, _, n)| x + n).max().unwrap() + 4;
    let dark = |x: usize, y: usize| runs.iter().any(|(rx, ry, n)| *ry == y && (*rx..rx + n).contains(&x));
    assert_eq!(scan(wide, wide, dark), [of_text(&all)[0].0.clone()]);
}

/// Sizes of all letters in a PDF, in points.
fn letters(bytes: Vec<u8>) -> Vec<f64> {
    let text = String::from_utf8(bytes).unwrap();
    let sizes = text.split(" Tf").map(|before| before.rsplit(' ').next().unwrap().parse::<f64>());
    sizes.filter_map(Result::ok).collect()
}

#[test]
fn no_letter_of_a_label_is_too_small_to_read() {
    let (folder, mut app) = demo();
    let file = folder.path().join("labels.pdf");
    let csv = tempfile::tempdir().unwrap();
    let name = "Everything that came down from the gable and is still to be looked over ".repeat(3);
    let rows = format!("code,name,kind\nT-99,{name},tote\nSH-Z,{name},shelf\n");
    std::fs::write(csv.path().join("container.csv"), rows).unwrap();
    app.import(&[csv.path().to_owned()]).unwrap();
    for kind in [LabelKind::Totes, LabelKind::Shelves, LabelKind::Leads] {
        for sheet in ["a4-2x7", "a4-3x8", "letter-2x5", "letter-3x10"] {
            app.labels(kind, Some(sheet), SheetForm::Pdf(&file, None)).unwrap();
            let sizes = letters(std::fs::read(&file).unwrap());
            let least = sizes.iter().copied().fold(f64::INFINITY, f64::min);
            assert!(sizes.len() > 6 && least >= 6.0, "{kind:?} on {sheet}: {least} points");
        }
    }
    std::fs::write(
        csv.path().join("container.csv"),
        format!("code,name,kind\n{},Long,tote\n", "T".repeat(60)),
    )
    .unwrap();
    app.import(&[csv.path().to_owned()]).unwrap();
    let problem = app.labels(LabelKind::Totes, Some("letter-3x10"), SheetForm::Pdf(&file, None)).unwrap_err();
    assert!(problem.what.contains("too small to read on letter-3x10"), "{problem:?}");
}

#[test]
fn what_can_t_be_labelled_says_so() {
    let (_folder, mut app) = demo();
    let problem = app.labels(LabelKind::Totes, Some("a4-9x9"), SheetForm::Text).unwrap_err();
    assert!(problem.code == "no-sheet" && problem.hints[0].contains("letter-2x5"));
    let csv = tempfile::tempdir().unwrap();
    let long = "T".repeat(400);
    std::fs::write(csv.path().join("container.csv"), format!("code,name,kind\n{long},Long,tote\n")).unwrap();
    app.import(&[csv.path().to_owned()]).unwrap();
    let problem = app.labels(LabelKind::Totes, Some("letter-3x10"), SheetForm::Html).unwrap_err();
    assert!(
        problem.code == "label" && problem.what.contains("too small to read on letter-3x10"),
        "{problem:?}"
    );
    std::fs::write(csv.path().join("container.csv"), "code,name,kind\nstr-01,Twice,tote\n").unwrap();
    app.import(&[csv.path().to_owned()]).unwrap();
    assert_eq!(app.labels(LabelKind::Totes, None, SheetForm::Text).unwrap_err().code, "label-twice");
}
