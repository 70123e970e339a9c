//! What stands around every screen: header, screens with their digits, hints, status line.

use ratatui::layout::Rect;

use super::canvas::{Canvas, Click};
use super::text::{cut, width, wrap};
use crate::answers::view::ScreenId;
use crate::tui::look::Role;
use crate::tui::state::{State, Status, Tone};

/// Rows of the header.
const HEADER: u16 = 1;
/// Rows of the status line: two while what was just said needs them, for why something can't be stands at its end.
fn status_rows(state: &State, area: Rect) -> u16 {
    let said = state.status.as_ref().map(|s| said(s, area.width).len());
    said.map_or(1, |rows| rows.clamp(1, 2) as u16)
}

/// What was said, in lines as long as the screen is wide.
fn said(status: &Status, wide: u16) -> Vec<String> {
    let sign = if status.tone == Tone::Refused { "✗ " } else { "" };
    wrap(&format!("{sign}{}", status.text), usize::from(wide).saturating_sub(4))
}

/// Rows of the screens' bar and of the hints; with the mouse they are targets for a gloved hand.
const fn bar_rows(state: &State) -> u16 {
    if state.mouse { 3 } else { 1 }
}
/// The word of the key that shows all keys.
const ALL_KEYS: &str = "keys";
/// The least columns of a button.
const BUTTON: usize = 6;

/// Draws the frame; gives the area of the body.
pub fn draw(state: &State, canvas: &mut Canvas) -> Rect {
    let area = canvas.area();
    let last = usize::from(area.height).saturating_sub(1);
    header(state, canvas, area);
    tabs(state, canvas, area);
    let bar = bar_rows(state);
    let low = status_rows(state, area);
    let low = Rect { y: area.y + area.height.saturating_sub(bar + low), height: bar, ..area };
    if state.mouse {
        buttons(state, canvas, low);
    } else {
        hints(state, canvas, low);
    }
    status(state, canvas, area, last);
    body(state, area)
}

/// What the frame leaves for a screen.
pub fn body(state: &State, area: Rect) -> Rect {
    let bar = bar_rows(state);
    Rect {
        x: area.x + 1,
        y: area.y + HEADER + bar,
        width: area.width.saturating_sub(2),
        height: area.height.saturating_sub(HEADER + status_rows(state, area) + 2 * bar),
    }
}

fn header(state: &State, canvas: &mut Canvas, area: Rect) {
    canvas.fill(Rect { height: 1, ..area }, Role::Title);
    let frame = &state.frame;
    let gap = if frame.season.is_empty() { "" } else { "  " };
    let left = format!(" {}{gap}{}", state.screen.name(), frame.season);
    let counts = match state.days {
        Some(0) => ["  lights on today".to_owned(), "  today!".to_owned()],
        Some(1) => ["  1 day to lights on".to_owned(), "  1 day to go".to_owned()],
        Some(d) if d > 0 => [format!("  {d} days to lights on"), format!("  {d} days to go")],
        _ => [String::new(), String::new()],
    };
    let demo = if frame.demo_clock { ", demo clock" } else { "" };
    let right = format!("{}{demo}", frame.now);
    let room = usize::from(area.width).saturating_sub(width(&right) + 1);
    let fits = counts.iter().map(|c| format!("{left}{c}")).find(|l| width(l) <= room);
    let left = fits.unwrap_or(left);
    canvas.text(area, 0, 0, &cut(&left, room), Role::Title);
    canvas.right(area, 0, &right, Role::Title);
}

fn tabs(state: &State, canvas: &mut Canvas, area: Rect) {
    if state.mouse {
        large_tabs(state, canvas, area);
        return;
    }
    let row = Rect { y: area.y + HEADER, height: 1, ..area };
    let mut col = 1;
    let gap = if area.width >= 100 { 2 } else { 1 };
    for (at, screen) in ScreenId::ALL.into_iter().enumerate() {
        let text = format!("{} {}", (at + 1) % 10, screen.name());
        let role = if screen == state.screen { Role::Selected } else { Role::Text };
        col += canvas.text(row, col, 0, &text, role) + gap;
    }
}

/// The screens as targets of three rows, ten side by side.
fn large_tabs(state: &State, canvas: &mut Canvas, area: Rect) {
    let wide = area.width / 10;
    for (at, screen) in (0u16..).zip(ScreenId::ALL) {
        let place = Rect { x: area.x + at * wide, y: area.y + HEADER, width: wide, height: 3 };
        let role = if screen == state.screen { Role::Selected } else { Role::Text };
        canvas.fill(place, role);
        canvas.text(place, 0, 0, &format!("{}", (at + 1) % 10), role);
        canvas.text(place, 0, 1, screen.name(), role);
        edges(canvas, place, role);
        canvas.click(place, Click::Screen(screen));
    }
}

/// What the keys do here as buttons of three rows.
fn buttons(state: &State, canvas: &mut Canvas, area: Rect) {
    let mut col = 0;
    for (key, word, action) in state.keymap.buttons(state.mode()) {
        let wide = (width(&key).max(width(word)) + 2).max(BUTTON);
        if col + wide > usize::from(area.width) {
            break;
        }
        let place = Rect { x: area.x + col as u16, width: wide as u16, ..area };
        canvas.text(place, 1, 0, &key, Role::Key);
        canvas.text(place, 1, 1, word, Role::Text);
        edges(canvas, place, Role::Line);
        canvas.click(place, Click::Do(action));
        col += wide;
    }
}

/// Where a target ends: a line at its right and under it, without taking columns from its word.
fn edges(canvas: &mut Canvas, place: Rect, role: Role) {
    let last = usize::from(place.width).saturating_sub(1);
    for row in 0..2 {
        canvas.text(place, last, row, "│", role);
    }
    canvas.text(place, 0, 2, &format!("{}┘", "─".repeat(last)), role);
}

fn hints(state: &State, canvas: &mut Canvas, area: Rect) {
    let (all, others): (Vec<_>, Vec<_>) =
        crate::tui::screens::hints(state).into_iter().partition(|(_, word)| *word == ALL_KEYS);
    // The key that shows all others is never the one that has no room.
    let mut end = usize::from(area.width).saturating_sub(1);
    for (key, word) in &all {
        let from = end.saturating_sub(width(key) + width(word) + 1);
        let used = canvas.text(area, from, 0, key, Role::Key) + 1;
        canvas.text(area, from + used, 0, word, Role::Text);
        end = from.saturating_sub(2);
    }
    let mut col = 1;
    for (key, word) in others {
        let need = width(&key) + width(word) + 1;
        if col + need > end {
            break;
        }
        col += canvas.text(area, col, 0, &key, Role::Key) + 1;
        col += canvas.text(area, col, 0, word, Role::Text) + 2;
    }
}

fn status(state: &State, canvas: &mut Canvas, area: Rect, row: usize) {
    let line = Rect { y: area.y + row as u16, height: 1, ..area };
    let left = match (&state.status, &state.frame.last_deed) {
        (Some(status), _) => width(&status.text) + 5,
        (None, Some(deed)) => width(deed) + 8,
        _ => 0,
    };
    // What is said comes first; the long work takes what is left.
    let work = state.background.as_ref().and_then(|work| {
        let share = work.share.map_or(String::new(), |s| format!(" {} %", s / 10));
        let forms = [format!(" {}{share}; Ctrl-X stops ", work.what), format!(" {}{share} ", work.what)];
        forms.into_iter().find(|form| left + width(form) <= usize::from(line.width))
    });
    let mut room = line;
    if let Some(work) = work {
        let used = canvas.right(line, 0, &work, Role::Strong);
        room.width = line.width.saturating_sub(used as u16 + 1);
    }
    let frame = &state.frame;
    match (&state.status, &frame.read_only, &frame.last_deed) {
        (Some(status), ..) => {
            let role = if status.tone == Tone::Said { Role::Strong } else { Role::Refused };
            let margin = if status.tone == Tone::Said { "" } else { " " };
            let mut lines = said(status, area.width);
            // A third line there never is: what is left of the text is cut at the end of the second.
            let rest = lines.split_off(lines.len().min(1)).join(" ");
            let first = lines.pop().unwrap_or_default();
            let rows = if rest.is_empty() { vec![first] } else { vec![first, rest] };
            let top = (row + 1).saturating_sub(rows.len());
            for (n, text) in rows.iter().enumerate() {
                let at = top + n;
                let line = Rect { y: area.y + at as u16, height: 1, ..area };
                canvas.fill(line, Role::Text);
                let room = if at == row { room } else { line };
                canvas.text(room, 1, 0, &format!("{margin}{text}{margin}"), role);
            }
            0
        }
        (None, Some(why), _) => canvas.text(room, 1, 0, &format!(" read only: {why} "), Role::Refused),
        (None, None, Some(deed)) => canvas.text(room, 1, 0, &format!("saved {deed}"), Role::Text),
        _ => 0,
    };
}
