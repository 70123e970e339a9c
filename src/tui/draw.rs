//! One picture of the state: frame, screen, and what is open over it.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::look::{Look, Role};
use super::screens;
use super::state::State;
use super::widgets::canvas::Hit;
use super::widgets::text::width;
use super::widgets::{Canvas, frame, overlay};

/// The least columns and rows.
pub const LEAST: (u16, u16) = (80, 24);

/// Draws all there is; below the least size one line that says so. Gives what can be clicked.
pub fn draw(state: &State, buf: &mut Buffer) -> Vec<Hit> {
    let area = buf.area;
    let mut canvas = Canvas::new(buf, state.look);
    canvas.fill(area, Role::Text);
    if area.width < LEAST.0 || area.height < LEAST.1 {
        let text = format!("needs {}x{}, is {}x{}", LEAST.0, LEAST.1, area.width, area.height);
        let col = usize::from(area.width).saturating_sub(width(&text)) / 2;
        let middle = usize::from(area.height / 2);
        canvas.text(area, col, middle, &text, Role::Strong);
    } else {
        let body = frame::draw(state, &mut canvas);
        canvas.keep_to(body);
        let empty = Rect { width: 0, height: 0, ..body };
        if state.has_page(state.screen) || state.frame.empty {
            screens::draw(state, &mut canvas, body);
        } else if body != empty {
            canvas.text(body, 0, 1, "This page could not be computed; F5 tries again.", Role::Strong);
        }
        for popup in &state.popups {
            canvas.cover();
            overlay::draw(popup, &mut canvas);
        }
    }
    canvas.finish()
}

/// What shows until the yard is read.
pub fn waiting(look: Look, buf: &mut Buffer) {
    let area = buf.area;
    let mut canvas = Canvas::new(buf, look);
    canvas.fill(area, Role::Text);
    let text = "Opening the yard";
    let col = usize::from(area.width).saturating_sub(width(text)) / 2;
    canvas.text(area, col, usize::from(area.height / 2), text, Role::Strong);
    canvas.finish();
}
