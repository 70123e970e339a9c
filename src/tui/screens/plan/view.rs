//! Plan drawn: each session as a band with its light, a line a person.

use ratatui::layout::Rect;

use super::state::Part;
use crate::answers::view::{Plan, PlanSession, PlanStep, StepState};
use crate::tui::look::{Role, Tint};
use crate::tui::screens::walk::view::tint;
use crate::tui::state::State;
use crate::tui::widgets::Canvas;
use crate::tui::widgets::canvas::mark;
use crate::tui::widgets::table::{self, Cell, Line};
use crate::tui::widgets::text::{clock, minutes, width};

/// Columns for a person's name.
const NAMES: usize = 10;

/// Draws Plan.
pub fn draw(state: &State, canvas: &mut Canvas, area: Rect) {
    let Some(page) = &state.plan.page else { return };
    let mut col = canvas.text(area, 0, 0, &format!("{}  ", page.phase.to_uppercase()), Role::Strong);
    for (part, name) in Part::ALL {
        let n = if part == Part::Unplaced { format!(" {}", page.unplaced.len()) } else { String::new() };
        let role = if part == state.plan.part { Role::Selected } else { Role::Text };
        col += canvas.text(area, col, 0, &format!(" {name}{n} "), role) + 1;
    }
    canvas.text(area, col, 0, "Tab", Role::Key);
    let before = state.plan.before.as_ref();
    let odds = match (&page.odds, &state.background) {
        (Some(odds), _) => format!("{odds} in time"),
        (None, Some(_)) => "odds come in a moment".to_owned(),
        (None, None) => "odds not known".to_owned(),
    };
    let was = before.and_then(|(_, odds)| odds.clone()).map_or(String::new(), |o| format!("{o} → "));
    canvas.right(area, 0, &format!("{was}{odds}"), Role::Strong);
    let finish = page.finish.as_deref().unwrap_or("not known");
    let was = before.map_or(String::new(), |(finish, _)| {
        format!(" (before {})", finish.as_deref().unwrap_or("not known"))
    });
    let lit = page.lights_on.as_deref().unwrap_or("not told");
    canvas.text(area, 0, 1, &format!("Ends {finish}{was}; lights on {lit}"), Role::Text);
    let body = Rect { y: area.y + 2, height: area.height.saturating_sub(2), ..area };
    match state.plan.part {
        Part::Days => days(state, page, canvas, body),
        Part::Unplaced => unplaced(state, page, canvas, body),
        Part::Figures => {
            let lines = figures(page);
            let room = usize::from(body.height);
            let top = state.plan.row.min(lines.len().saturating_sub(room));
            for (row, (text, role)) in lines.iter().skip(top).take(room).enumerate() {
                canvas.text(body, 0, row, text, *role);
            }
            table::more(canvas, body, top, lines.len().saturating_sub(top + room));
        }
    }
}

/// One line of the bands.
enum Band<'a> {
    Head(&'a PlanSession),
    Light(&'a PlanSession),
    Person(&'a PlanSession, &'a str),
}

fn days(state: &State, page: &Plan, canvas: &mut Canvas, area: Rect) {
    if page.sessions.is_empty() {
        let text = "No sessions are told, so there is order and hours, no dates: 2 Walk shows the order. n adds a \
                    session: a date, from, to, who comes.";
        canvas.wrapped(area, 1, text, Role::Strong);
        return;
    }
    let marked = state.plan.step();
    let here = state.plan.session().map(|s| s.code.as_str());
    let mut bands = Vec::new();
    let mut at = 0;
    for session in &page.sessions {
        if here == Some(session.code.as_str()) {
            at = bands.len();
        }
        bands.push(Band::Head(session));
        bands.push(Band::Light(session));
        bands.extend(rows_of(session).map(|who| Band::Person(session, who)));
    }
    let low = (area.height / 3).clamp(4, 8);
    let upper = Rect { height: area.height.saturating_sub(low), ..area };
    let room = usize::from(upper.height);
    let top = at.saturating_sub(room / 4).min(bands.len().saturating_sub(room));
    let marked = marked.filter(|_| state.plan.bare.is_none());
    let key = marked.map(|(_, s)| s.key.as_str());
    for (row, band) in bands.iter().skip(top).take(room).enumerate() {
        let line = Rect { y: upper.y + row as u16, height: 1, ..upper };
        match band {
            Band::Head(session) => head(session, here == Some(session.code.as_str()), canvas, line),
            Band::Light(session) => light(session, canvas, line),
            Band::Person(session, who) => person(session, who, key, canvas, line),
        }
    }
    table::more(canvas, upper, top, bands.len().saturating_sub(top + room));
    let lower = Rect { y: area.y + upper.height, height: low, ..area };
    if let Some((_, step)) = marked {
        why(step, canvas, lower);
    } else if let Some(session) = state.plan.session() {
        canvas.heading(lower, 0, &format!("{}  {}", session.code, session.day));
        canvas.text(lower, 0, 1, "No step stands in this session. m moves it, w says who comes.", Role::Text);
    }
}

/// The lines of a session: the people who come, or one line where none are told.
fn rows_of(session: &PlanSession) -> impl Iterator<Item = &str> {
    let none = session.people.is_empty().then_some("");
    session.people.iter().map(String::as_str).chain(none)
}

fn head(session: &PlanSession, on: bool, canvas: &mut Canvas, area: Rect) {
    let past = if session.past { " (past)" } else { "" };
    let lights = if session.work_lights { ", work lights" } else { "" };
    let sign = if on { "› " } else { "" };
    let text = format!(
        "{sign}{} {} to {}{past}{lights}",
        session.day,
        clock(session.from_min),
        clock(session.to_min)
    );
    canvas.heading(area, 0, &text);
    let used = format!(" {} of {}", minutes(session.used_min), minutes(session.there_min));
    let right = canvas.right(area, 0, &used, Role::Text);
    if let Some(forecast) = &session.forecast {
        let left = width(&text) + 1;
        let room =
            Rect { x: area.x + left as u16, width: area.width.saturating_sub((left + right) as u16), ..area };
        canvas.text(room, 0, 0, &format!(" {forecast} "), Role::Chip(Tint::Note));
    }
}

/// Columns of the band and the one of a minute.
fn column(session: &PlanSession, area: Rect, min: i64) -> usize {
    let wide = i64::from(area.width).saturating_sub(NAMES as i64 + 1).max(1);
    let span = (session.to_min - session.from_min).max(1);
    let at = (min - session.from_min).clamp(0, span) * wide / span;
    NAMES + usize::try_from(at).unwrap_or(0)
}

fn light(session: &PlanSession, canvas: &mut Canvas, area: Rect) {
    canvas.text(area, 0, 0, "light", Role::Text);
    let last = column(session, area, session.to_min);
    let span = (session.to_min - session.from_min).max(1);
    let wide = (last - NAMES).max(1) as i64;
    let mut words: Vec<(usize, &str)> = Vec::new();
    for col in NAMES..last {
        let min = session.from_min + (col - NAMES) as i64 * span / wide;
        let word = light_at(session, min);
        let mark = match word {
            "day" => "─",
            "twilight" => "▒",
            "dark" => "█",
            _ => " ",
        };
        canvas.text(area, col, 0, mark, Role::Line);
        if words.last().is_none_or(|(_, w)| *w != word) {
            words.push((col, word));
        }
    }
    let mut taken = 0;
    let ends: Vec<usize> = words.iter().skip(1).map(|(col, _)| *col).chain([last]).collect();
    for ((col, word), end) in words.into_iter().zip(ends) {
        // A word that has no room in its stretch is left to the mark.
        if col + width(word) >= end {
            continue;
        }
        canvas.text(area, col, 0, &format!("{word} "), Role::Text);
        taken = taken.max(col + width(word) + 1);
        for hour in session.from_min / 60 + 1..=session.to_min / 60 {
            let at = column(session, area, hour * 60);
            if word == light_at(session, hour * 60) && at > taken && at + 2 < last {
                canvas.text(area, at, 0, &format!("{:02}", hour % 24), Role::Text);
                taken = at + 4;
            }
        }
    }
}

fn light_at(session: &PlanSession, min: i64) -> &'static str {
    let day = |t: i64| (t).rem_euclid(24 * 60);
    let min = day(min);
    match (session.sunrise_min, session.sunset_min, session.dawn_min, session.dusk_min) {
        (Some(rise), Some(set), _, _) if min >= rise && min < set => "day",
        (_, _, Some(dawn), Some(dusk)) if min >= dawn && min < dusk => "twilight",
        (Some(_), Some(_), Some(_), Some(_)) => "dark",
        _ => "not known",
    }
}

fn person(session: &PlanSession, who: &str, key: Option<&str>, canvas: &mut Canvas, area: Rect) {
    let names = Rect { width: area.width.min(NAMES as u16 - 1), ..area };
    canvas.text(names, 0, 0, if who.is_empty() { "anyone" } else { who }, Role::Text);
    for step in session.steps.iter().filter(|s| who.is_empty() || s.people.iter().any(|p| p == who)) {
        let (from, to) = (column(session, area, step.from_min), column(session, area, step.to_min));
        let to = to.max(from + 1);
        let on = key == Some(step.key.as_str());
        let role = if on { Role::Selected } else { Role::Chip(tint(step.state)) };
        // The state shows by its mark too, never by the tint alone.
        let sign = match (step.state, step.late, step.critical) {
            (StepState::Open, true, _) => "✗",
            (StepState::Open, _, true) => "▲",
            (StepState::Open, ..) => "│",
            (state, ..) => mark(tint(state)),
        };
        let text = format!("{sign}{} {}", step.title, step.prop);
        let place = Rect { width: area.width.min(to as u16), ..area };
        canvas.text(place, from, 0, &" ".repeat(to - from), role);
        canvas.text(place, from, 0, &text, role);
    }
}

fn why(step: &PlanStep, canvas: &mut Canvas, area: Rect) {
    let span = format!("{} to {}", clock(step.from_min), clock(step.to_min));
    let known = [&step.title, &step.prop, &step.place, &span].into_iter().filter(|t| !t.is_empty());
    canvas.heading(area, 0, &known.cloned().collect::<Vec<_>>().join(", "));
    let mut row = 1;
    if step.late {
        row += canvas.labelled(area, row, "late", "it ends after the rehearsal begins");
    }
    if step.critical {
        row += canvas.labelled(area, row, "no slack", "a delay here moves the end");
    }
    for text in &step.why {
        row += canvas.labelled(area, row, "why", text);
    }
    let mut with = step.people.clone();
    with.extend(step.tools.iter().cloned());
    if step.setup_min > 0 {
        with.push(format!("{} to move and set up before", minutes(step.setup_min)));
    }
    if !with.is_empty() {
        canvas.labelled(area, row, "with", &with.join(", "));
    }
}

fn unplaced(state: &State, page: &Plan, canvas: &mut Canvas, area: Rect) {
    if page.unplaced.is_empty() {
        canvas.wrapped(area, 1, "Every step has its place.", Role::Strong);
        return;
    }
    let low = 5.min(area.height / 2);
    let rows: Vec<Line> = page
        .unplaced
        .iter()
        .enumerate()
        .map(|(at, u)| {
            Line::Row(at, vec![Cell::Chip(Tint::Held, u.code.clone()), (&u.title).into(), (&u.why).into()])
        })
        .collect();
    let list = Rect { height: area.height - low, ..area };
    table::draw(canvas, list, &[("Code", 18), ("Step", 0), ("Why", 0)], &rows, Some(state.plan.row));
    if let Some(row) = page.unplaced.get(state.plan.row) {
        let lower = Rect { y: area.y + area.height - low, height: low, ..area };
        canvas.heading(lower, 0, &row.title);
        let used = canvas.labelled(lower, 1, "why", &row.why);
        canvas.labelled(lower, 1 + used, "remedy", &row.remedy);
    }
}

/// The figures of a plan, line by line.
pub fn figures(page: &Plan) -> Vec<(String, Role)> {
    let mut out = vec![(
        if page.proven { "Goals, in order: proven best" } else { "Goals, in order: best found, not proven" }
            .to_owned(),
        Role::Strong,
    )];
    for goal in &page.goals {
        out.push((format!("  {:<34} {}   bound {}", goal.name, goal.value, goal.bound), Role::Text));
    }
    out.push((
        format!("  moved ladders {}, changes of place {}", page.ladder_moves, page.place_moves),
        Role::Text,
    ));
    if let Some(odds) = &page.finish_odds {
        out.push((format!("  finished: {odds}"), Role::Text));
    }
    for (head, lines) in [("What drives the risk", &page.risks), ("Not told", &page.not_told)] {
        if !lines.is_empty() {
            out.push((head.to_owned(), Role::Strong));
            out.extend(lines.iter().map(|l| (format!("  {l}"), Role::Text)));
        }
    }
    out
}
