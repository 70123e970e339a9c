//! The smallest PDF that prints: filled rectangles and lines of text (ISO 32000-1, 2008, 7.5, 8.5 and 9.4).
//!
//! Text is in Helvetica, which every reader has, in WinAnsi: what that does not know is shown as `?`.

use std::fmt::Write as _;

/// One page being drawn; points from the upper left corner.
pub(super) struct Page {
    width: f64,
    height: f64,
    drawn: String,
}

impl Page {
    pub(super) fn new(width: f64, height: f64) -> Self {
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

    /// A line of text on its base line; smaller where it would not fit into `room`.
    pub(super) fn text(&mut self, x: f64, y: f64, size: f64, room: f64, text: &str) {
        let wide = width(text) * size / 1000.0;
        let size = if wide > room && wide > 0.0 { (size * room / wide).max(5.0) } else { size };
        let _ = write!(self.drawn, "BT /F1 {size:.1} Tf {x:.2} {:.2} Td <", self.height - y);
        for c in text.chars() {
            let _ = write!(self.drawn, "{:02X}", win_ansi(c));
        }
        self.drawn.push_str("> Tj ET\n");
    }
}

/// Width in thousandths of the size: figures and most letters of Helvetica are 556 wide, wide ones up to 833 (Adobe
/// core font metrics, from memory).
fn width(text: &str) -> f64 {
    let of = |c: char| match c {
        'i' | 'j' | 'l' | '\'' | '|' => 222.0,
        ' ' | '.' | ',' | ':' | ';' | 'I' | 't' | 'f' | '/' | '!' => 278.0,
        'm' | 'w' | 'M' | 'W' | '%' | '@' => 850.0,
        c if c.is_uppercase() => 722.0,
        _ => 556.0,
    };
    text.chars().map(of).sum()
}

fn win_ansi(c: char) -> u8 {
    match c {
        '\u{20}'..='\u{7E}' | '\u{A0}'..='\u{FF}' => u8::try_from(u32::from(c)).unwrap_or(b'?'),
        '€' => 0x80,
        '–' => 0x96,
        '—' => 0x97,
        '‘' => 0x91,
        '’' => 0x92,
        '“' => 0x93,
        '”' => 0x94,
        '…' => 0x85,
        _ => b'?',
    }
}

/// The whole file.
pub(super) fn file(pages: &[Page]) -> Vec<u8> {
    let kids: Vec<String> = (0..pages.len()).map(|n| format!("{} 0 R", 4 + 2 * n)).collect();
    let mut objects = vec![
        "<< /Type /Catalog /Pages 2 0 R >>".to_owned(),
        format!("<< /Type /Pages /Kids [{}] /Count {} >>", kids.join(" "), pages.len()),
        "<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>".to_owned(),
    ];
    for (n, page) in pages.iter().enumerate() {
        objects.push(format!(
            "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {:.2} {:.2}] /Resources << /Font << /F1 3 0 R >> >> /Contents {} 0 R >>",
            page.width,
            page.height,
            5 + 2 * n
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
