//! Totes drawn: the containers, and what is in the marked one.

use ratatui::layout::Rect;

use crate::answers::view::ToteRow;
use crate::tui::look::{Role, Tint};
use crate::tui::state::State;
use crate::tui::widgets::Canvas;
use crate::tui::widgets::table::{self, Cell, Line};

/// Draws Totes.
pub fn draw(state: &State, canvas: &mut Canvas, area: Rect) {
    let Some(page) = &state.totes.page else { return };
    if page.rows.is_empty() {
        let text = "No tote or shelf is told yet. Import containers, and give each piece its home in Kit.";
        canvas.wrapped(area, 1, text, Role::Strong);
        homeless(&page.homeless, canvas, area, 4);
        return;
    }
    if state.totes.list.shown.is_empty() {
        canvas.wrapped(area, 1, "Nothing matches. Esc shows all again.", Role::Strong);
        return;
    }
    let rows: Vec<Line> = state
        .totes
        .list
        .shown
        .iter()
        .filter_map(|n| page.rows.get(*n).map(|r| Line::Row(*n, cells(r))))
        .collect();
    let wide = area.width >= 110;
    let low = if wide { 0 } else { area.height / 2 };
    let left = if wide { area.width * 6 / 10 } else { area.width };
    let list = Rect { width: left, height: area.height - low, ..area };
    // The longest code is shown whole, up to what leaves room for the rest.
    let code = page.rows.iter().map(|r| r.code.chars().count()).max().unwrap_or(0).clamp(4, 10);
    let columns = [("Tote", code), ("Name", 0), ("Stands", 0), ("In", 8)];
    table::draw(canvas, list, &columns, &rows, state.totes.list.marked());
    let detail = if wide {
        canvas.divider(Rect { x: area.x + left, width: 1, ..area });
        Rect { x: area.x + left + 2, width: area.width - left - 2, ..area }
    } else {
        Rect { y: area.y + area.height - low, height: low, ..area }
    };
    let Some(row) = state.totes.row() else { return };
    canvas.heading(detail, 0, &format!("{}  {}", row.code, row.name));
    let room = usize::from(detail.height).saturating_sub(3).max(1);
    for (at, (code, name, now)) in row.contents.iter().take(room).enumerate() {
        canvas.text(detail, 0, 1 + at, code, Role::Strong);
        let used = canvas.text(detail, 10, 1 + at, name, Role::Text);
        canvas.chip(detail, 12 + used, 1 + at, now_tint(now), now);
    }
    let mut at = 1 + row.contents.len().min(room);
    if row.contents.len() > room {
        let text = format!("and {} more; Enter shows all", row.contents.len() - room);
        canvas.text(detail, 10, at, &text, Role::Strong);
        at += 1;
    }
    for note in &row.notes {
        at += canvas.labelled(detail, at, "note", note);
    }
    for finding in &page.findings {
        at += canvas.labelled(detail, at, "look", finding);
    }
    homeless(&page.homeless, canvas, detail, at);
}

fn homeless(pieces: &[String], canvas: &mut Canvas, area: Rect, row: usize) {
    if !pieces.is_empty() {
        canvas.labelled(area, row, "no home", &format!("{}: {}", pieces.len(), pieces.join(", ")));
    }
}

fn cells(row: &ToteRow) -> Vec<Cell> {
    vec![
        (&row.code).into(),
        (&row.name).into(),
        (&row.stands).into(),
        format!("{} of {}", row.is_in, row.of).into(),
    ]
}

fn now_tint(now: &str) -> Tint {
    match now {
        "in" => Tint::Done,
        "lost" => Tint::Stop,
        "on the bench" => Tint::Doing,
        _ => Tint::Open,
    }
}
