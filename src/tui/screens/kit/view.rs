//! Kit drawn: the list, and the page of the marked row.

use ratatui::layout::Rect;

use super::state::Group;
use crate::answers::view::KitRow;
use crate::tui::look::{Role, Tint};
use crate::tui::state::State;
use crate::tui::widgets::Canvas;
use crate::tui::widgets::table::{self, Cell, Line};

/// Draws Kit.
pub fn draw(state: &State, canvas: &mut Canvas, area: Rect) {
    let Some(page) = &state.kit.page else { return };
    let shown = state.kit.list.shown.len();
    let all = page.rows.len();
    let head = if shown == all { format!("{all} rows") } else { format!("{shown} of {all} rows match") };
    let kind = state.kit.kind.map_or(String::new(), |k| format!(", only {}", k.word()));
    let group = match state.kit.group {
        Group::Nothing => String::new(),
        group => format!(", grouped by {}", group.word()),
    };
    canvas.text(area, 0, 0, &format!("{head}{kind}, by {}{group}", state.kit.sort.word()), Role::Strong);
    let body = Rect { y: area.y + 1, height: area.height.saturating_sub(1), ..area };
    if all == 0 {
        canvas.wrapped(
            body,
            1,
            "Nothing is owned yet. a adds a prop in one line, + tells anything else; i on Today (1) brings in a file.",
            Role::Strong,
        );
        return;
    }
    if shown == 0 {
        canvas.wrapped(
            body,
            1,
            "Nothing matches. Take letters away, Esc shows all again; k shows other kinds.",
            Role::Strong,
        );
        return;
    }
    let wide = body.width >= 110;
    let left = if wide { body.width * 7 / 10 } else { body.width };
    let low = if wide { 0 } else { (body.height / 2).min(8) };
    let list = Rect { width: left, height: body.height - low, ..body };
    // Only the rows near the mark are made, so that a big yard draws as fast as a small one.
    let room = usize::from(list.height) * 2 + 2;
    let from = state.kit.list.at.saturating_sub(room);
    let near = state.kit.list.shown.iter().skip(from).take(room * 2);
    let mut lines: Vec<Line> = Vec::new();
    let mut head = None;
    for (n, row) in near.filter_map(|n| page.rows.get(*n).map(|r| (*n, r))) {
        let here = state.kit.group.head(row);
        if here != head {
            lines.extend(here.map(|h| Line::Group(h.to_owned())));
            head = here;
        }
        lines.push(Line::Row(n, cells(row)));
    }
    let columns = [("Code", 9), ("Name", 0), ("Kind", 9), ("State", 11), ("Where", 17)];
    table::draw(canvas, list, &columns, &lines, state.kit.list.marked());
    let Some(row) = state.kit.row() else { return };
    let detail = if wide {
        canvas.divider(Rect { x: body.x + left, width: 1, ..body });
        Rect { x: body.x + left + 2, width: body.width - left - 2, ..body }
    } else {
        Rect { y: body.y + body.height - low, height: low, ..body }
    };
    canvas.heading(detail, 0, &format!("{}  {}", row.code, row.name));
    let mut at = 1;
    for (label, text) in state.kit.detail().iter().flat_map(|d| &d.lines) {
        at += canvas.labelled(detail, at, label, text);
    }
}

fn cells(row: &KitRow) -> Vec<Cell> {
    let state = match row.state.as_str() {
        "faulty" | "lost" => Cell::Chip(Tint::Stop, row.state.clone()),
        "scrapped" => Cell::Chip(Tint::Skipped, row.state.clone()),
        _ => Cell::Text(row.state.clone()),
    };
    let (name, home) = (Cell::Ends(row.name.clone()), Cell::Ends(row.home.clone()));
    vec![(&row.code).into(), name, row.kind.word().into(), state, home]
}
