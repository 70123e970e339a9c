//! Walk drawn: progress, the list by place, and the marked step.

use ratatui::layout::Rect;

use super::detail;
use crate::answers::view::{StepState, Walk, WalkStep};
use crate::tui::look::{Role, Tint};
use crate::tui::state::State;
use crate::tui::widgets::Canvas;
use crate::tui::widgets::table::{self, Cell, Line};
use crate::tui::widgets::text::{minutes, width};

/// Draws Walk.
pub fn draw(state: &State, canvas: &mut Canvas, area: Rect) {
    let Some(page) = &state.walk.page else { return };
    progress(state, page, canvas, area);
    let body = Rect { y: area.y + 2, height: area.height.saturating_sub(2), ..area };
    let Some(step) = state.walk.step() else {
        let hint =
            page.empty_hint.as_deref().unwrap_or("Nothing to walk in this session. ] shows the next one.");
        canvas.wrapped(body, 1, hint, Role::Strong);
        return;
    };
    if state.walk.big {
        detail::big(state, step, canvas, body);
        return;
    }
    if body.width >= 110 {
        let left = body.width * 13 / 20;
        list(state, page, canvas, Rect { width: left, ..body });
        canvas.divider(Rect { x: body.x + left, width: 1, ..body });
        let right = Rect { x: body.x + left + 2, width: body.width - left - 2, ..body };
        detail::page(state, step, canvas, right);
        return;
    }
    let low = (body.height / 2).min(9);
    list(state, page, canvas, Rect { height: body.height - low, ..body });
    let lower = Rect { y: body.y + body.height - low, height: low, ..body };
    detail::short(step, canvas, lower);
}

fn progress(state: &State, page: &Walk, canvas: &mut Canvas, area: Rect) {
    let total = state.walk.steps().count();
    let done = state.walk.steps().filter(|s| matches!(s.state, StepState::Done | StepState::Skipped)).count();
    let many = page.sessions.len();
    let which =
        if many > 1 { format!("  (session {} of {many})", page.session_at + 1) } else { String::new() };
    let timer = page.since.as_ref().map_or(String::new(), |t| format!("timer runs since {t}"));
    canvas.right(area, 0, &timer, Role::Text);
    let head = format!("{}  {}{which}", page.phase.to_uppercase(), page.session);
    canvas.text(area, 0, 0, &head, Role::Strong);
    if total > 0 {
        let text = format!("here {done} of {total} ");
        let used = canvas.text(area, 0, 1, &text, Role::Text);
        let wide = usize::from(area.width).saturating_sub(used + 30).clamp(5, 40);
        canvas.bar(area, used, 1, wide, thousandths(done, total));
    }
    let whole = format!(" whole {} {} of {}", page.phase, page.phase_done, page.phase_total);
    canvas.right(area, 1, &whole, Role::Text);
}

fn thousandths(done: usize, total: usize) -> u32 {
    u32::try_from(done * 1000 / total.max(1)).unwrap_or(1000)
}

fn list(state: &State, page: &Walk, canvas: &mut Canvas, area: Rect) {
    let mut lines = Vec::new();
    let mut at = 0;
    for place in &page.places {
        let done = place.steps.iter().filter(|s| s.state == StepState::Done).count();
        let left: i64 = place.steps.iter().filter(|s| super::is_open(s)).map(|s| s.minutes).sum();
        let left = if left > 0 { format!(", {} left", minutes(left)) } else { String::new() };
        lines.push(Line::Group(format!("{}  {done} of {}{left}", place.place, place.steps.len())));
        for step in &place.steps {
            lines.push(Line::Row(at, row(step, &place.place)));
            at += 1;
        }
    }
    // What it is done to and the deed share what is left.
    let rest = usize::from(area.width).saturating_sub(2 + 7 + 12 + 6 + 10);
    let props =
        state.walk.steps().map(|s| width(&s.prop)).max().unwrap_or(0).clamp(8, (rest * 9 / 20).max(8));
    let columns = [("", 11), ("", 5), ("", props), ("", 0), ("", 9)];
    table::draw(canvas, area, &columns, &lines, Some(state.walk.at));
}

fn row(step: &WalkStep, place: &str) -> Vec<Cell> {
    // A step of the whole place has no prop: its deed begins where the props do.
    let whole = step.prop.is_empty() || step.prop == place;
    let title = if step.critical { format!("{} ▲", step.title) } else { step.title.clone() };
    let last = match step.count {
        Some((done, of)) if step.state != StepState::Done => format!("{done} of {of}"),
        _ => minutes(step.minutes),
    };
    vec![
        chip(step.state),
        step.from.clone().unwrap_or_default().into(),
        Cell::Ends(if whole { title.clone() } else { step.prop.clone() }),
        if whole { "".into() } else { Cell::Ends(title) },
        last.into(),
    ]
}

/// The chip of a step's state.
pub fn chip(state: StepState) -> Cell {
    Cell::Chip(tint(state), state.word().to_owned())
}

/// The tint of a step's state.
pub const fn tint(state: StepState) -> Tint {
    match state {
        StepState::Open => Tint::Open,
        StepState::Doing => Tint::Doing,
        StepState::Held => Tint::Held,
        StepState::Done => Tint::Done,
        StepState::Skipped => Tint::Skipped,
    }
}
