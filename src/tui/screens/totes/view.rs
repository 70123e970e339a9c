//! Totes drawn: the containers, and what is in the marked one.

use ratatui::layout::Rect;

use crate::answers::view::{DryingRow, ToteRow, Totes};
use crate::tui::look::{Role, Tint};
use crate::tui::screens::next;
use crate::tui::state::State;
use crate::tui::widgets::table::{self, Cell, Line};
use crate::tui::widgets::{Canvas, panes};

/// Draws Totes.
pub fn draw(state: &State, canvas: &mut Canvas, area: Rect) {
    let Some(page) = &state.totes.page else { return };
    if page.rows.is_empty() {
        let text = "No tote or shelf is told yet. + tells one; e in 5 Kit gives each piece its home.";
        let used = canvas.next(area, 1, &next::of_all(state));
        canvas.wrapped(area, 2 + used, text, Role::Strong);
        homeless(&page.homeless, canvas, area, 5 + used);
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
    let narrowed = state.totes.list.narrowed(page.rows.len());
    let due = due(page);
    canvas.heading(
        area,
        0,
        &format!("{narrowed}{} totes and shelves: {inside} of {all} pieces in{due}{lone}", page.rows.len()),
    );
    let used = canvas.next(area, 1, &next(page).unwrap_or_else(|| next::of_all(state)));
    let heads = ["Now", "Tote", "Name", "Stands", "In"];
    let (list, detail) = panes::split(canvas, panes::below(area, 1 + used), area.height / 2, (&heads, &rows));
    let marked = state.totes.list.marked();
    if state.totes.map {
        // The mark of what is below stands at the right.
        let lines = map_lines(page, usize::from(list.width).saturating_sub(7), marked);
        shelves(&lines, canvas, list);
    } else {
        table::draw(canvas, list, &heads, &rows, marked);
    }
    let Some(row) = state.totes.row() else { return };
    let stands = if row.stands.is_empty() { String::new() } else { format!(", on {}", row.stands) };
    let head = canvas.headed(detail, 0, &format!("{}  {}{stands}", row.code, row.name));
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
    if let Some(drying) = page.drying.as_ref().filter(|d| !d.rows.is_empty()) {
        let first: Vec<String> = drying.rows.iter().take(3).map(DryingRow::line).collect();
        at += canvas.labelled(detail, at, "drying", &format!("{}: {}", drying.filled(), first.join("; ")));
    }
    for finding in &page.findings {
        at += canvas.labelled(detail, at, "look", finding);
    }
    homeless(&page.homeless, canvas, detail, at);
}

/// The first tote that is asked for now, with the key; into what waits for pieces that still hang nothing can be put.
fn next(page: &Totes) -> Option<String> {
    let (row, deed) = page.rows.iter().find_map(|row| {
        let due = row.due.as_ref()?;
        let deed = match due.split_once(' ') {
            Some((n, _)) if due.ends_with("out") => format!("t: take {n} out of"),
            Some(_) if due.ends_with("to come") && row.down == 0 => return None,
            Some(_) if due.ends_with("to come") => format!("p: put {} into", row.down),
            _ => "c: count".to_owned(),
        };
        Some((row, deed))
    })?;
    let stands = if row.stands.is_empty() { String::new() } else { format!(", {}", place_name(&row.stands)) };
    Some(format!("{deed} {} {}{stands}", row.code, row.name))
}

/// Where a tote stands by its name alone; its page says how the shelf is labelled.
fn place_name(stands: &str) -> &str {
    stands.split_once(' ').map_or(stands, |(_, name)| name)
}

/// What the totes are for now, and how many of them.
fn due(page: &Totes) -> String {
    let (mut out, mut fill, mut count) = (0, 0, 0);
    for due in page.rows.iter().filter_map(|r| r.due.as_ref()) {
        match due {
            _ if due.ends_with("out") => out += 1,
            _ if due.ends_with("to come") => fill += 1,
            _ => count += 1,
        }
    }
    let said: Vec<String> =
        [(out, "with what the season takes"), (fill, "to be filled"), (count, "to be counted")]
            .into_iter()
            .filter(|(n, _)| *n > 0)
            .map(|(n, what)| format!(", {n} {what}"))
            .collect();
    if said.is_empty() { ", nothing is due".to_owned() } else { said.concat() }
}

/// A line of the map: words side by side, the marked tote's among them.
type MapLine = Vec<(String, Role)>;

/// Each shelf, and below it its totes side by side as far as the row has room.
fn map_lines(page: &Totes, width: usize, marked: Option<usize>) -> Vec<MapLine> {
    let mut lines = Vec::new();
    for shelf in &page.map {
        let margin = " ".repeat(2 * shelf.depth);
        let own = page.of(shelf).map_or_else(String::new, |r| format!(": {}", r.lies()));
        let name = format!("{margin}{}  {}{own}", shelf.code, shelf.name);
        lines.push(vec![(name.trim_end().to_owned(), Role::Strong)]);
        let start = || vec![(format!("{margin}  "), Role::Text)];
        let (mut line, mut filled) = (start(), margin.len() + 2);
        for (n, tote) in shelf.totes.iter().filter_map(|n| Some((*n, page.rows.get(*n)?))) {
            let text = format!(" {} {} ", tote.code, tote.lies());
            let wide = text.chars().count() + 1;
            if filled + wide > width && line.len() > 1 {
                lines.push(std::mem::replace(&mut line, start()));
                filled = margin.len() + 2;
            }
            filled += wide;
            line.push((text, if marked == Some(n) { Role::Selected } else { Role::Text }));
        }
        if line.len() > 1 {
            lines.push(line);
        }
    }
    lines
}

/// The map, from a shelf on from which the marked tote shows.
fn shelves(lines: &[MapLine], canvas: &mut Canvas, area: Rect) {
    let room = usize::from(area.height);
    let marked = lines.iter().position(|l| l.iter().any(|(_, role)| *role == Role::Selected)).unwrap_or(0);
    let top = (marked + 1).saturating_sub(room);
    for (row, line) in lines.iter().skip(top).take(room).enumerate() {
        let mut col = 1;
        for (text, role) in line {
            col += canvas.text(area, col, row, text, *role) + 1;
        }
    }
    table::more(canvas, area, top, lines.len().saturating_sub(room));
}

/// So many pieces without a home are named.
const HOMELESS: usize = 4;

fn homeless(pieces: &[String], canvas: &mut Canvas, area: Rect, row: usize) {
    if !pieces.is_empty() {
        let first = pieces.iter().take(HOMELESS).cloned().collect::<Vec<_>>().join(", ");
        let more = match pieces.len().saturating_sub(HOMELESS) {
            0 => String::new(),
            n => format!(" and {n} more, in 5 Kit"),
        };
        canvas.labelled(area, row, "no home", &format!("{}: {first}{more}", pieces.len()));
    }
}

fn cells(row: &ToteRow) -> Vec<Cell> {
    let due = row.due.clone().map_or_else(|| "".into(), |due| Cell::Chip(Tint::Doing, due));
    // The heading says what the figures are, the page of the tote how its shelf is labelled.
    let lies = row.lies().trim_end_matches(" in").to_owned();
    vec![due, Cell::word(&row.code), (&row.name).into(), place_name(&row.stands).into(), Cell::Right(lies)]
}

fn now_tint(now: &str) -> Tint {
    match now {
        "in" => Tint::Done,
        "lost" => Tint::Stop,
        "on the bench" => Tint::Note,
        _ => Tint::Open,
    }
}
