//! The one way to put something on the screen: cleaned, cut to its place, styled by role.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

use super::ascii;
use super::text::{clean, cut, fitting, width};
use crate::answers::view::ScreenId;
use crate::tui::action::Action;
use crate::tui::look::{Look, Role, Theme, Tint};

/// What a click does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Click {
    Screen(ScreenId),
    /// Marks a row, by its place in the screen's own order.
    Row(usize),
    /// Picks a row of the open list, by its place among those shown.
    Pick(usize),
    Do(Action),
}

/// A place that can be clicked.
pub type Hit = (Rect, Click);

/// A buffer with its look.
pub struct Canvas<'a> {
    buf: &'a mut Buffer,
    look: Look,
    hits: Vec<Hit>,
    body: Rect,
    /// Of the roles drawn so far: finding the nearest of a terminal's colours takes longer than writing a text.
    styles: Vec<(Role, Style)>,
}

impl<'a> Canvas<'a> {
    pub fn new(buf: &'a mut Buffer, look: Look) -> Self {
        let body = buf.area;
        Self { buf, look, hits: Vec::new(), body, styles: Vec::new() }
    }

    /// What lies between the screens' bar and the line of keys.
    pub const fn body(&self) -> Rect {
        self.body
    }

    /// What opens over a screen keeps to this area.
    pub const fn keep_to(&mut self, body: Rect) {
        self.body = body;
    }

    pub const fn area(&self) -> Rect {
        self.buf.area
    }

    pub const fn look(&self) -> Look {
        self.look
    }

    /// Notes what a click here does; what is noted later lies above.
    pub fn click(&mut self, area: Rect, what: Click) {
        self.hits.push((area.intersection(self.buf.area), what));
    }

    /// Under an open list only the buttons can still be clicked.
    pub fn cover(&mut self) {
        self.hits.retain(|(_, what)| matches!(what, Click::Do(_)));
    }

    fn style(&mut self, role: Role) -> Style {
        if let Some((_, style)) = self.styles.iter().find(|(of, _)| *of == role) {
            return *style;
        }
        let style = self.look.style(role);
        self.styles.push((role, style));
        style
    }

    /// Paints an area's ground, wiping what was there.
    pub fn fill(&mut self, area: Rect, role: Role) {
        let style = self.style(role);
        for y in area.top()..area.bottom() {
            for x in area.left()..area.right() {
                if let Some(cell) = self.buf.cell_mut((x, y)) {
                    cell.reset();
                    cell.set_style(style);
                }
            }
        }
    }

    /// Writes text into row `row` of an area, from column `col`; gives the columns used.
    pub fn text(&mut self, area: Rect, col: usize, row: usize, text: &str, role: Role) -> usize {
        let (Ok(dx), Ok(dy)) = (u16::try_from(col), u16::try_from(row)) else { return 0 };
        if dx >= area.width || dy >= area.height {
            return 0;
        }
        let room = usize::from(area.width - dx);
        let text = cut(&clean(text), room);
        let (x, y) = (area.x + dx, area.y + dy);
        if self.buf.area.contains((x, y).into()) {
            let style = self.style(role);
            self.buf.set_stringn(x, y, &text, room, style);
        }
        width(&text)
    }

    /// Writes text so that it ends at the area's right edge.
    pub fn right(&mut self, area: Rect, row: usize, text: &str, role: Role) -> usize {
        let text = clean(text);
        let col = usize::from(area.width).saturating_sub(width(&text));
        self.text(area, col, row, &text, role)
    }

    /// Writes wrapped text from a row on; gives the rows used.
    pub fn wrapped(&mut self, area: Rect, row: usize, text: &str, role: Role) -> usize {
        let lines = super::text::wrap(text, usize::from(area.width));
        self.as_far_as(area, (0, row), &lines, role);
        lines.len()
    }

    /// Writes lines as far as the area has rows; where it has not enough the last one says so.
    fn as_far_as(&mut self, area: Rect, (col, row): (usize, usize), lines: &[String], role: Role) {
        let rows = usize::from(area.height).saturating_sub(row);
        let room = usize::from(area.width).saturating_sub(col);
        for (at, line) in lines.iter().enumerate().take(rows) {
            if at + 1 == rows && lines.len() > rows {
                // Whole words, where the line has more than one.
                let all = width(line) + 2 <= room;
                let cut = line.rsplit_once(' ').map(|(front, _)| front).filter(|_| !all);
                let front = cut.unwrap_or(line);
                self.text(area, col, row + at, &format!("{front} …"), role);
            } else {
                self.text(area, col, row + at, line, role);
            }
        }
    }

    /// Writes "label  text" with the text wrapped beside the label; gives the rows used.
    pub fn labelled(&mut self, area: Rect, row: usize, label: &str, text: &str) -> usize {
        self.labelled_at(area, (row, 11.max(width(label) + 1)), label, text)
    }

    /// The same with the texts of several labels at one column.
    pub fn labelled_at(
        &mut self,
        area: Rect,
        (row, indent): (usize, usize),
        label: &str,
        text: &str,
    ) -> usize {
        self.text(area, 0, row, label, Role::Strong);
        let lines = super::text::wrap(text, usize::from(area.width).saturating_sub(indent));
        self.as_far_as(area, (indent, row), &lines, Role::Text);
        lines.len().max(1)
    }

    /// Writes a chip: mark and word on a tint; gives the columns used.
    pub fn chip(&mut self, area: Rect, col: usize, row: usize, tint: Tint, word: &str) -> usize {
        self.chip_as(area, (col, row), tint, word, Role::Chip(tint))
    }

    /// What is to be done next on this screen; gives the rows used.
    pub fn next(&mut self, area: Rect, row: usize, text: &str) -> usize {
        let used = self.chip(area, 0, row, Tint::Doing, "next") + 1;
        let text = fitting(text, usize::from(area.width).saturating_sub(used));
        self.text(area, used, row, &text, Role::Strong);
        1
    }

    /// A chip in another role, as in the marked row.
    pub fn chip_as(
        &mut self,
        area: Rect,
        (col, row): (usize, usize),
        tint: Tint,
        word: &str,
        role: Role,
    ) -> usize {
        let space = if word.is_empty() { "" } else { " " };
        let text = format!("{}{space}{word}", mark(tint));
        let text = if self.look.theme == Theme::Plain { format!("[{text}]") } else { format!(" {text} ") };
        self.text(area, col, row, &text, role)
    }

    /// A heading with a line to the right edge; gives the rows used.
    pub fn heading(&mut self, area: Rect, row: usize, text: &str) -> usize {
        let used = self.text(area, 0, row, text, Role::Strong);
        self.rule(area, row, used + 1);
        1
    }

    /// A heading whose text is shown whole, in as many rows as it takes; gives them.
    pub fn headed(&mut self, area: Rect, row: usize, text: &str) -> usize {
        let used = self.wrapped(area, row, text, Role::Strong);
        let last = super::text::wrap(text, usize::from(area.width)).pop().unwrap_or_default();
        self.rule(area, row + used.saturating_sub(1), width(&last) + 1);
        used
    }

    fn rule(&mut self, area: Rect, row: usize, from: usize) {
        let rest = usize::from(area.width).saturating_sub(from);
        self.text(area, from, row, &"─".repeat(rest), Role::Line);
    }

    /// A bar of `share` thousandths, drawn with marks so that it also works without colour.
    pub fn bar(&mut self, area: Rect, col: usize, row: usize, wide: usize, share: u32) {
        self.bar_as(area, (col, row), wide, share, (Role::Full, Role::Rest));
    }

    /// A bar in other roles, as on the marked row.
    pub fn bar_as(
        &mut self,
        area: Rect,
        (col, row): (usize, usize),
        wide: usize,
        share: u32,
        (fore, back): (Role, Role),
    ) {
        let full = (wide * share.min(1000) as usize + 500) / 1000;
        let full = if share > 0 { full.max(1) } else { 0 };
        let full = if share < 1000 && wide > 1 { full.min(wide - 1) } else { full };
        self.text(area, col, row, &"█".repeat(full), fore);
        self.text(area, col + full, row, &"░".repeat(wide.saturating_sub(full)), back);
    }

    /// A frame with a title; gives the area inside.
    pub fn boxed(&mut self, area: Rect, title: &str) -> Rect {
        let area = area.intersection(self.buf.area);
        if area.width < 2 || area.height < 2 {
            return Rect { width: 0, height: 0, ..area };
        }
        self.fill(area, Role::Text);
        let inside = usize::from(area.width) - 2;
        let last = usize::from(area.height) - 1;
        let line = "─".repeat(inside);
        self.text(area, 0, 0, &format!("┌{line}┐"), Role::Line);
        for row in 1..last {
            self.text(area, 0, row, "│", Role::Line);
            self.text(area, inside + 1, row, "│", Role::Line);
        }
        self.text(area, 0, last, &format!("└{line}┘"), Role::Line);
        if !title.is_empty() {
            let title = cut(&clean(title), inside.saturating_sub(4));
            self.text(area, 2, 0, &format!(" {title} "), Role::Strong);
        }
        Rect { x: area.x + 1, y: area.y + 1, width: area.width - 2, height: area.height - 2 }
    }

    /// A vertical line along an area's left edge.
    pub fn divider(&mut self, area: Rect) {
        for row in 0..usize::from(area.height) {
            self.text(area, 0, row, "│", Role::Line);
        }
    }

    /// The last pass: on poor consoles every cell becomes ASCII. Gives what can be clicked.
    pub fn finish(self) -> Vec<Hit> {
        if !self.look.ascii {
            return self.hits;
        }
        for cell in &mut self.buf.content {
            if !cell.symbol().is_ascii() {
                let plain = ascii::plain(cell.symbol());
                cell.set_symbol(plain);
            }
        }
        self.hits
    }
}

/// The mark of a chip.
pub const fn mark(tint: Tint) -> &'static str {
    match tint {
        Tint::Done => "✓",
        Tint::Open => "○",
        Tint::Doing => "▶",
        Tint::Held => "‖",
        Tint::Mend => "◆",
        Tint::Skipped => "–",
        Tint::Stop => "✗",
        Tint::Note => "•",
    }
}
