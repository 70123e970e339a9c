//! What opens over a screen: pages to read, pick lists, questions, the search line.

use ratatui::layout::Rect;

use super::canvas::{Canvas, Click};
use super::field::Field;
use super::table;
use super::text::{width, wrap};
use crate::tui::look::Role;
use crate::tui::popup::{Pick, Popup, Prompt, Reading};

/// Draws one thing that is open over the screen.
pub fn draw(popup: &Popup, canvas: &mut Canvas) {
    match popup {
        Popup::Reading(page) => reading(page, canvas),
        Popup::Pick(pick) => pick_list(pick, canvas),
        Popup::Prompt(prompt) => question(prompt, canvas),
        Popup::Form(form) => super::form::draw(form, canvas),
        Popup::Find(field) => {
            let area = canvas.area();
            let row = usize::from(area.height).saturating_sub(2);
            let line = Rect { y: area.y + row as u16, height: 1, ..area };
            canvas.fill(line, Role::Text);
            let col = canvas.text(line, 1, 0, "Find: ", Role::Strong) + 1;
            text_field(field, canvas, line, col);
            canvas.right(line, 0, " Enter keeps it, Esc shows all ", Role::Text);
        }
    }
}

/// A box in the middle, as large as needed and as fits: what the keys do stays in sight below.
pub(super) fn middle(canvas: &Canvas, wide: usize, high: usize) -> Rect {
    let area = canvas.body();
    let width = u16::try_from(wide).unwrap_or(u16::MAX).min(area.width);
    let height = u16::try_from(high).unwrap_or(u16::MAX).min(area.height);
    Rect { x: area.x + (area.width - width) / 2, y: area.y + (area.height - height) / 2, width, height }
}

/// A box with its title in the frame, or whole on its first rows where the frame has no room for it.
fn titled(canvas: &mut Canvas, title: &str, wide: usize, rows: usize) -> Rect {
    let wide = wide.min(usize::from(canvas.body().width));
    if width(title) + 8 <= wide {
        let area = middle(canvas, wide, rows + 2);
        return inset(canvas.boxed(area, title));
    }
    let head = wrap(title, wide.saturating_sub(4));
    let area = middle(canvas, wide, rows + head.len() + 2);
    let inner = inset(canvas.boxed(area, ""));
    for (row, text) in head.iter().enumerate() {
        canvas.text(inner, 0, row, text, Role::Strong);
    }
    super::panes::below(inner, head.len())
}

/// The columns of a page to read, and where its text begins.
fn columns(page: &Reading, body: Rect) -> (usize, usize) {
    let label = page.lines.iter().map(|(l, _)| width(l)).max().unwrap_or(0).min(24);
    let text = page.lines.iter().map(|(_, t)| width(t)).max().unwrap_or(0);
    let indent = if label > 0 { label + 2 } else { 0 };
    let wide = (indent + text + 4).max(width(&page.title) + 8).clamp(30, 96);
    (wide.min(usize::from(body.width)), indent)
}

/// The last line that a page to read can begin with: from there on all shows.
pub fn last_top(page: &Reading, body: Rect) -> usize {
    let (wide, indent) = columns(page, body);
    let room = |aside: usize| wide.saturating_sub(4 + indent + aside);
    let high =
        usize::from(body.height).saturating_sub(2 + wrap(&page.title, wide.saturating_sub(4)).len() - 1);
    let rows = |aside: usize| page.lines.iter().map(move |(_, text)| wrap(text, room(aside)).len().max(1));
    if rows(0).sum::<usize>() <= high {
        return 0;
    }
    let mut left = high;
    let fits = rows(table::ASIDE).rev().take_while(|n| {
        let fits = *n <= left;
        left = left.saturating_sub(*n);
        fits
    });
    page.lines.len().saturating_sub(fits.count().max(1))
}

fn reading(page: &Reading, canvas: &mut Canvas) {
    let (wide, indent) = columns(page, canvas.body());
    let room = wide.saturating_sub(4 + indent);
    let lines_in = |room: usize| {
        let all = page.lines.iter().skip(page.top);
        let parts = all.flat_map(|(label, text)| {
            let parts = wrap(text, room).into_iter().enumerate();
            parts.map(move |(n, part)| (if n == 0 { label.as_str() } else { "" }, part))
        });
        parts.collect::<Vec<(&str, String)>>()
    };
    let mut lines = lines_in(room);
    // What says how many lines are out of sight stands beside the text, not in it.
    if page.top > 0 || lines.len() + 2 > usize::from(canvas.body().height) {
        lines = lines_in(room.saturating_sub(table::ASIDE));
    }
    let inner = titled(canvas, &page.title, wide, lines.len());
    for (row, (label, text)) in lines.iter().take(usize::from(inner.height)).enumerate() {
        canvas.text(
            Rect { width: inner.width.min(label_width(indent)), ..inner },
            0,
            row,
            label,
            Role::Strong,
        );
        canvas.text(inner, indent, row, text, Role::Text);
    }
    table::more(canvas, inner, page.top, lines.len().saturating_sub(usize::from(inner.height)));
}

fn label_width(indent: usize) -> u16 {
    u16::try_from(indent.saturating_sub(1)).unwrap_or(u16::MAX)
}

pub(super) fn inset(area: Rect) -> Rect {
    Rect { x: area.x + 1, width: area.width.saturating_sub(2), ..area }
}

/// Columns of a pick's digit.
const DIGIT: usize = 3;

fn pick_list(pick: &Pick, canvas: &mut Canvas) {
    let words = pick.rows.iter().map(|(text, word)| width(text) + width(word) + 8).max().unwrap_or(0);
    let most = usize::from(canvas.body().width);
    let wide = words.max(width(&pick.title) + 8).clamp(30, 100).min(most);
    let top_rows = usize::from(pick.field.is_some());
    let from = if pick.field.is_some() { 0 } else { DIGIT };
    let room = wide.saturating_sub(4 + from);
    // What has no room beside its name stands below it.
    let mut lines: Vec<(usize, Option<String>)> = Vec::new();
    for (at, (text, word)) in
        pick.shown.iter().enumerate().filter_map(|(at, n)| Some((at, pick.rows.get(*n)?)))
    {
        lines.push((at, None));
        if width(text) + width(word) + 2 > room {
            let parts = wrap(word, room.saturating_sub(2)).into_iter();
            lines.extend(parts.filter(|part| !part.is_empty()).map(|part| (at, Some(part))));
        }
    }
    let rows = if pick.field.is_some() { pick.rows.len().max(lines.len()) } else { lines.len() };
    let inner = titled(canvas, &pick.title, wide, rows + top_rows);
    if let Some(field) = &pick.field {
        let line = Rect { height: 1.min(inner.height), ..inner };
        let col = canvas.text(line, 0, 0, "› ", Role::Strong);
        text_field(field, canvas, line, col);
    }
    let list = super::panes::below(inner, top_rows);
    if pick.shown.is_empty() {
        canvas.text(list, 0, 0, "Nothing matches; take letters away", Role::Strong);
        return;
    }
    let room = usize::from(list.height);
    let first = lines.iter().position(|(at, _)| *at == pick.at).unwrap_or(0);
    let top = table::top(first, lines.len(), room);
    for (row, (at, below)) in lines.iter().skip(top).take(room).enumerate() {
        let Some((text, word)) = pick.shown.get(*at).and_then(|n| pick.rows.get(*n)) else { continue };
        let role = if *at == pick.at { Role::Selected } else { Role::Text };
        let line = Rect { y: list.y + row as u16, height: 1, ..list };
        canvas.click(line, Click::Pick(*at));
        canvas.fill(line, role);
        if let Some(below) = below {
            canvas.text(line, from + 2, 0, below, role);
            continue;
        }
        let digit = match *at {
            _ if pick.field.is_some() => String::new(),
            at @ 0..=8 => (at + 1).to_string(),
            9 => "0".to_owned(),
            _ => String::new(),
        };
        canvas.text(line, 0, 0, &digit, if role == Role::Text { Role::Key } else { role });
        let used = canvas.text(line, from, 0, text, role);
        if from + used + width(word) + 2 <= usize::from(line.width) {
            canvas.right(line, 0, word, role);
        }
    }
    table::more(canvas, list, top, lines.len().saturating_sub(top + room));
}

fn question(prompt: &Prompt, canvas: &mut Canvas) {
    let wide = (width(&prompt.title) + 8)
        .max(width(&prompt.takes) + 6)
        .max(width(prompt.field.text()) + 8)
        .clamp(44, 76);
    let room = wide.min(usize::from(canvas.body().width)).saturating_sub(4);
    let refusal = prompt.refusal.as_ref().map(|why| wrap(&format!("✗ {why}"), room)).unwrap_or_default();
    let takes = wrap(&format!("Takes: {}", prompt.takes), room);
    let inner = titled(canvas, &prompt.title, wide, 2 + refusal.len() + takes.len());
    let line = Rect { height: 1.min(inner.height), ..inner };
    let col = canvas.text(line, 0, 0, "› ", Role::Strong);
    text_field(&prompt.field, canvas, line, col);
    let mut row = 1;
    for text in &refusal {
        canvas.text(inner, 0, row, text, Role::Refused);
        row += 1;
    }
    for text in &takes {
        canvas.text(inner, 0, row, text, Role::Text);
        row += 1;
    }
    canvas.text(inner, 0, row, "Enter takes it, empty skips, Esc closes", Role::Text);
}

/// The text with its cursor drawn as a reversed cell; long text scrolls so that the cursor stays in sight.
pub(super) fn text_field(field: &Field, canvas: &mut Canvas, line: Rect, col: usize) {
    let room = usize::from(line.width).saturating_sub(col + 1).max(1);
    let from = (field.cursor() + 1).saturating_sub(room);
    let shown: String = field.text().chars().skip(from).collect();
    canvas.text(line, col, 0, &shown, if field.is_marked() { Role::Selected } else { Role::Text });
    let before: String =
        field.text().chars().skip(from).take(field.cursor() - from.min(field.cursor())).collect();
    let under = field.text().chars().nth(field.cursor()).unwrap_or(' ').to_string();
    canvas.text(line, col + width(&before), 0, &under, Role::Selected);
}
