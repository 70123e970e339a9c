//! Plan by day: each session as a band with its light, a line a person, a bar a prop.

use ratatui::layout::Rect;

use super::bars::{Bar, KINDS, bars, in_order, lanes};
use crate::answers::view::{Plan, PlanSession, PlanStep};
use crate::tui::look::{Role, Theme, Tint};
use crate::tui::state::State;
use crate::tui::widgets::Canvas;
use crate::tui::widgets::table;
use crate::tui::widgets::text::{clock, cut, minutes, part, width};

/// Most columns for a person's name.
const NAMES: usize = 12;
/// The least columns in which a name says something, its sign before it.
const LEAST: usize = 7;

/// One line of the bands.
enum Band<'a> {
    Head(&'a PlanSession),
    Words(&'a PlanSession),
    Light(&'a PlanSession),
    /// One line of a person's bars, the first with the name.
    Person(&'a PlanSession, &'a str, usize),
    /// Where nobody is told there is an order and no hour: the work at one prop, a line each.
    Work(Bar<'a>),
}

impl Band<'_> {
    fn has(&self, step: &PlanStep) -> bool {
        match self {
            Self::Person(session, who, lane) => {
                lanes(session, who).get(*lane).is_some_and(|l| l.iter().any(|s| s.key == step.key))
            }
            Self::Work(bar) => bar.has(Some(step)),
            Self::Head(_) | Self::Words(_) | Self::Light(_) => false,
        }
    }
}

/// Draws the days.
pub fn days(state: &State, page: &Plan, canvas: &mut Canvas, area: Rect) {
    let marked = state.plan.step().filter(|_| state.plan.bare.is_none()).map(|(_, step)| step);
    let here = state.plan.session().map(|s| s.code.as_str());
    let mut bands = Vec::new();
    let mut at = 0;
    // What is past and had no work tells nothing.
    for session in page.sessions.iter().filter(|s| !s.past || !s.steps.is_empty()) {
        if here == Some(session.code.as_str()) {
            at = bands.len();
        }
        bands.push(Band::Head(session));
        // A session without work is one line: nobody's bars, no light that matters.
        if session.steps.is_empty() {
            continue;
        }
        if !session.summary.is_empty() {
            bands.push(Band::Words(session));
        }
        bands.push(Band::Light(session));
        if session.people.is_empty() {
            bands.extend(in_order(session).into_iter().map(Band::Work));
        }
        bands.extend(session.people.iter().flat_map(|who| {
            (0..lanes(session, who).len().max(1)).map(move |lane| Band::Person(session, who, lane))
        }));
    }
    let low = (area.height / 3).clamp(4, 7);
    let legend = Rect { y: area.y + area.height.saturating_sub(low + 1), height: 1, ..area };
    let upper = Rect { height: area.height.saturating_sub(low + 1), ..area };
    let room = usize::from(upper.height);
    // A session begins with its head: of the one before only as much as shows from its head on.
    let heads = bands.iter().take(at).enumerate().filter(|(_, b)| matches!(b, Band::Head(_)));
    let before = heads.map(|(row, _)| row).find(|row| at - row <= room / 4).unwrap_or(at);
    // The marked bar is in sight whatever stands before it.
    let bar = marked.and_then(|step| bands.iter().position(|b| b.has(step))).unwrap_or(at);
    let top = before.max((bar + 1).saturating_sub(room)).min(bands.len().saturating_sub(room));
    let names = page.people.iter().map(|p| width(p)).max().unwrap_or(0).clamp(6, NAMES) + 1;
    let below = bands.len().saturating_sub(top + room);
    for (row, band) in bands.iter().skip(top).take(room).enumerate() {
        let line = Rect { y: upper.y + row as u16, height: 1, ..upper };
        let aside = table::aside((row, room), top, below) as u16;
        let line = Rect { width: line.width.saturating_sub(aside), ..line };
        match band {
            Band::Head(session) => head(session, here == Some(session.code.as_str()), canvas, line),
            Band::Words(session) => {
                canvas.text(line, 2, 0, &session.summary, Role::Text);
            }
            Band::Light(session) => light(session, names, canvas, line),
            Band::Person(session, who, lane) => {
                person(session, (who, *lane), (marked, names), canvas, line);
            }
            Band::Work(bar) => work(bar, marked, canvas, line),
        }
    }
    table::more(canvas, upper, top, below);
    key(canvas, legend);
    let lower = Rect { y: area.y + area.height - low, height: low, ..area };
    if let Some(step) = marked {
        why(step, canvas, lower);
    } else if let Some(session) = state.plan.session() {
        canvas.heading(lower, 0, &session.day);
        canvas.text(lower, 0, 1, "No step stands in this session. m moves it, w says who comes.", Role::Text);
    }
}

/// What the bars mean.
fn key(canvas: &mut Canvas, area: Rect) {
    let mut col = 0;
    for (kind, word, fill) in KINDS {
        col += canvas.text(area, col, 0, &format!("{fill}{word}{fill}"), Role::Work(kind)) + 1;
    }
    canvas.text(area, col, 0, "▲ no slack ✗ late ✓ done", Role::Text);
}

/// "Fence lanterns: Drive the stakes, Sleeve prop   35 min".
fn work(bar: &Bar, marked: Option<&PlanStep>, canvas: &mut Canvas, area: Rect) {
    let role = if bar.has(marked) { Role::Selected } else { Role::Text };
    if bar.has(marked) {
        canvas.fill(area, role);
    }
    let spent = bar.steps.iter().map(|s| s.to_min - s.from_min).sum();
    let used = canvas.right(area, 0, &format!(" {}", minutes(spent)), role);
    let deeds: Vec<&str> = bar.steps.iter().map(|s| s.deed.as_str()).collect();
    let text = format!("{}{}{}: {}", bar.sign(), bar.fill(), bar.name(marked), deeds.join(", "));
    let left = Rect { width: area.width.saturating_sub(used as u16), ..area };
    canvas.text(left, 0, 0, &text, role);
}

fn head(session: &PlanSession, on: bool, canvas: &mut Canvas, area: Rect) {
    let past = if session.past { " (past)" } else { "" };
    let lights = if session.work_lights { ", work lights" } else { "" };
    let sign = if on { "› " } else { "" };
    let mut text = format!(
        "{sign}{} {} to {}{past}{lights}",
        session.day,
        clock(session.from_min),
        clock(session.to_min)
    );
    let free = session.steps.is_empty();
    if free && !session.people.is_empty() {
        text = format!("{text}, {}", session.people.join(", "));
    }
    canvas.heading(area, 0, &text);
    let over = if session.used_min > session.there_min { "✗ " } else { "" };
    let used = if free {
        format!(" free, {}", minutes(session.there_min))
    } else if session.people.is_empty() {
        format!(" {} of work, nobody told", minutes(session.used_min))
    } else {
        format!(" {over}{} of {}", minutes(session.used_min), minutes(session.there_min))
    };
    let right = canvas.right(area, 0, &used, Role::Text);
    if let Some(forecast) = &session.forecast {
        let left = width(&text) + 1;
        let room =
            Rect { x: area.x + left as u16, width: area.width.saturating_sub((left + right) as u16), ..area };
        // What has no room is left out whole, the last first; the form of the session says all.
        let parts: Vec<&str> = forecast.split(", ").collect();
        let mut said =
            (1..=parts.len()).rev().filter_map(|n| Some(format!(" {} ", parts.get(..n)?.join(", "))));
        if let Some(text) = said.find(|t| width(t) <= usize::from(room.width)) {
            canvas.text(room, 0, 0, &text, Role::Chip(Tint::Note));
        }
    }
}

/// The column of a minute, `names` columns from the left.
fn column(session: &PlanSession, names: usize, area: Rect, min: i64) -> usize {
    let wide = i64::from(area.width).saturating_sub(names as i64).max(1);
    let span = (session.to_min - session.from_min).max(1);
    let at = (min - session.from_min).clamp(0, span) * wide / span;
    names + usize::try_from(at).unwrap_or(0)
}

fn light(session: &PlanSession, names: usize, canvas: &mut Canvas, area: Rect) {
    canvas.text(area, 0, 0, "light", Role::Text);
    let last = column(session, names, area, session.to_min);
    let span = (session.to_min - session.from_min).max(1);
    let wide = last.saturating_sub(names).max(1) as i64;
    let day = canvas.look().theme == Theme::Day;
    let mut words: Vec<(usize, &str)> = Vec::new();
    for col in names..last {
        let min = session.from_min + (col - names) as i64 * span / wide;
        let word = light_at(session, min);
        // What is dark is never the brightest, nor as black as the marked bar.
        let mark = match (word, day) {
            ("day", _) => "─",
            ("twilight", true) => "░",
            ("twilight", false) => "·",
            ("dark", true) => "▒",
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
            let at = column(session, names, area, hour * 60);
            if word == light_at(session, hour * 60) && at > taken && at + 2 < last {
                canvas.text(area, at, 0, &format!("{:02}", hour % 24), Role::Text);
                taken = at + 4;
            }
        }
    }
}

fn light_at(session: &PlanSession, min: i64) -> &'static str {
    let min = min.rem_euclid(24 * 60);
    match (session.sunrise_min, session.sunset_min, session.dawn_min, session.dusk_min) {
        (Some(rise), Some(set), _, _) if min >= rise && min < set => "day",
        (_, _, Some(dawn), Some(dusk)) if min >= dawn && min < dusk => "twilight",
        (Some(_), Some(_), Some(_), Some(_)) => "dark",
        _ => "not known",
    }
}

fn person(
    session: &PlanSession,
    (who, lane): (&str, usize),
    (marked, names): (Option<&PlanStep>, usize),
    canvas: &mut Canvas,
    area: Rect,
) {
    let side = Rect { width: area.width.min(names as u16 - 1), ..area };
    canvas.text(side, 0, 0, if lane == 0 { who } else { "" }, Role::Text);
    let at = |min: i64| column(session, names, area, min);
    let bars = bars(lanes(session, who).into_iter().nth(lane).unwrap_or_default(), &at);
    let last = usize::from(area.width);
    for (n, bar) in bars.iter().enumerate() {
        let from = at(bar.from()).min(last.saturating_sub(1));
        let to = at(bar.to()).max(from + 1);
        let free = bars.get(n + 1).map_or(last, |b| at(b.from())).max(to);
        let name = bar.name(marked);
        let role = if bar.has(marked) { Role::Selected } else { Role::Work(bar.kind()) };
        // The name goes on beside its bar where nothing stands there; less than a few letters say nothing.
        let room = (free - from).saturating_sub(usize::from(free > to));
        let name = if room < LEAST && width(&name) + 2 > room { "" } else { &name };
        // Where colours do not tell the kind its sign stands before the name.
        let kind = if canvas.look().theme == Theme::Day { "" } else { bar.fill() };
        let text = cut(&format!("{}{kind}{name}", bar.sign()), room);
        let (inside, beside) = part(&text, to - from);
        let wide = canvas.text(area, from, 0, &inside, role);
        // Behind its name each column shows what is done in its minutes.
        for col in from + wide..to {
            let (kind, fill) = bar.at(col, &at);
            let role = if bar.has(marked) { role } else { Role::Work(kind) };
            canvas.text(area, col, 0, fill, role);
        }
        canvas.text(area, to, 0, &beside, Role::Text);
    }
}

fn why(step: &PlanStep, canvas: &mut Canvas, area: Rect) {
    let span = format!("{} to {}", clock(step.from_min), clock(step.to_min));
    let who = step.people.join(", ");
    let what = if step.prop.is_empty() { step.deed.clone() } else { format!("{}: {}", step.prop, step.deed) };
    // Where nobody is told there is an order and no hour.
    let span = if step.people.is_empty() { String::new() } else { span };
    let known = [&what, &step.place, &span, &who].into_iter().filter(|t| !t.is_empty());
    let mut row = canvas.headed(area, 0, &known.cloned().collect::<Vec<_>>().join(", "));
    if !step.title.eq_ignore_ascii_case(&step.deed) {
        row += canvas.wrapped(area, row, &step.title, Role::Text);
    }
    if step.late {
        row += canvas.labelled(area, row, "late", "it ends after the rehearsal begins");
    }
    if step.critical {
        row += canvas.labelled(area, row, "no slack", "a delay here moves the end");
    }
    for text in &step.why {
        row += canvas.labelled(area, row, "why", text);
    }
    let mut with = step.tools.clone();
    if step.setup_min > 0 {
        with.push(format!("{} to move and set up before", minutes(step.setup_min)));
    }
    if !with.is_empty() {
        canvas.labelled(area, row, "with", &with.join(", "));
    }
}
