//! Plan drawn: days, month, what has no place, figures.

use ratatui::layout::Rect;

use super::state::Part;
use super::{days, month};
use crate::answers::view::Plan;
use crate::domain::Phase;
use crate::tui::look::{Role, Tint};
use crate::tui::screens::next;
use crate::tui::state::State;
use crate::tui::widgets::table::{self, Cell, Line};
use crate::tui::widgets::text::{counted, width, wrap};
use crate::tui::widgets::{Canvas, panes};

/// The phase as a heading: "change" alone would read like a deed.
pub fn phase_head(phase: &str) -> String {
    if phase == Phase::Change.as_str() { "CHANGEOVER".to_owned() } else { phase.to_uppercase() }
}

/// Draws Plan.
pub fn draw(state: &State, canvas: &mut Canvas, area: Rect) {
    let Some(page) = &state.plan.page else { return };
    let from = canvas.text(area, 0, 0, &format!("{}  ", phase_head(&page.phase)), Role::Strong);
    let many = |part: Part| (part == Part::Unplaced).then_some(page.unplaced.len());
    panes::tabs(
        canvas,
        area,
        from,
        Part::ALL.map(|(part, name)| (name, many(part), part == state.plan.part)),
    );
    // What a deed did not move needs no "before".
    let before = state.plan.before.as_ref();
    let odds = match (&page.odds, &state.background) {
        (Some(odds), _) => format!("{odds} in time"),
        // A takedown has no date to be in time for.
        _ if page.lit_until.is_some() => String::new(),
        (None, Some(_)) => "odds come in a moment".to_owned(),
        (None, None) => "odds not known".to_owned(),
    };
    let moved = before.and_then(|(_, odds)| odds.clone()).filter(|o| Some(o) != page.odds.as_ref());
    let was = moved.map_or(String::new(), |o| format!("{o} → "));
    canvas.right(area, 0, &format!("{was}{odds}"), Role::Strong);
    let finish = page.finish.as_deref().unwrap_or("not known");
    let moved = before.map(|(finish, _)| finish).filter(|f| **f != page.finish);
    let was = moved.map_or(String::new(), |f| format!(" (before {})", f.as_deref().unwrap_or("not known")));
    let lit = page.lights_on.as_deref().unwrap_or("not told");
    let late = match (&page.rehearsal, page.ends_late) {
        (Some(rehearsal), true) => format!(", after the rehearsal {rehearsal}"),
        _ => String::new(),
    };
    let ends = match &page.lit_until {
        Some((day, true)) => match &page.begins {
            Some(first) => {
                let said = [
                    format!("Lit until {day}; then {}; ends {finish}{was}", first.text),
                    format!("Then {}; ends {finish}{was}", first.text),
                    format!("Then {}", first.text),
                ];
                let fits = said.iter().find(|text| width(text) <= usize::from(area.width));
                fits.or(said.last()).cloned().unwrap_or_default()
            }
            None => format!("Lit until {day}; ends {finish}{was}"),
        },
        Some((day, false)) => format!("Was lit until {day}; ends {finish}{was}"),
        None => format!("Ends {finish}{was}{late}; lights on {lit}"),
    };
    // What is too long for the row leaves out the day that the header counts to.
    let ends = if page.ends_late && width(&ends) + 9 > usize::from(area.width) {
        format!("Ends {finish}{was}{late}")
    } else {
        ends
    };
    if page.ended.is_some() || page.phase == Phase::Tonight.as_str() {
        // No end is planned where nothing is.
    } else if page.no_place > 0 && !matches!(page.lit_until, Some((_, true))) {
        // What has no place is not done at that end.
        let used = canvas.chip(area, 0, 1, Tint::Stop, "stop") + 1;
        let many = counted(page.no_place, "step has", "steps have");
        let text = format!("{many} no place (Tab); what has one ends {finish}{was}");
        canvas.text(area, used, 1, &text, Role::Strong);
    } else if page.ends_late {
        let used = canvas.chip(area, 0, 1, Tint::Stop, "late") + 1;
        canvas.text(area, used, 1, &ends, Role::Strong);
    } else {
        // What helps most, once weighed, or what drives the risk most stands beside, where it has room whole.
        let help = state.plan.help.as_ref().filter(|(odds, _)| *odds == page.odds);
        let helps = |of: &str| help.map(|(_, text)| format!("{of}; helps most: {text}"));
        let risk = page.risks.first().map(|r| format!("{ends}; most at risk: {r}"));
        let mut said = [helps(&ends), helps(&format!("Ends {finish}{was}")), risk].into_iter().flatten();
        let text = said.find(|text| width(text) <= usize::from(area.width));
        canvas.text(area, 0, 1, &text.unwrap_or(ends), Role::Text);
    }
    if let Some(next) = &page.next {
        let lit = matches!(page.lit_until, Some((_, true)));
        let round = if lit { "; of tonight's round" } else { "" };
        canvas.next(area, 2, &format!("2 Walk: {}{round}", next.text));
    } else {
        // Where nothing is planned here, what is next is elsewhere.
        canvas.next(area, 2, &next::of_all(state));
    }
    let body = panes::below(area, 3);
    match state.plan.part {
        Part::Days | Part::Month if page.sessions.is_empty() => {
            let text = &match (page.phase.as_str(), &page.next_session) {
                _ if page.ended.is_some() => format!(
                    "{} is over and no show is ahead: there is nothing to plan. n in 0 Seasons opens the next season, 7 \
                     Faults has the bench.",
                    page.ended.as_deref().unwrap_or_default()
                ),
                ("tonight", next) => format!(
                    "The nightly round takes no session: 2 Walk has it. Next session{}; p shows another phase.",
                    next.as_ref().map_or(": none is told".to_owned(), |n| format!(" {n}"))
                ),
                (_, Some(next)) => format!(
                    "No session is for this. The next one told is {next}; p shows the phase that it is for, n adds \
                     one here: a date, from, to, who comes."
                ),
                _ if state.frame.empty => "Nothing is told yet, so nothing is planned. n begins: it asks for the date of \
                                            lights on."
                    .to_owned(),
                _ if page.lights_on.is_none() => {
                    "No date of lights on is told, so nothing is planned. e in 0 Seasons tells it.".to_owned()
                }
                _ => "No session to come is told, so there is order and hours, no dates: 2 Walk shows the order. n adds a \
                      session: a date, from, to, who comes."
                    .to_owned(),
            };
            canvas.wrapped(body, 1, text, Role::Strong);
        }
        Part::Days => days::days(state, page, canvas, body),
        Part::Month => month::month(state, page, canvas, body),
        Part::Unplaced => unplaced(state, page, canvas, body),
        Part::Figures => {
            let lines = figures(page, usize::from(body.width));
            let room = usize::from(body.height);
            let top = state.plan.row.min(lines.len().saturating_sub(room));
            for (row, (text, role)) in lines.iter().skip(top).take(room).enumerate() {
                canvas.text(body, 0, row, text, *role);
            }
            table::more(canvas, body, top, lines.len().saturating_sub(top + room));
        }
    }
}

fn unplaced(state: &State, page: &Plan, canvas: &mut Canvas, area: Rect) {
    if page.unplaced.is_empty() {
        canvas.wrapped(area, 1, "Every step has its place.", Role::Strong);
        return;
    }
    let rows: Vec<Line> = page
        .unplaced
        .iter()
        .enumerate()
        .map(|(at, u)| {
            Line::Row(at, vec![Cell::Chip(Tint::Held, u.code.replace('_', " ")), (&u.title).into()])
        })
        .collect();
    let lower = panes::list(canvas, area, (&["Why", "Step"], &rows, Some(state.plan.row)), 5);
    if let Some(row) = page.unplaced.get(state.plan.row) {
        let head = canvas.headed(lower, 0, &row.title);
        let used = canvas.labelled(lower, head, "why", &row.why);
        canvas.labelled(lower, head + used, "remedy", &row.remedy);
    }
}

/// The figures of a plan in lines of `wide` columns, those that go on further in.
pub fn figures(page: &Plan, wide: usize) -> Vec<(String, Role)> {
    let mut out = Vec::new();
    for (text, role) in sentences(page) {
        let margin = text.len() - text.trim_start().len();
        for (n, part) in wrap(text.trim_start(), wide.saturating_sub(margin + 2)).into_iter().enumerate() {
            let more = if n > 0 { 2 } else { 0 };
            out.push((format!("{}{part}", " ".repeat(margin + more)), role));
        }
    }
    out
}

fn sentences(page: &Plan) -> Vec<(String, Role)> {
    let mut out = vec![(
        if page.proven { "Goals, in order: proven best" } else { "Goals, in order: best found, not proven" }
            .to_owned(),
        Role::Strong,
    )];
    for goal in &page.goals {
        let best = match &goal.bound {
            unknown if unknown.is_empty() => String::new(),
            bound if *bound == goal.value => ", that is the best".to_owned(),
            bound => format!(", at best {bound}"),
        };
        out.push((format!("  {}: {}{best}", goal.name, goal.value), Role::Text));
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
