//! Labels with a code to scan: plain text, a page for the browser, PDF.

use std::fmt::Write as _;

use maud::{DOCTYPE, PreEscaped, html};
use qrcodegen::{QrCode, QrCodeEcc};

use super::label_sheet::{EDGE, LabelSheet, QUIET};
use super::pdf::{self, Face, Page, width};
use crate::answers::totes::Label;

/// Why labels can't be printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LabelError {
    /// A code that no sheet could carry.
    TooLong { code: String },
    /// The code would be too small to be read on this sheet.
    TooSmall { code: String, sheet: &'static str },
}

impl std::fmt::Display for LabelError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::TooLong { code } => write!(f, "{code:?} is too long to be scanned"),
            Self::TooSmall { code, sheet } => {
                write!(f, "the code of {code:?} would be too small to read on {sheet}")
            }
        }
    }
}

impl std::error::Error for LabelError {}

fn code_of(label: &Label) -> Result<QrCode, LabelError> {
    QrCode::encode_text(&label.code, QrCodeEcc::Medium)
        .map_err(|_| LabelError::TooLong { code: label.code.clone() })
}

/// Dark squares of a code as plain text, two rows a line, with its white margin.
fn code_text(qr: &QrCode) -> String {
    let quiet = QUIET as i32;
    let (from, to) = (-quiet, qr.size() + quiet);
    let mut out = String::new();
    for y in (from..to).step_by(2) {
        for x in from..to {
            out.push(match (qr.get_module(x, y), y + 1 < to && qr.get_module(x, y + 1)) {
                (true, true) => '█',
                (true, false) => '▀',
                (false, true) => '▄',
                (false, false) => ' ',
            });
        }
        out.push('\n');
    }
    out
}

/// As plain text: dark on light paper.
///
/// # Errors
/// [`LabelError::TooLong`].
pub fn labels_text(labels: &[Label]) -> Result<String, LabelError> {
    let mut out = String::new();
    for label in labels {
        let _ = writeln!(out, "{}", label.code);
        for line in &label.lines {
            let _ = writeln!(out, "  {line}");
        }
        out.push_str(&code_text(&code_of(label)?));
    }
    Ok(out)
}

/// Dark runs of a code: column, row, how many.
fn runs(qr: &QrCode) -> Vec<(i32, i32, i32)> {
    let mut runs: Vec<(i32, i32, i32)> = Vec::new();
    for y in 0..qr.size() {
        for x in (0..qr.size()).filter(|x| qr.get_module(*x, y)) {
            match runs.last_mut() {
                Some((from, row, n)) if *row == y && *from + *n == x => *n += 1,
                _ => runs.push((x, y, 1)),
            }
        }
    }
    runs
}

/// The smallest letters that people read on a box, in points. Common practice, no published source.
const SMALLEST: f64 = 6.0;

/// A code with the side that it gets on a sheet, in tenths of a millimetre.
fn placed(label: &Label, sheet: &LabelSheet) -> Result<(QrCode, i64), LabelError> {
    let qr = code_of(label)?;
    let side = sheet.code_side(i64::from(qr.size()));
    let side = side.filter(|s| width(&label.code, Face::Plain, SMALLEST) <= room(sheet, *s));
    let side = side.ok_or(LabelError::TooSmall { code: label.code.clone(), sheet: sheet.name })?;
    Ok((qr, side))
}

/// What is left beside the code for people's text, in points.
fn room(sheet: &LabelSheet, side: i64) -> f64 {
    (sheet.label.0 - EDGE - side) as f64 * POINT
}

/// The line, cut at its end where even the smallest letters have no room for it.
fn cut(line: &str, room: f64) -> String {
    let fits = |text: &str| width(text, Face::Plain, SMALLEST) <= room;
    if fits(line) {
        return line.to_owned();
    }
    let ends = line.char_indices().map(|(at, _)| format!("{}…", line[..at].trim_end()));
    ends.take_while(|text| fits(text)).last().unwrap_or_default()
}

/// As a page for the browser, each sheet on a page of its own.
///
/// # Errors
/// [`LabelError`].
pub fn labels_html(labels: &[Label], sheet: &LabelSheet) -> Result<String, LabelError> {
    let mm = |tenths: i64| format!("{}.{}mm", tenths / 10, tenths % 10);
    let style = format!(
        "@page{{size:{} {};margin:0}}body{{margin:0;font:9pt/1.25 sans-serif;color:#000;background:#fff}}\
         .sheet{{position:relative;width:{};height:{};break-after:page;overflow:hidden}}\
         .label{{position:absolute;width:{};height:{};overflow:hidden;display:flex;align-items:center}}\
         .label b{{font-size:13pt;display:block}}.label svg{{flex:none}}",
        mm(sheet.page.0),
        mm(sheet.page.1),
        mm(sheet.page.0),
        mm(sheet.page.1),
        mm(sheet.label.0),
        mm(sheet.label.1)
    );
    let mut placed_all = Vec::new();
    for label in labels {
        placed_all.push((label, placed(label, sheet)?));
    }
    let drawn = |(qr, side): &(QrCode, i64)| {
        let wide = i64::from(qr.size()) + 2 * QUIET;
        let mut path = String::new();
        for (x, y, n) in runs(qr) {
            let _ = write!(path, "M{} {}h{n}v1h-{n}z", i64::from(x) + QUIET, i64::from(y) + QUIET);
        }
        html! {
            svg width=(mm(*side)) height=(mm(*side)) viewBox=(format!("0 0 {wide} {wide}")) shape-rendering="crispEdges" {
                path d=(path) {}
            }
        }
    };
    Ok(html! {
        (DOCTYPE)
        html lang="en" {
            head { meta charset="utf-8"; title { "Labels" } style { (PreEscaped(style)) } }
            body {
                @for page in placed_all.chunks(sheet.on_a_page()) {
                    div class="sheet" {
                        @for (n, (label, code)) in page.iter().enumerate() {
                            @let (x, y) = sheet.at(n);
                            div class="label" style=(format!("left:{};top:{}", mm(x), mm(y))) {
                                (drawn(code))
                                div { b { (label.code) } @for line in &label.lines { div { (line) } } }
                            }
                        }
                    }
                }
            }
        }
    }
    .into_string())
}

/// Points of a tenth of a millimetre.
const POINT: f64 = 72.0 / 254.0;

/// As PDF.
///
/// # Errors
/// [`LabelError`].
pub fn labels_pdf(labels: &[Label], sheet: &LabelSheet) -> Result<Vec<u8>, LabelError> {
    let pt = |tenths: i64| tenths as f64 * POINT;
    let mut pages = Vec::new();
    for chunk in labels.chunks(sheet.on_a_page()) {
        let mut page = Page::new((pt(sheet.page.0), pt(sheet.page.1)));
        for (n, label) in chunk.iter().enumerate() {
            let (qr, side) = placed(label, sheet)?;
            let (x, y) = sheet.at(n);
            page.clip(pt(x), pt(y), pt(sheet.label.0), pt(sheet.label.1));
            let module = pt(side) / (i64::from(qr.size()) + 2 * QUIET) as f64;
            let (left, top) = (pt(x), pt(y) + (pt(sheet.label.1) - pt(side)) / 2.0);
            for (cx, cy, wide) in runs(&qr) {
                let (cx, cy) = (f64::from(cx) + QUIET as f64, f64::from(cy) + QUIET as f64);
                page.fill(left + cx * module, top + cy * module, f64::from(wide) * module, module);
            }
            let text = left + pt(side);
            let room = room(sheet, side);
            let mut at = pt(y) + pt(sheet.label.1) / 2.0 - 5.5 * label.lines.len() as f64 + 2.0;
            page.text(text, at, 13.0, room, &label.code);
            for line in &label.lines {
                at += 11.0;
                page.text(text, at, 8.5, room, &cut(line, room));
            }
            page.end_clip();
        }
        pages.push(page);
    }
    Ok(pdf::file(&pages))
}
