//! A form drawn: label and field a line, what the marked one takes, and what is wrong under its line.

use ratatui::layout::Rect;

use super::canvas::Canvas;
use super::overlay::{inset, middle, text_field};
use super::panes;
use super::table;
use super::text::{width, wrap};
use crate::tui::form::{Form, Line};
use crate::tui::look::Role;

/// Rows below the lines: what the marked one takes, and the keys.
const FOOT: usize = 3;

/// Draws the form.
pub fn draw(form: &Form, canvas: &mut Canvas) {
    let label = form.lines.iter().map(|l| width(&l.of.label)).max().unwrap_or(0).min(22) + 4;
    let area = middle(
        canvas,
        96,
        form.lines.len() + 2 + FOOT + form.lines.iter().filter(|l| l.fault.is_some()).count(),
    );
    let inner = inset(canvas.boxed(area, &form.title));
    let room = usize::from(inner.height).saturating_sub(FOOT);
    // A line with a fault takes two rows.
    let high = |line: &Line| 1 + usize::from(line.fault.is_some());
    let mut top = form.at;
    let mut used = form.line().map_or(1, high);
    while let Some(line) = top.checked_sub(1).and_then(|n| form.lines.get(n)) {
        if used + high(line) > room {
            break;
        }
        used += high(line);
        top -= 1;
    }
    let mut row = 0;
    let mut shown = 0;
    for (n, line) in form.lines.iter().enumerate().skip(top) {
        if row + high(line) > room {
            break;
        }
        let rect = Rect { y: inner.y + row as u16, height: 1, ..inner };
        let here = n == form.at;
        let mark = if here {
            "›"
        } else if line.of.must {
            "·"
        } else {
            " "
        };
        canvas.text(rect, 0, 0, mark, Role::Strong);
        canvas.text(Rect { width: rect.width.min(label as u16), ..rect }, 2, 0, &line.of.label, Role::Strong);
        if here {
            text_field(&line.field, canvas, rect, label);
        } else {
            canvas.text(rect, label, 0, line.field.text(), Role::Text);
        }
        if let Some(why) = &line.fault {
            let first =
                wrap(&format!("✗ {why}"), usize::from(inner.width).saturating_sub(4)).into_iter().next();
            canvas.text(inner, 4, row + 1, &first.unwrap_or_default(), Role::Refused);
        }
        row += high(line);
        shown += 1;
    }
    let list = Rect { height: room as u16, ..inner };
    table::more(canvas, list, top, form.lines.len().saturating_sub(top + shown));
    let foot = panes::below(inner, room);
    let takes = match (form.line().and_then(|l| l.fault.clone()), &form.refusal, form.line()) {
        (Some(fault), ..) => (fault, Role::Refused),
        (_, Some(refusal), _) => (refusal.clone(), Role::Refused),
        (_, _, Some(line)) => (format!("{}Takes: {}", about(line), line.of.takes), Role::Text),
        _ => (String::new(), Role::Text),
    };
    for (n, text) in wrap(&takes.0, usize::from(inner.width)).iter().take(2).enumerate() {
        canvas.text(foot, 0, n, text, takes.1);
    }
    let list = form.line().is_some_and(|l| !l.of.choices.is_empty());
    let enter = if list { "Enter lists" } else { "Enter goes on" };
    canvas.text(foot, 0, 2, &format!("{enter}, Ctrl-S saves, Ctrl-D ends it, Esc closes"), Role::Text);
}

/// What the line is about, where its name does not say all.
fn about(line: &Line) -> String {
    if line.of.about.is_empty() { String::new() } else { format!("{} ", line.of.about) }
}
