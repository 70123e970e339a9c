//! Faults drawn: the list, and all about the marked one.

use ratatui::layout::Rect;

use crate::answers::view::{FaultDetail, FaultRow};
use crate::answers::words::say_date;
use crate::tui::look::{Role, Tint};
use crate::tui::screens::next;
use crate::tui::state::State;
use crate::tui::widgets::table::{Cell, Line};
use crate::tui::widgets::{Canvas, panes};

/// Draws Faults.
pub fn draw(state: &State, canvas: &mut Canvas, area: Rect) {
    let Some(page) = &state.faults.page else { return };
    let open = page.rows.iter().filter(|r| !r.ended).count();
    let bench = page.rows.iter().filter(|r| r.bench).count();
    let what = if state.faults.bench { "BENCH LIST  " } else { "" };
    let mended = page.rows.iter().filter(|r| r.state == "mended, to be tested").count();
    let test = if mended > 0 { format!(", {mended} to be tested") } else { String::new() };
    let narrowed = state.faults.list.narrowed(page.rows.len());
    canvas.heading(
        area,
        0,
        &format!("{what}{narrowed}{open} not ended, {bench} for the bench{test}, {} in all", page.rows.len()),
    );
    let asked = state.faults.row().and_then(next).unwrap_or_else(|| next::of_all(state));
    let used = canvas.next(area, 1, &asked);
    let body = panes::below(area, 1 + used);
    if state.faults.list.shown.is_empty() {
        let text = if state.frame.empty {
            "No fault was logged yet: nothing is told that could have one."
        } else if page.rows.is_empty() {
            "No fault was logged yet. n logs one: what, which symptom, what was done tonight."
        } else if !state.faults.list.filter.is_empty() {
            "Nothing matches. Esc shows all again."
        } else {
            "Nothing waits on the bench. b shows all faults."
        };
        canvas.wrapped(body, 1, text, Role::Strong);
        return;
    }
    let lines: Vec<Line> = state
        .faults
        .list
        .shown
        .iter()
        .filter_map(|n| page.rows.get(*n).map(|r| Line::Row(*n, cells(r, state.faults.bench))))
        .collect();
    let by = if state.faults.bench { "Needed by" } else { "" };
    let heads = ["State", by, "What", "Where", "Seen"];
    let marked = state.faults.list.marked();
    let lower = panes::list(canvas, body, (&heads, &lines, marked), body.height * 11 / 20);
    if let Some(row) = state.faults.row() {
        detail(row, state.faults.detail(), canvas, lower);
    }
}

/// What the marked fault asks for, with the key; nothing where that is for later, or where nothing uses it.
fn next(row: &FaultRow) -> Option<String> {
    if row.ended || row.hangs || (row.bench && row.needed_by.is_none()) {
        return None;
    }
    let place = if row.place.is_empty() { String::new() } else { format!(", {}", row.place) };
    let by = row.needed_by.map_or_else(String::new, |day| format!("; by {}", say_date(day)));
    Some(match row.state {
        "waiting for a part" => format!("9 Buy: the part for {}{by}", row.target),
        "mended, to be tested" => format!("t: test {}{place}{by}", row.target),
        _ => format!("m: mend {}{place}{by}", row.target),
    })
}

fn cells(row: &FaultRow, bench: bool) -> Vec<Cell> {
    // The bench works by the day that a coming season uses the piece.
    let by = row.needed_by.map_or_else(|| "no date".to_owned(), |d| d.format("%-d %b %Y").to_string());
    // One goes by what it is and where: the code stands with all the rest of it.
    vec![
        Cell::Chip(tint(row), short(row.state).to_owned()),
        if bench { Cell::Right(by) } else { "".into() },
        (&row.target).into(),
        (&row.place).into(),
        (&row.symptom).into(),
    ]
}

/// The state in the list's width; the whole of it stands beside.
fn short(state: &str) -> &str {
    match state {
        "waiting for a part" => "waits for part",
        "mended, to be tested" => "to be tested",
        "replaced, piece on the bench" => "replaced",
        other => other,
    }
}

fn tint(row: &FaultRow) -> Tint {
    match row.state {
        "ended" => Tint::Done,
        "scrapped" => Tint::Skipped,
        "open" => Tint::Stop,
        _ => Tint::Note,
    }
}

fn detail(row: &FaultRow, more: Option<&FaultDetail>, canvas: &mut Canvas, area: Rect) {
    let mut at = canvas.headed(area, 0, &format!("{}  {}", row.code, row.target));
    at += canvas.labelled(area, at, "next", if row.ended { "nothing: it is over" } else { &row.next });
    if !row.place.is_empty() {
        at += canvas.labelled(area, at, "where", &row.place);
    }
    let found = more.map_or_else(String::new, |m| format!(", {}", m.found));
    at += canvas.labelled(area, at, "seen", &format!("{}{found}", row.symptom));
    if short(row.state) != row.state {
        at += canvas.labelled(area, at, "state", row.state);
    }
    let Some(more) = more else { return };
    // Before the record, which may be long.
    for caution in &more.cautions {
        at += canvas.labelled(area, at, "caution", caution);
    }
    for entry in &more.entries {
        at += canvas.labelled(area, at, "record", entry);
    }
    for photo in &more.photos {
        at += canvas.labelled(area, at, "photo", photo);
    }
    if !more.guide.is_empty() {
        let inner = panes::below(area, at);
        if inner.height > 1 {
            canvas.heading(inner, 0, "What to try; g goes through it");
            let mut line = 1;
            for (n, step) in more.guide.iter().enumerate() {
                line += canvas.labelled(inner, line, &format!("{}", n + 1), &step.what);
                if let Some(answer) = &step.answer {
                    line += canvas.labelled(inner, line, "so", answer);
                }
            }
        }
    }
}
