//! Kit drawn: the list, and the page of the marked row.

use ratatui::layout::Rect;

use super::state::Group;
use crate::answers::view::KitRow;
use crate::tui::look::{Role, Tint};
use crate::tui::state::State;
use crate::tui::widgets::table::{Cell, Line};
use crate::tui::widgets::{Canvas, panes};

/// Draws Kit.
pub fn draw(state: &State, canvas: &mut Canvas, area: Rect) {
    let Some(page) = &state.kit.page else { return };
    let shown = state.kit.matching;
    let all = page.rows.len();
    let head = if shown == all { format!("{all} rows") } else { format!("{shown} of {all} rows match") };
    let kind = state.kit.kind.map_or(String::new(), |k| format!(", only {}", k.said().1));
    let group = match state.kit.group {
        Group::Nothing => String::new(),
        group => format!("; grouped by {}: ← folds, → opens", group.word()),
    };
    let of = |state: &str| page.rows.iter().filter(|r| r.state == state).count();
    let mut bad = String::new();
    for state in ["faulty", "lost"].into_iter().filter(|s| of(s) > 0) {
        bad = format!("{bad}, {} {state}", of(state));
    }
    canvas.heading(area, 0, &format!("{head}{kind}{bad}, sorted by {}{group}", state.kit.sort.word()));
    let body = panes::below(area, 1);
    if all == 0 {
        canvas.wrapped(
            body,
            1,
            "Nothing is owned yet. a adds a prop in one line, + tells anything else.",
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
    let mut lines: Vec<Line> = Vec::new();
    let mut head = None;
    let by = state.kit.heads();
    for (n, row) in state.kit.list.shown.iter().filter_map(|n| page.rows.get(*n).map(|r| (*n, r))) {
        let here = by.head(row);
        if let Some(name) = here.filter(|name| state.kit.folded.contains(*name)) {
            let many = state.kit.in_group(name);
            lines.push(Line::Row(n, vec![format!("+ {name}: {many} folded, → opens").into()]));
            continue;
        }
        if here != head {
            lines.extend(here.map(|h| Line::Group(h.to_owned())));
            head = here;
        }
        lines.push(Line::Row(n, cells(row, by == Group::Kind)));
    }
    let what = if by == Group::Kind { "" } else { "What" };
    let heads = ["Name", "Code", what, "How it is", "Where"];
    let detail = panes::list(canvas, body, (&heads, &lines, state.kit.list.marked()), 9);
    let Some(row) = state.kit.row() else { return };
    let mut at = canvas.headed(detail, 0, &format!("{}  {}", row.code, row.name));
    for (label, text) in state.kit.detail().iter().flat_map(|d| &d.lines) {
        if !(label == "code" && *text == row.code) {
            at += canvas.labelled(detail, at, label, text);
        }
    }
}

fn cells(row: &KitRow, headed: bool) -> Vec<Cell> {
    let what = if headed { "" } else { row.kind.said().0 };
    let state = match row.state.as_str() {
        "faulty" | "lost" => Cell::Chip(Tint::Stop, row.state.clone()),
        "scrapped" => Cell::Chip(Tint::Skipped, row.state.clone()),
        _ => Cell::Text(row.state.clone()),
    };
    vec![(&row.name).into(), (&row.code).into(), what.into(), state, (&row.home).into()]
}
