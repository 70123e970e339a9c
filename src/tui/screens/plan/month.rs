//! Plan by month: a week a line, each session a cell with its load, its light and the chance that it is lost.

use chrono::{Datelike, Days, NaiveDate};
use ratatui::layout::Rect;

use crate::answers::view::{Plan, PlanSession};
use crate::tui::look::Role;
use crate::tui::state::State;
use crate::tui::widgets::Canvas;
use crate::tui::widgets::table;
use crate::tui::widgets::text::{clock, minutes, width};

/// Rows of a week.
const HIGH: usize = 3;
/// Rows of the marked session below.
const BELOW: u16 = 4;

/// Draws the weeks from the first session to the last.
pub fn month(state: &State, page: &Plan, canvas: &mut Canvas, area: Rect) {
    let day = |s: &PlanSession| s.date.parse::<NaiveDate>().ok();
    // Weeks that are past and had no work are left out, unless the mark stands there.
    let marked = state.plan.session().map(|s| &s.code);
    let tells = |s: &&PlanSession| !s.past || !s.steps.is_empty() || marked == Some(&s.code);
    let days: Vec<(NaiveDate, &PlanSession)> =
        page.sessions.iter().filter(tells).filter_map(|s| Some((day(s)?, s))).collect();
    let (Some(first), Some(last)) = (days.iter().map(|d| d.0).min(), days.iter().map(|d| d.0).max()) else {
        return;
    };
    let monday = |d: NaiveDate| d.checked_sub_days(Days::new(u64::from(d.weekday().num_days_from_monday())));
    let Some(begin) = monday(first) else { return };
    let weeks = usize::try_from((last - begin).num_days() / 7 + 1).unwrap_or(1);
    let here = state.plan.session();
    let at = here.and_then(day).map_or(0, |d| usize::try_from((d - begin).num_days() / 7).unwrap_or(0));
    let wide = area.width / 7;
    let head = Rect { height: 1, ..area };
    for (n, name) in (0u16..).zip(["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]) {
        canvas.text(head, usize::from(n * wide), 0, name, Role::Strong);
    }
    let grid = Rect { y: area.y + 1, height: area.height.saturating_sub(1 + BELOW), ..area };
    let room = (usize::from(grid.height) / HIGH).max(1);
    let top = table::top(at, weeks, room);
    for week in top..weeks.min(top + room) {
        for weekday in 0..7u16 {
            let ahead = Days::new((week * 7) as u64 + u64::from(weekday));
            let Some(date) = begin.checked_add_days(ahead) else { continue };
            let cell = Rect {
                x: grid.x + weekday * wide,
                y: grid.y + ((week - top) * HIGH) as u16,
                width: wide.saturating_sub(1),
                height: (HIGH as u16).min(grid.height),
            };
            let mine: Vec<&PlanSession> = days.iter().filter(|(d, _)| *d == date).map(|(_, s)| *s).collect();
            one_day(date, &mine, here, canvas, cell);
        }
    }
    table::more(canvas, head, top, weeks.saturating_sub(top + room));
    let lower =
        Rect { y: area.y + area.height.saturating_sub(BELOW), height: BELOW.min(area.height), ..area };
    if let Some(session) = here {
        below(session, canvas, lower);
    }
}

/// One day: its date, and of the marked or first session hours, load and chance; more than one by their number.
fn one_day(
    date: NaiveDate,
    sessions: &[&PlanSession],
    here: Option<&PlanSession>,
    canvas: &mut Canvas,
    cell: Rect,
) {
    let name = if date.day() == 1 { date.format("%-d %b").to_string() } else { date.day().to_string() };
    let on = |s: &&&PlanSession| here.is_some_and(|h| h.code == s.code);
    let Some(session) = sessions.iter().find(on).or(sessions.first()) else {
        canvas.text(cell, 0, 0, &name, Role::Text);
        return;
    };
    let role = if on(&session) { Role::Selected } else { Role::Strong };
    let more = if sessions.len() > 1 { format!(" +{}", sessions.len() - 1) } else { String::new() };
    let from = clock(session.from_min);
    canvas.fill(Rect { height: 1, ..cell }, role);
    // Where the hour has no room the day has.
    let long = format!("{name} {from}{more}");
    let fits = width(&long) <= usize::from(cell.width);
    canvas.text(cell, 0, 0, &if fits { long } else { format!("{name}{more}") }, role);
    let share = session.used_min * 1000 / session.there_min.max(1);
    let bar = usize::from(cell.width).min(8);
    canvas.bar(cell, 0, 1, bar, u32::try_from(share).unwrap_or(0));
    let light = match (session.past, session.work_lights, session.sunset_min) {
        (true, ..) => "past",
        (_, _, Some(set)) if session.from_min < set && session.to_min <= set => "day",
        (_, _, Some(set)) if session.from_min < set => "dusk",
        (_, true, _) => "lamp",
        (_, false, Some(_)) => "dark",
        _ => "",
    };
    let lost = if session.past { String::new() } else { format!(" !{} %", session.lost_pct) };
    canvas.text(cell, 0, 2, &format!("{light}{lost}"), Role::Text);
}

fn below(session: &PlanSession, canvas: &mut Canvas, area: Rect) {
    let head = format!("{} {} to {}", session.day, clock(session.from_min), clock(session.to_min));
    let mut row = canvas.headed(area, 0, &head);
    let who = if session.people.is_empty() { "anyone".to_owned() } else { session.people.join(", ") };
    let text = format!(
        "{who}; {} of {} planned; ! is the chance that it is lost: {} times in 100",
        minutes(session.used_min),
        minutes(session.there_min),
        session.lost_pct
    );
    row += canvas.wrapped(area, row, &text, Role::Text);
    let text = if session.summary.is_empty() { "nothing is planned here" } else { &session.summary };
    canvas.wrapped(area, row, text, Role::Text);
}
