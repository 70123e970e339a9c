//! Text that flows over pages of paper: wrapped at words, each block kept whole where it fits on a page.

use super::pdf::{self, Face, Page};

/// Points of a millimetre.
const MM: f64 = 72.0 / 25.4;
const MARGIN: f64 = 10.0 * MM;
/// From one base line to the next, by the size of the letters.
const LEADING: f64 = 1.22;

/// A size of paper (ISO 216; ANSI/ASME Y14.1 for Letter).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    A4,
    Letter,
}

impl Paper {
    pub const fn name(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "Letter",
        }
    }

    const fn points(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0 * MM, 297.0 * MM),
            Self::Letter => (612.0, 792.0),
        }
    }
}

/// Words in one face.
pub(super) type Run = (Face, String);

pub(super) fn plain(text: impl Into<String>) -> Run {
    (Face::Plain, text.into())
}

pub(super) fn bold(text: impl Into<String>) -> Run {
    (Face::Bold, text.into())
}

/// Words between two edges, and what stands beside their first line.
#[derive(Debug, Clone, Default)]
pub(super) struct Para {
    /// Left and right edge, in points from the margin; a right edge of 0 is that of the page.
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) size: f64,
    pub(super) runs: Vec<Run>,
    /// White above.
    pub(super) above: f64,
    /// A box to tick, its left edge and side.
    pub(super) tick: Option<(f64, f64)>,
    /// More words on the first line: left edge, size, words.
    pub(super) beside: Vec<(f64, f64, Run)>,
    /// A rule beneath.
    pub(super) rule: bool,
    /// A line through it.
    pub(super) struck: bool,
}

impl Para {
    pub(super) fn new(size: f64, runs: Vec<Run>) -> Self {
        Self { size, runs, ..Self::default() }
    }

    pub(super) fn at(self, from: f64) -> Self {
        Self { from, ..self }
    }

    pub(super) fn above(self, above: f64) -> Self {
        Self { above, ..self }
    }
}

type Line = Vec<(f64, Run)>;

pub(super) struct Flow {
    paper: Paper,
    pages: Vec<Page>,
    /// Of the page being written; points from the top.
    y: f64,
    /// At the foot of every page, before its number.
    foot: String,
    /// At the head of pages on which something goes on.
    goes_on: String,
    lost: bool,
}

impl Flow {
    pub(super) fn new(paper: Paper, foot: String) -> Self {
        Self {
            paper,
            pages: vec![Page::new(paper.points())],
            y: MARGIN,
            foot,
            goes_on: String::new(),
            lost: false,
        }
    }

    /// Room for a block on an empty page.
    pub(super) fn room(&self) -> f64 {
        self.paper.points().1 - 2.0 * MARGIN - 12.0
    }

    pub(super) fn left(&self) -> f64 {
        MARGIN + self.room() - self.y
    }

    pub(super) fn wide(&self) -> f64 {
        self.paper.points().0 - 2.0 * MARGIN
    }

    /// Begins a page with something of its own; on the pages after it stands what goes on.
    pub(super) fn begin(&mut self, what: &str) {
        self.goes_on.clear();
        if self.y > MARGIN {
            self.break_page();
        }
        what.clone_into(&mut self.goes_on);
    }

    /// The same without a new page.
    pub(super) fn begin_here(&mut self, what: &str) {
        what.clone_into(&mut self.goes_on);
    }

    fn break_page(&mut self) {
        let mut page = Page::new(self.paper.points());
        self.y = MARGIN;
        if !self.goes_on.is_empty() {
            page.put(MARGIN, MARGIN + 8.0, Face::Plain, 8.0, &format!("{}, goes on", self.goes_on));
            self.y += 14.0;
        }
        self.pages.push(page);
    }

    fn lines(&self, para: &Para) -> Vec<Line> {
        let to = if para.to > 0.0 { para.to } else { self.wide() };
        wrapped(&para.runs, para.size, to - para.from)
    }

    fn high(&self, para: &Para) -> f64 {
        let lines = para.size * LEADING * self.lines(para).len() as f64;
        para.above + lines.max(para.tick.map_or(0.0, |t| t.1 + 1.5)) + if para.rule { 3.0 } else { 0.0 }
    }

    pub(super) fn height(&self, block: &[Para]) -> f64 {
        block.iter().map(|p| self.high(p)).sum()
    }

    /// Writes a block: whole on this page, else on the next, else over as many as it takes.
    pub(super) fn keep(&mut self, block: &[Para]) {
        let high = self.height(block);
        if high > self.left() && self.y > MARGIN {
            self.break_page();
        }
        for para in block {
            self.write(para);
        }
    }

    /// Cells beside each other, with a rule beneath.
    pub(super) fn row(&mut self, cells: &[Para]) {
        let high = cells.iter().map(|c| self.high(c)).fold(0.0, f64::max) + 3.0;
        if high > self.left() {
            self.break_page();
        }
        let top = self.y;
        for cell in cells {
            self.y = top;
            self.write(cell);
        }
        self.y = top + high;
        let (y, wide) = (self.y - 1.5, self.wide());
        if let Some(page) = self.pages.last_mut() {
            page.fill(MARGIN, y, wide, 0.5);
        }
    }

    fn write(&mut self, para: &Para) {
        self.lost |= para.runs.iter().chain(para.beside.iter().map(|b| &b.2)).any(|r| !pdf::can_show(&r.1));
        self.y += para.above;
        let step = para.size * LEADING;
        for (n, line) in self.lines(para).iter().enumerate() {
            if step > self.left() {
                self.break_page();
            }
            let (top, base) = (self.y, self.y + para.size);
            let Some(page) = self.pages.last_mut() else { return };
            if n == 0 {
                if let Some((x, side)) = para.tick {
                    page.frame(MARGIN + x, top + 1.0, side, side);
                }
                for (x, size, (face, text)) in &para.beside {
                    page.put(MARGIN + x, base, *face, *size, text);
                }
            }
            for (x, (face, text)) in line.iter().filter(|(_, r)| !r.1.trim().is_empty()) {
                page.put(MARGIN + para.from + x, base, *face, para.size, text);
                if para.struck {
                    let wide = pdf::width(text.trim_end(), *face, para.size);
                    page.fill(MARGIN + para.from + x, base - para.size * 0.3, wide, para.size * 0.07);
                }
            }
            self.y += step;
        }
        // A box to tick is higher than a line.
        self.y += self.high(para) - para.above - step * self.lines(para).len() as f64;
        if para.rule {
            let (y, wide) = (self.y - 2.0, self.wide());
            if let Some(page) = self.pages.last_mut() {
                page.fill(MARGIN, y, wide, 0.8);
            }
        }
    }

    /// The file, how many pages, and whether letters were in it that it can't show.
    pub(super) fn file(mut self) -> PrintedPdf {
        let of = self.pages.len();
        let (_, high) = self.paper.points();
        for (n, page) in self.pages.iter_mut().enumerate() {
            let number = format!("{} of {of}", n + 1);
            let text = if self.foot.is_empty() { number } else { format!("{}   {number}", self.foot) };
            page.put(MARGIN, high - MARGIN, Face::Plain, 8.0, &text);
        }
        PrintedPdf { bytes: pdf::file(&self.pages), pages: of, lost: self.lost }
    }
}

/// A sheet as PDF.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PrintedPdf {
    pub bytes: Vec<u8>,
    pub pages: usize,
    /// Letters stand in it as `?`: its two faces know those of western Europe.
    pub lost: bool,
}

/// Words placed on lines no wider than `room`; a word wider than that is broken.
fn wrapped(runs: &[Run], size: f64, room: f64) -> Vec<Line> {
    let mut lines: Vec<Line> = vec![Vec::new()];
    let mut x = 0.0;
    for (face, text) in runs {
        for word in text.split_inclusive(' ') {
            let wide = |w: &str| pdf::width(w, *face, size);
            if x > 0.0 && x + wide(word.trim_end()) > room {
                lines.push(Vec::new());
                x = 0.0;
            }
            let mut rest = word;
            while wide(rest.trim_end()) > room && rest.chars().count() > 1 {
                let fits = rest
                    .char_indices()
                    .skip(1)
                    .take_while(|(at, _)| rest.get(..*at).is_some_and(|head| wide(head) <= room));
                let at = fits.last().map_or_else(|| rest.chars().next().map_or(1, char::len_utf8), |f| f.0);
                let (head, tail) = rest.split_at(at);
                put(&mut lines, x, *face, head);
                lines.push(Vec::new());
                x = 0.0;
                rest = tail;
            }
            put(&mut lines, x, *face, rest);
            x += wide(rest);
        }
    }
    lines
}

/// A word at its place; joined to the one before in the same face.
fn put(lines: &mut [Line], x: f64, face: Face, word: &str) {
    let Some(line) = lines.last_mut() else { return };
    match line.last_mut() {
        Some((_, (before, text))) if *before == face => text.push_str(word),
        _ => line.push((x, (face, word.to_owned()))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_no_wider_than_their_room_and_lose_nothing() {
        let long = "x".repeat(300);
        let runs = vec![plain("Hang the "), bold("icicle curtains"), plain(format!(", then {long} and i"))];
        let all: String = runs.iter().map(|r| r.1.as_str()).collect();
        for room in [30.0, 90.0, 400.0] {
            let lines = wrapped(&runs, 10.0, room);
            let end =
                |line: &Line| line.last().map_or(0.0, |(x, (f, t))| x + pdf::width(t.trim_end(), *f, 10.0));
            assert!(lines.iter().all(|l| end(l) <= room + 0.01), "{room}");
            let shown: String = lines.iter().flatten().map(|(_, r)| r.1.as_str()).collect();
            assert_eq!(shown, all);
        }
    }

    #[test]
    fn a_block_stays_whole_where_it_fits_on_a_page() {
        let line = |n: usize| Para::new(10.0, vec![plain(format!("line {n}"))]);
        let mut flow = Flow::new(Paper::A4, String::new());
        flow.begin_here("Saturday");
        let all: Vec<Para> = (0..40).map(line).collect();
        flow.keep(&all);
        flow.keep(&all);
        let pdf = flow.file();
        assert_eq!(pdf.pages, 2);
        let text = String::from_utf8(pdf.bytes).unwrap();
        let hex = "6C696E652030"; // "line 0"
        let pages: Vec<&str> = text.split("/MediaBox").skip(1).collect();
        assert!(pages.iter().all(|p| p.contains(&format!("<{hex}>"))));
        // One higher than a page goes over as many as it takes.
        let mut flow = Flow::new(Paper::Letter, String::new());
        flow.keep(&(0..200).map(line).collect::<Vec<_>>());
        assert!(flow.file().pages > 2);
    }
}
