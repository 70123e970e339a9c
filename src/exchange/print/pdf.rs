//! The smallest PDF that prints: rectangles, frames and lines of text (ISO 32000-1, 2008, 7.5, 8.5 and 9.4).
//!
//! Text is in Helvetica and its bold, which every reader has, in WinAnsi: what that does not know is shown as `?`.
//! Written here: what is used of the format is four drawing words and a table; a library for it has more lines than all
//! of these sheets together, and every first build would compile them.

use std::fmt::Write as _;

/// One of the two faces.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Face {
    Plain,
    Bold,
}

/// One page being drawn; points from the upper left corner.
pub(super) struct Page {
    width: f64,
    height: f64,
    drawn: String,
}

impl Page {
    pub(super) fn new((width, height): (f64, f64)) -> Self {
        Self { width, height, drawn: String::new() }
    }

    /// Nothing is drawn outside of this until [`Page::end_clip`].
    pub(super) fn clip(&mut self, x: f64, y: f64, w: f64, h: f64) {
        let _ = writeln!(self.drawn, "q {x:.2} {:.2} {w:.2} {h:.2} re W n", self.height - y - h);
    }

    pub(super) fn end_clip(&mut self) {
        self.drawn.push_str("Q\n");
    }

    pub(super) fn fill(&mut self, x: f64, y: f64, w: f64, h: f64) {
        let _ = writeln!(self.drawn, "{x:.3} {:.3} {w:.3} {h:.3} re f", self.height - y - h);
    }

    /// The outline of a box.
    pub(super) fn frame(&mut self, x: f64, y: f64, w: f64, h: f64) {
        let _ = writeln!(self.drawn, "{x:.2} {:.2} {w:.2} {h:.2} re S", self.height - y - h);
    }

    /// A line of text on its base line; smaller where it would not fit into `room`.
    pub(super) fn text(&mut self, x: f64, y: f64, size: f64, room: f64, text: &str) {
        let wide = width(text, Face::Plain, size);
        self.put(x, y, Face::Plain, if wide > room { (size * room / wide).max(5.0) } else { size }, text);
    }

    /// The same as it is.
    pub(super) fn put(&mut self, x: f64, y: f64, face: Face, size: f64, text: &str) {
        let font = if face == Face::Bold { 2 } else { 1 };
        let _ = write!(self.drawn, "BT /F{font} {size:.1} Tf {x:.2} {:.2} Td <", self.height - y);
        for c in shown(text) {
            let _ = write!(self.drawn, "{:02X}", win_ansi(c));
        }
        self.drawn.push_str("> Tj ET\n");
    }
}

/// Widths of the letters from the space to the tilde, in thousandths of the size (Adobe core font metrics, from memory).
const PLAIN: [u16; 95] = [
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556,
    556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667, 611, 778, 722, 278,
    500, 667, 556, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469,
    556, 333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500,
    278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
];
const BOLD: [u16; 95] = [
    278, 333, 474, 556, 556, 889, 722, 238, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556,
    556, 556, 556, 556, 556, 333, 333, 584, 584, 584, 611, 975, 722, 722, 722, 722, 667, 611, 778, 722, 278,
    556, 722, 611, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 333, 278, 333, 584,
    556, 333, 556, 611, 556, 611, 556, 333, 611, 611, 278, 278, 556, 278, 889, 611, 611, 611, 611, 389, 556,
    333, 611, 556, 778, 556, 556, 500, 389, 280, 389, 584,
];

/// How wide a text is at a size. Letters with accents count as wide ones, so that nothing runs over.
pub(super) fn width(text: &str, face: Face, size: f64) -> f64 {
    let table = if face == Face::Bold { &BOLD } else { &PLAIN };
    let of = |c: char| {
        let at = u32::from(c).checked_sub(0x20).and_then(|n| usize::try_from(n).ok());
        at.and_then(|n| table.get(n)).map_or(778, |w| *w)
    };
    shown(text).map(|c| f64::from(of(c))).sum::<f64>() * size / 1000.0
}

/// Signs that WinAnsi lacks, in letters that it has.
fn shown(text: &str) -> impl Iterator<Item = char> + '_ {
    text.chars().flat_map(|c| {
        let (first, second) = match c {
            '→' => ('-', Some('>')),
            '≥' => ('>', Some('=')),
            '≤' => ('<', Some('=')),
            '−' | '‑' => ('-', None),
            '\u{A0}' | '\u{2009}' | '\u{202F}' => (' ', None),
            c => (c, None),
        };
        std::iter::once(first).chain(second)
    })
}

fn win_ansi(c: char) -> u8 {
    match c {
        '\u{20}'..='\u{7E}' | '\u{A0}'..='\u{FF}' => u8::try_from(u32::from(c)).unwrap_or(b'?'),
        '€' => 0x80,
        '…' => 0x85,
        'Š' => 0x8A,
        'Œ' => 0x8C,
        'Ž' => 0x8E,
        '‘' => 0x91,
        '’' => 0x92,
        '“' => 0x93,
        '”' => 0x94,
        '•' | '●' => 0x95,
        '–' => 0x96,
        '—' => 0x97,
        '™' => 0x99,
        'š' => 0x9A,
        'œ' => 0x9C,
        'ž' => 0x9E,
        'Ÿ' => 0x9F,
        _ => b'?',
    }
}

/// Whether all of a text can be shown.
pub(super) fn can_show(text: &str) -> bool {
    shown(text).all(|c| c == '?' || c.is_control() || win_ansi(c) != b'?')
}

/// The whole file.
pub(super) fn file(pages: &[Page]) -> Vec<u8> {
    let kids: Vec<String> = (0..pages.len()).map(|n| format!("{} 0 R", 5 + 2 * n)).collect();
    let font = |name: &str| {
        format!("<< /Type /Font /Subtype /Type1 /BaseFont /{name} /Encoding /WinAnsiEncoding >>")
    };
    let mut objects = vec![
        "<< /Type /Catalog /Pages 2 0 R >>".to_owned(),
        format!("<< /Type /Pages /Kids [{}] /Count {} >>", kids.join(" "), pages.len()),
        font("Helvetica"),
        font("Helvetica-Bold"),
    ];
    for (n, page) in pages.iter().enumerate() {
        objects.push(format!(
            "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {:.2} {:.2}] /Resources << /Font << /F1 3 0 R /F2 4 0 R >> >> /Contents {} 0 R >>",
            page.width,
            page.height,
            6 + 2 * n
        ));
        objects.push(format!("<< /Length {} >>\nstream\n{}endstream", page.drawn.len(), page.drawn));
    }
    let mut out = String::from("%PDF-1.4\n");
    let mut starts = Vec::new();
    for (n, object) in objects.iter().enumerate() {
        starts.push(out.len());
        let _ = write!(out, "{} 0 obj\n{object}\nendobj\n", n + 1);
    }
    let table = out.len();
    let _ = write!(out, "xref\n0 {}\n0000000000 65535 f \n", objects.len() + 1);
    for start in starts {
        let _ = writeln!(out, "{start:010} 00000 n ");
    }
    let _ =
        write!(out, "trailer\n<< /Size {} /Root 1 0 R >>\nstartxref\n{table}\n%%EOF\n", objects.len() + 1);
    out.into_bytes()
}
