//! The voltage along a string as a curve, with its limit, its feeds and its pixels.

use ratatui::layout::Rect;

use crate::answers::view::StringVoltage;
use crate::tui::look::Role;
use crate::tui::widgets::Canvas;
use crate::tui::widgets::text::width;

/// Dots of a braille cell, by column and row.
const DOTS: [[u32; 4]; 2] = [[0x01, 0x02, 0x04, 0x40], [0x08, 0x10, 0x20, 0x80]];

/// The voltage from the data end to the far end; a dashed line is the limit, F a feed.
pub fn curve(string: &StringVoltage, canvas: &mut Canvas, area: Rect) {
    canvas.heading(area, 0, &format!("{}, from the data end: F feed, ! limit", string.name));
    let side = 9;
    if area.height < 5 || usize::from(area.width) < side + 10 || string.millivolts.is_empty() {
        return;
    }
    let plot = Rect {
        x: area.x + side as u16,
        y: area.y + 1,
        width: area.width - side as u16,
        height: area.height - 3,
    };
    let all = || string.millivolts.iter().copied().chain(string.limit_mv);
    let (low, high) = (all().min().unwrap_or(0), all().max().unwrap_or(0));
    let (low, high) = (low.saturating_sub(50), high.saturating_add(50));
    let span = high.saturating_sub(low).max(1);
    let last = string.millivolts.len() - 1;
    let ascii = canvas.look().ascii;
    let (dx, dy) = if ascii { (1, 1) } else { (2, 4) };
    let (wide, high_dots) = (usize::from(plot.width) * dx, usize::from(plot.height) * dy);
    let level = |mv: i64| {
        let up = (mv.saturating_sub(low)).saturating_mul(high_dots as i64 - 1) / span;
        high_dots - 1 - usize::try_from(up).unwrap_or(0).min(high_dots - 1)
    };
    let mut cells = vec![0u32; usize::from(plot.width) * usize::from(plot.height)];
    let mut dot = |x: usize, y: usize| {
        let at = y / dy * usize::from(plot.width) + x / dx;
        let bit = if ascii { 1 } else { DOTS.get(x % 2).and_then(|c| c.get(y % 4)).copied().unwrap_or(0) };
        if let Some(cell) = cells.get_mut(at) {
            *cell |= bit;
        }
    };
    let mut before = None;
    for x in 0..wide {
        let at = if wide > 1 { x * last / (wide - 1) } else { 0 };
        let y = string.millivolts.get(at).map_or(0, |mv| level(*mv));
        let from = before.unwrap_or(y);
        for step in y.min(from)..=y.max(from) {
            dot(x, step);
        }
        before = Some(y);
        if let Some(limit) = string.limit_mv
            && x / dx % 2 == 0
        {
            dot(x, level(limit));
        }
    }
    for row in 0..usize::from(plot.height) {
        let from = row * usize::from(plot.width);
        let line: String = cells
            .iter()
            .skip(from)
            .take(usize::from(plot.width))
            .map(|bits| match (*bits, ascii) {
                (0, _) => ' ',
                (_, true) => '*',
                (bits, _) => char::from_u32(0x2800 + bits).unwrap_or(' '),
            })
            .collect();
        canvas.text(plot, 0, row, &line, Role::Full);
    }
    canvas.text(area, 0, 1, &volts(high), Role::Text);
    canvas.text(area, 0, usize::from(plot.height), &volts(low), Role::Text);
    if let Some(limit) = string.limit_mv {
        let row = 1 + level(limit) / dy;
        canvas.text(area, 0, row, &format!("{}!", volts(limit)), Role::Strong);
    }
    let base = usize::from(plot.height) + 1;
    for feed in &string.feeds {
        let at = (feed.min(&last) * (usize::from(plot.width) - 1)).checked_div(last).unwrap_or(0);
        canvas.text(area, side + at, base, "F", Role::Strong);
    }
    // Pixel numbers under the ends and the quarters, where they have room.
    let mut free = 0;
    for quarter in 0..=4 {
        let pixel = last * quarter / 4;
        let text = if quarter == 0 { "pixel 1".to_owned() } else { (pixel + 1).to_string() };
        let at = (pixel * (usize::from(plot.width) - 1)).checked_div(last).unwrap_or(0);
        let at = at.min(usize::from(plot.width).saturating_sub(width(&text)));
        if at >= free {
            free = at + canvas.text(area, side + at, base + 1, &text, Role::Text) + 1;
        }
    }
}

/// "4.83 V".
pub fn volts(mv: i64) -> String {
    format!("{}.{:02} V", mv / 1000, (mv % 1000).abs() / 10)
}
