//! What stands around every screen: header, screens with their digits, hints, status line.

use ratatui::layout::Rect;

use super::canvas::Canvas;
use super::text::{cut, width};
use crate::app::view::ScreenId;
use crate::tui::look::Role;
use crate::tui::state::{State, Tone};

/// Rows above and below the body.
const ABOVE: u16 = 2;
const BELOW: u16 = 2;

/// Draws the frame; gives the area of the body.
pub fn draw(state: &State, canvas: &mut Canvas) -> Rect {
    let area = canvas.area();
    let last = usize::from(area.height).saturating_sub(1);
    header(state, canvas, area);
    tabs(state, canvas, area);
    hints(state, canvas, area, last.saturating_sub(1));
    status(state, canvas, area, last);
    Rect {
        x: area.x + 1,
        y: area.y + ABOVE,
        width: area.width.saturating_sub(2),
        height: area.height.saturating_sub(ABOVE + BELOW),
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
    let row = Rect { y: area.y + 1, height: 1, ..area };
    let mut col = 1;
    let gap = if area.width >= 100 { 2 } else { 1 };
    for (at, screen) in ScreenId::ALL.into_iter().enumerate() {
        let text = format!("{} {}", (at + 1) % 10, screen.name());
        let role = if screen == state.screen { Role::Selected } else { Role::Text };
        col += canvas.text(row, col, 0, &text, role) + gap;
    }
}

fn hints(state: &State, canvas: &mut Canvas, area: Rect, row: usize) {
    let mut col = 1;
    for (key, word) in state.keymap.hints(state.mode()) {
        let need = width(&key) + width(word) + 1;
        if col + need + 1 > usize::from(area.width) {
            break;
        }
        col += canvas.text(area, col, row, &key, Role::Key) + 1;
        col += canvas.text(area, col, row, word, Role::Text) + 2;
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
        (Some(status), ..) => match status.tone {
            Tone::Said => canvas.text(room, 1, 0, &status.text, Role::Strong),
            Tone::Refused => canvas.text(room, 1, 0, &format!(" ✗ {} ", status.text), Role::Refused),
        },
        (None, Some(why), _) => canvas.text(room, 1, 0, &format!(" read only: {why} "), Role::Refused),
        (None, None, Some(deed)) => canvas.text(room, 1, 0, &format!("saved {deed}"), Role::Text),
        _ => 0,
    };
}
