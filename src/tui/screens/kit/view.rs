//! Kit drawn: the list, and the page of the marked row.

use ratatui::layout::Rect;

use super::state::Group;
use crate::answers::view::{Kit, KitRow};
use crate::tui::look::{Role, Tint};
use crate::tui::screens::next;
use crate::tui::state::State;
use crate::tui::widgets::table::{Cell, Line};
use crate::tui::widgets::text::{counted, width};
use crate::tui::widgets::{Canvas, panes};

/// Draws Kit.
pub fn draw(state: &State, canvas: &mut Canvas, area: Rect) {
    let Some(page) = &state.kit.page else { return };
    let shown = state.kit.matching;
    let all = page.rows.len();
    let head = if shown == all { format!("{all} in all") } else { format!("{shown} of {all} match") };
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
    // Of a part of the list nothing is said that is not in it.
    let whole = state.kit.kind.is_none() && state.kit.list.filter.trim().is_empty();
    let asked = next(page).filter(|_| whole).unwrap_or_else(|| next::of_all(state));
    let used = canvas.next(area, 1, &asked);
    let body = panes::below(area, 1 + used);
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
    let coded =
        state.kit.list.shown.iter().filter_map(|n| page.rows.get(*n)).any(|r| !r.own_code().is_empty());
    let code = if coded { "Code" } else { "" };
    let heads = ["Name", code, what, "How it is", "Where"];
    let detail = panes::list(canvas, body, (&heads, &lines, state.kit.list.marked()), 9);
    let Some(row) = state.kit.row() else { return };
    let code = row.own_code();
    let mut at = canvas.headed(detail, 0, format!("{code}  {}", row.name).trim_start());
    // What the heading has is not said again.
    let said =
        |label: &str, text: &str| (label == "code" && text == code) || (label == "name" && text == row.name);
    let lines = || state.kit.detail().into_iter().flat_map(|d| &d.lines).filter(|(l, t)| !said(l, t));
    let indent = lines().map(|(label, _)| width(label) + 2).max().unwrap_or(0).clamp(11, 20);
    for (label, text) in lines() {
        at += canvas.labelled_at(detail, (at, indent.max(width(label) + 1)), label, text);
    }
}

fn cells(row: &KitRow, headed: bool) -> Vec<Cell> {
    let what = if headed { "" } else { row.kind.said().0 };
    let state = match row.state.as_str() {
        "faulty" | "lost" => Cell::Chip(Tint::Stop, row.state.clone()),
        "scrapped" => Cell::Chip(Tint::Skipped, row.state.clone()),
        _ => Cell::Text(row.state.clone()),
    };
    vec![(&row.name).into(), row.own_code().into(), what.into(), state, (&row.home).into()]
}

/// What the pieces ask for. Which of the faulty ones is first is the bench's to say.
fn next(page: &Kit) -> Option<String> {
    let of = |state: &str| page.rows.iter().filter(|r| r.state == state).count();
    match (of("faulty"), of("lost")) {
        (0, 0) => None,
        (0, lost) => Some(format!("8 Totes: look for {}", counted(lost, "lost piece", "lost pieces"))),
        (faulty, _) => Some(format!("7 Faults: mend {}", counted(faulty, "faulty piece", "faulty pieces"))),
    }
}
