//! Walk drawn: progress, the list by place, and the marked step.

use ratatui::layout::Rect;

use super::detail;
use crate::answers::view::{StepState, Walk, WalkStep};
use crate::tui::look::{Role, Tint};
use crate::tui::screens::plan::view::phase_head;
use crate::tui::state::State;
use crate::tui::widgets::Canvas;
use crate::tui::widgets::table::{self, Cell, Line};
use crate::tui::widgets::text::{minutes, width};

/// Columns of one person's list beside the step.
const LIST: u16 = 60;
/// Rows of the step below the list.
const BELOW: u16 = 7;

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
        let crowd = state.walk.shown_whose().is_none() && state.walk.people().len() > 1;
        let left = if crowd { body.width * 2 / 3 } else { LIST.min(body.width * 3 / 5) };
        list(state, canvas, Rect { width: left, ..body });
        canvas.divider(Rect { x: body.x + left, width: 1, ..body });
        let right = Rect { x: body.x + left + 2, width: body.width - left - 2, ..body };
        detail::page(state, step, canvas, right);
        return;
    }
    let low = (body.height / 2).min(BELOW);
    list(state, canvas, Rect { height: body.height - low, ..body });
    let lower = Rect { y: body.y + body.height - low, height: low, ..body };
    detail::short(step, canvas, lower);
}

fn progress(state: &State, page: &Walk, canvas: &mut Canvas, area: Rect) {
    let total = state.walk.steps().filter(|s| s.counts).count();
    let over = |s: &&WalkStep| matches!(s.state, StepState::Done | StepState::Skipped);
    let done = state.walk.steps().filter(|s| s.counts).filter(over).count();
    let many = page.sessions.len();
    let which =
        if many > 1 { format!("  (session {} of {many})", page.session_at + 1) } else { String::new() };
    let timer = page.since.as_ref().map_or(String::new(), |t| format!("timer runs since {t}"));
    let head = format!("{}  {}{which}", phase_head(&page.phase), page.session);
    canvas.text(area, 0, 0, &head, Role::Strong);
    if width(&head) + width(&timer) + 2 <= usize::from(area.width) {
        canvas.right(area, 0, &timer, Role::Text);
    }
    let whole = if page.phase_total == 0 {
        String::new()
    } else {
        format!(" whole {} {} of {}", page.phase, page.phase_done, page.phase_total)
    };
    canvas.right(area, 1, &whole, Role::Text);
    if total > 0 {
        let whose = match state.walk.shown_whose() {
            Some(name) => format!("({name}) "),
            None if state.walk.people().len() > 1 => "(all) ".to_owned(),
            None => String::new(),
        };
        let mut used = canvas.text(area, 0, 1, &format!("here {done} of {total} "), Role::Text);
        used += canvas.text(area, used, 1, &whose, Role::Strong);
        let wide = usize::from(area.width).saturating_sub(used + width(&whole) + 1).clamp(5, 40);
        canvas.bar(area, used, 1, wide, thousandths(done, total));
    }
}

fn thousandths(done: usize, total: usize) -> u32 {
    u32::try_from(done * 1000 / total.max(1)).unwrap_or(1000)
}

fn list(state: &State, canvas: &mut Canvas, area: Rect) {
    let visits = state.walk.visits();
    let steps = state.walk.steps().count();
    // Where places change after a step or two, as with several people, the place stands in its row.
    let headed = visits.len() * 5 <= steps.max(3) * 2;
    let crowd = state.walk.shown_whose().is_none() && state.walk.people().len() > 1;
    let mut lines = Vec::new();
    for visit in &visits {
        if headed {
            let done = visit.steps.iter().filter(|s| s.state == StepState::Done).count();
            let left: i64 = visit.steps.iter().filter(|s| super::is_open(s)).map(|s| s.minutes).sum();
            let left = if left > 0 { format!(", {} left", minutes(left)) } else { String::new() };
            lines.push(Line::Group(format!("{}  {done} of {}{left}", visit.place, visit.steps.len())));
        }
        for (n, step) in visit.steps.iter().enumerate() {
            lines.push(Line::Row(visit.first + n, row(step, headed, crowd)));
        }
    }
    table::draw(canvas, area, &[""; 8], &lines, Some(state.walk.at));
}

fn row(step: &WalkStep, headed: bool, crowd: bool) -> Vec<Cell> {
    let word = if step.state == StepState::Open { "" } else { step.state.word() };
    // A step of the whole place has no prop: its deed begins where the props do.
    let whole = step.prop.is_empty() || step.prop == step.place;
    // How many of it are done stands with the deed, apart from the minutes.
    let deed = match step.count {
        Some((done, of)) if step.state != StepState::Done => format!("{done}/{of} {}", step.deed),
        _ => step.deed.clone(),
    };
    let empty = || Cell::from("");
    vec![
        Cell::Chip(tint(step.state), word.to_owned()),
        step.from.clone().unwrap_or_default().into(),
        if crowd { step.people.join(", ").into() } else { empty() },
        if headed { empty() } else { (&step.place).into() },
        if whole { (&deed).into() } else { (&step.prop).into() },
        if whole { empty() } else { (&deed).into() },
        if step.critical { "▲".into() } else { empty() },
        Cell::Right(minutes(step.minutes)),
    ]
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
