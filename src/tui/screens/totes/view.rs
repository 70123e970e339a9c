//! Totes drawn: the containers, and what is in the marked one.

use ratatui::layout::Rect;

use crate::answers::view::ToteRow;
use crate::tui::look::{Role, Tint};
use crate::tui::state::State;
use crate::tui::widgets::table::{self, Cell, Line};
use crate::tui::widgets::{Canvas, panes};

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
    let inside: usize = page.rows.iter().map(|r| r.is_in).sum();
    let all: usize = page.rows.iter().map(|r| r.of).sum();
    let lone = page.homeless.len();
    let lone = if lone > 0 { format!(", {lone} without a home") } else { String::new() };
    let due = page.rows.iter().filter(|r| r.due.is_some()).count();
    let due = if due > 0 { format!(", {due} marked for now") } else { String::new() };
    canvas.heading(
        area,
        0,
        &format!("{} totes and shelves: {inside} of {all} pieces in{due}{lone}", page.rows.len()),
    );
    let (list, detail) = panes::split(canvas, panes::below(area, 1), 55, area.height / 2);
    table::draw(canvas, list, &["Tote", "Name", "Now", "Stands", "In"], &rows, state.totes.list.marked());
    let Some(row) = state.totes.row() else { return };
    let head = canvas.headed(detail, 0, &format!("{}  {}", row.code, row.name));
    let detail = panes::below(detail, head - 1);
    let room = usize::from(detail.height).saturating_sub(3).max(1);
    let room = if row.contents.len() > room { room } else { row.contents.len() };
    let lines: Vec<Line> = row
        .contents
        .iter()
        .take(room)
        .map(|(code, name, now)| {
            Line::Row(usize::MAX, vec![code.into(), name.into(), Cell::Chip(now_tint(now), now.clone())])
        })
        .collect();
    let inside = Rect { height: room as u16, ..panes::below(detail, 1) };
    table::draw(canvas, inside, &["", "", ""], &lines, None);
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
    let due = row.due.clone().map_or_else(|| "".into(), |due| Cell::Chip(Tint::Doing, due));
    vec![
        (&row.code).into(),
        (&row.name).into(),
        due,
        (&row.stands).into(),
        // Where nothing lives, as in the bench tote, only what lies there counts.
        Cell::Right(if row.of == 0 { row.is_in.to_string() } else { format!("{} of {}", row.is_in, row.of) }),
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
