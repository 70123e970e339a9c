//! Walk drawn: progress, the list by place, and the marked step.

use ratatui::layout::Rect;

use super::detail;
use crate::answers::view::{StepState, Walk, WalkStep};
use crate::tui::look::{Role, Tint};
use crate::tui::screens::plan::view::phase_head;
use crate::tui::state::State;
use crate::tui::widgets::table::{self, Cell, Line};
use crate::tui::widgets::text::{counted, minutes, width};
use crate::tui::widgets::{Canvas, panes};

/// Rows of the step below the list, on a narrow screen and on a wide one.
const BELOW: u16 = 7;
const PAGE: u16 = 16;
/// A deed of so many letters is never cut while names have room to give.
const SHORT: usize = 16;
/// No deed of a prop has more letters.
const LONG: usize = 24;
/// The columns have no heads.
const HEADS: [&str; 8] = [""; 8];

/// Draws Walk.
pub fn draw(state: &State, canvas: &mut Canvas, area: Rect) {
    let Some(page) = &state.walk.page else { return };
    progress(state, page, canvas, area);
    let begun = page.places.iter().any(|p| p.steps.iter().any(|s| s.state == StepState::Done));
    let bring = !page.fetch.is_empty() && !begun && !state.walk.big;
    if bring {
        canvas.text(area, 0, 2, &to_bring(page), Role::Text);
    }
    let body = panes::below(area, 2 + usize::from(bring));
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
    let lines = lines(state);
    // The list has what it wants; the page of the step stands beside it where both have room, else below.
    let beside = panes::beside(body, (&HEADS, &lines));
    let tall = body.width >= panes::WIDE;
    let (upper, lower) = match (tall, beside) {
        (true, false) => panes::stacked(body, PAGE, (&HEADS, &lines)),
        _ => panes::split(canvas, body, BELOW, (&HEADS, &lines)),
    };
    table::draw(canvas, upper, &HEADS, &lines, Some(state.walk.at));
    if tall {
        detail::page(state, step, canvas, lower);
    } else {
        detail::short(step, canvas, lower);
    }
}

/// "Bring 46: 2 ladders, 7 totes, 37 other things; g lists them", until something is ticked.
fn to_bring(page: &Walk) -> String {
    let many = |what: &str| page.fetch.iter().filter(|f| f.what == what).count();
    let (ladders, tools, totes) = (many("ladder"), many("tool"), many("tote"));
    let others = page.fetch.len() - ladders - tools - totes;
    let named = [
        (ladders, "ladder", "ladders"),
        (tools, "tool", "tools"),
        (totes, "tote", "totes"),
        (others, "other thing", "other things"),
    ];
    let said: Vec<String> =
        named.into_iter().filter(|(n, ..)| *n > 0).map(|(n, one, more)| counted(n, one, more)).collect();
    format!("Bring {}; g lists them", said.join(", "))
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
            Some(name) => format!("({name}; v: whose) "),
            None if state.walk.people().len() > 1 => "(all; v: whose) ".to_owned(),
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

fn lines(state: &State) -> Vec<Line> {
    let visits = state.walk.visits();
    let steps = state.walk.steps().count();
    // Where places change after a step or two, as with several people, the place stands in its row.
    let headed = visits.len() * 3 <= steps.max(3);
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
            let word = if state.lines && step.state != StepState::Open { step.state.word() } else { "" };
            lines.push(Line::Row(visit.first + n, row(step, word, headed, crowd)));
        }
    }
    lines
}

/// One step; its state is a mark of one cell, whose word stands with all about it.
fn row(step: &WalkStep, word: &str, headed: bool, crowd: bool) -> Vec<Cell> {
    // How many of it are done stands with the deed, apart from the minutes.
    let deed = match step.count {
        Some((done, of)) if step.state != StepState::Done => format!("{done}/{of} {}", step.deed),
        _ => step.deed.clone(),
    };
    // A step of the whole place has no prop: its deed begins where the props do, as a long one of the whole show does.
    let of_show = step.placement.is_none() && width(&deed) > LONG;
    let whole = step.prop.is_empty() || step.prop == step.place || of_show;
    let empty = || Cell::from("");
    vec![
        Cell::Chip(tint(step.state), word.to_owned()),
        Cell::word(step.from.clone().unwrap_or_default()),
        if crowd { Cell::word(who(&step.people)) } else { empty() },
        if headed { empty() } else { (&step.place).into() },
        if whole { (&deed).into() } else { (&step.prop).into() },
        match &deed {
            _ if whole => empty(),
            deed if width(deed) <= SHORT => Cell::word(deed),
            deed => deed.into(),
        },
        if step.critical { "▲".into() } else { empty() },
        Cell::Right(minutes(step.minutes)),
    ]
}

/// One person by name, several by how they begin, so that no row widens the column of all.
fn who(people: &[String]) -> String {
    match people {
        [one] => one.clone(),
        all => all.iter().filter_map(|n| n.chars().next()).map(String::from).collect::<Vec<_>>().join("+"),
    }
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
