//! Two panes of a screen: a list, and all about its marked row beside or below it.

use ratatui::layout::Rect;

use super::canvas::Canvas;

/// From this width on the panes stand side by side.
pub const WIDE: u16 = 110;

/// Splits an area into list and detail: at `share` percent of a wide screen, else with `low` rows below.
pub fn split(canvas: &mut Canvas, area: Rect, share: u16, low: u16) -> (Rect, Rect) {
    if area.width >= WIDE {
        let left = area.width * share / 100;
        canvas.divider(Rect { x: area.x + left, width: 1, ..area });
        let right = Rect { x: area.x + left + 2, width: area.width - left - 2, ..area };
        return (Rect { width: left.saturating_sub(1), ..area }, right);
    }
    let low = low.min(area.height / 2);
    let lower = Rect { y: area.y + area.height - low, height: low, ..area };
    (Rect { height: area.height - low, ..area }, lower)
}

/// What is left of an area below its first rows.
pub fn below(area: Rect, rows: usize) -> Rect {
    let rows = u16::try_from(rows).unwrap_or(u16::MAX).min(area.height);
    Rect { y: area.y + rows, height: area.height - rows, ..area }
}
