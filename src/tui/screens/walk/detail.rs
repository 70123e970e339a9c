//! One step of Walk: short below the list, whole beside it, or in big letters.

use ratatui::layout::Rect;

use super::view::tint;
use crate::answers::view::{StepState, WalkStep};
use crate::tui::look::{Role, Tint};
use crate::tui::state::State;
use crate::tui::widgets::canvas::mark as sign;
use crate::tui::widgets::text::{minutes, wrap};
use crate::tui::widgets::{Canvas, big, panes};

/// What must be known at a glance: below the list.
pub fn short(step: &WalkStep, canvas: &mut Canvas, area: Rect) {
    let used = canvas.headed(area, 0, &marked(step));
    let inner = panes::below(area, used);
    let mut row = canvas.wrapped(inner, 0, &step.title, Role::Strong);
    if let Some(why) = &step.why {
        row += canvas.labelled(inner, row, "because", why);
    }
    if let Some(question) = &step.question {
        row += canvas.labelled(inner, row, "ask first", question);
    }
    if let Some(caution) = step.cautions.first() {
        // How many more there are, which b shows, stands where nothing is cut.
        let more = step.cautions.len() - 1;
        let label = if more > 0 { format!("caution +{more}") } else { "caution".to_owned() };
        row += canvas.labelled(inner, row, &label, caution);
    }
    row += connects(step, canvas, inner, row, usize::from(inner.height).saturating_sub(row + 2));
    row += readings(step, canvas, inner, row, usize::from(inner.height).saturating_sub(row + 1));
    for (label, text) in facts(step) {
        row += canvas.labelled(inner, row, label, &text);
    }
}

/// All about the step: beside the list.
pub fn page(state: &State, step: &WalkStep, canvas: &mut Canvas, area: Rect) {
    let mut row = canvas.headed(area, 0, &marked(step));
    let high = usize::from(area.height).saturating_sub(row + small(step, usize::from(area.width)));
    if let Some(lines) = big::lines(&step.deed, usize::from(area.width), 3).filter(|_| !state.lines)
        && high >= lines.len() * big::HIGH
    {
        for line in &lines {
            big::draw(canvas, area, row, line);
            row += big::HIGH;
        }
    }
    row += canvas.wrapped(area, row, &step.title, Role::Strong) + 1;
    rest(state, step, canvas, area, row);
}

/// Rows that all about a step takes below its deed.
fn small(step: &WalkStep, wide: usize) -> usize {
    let labelled = |text: &str| wrap(text, wide.saturating_sub(11)).len();
    let texts = step.why.iter().chain(&step.question).chain(&step.cautions).chain(&step.notes);
    let facts: usize = facts(step).iter().map(|(_, text)| labelled(text)).sum();
    let readings = if step.readings.is_empty() { 0 } else { step.readings.len() + 1 };
    let title = wrap(&step.title, wide).len() + 1;
    title + texts.map(|t| labelled(t)).sum::<usize>() + facts + step.connects.len() + readings + 1
}

/// One step for reading at arm's length.
pub fn big(state: &State, step: &WalkStep, canvas: &mut Canvas, area: Rect) {
    let mut row = 0;
    let used = canvas.chip(area, 0, row, tint(step.state), step.state.word());
    canvas.text(area, used + 1, row, &step.place, Role::Strong);
    let count = step.count.map_or(String::new(), |(done, of)| format!("{done} of {of}, "));
    canvas.right(area, row, &format!("{count}{}", minutes(step.minutes)), Role::Strong);
    row += 2;
    match big::lines(&step.deed, usize::from(area.width), 2).filter(|_| !state.lines) {
        Some(lines) if usize::from(area.height) >= lines.len() * big::HIGH + 8 => {
            for line in &lines {
                big::draw(canvas, area, row, line);
                row += big::HIGH;
            }
        }
        _ => row += canvas.wrapped(area, row, &step.deed.to_uppercase(), Role::Strong),
    }
    row += canvas.wrapped(area, row, &step.prop, Role::Strong);
    if step.title != step.deed {
        row += canvas.wrapped(area, row, &step.title, Role::Text);
    }
    row += 1;
    rest(state, step, canvas, area, row);
}

fn rest(state: &State, step: &WalkStep, canvas: &mut Canvas, area: Rect, row: usize) {
    let last = usize::from(area.height).saturating_sub(1);
    let inner = Rect { height: area.height.saturating_sub(1), ..area };
    let mut row = row;
    if let Some(why) = &step.why {
        row += canvas.labelled(inner, row, "because", why);
    }
    if let Some(question) = &step.question {
        row += canvas.labelled(inner, row, "ask first", question);
    }
    for caution in &step.cautions {
        row += canvas.labelled(inner, row, "caution", caution);
    }
    row += connects(step, canvas, inner, row, step.connects.len());
    for (label, text) in facts(step) {
        row += canvas.labelled(inner, row, label, &text);
    }
    row += readings(step, canvas, inner, row, step.readings.len() + 1);
    for note in &step.notes {
        row += canvas.labelled(inner, row, "note", note);
    }
    if let Some(next) = state.walk.next_open(std::slice::from_ref(&step.key)) {
        // Next is the step that is marked.
        let used = canvas.text(area, 0, last, "then  ", Role::Strong);
        // Where to go comes first: it is never what is cut.
        let whole = next.prop.is_empty() || next.prop == next.place;
        let what = if whole { next.deed.clone() } else { format!("{}, {}", next.prop, next.deed) };
        canvas.text(area, used, last, &format!("{}: {what}", next.place), Role::Text);
    }
}

fn connects(step: &WalkStep, canvas: &mut Canvas, area: Rect, row: usize, most: usize) -> usize {
    let mut used = 0;
    for line in step.connects.iter().take(most) {
        let at = canvas.text(area, 0, row + used, &line.port, Role::Strong).max(10) + 1;
        let to = format!("→ {}   {}", line.to, line.lead);
        canvas.text(area, at, row + used, &to, Role::Text);
        canvas.right(area, row + used, &format!(" {} ", line.check), Role::Chip(Tint::Note));
        used += 1;
    }
    let left = step.connects.len() - used;
    if left > 0 {
        canvas.text(area, 11, row + used, &format!("and {left} more leads; b shows all"), Role::Strong);
        used += 1;
    }
    used
}

/// Where the meter goes; open places first where not all fit.
fn readings(step: &WalkStep, canvas: &mut Canvas, area: Rect, row: usize, most: usize) -> usize {
    if step.readings.is_empty() {
        return 0;
    }
    let done = step.readings.iter().filter(|r| r.read.is_some()).count();
    let mut lines: Vec<_> = step.readings.iter().collect();
    if lines.len() > most {
        lines.sort_by_key(|r| r.read.is_some());
    }
    let head =
        format!("{done} of {} currents read, beside what is expected; m reads the next", step.readings.len());
    let mut used = canvas.labelled(area, row, "meter", &head);
    // Beside the list there is no room for the column of labels.
    let left = if area.width < 60 { 0 } else { 11 };
    for line in lines.into_iter().take(most.saturating_sub(1)) {
        let place = format!("{} {}", line.target, line.at);
        canvas.text(area, left, row + used, &place, Role::Strong);
        let of = if area.width >= 76 { format!(" ({})", line.of) } else { String::new() };
        let expect = format!("{}{of}", line.expected);
        canvas.text(area, left + place.chars().count().max(19) + 1, row + used, &expect, Role::Text);
        let (text, tint) = match (&line.read, &line.fault) {
            (Some(read), Some(fault)) => (format!(" ✗ {read}, {fault} "), Tint::Mend),
            (Some(read), None) => (format!(" ✓ {read} "), Tint::Done),
            (None, _) => (" not read ".to_owned(), Tint::Open),
        };
        canvas.right(area, row + used, &text, Role::Chip(tint));
        used += 1;
    }
    used
}

fn facts(step: &WalkStep) -> Vec<(&'static str, String)> {
    let mut out = Vec::new();
    if let Some(timer) = &step.timer {
        out.push(("timer", timer.clone()));
    }
    if let Some(wind) = &step.wind {
        out.push(("wind", wind.clone()));
    }
    if !step.waits.is_empty() {
        out.push(("waits", step.waits.join("; ")));
    }
    if !step.tools.is_empty() {
        out.push(("with", step.tools.join(", ")));
    }
    if let Some(home) = &step.home {
        out.push((if step.comes_home { "into" } else { "from" }, home.clone()));
    }
    if !step.people.is_empty() {
        out.push(("who", step.people.join(", ")));
    }
    if step.critical {
        out.push(("▲ no slack", "a delay here moves the end".to_owned()));
    }
    out.push(("light", step.light.to_owned()));
    out
}

/// The same with the mark of what is next, or of its state.
fn marked(step: &WalkStep) -> String {
    let mark = if super::is_open(step) { "▶" } else { sign(tint(step.state)) };
    format!("{mark} {}", named(step))
}

/// The same, with the word of a state that is not open.
fn named(step: &WalkStep) -> String {
    let state =
        if step.state == StepState::Open { String::new() } else { format!("{}: ", step.state.word()) };
    format!("{state}{}", prop_and_place(step))
}

/// "boat cut-outs, 8, path left"; the place alone where a step belongs to no prop.
fn prop_and_place(step: &WalkStep) -> String {
    let whole = step.prop.is_empty() || step.prop == step.place;
    if whole { step.place.clone() } else { format!("{}, {}", step.prop, step.place) }
}
