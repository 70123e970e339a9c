//! Yard drawn: the map with a list of its places, marked by progress, faults or load.

use ratatui::layout::Rect;

use super::map;
use super::state::Marks;
use crate::answers::view::{YardMap, YardPlace};
use crate::tui::look::{Role, Tint};
use crate::tui::screens::next;
use crate::tui::state::State;
use crate::tui::widgets::table::{self, Cell, Line};
use crate::tui::widgets::text::counted;
use crate::tui::widgets::{Canvas, panes};

/// Rows of the marked place below.
const BELOW: u16 = 5;

/// Draws Yard.
pub fn draw(state: &State, canvas: &mut Canvas, area: Rect) {
    let Some(page) = &state.yard.page else { return };
    if page.places.is_empty() {
        let used = canvas.next(area, 1, &next::of_all(state));
        let key = if state.frame.empty { "a" } else { "a in 5 Kit" };
        let text = format!(
            "No place is told yet. A place comes with each prop: {key} adds one in a line that says where it goes."
        );
        canvas.wrapped(area, 2 + used, &text, Role::Strong);
        return;
    }
    let off = page.places.iter().filter(|p| !p.on_map && p.total > 0).count();
    let how = match off {
        _ if page.laid_out => "none measured".to_owned(),
        0 => "as measured".to_owned(),
        n => format!("{n} not measured"),
    };
    let legend = match state.yard.marks {
        Marks::Progress => "▶ next ○ ready ‖ waits ✓ all done – no steps",
        Marks::Faults => "faults: ✗ some ✓ none",
        Marks::Load => "load: ✓ told ‖ not known – none",
    };
    let head = format!("{} places, {how}: {legend}", page.places.len());
    canvas.heading(area, 0, &head);
    match &page.next {
        Some(next) => {
            // Enter walks the marked place; what is elsewhere, or at no place, is in Walk.
            let here = state.yard.place().is_some_and(|p| p.first);
            let key = if here { "Enter" } else { "2 Walk" };
            let soonest = page.places.iter().find(|p| Some(&p.code) == page.soonest.as_ref());
            let then = match soonest.filter(|_| page.places.iter().all(|p| !p.first)) {
                Some(place) => format!("; in the yard first {}", place.name),
                None => String::new(),
            };
            canvas.next(area, 1, &format!("{key}: {}{then}", next.text));
        }
        None => {
            canvas.next(area, 1, &next::of_all(state));
        }
    }
    let low = BELOW.min(area.height / 3);
    let body = Rect { height: area.height.saturating_sub(low + 2), ..panes::below(area, 2) };
    // The list takes what its names need; where nothing is measured it says more than a map of nothing.
    let lines = lines(state, page, false);
    let most = if area.width >= panes::WIDE { 56 } else { 35 };
    let wanted = u16::try_from(table::natural(&[""; 3], &lines)).unwrap_or(u16::MAX);
    let side = wanted.clamp(28, most) + 1;
    let drawn = Rect { width: body.width.saturating_sub(side), ..body };
    if !state.lines && !page.laid_out && map::draw(state, page, canvas, drawn) {
        canvas.divider(Rect { x: drawn.x + drawn.width, width: 1, ..body });
        let list = Rect { x: drawn.x + drawn.width + 1, width: side - 1, ..body };
        table::draw(canvas, list, &[""; 3], &lines, Some(state.yard.at));
    } else {
        table::draw(canvas, body, &[""; 4], &self::lines(state, page, true), Some(state.yard.at));
    }
    if let Some(place) = state.yard.place() {
        let lower = Rect { y: area.y + area.height - low, height: low, ..area };
        below(place, canvas, lower);
    }
}

/// The places, those off the map after the others; without a map beside them each with what is next there.
fn lines(state: &State, page: &YardMap, alone: bool) -> Vec<Line> {
    let off = page.places.iter().position(|p| !p.on_map && p.total > 0).filter(|_| !alone);
    let mut rows: Vec<Line> = page
        .places
        .iter()
        .enumerate()
        .flat_map(|(at, p)| {
            let (tint, word) = mark(state.yard.marks, p);
            let letter = map::letter(at).filter(|_| p.on_map && !alone).map_or(String::new(), String::from);
            // What asks for nothing is no chip: what does stands out.
            let word =
                if tint == Tint::Skipped { format!(" – {word}").into() } else { Cell::Chip(tint, word) };
            let mut cells = vec![letter.into(), (&p.name).into(), word];
            if alone {
                cells.push(p.next.clone().unwrap_or_default().into());
            }
            let head = (off == Some(at)).then(|| Line::Group("not on the map; e measures it".to_owned()));
            head.into_iter().chain([Line::Row(at, cells)])
        })
        .collect();
    if let Some((props, steps)) = page.no_place {
        let (props, steps) = (counted(props, "prop", "props"), counted(steps, "step", "steps"));
        rows.push(Line::Group(format!("no place told: {props}, {steps}")));
    }
    rows
}

/// All about the marked place.
fn below(place: &YardPlace, canvas: &mut Canvas, area: Rect) {
    let mut row = canvas.headed(area, 0, &place.name);
    if let Some(next) = &place.next {
        row += canvas.labelled(area, row, "next", next);
    }
    let load = place.load_w.map_or_else(|| "load not known".to_owned(), |w| format!("{w} W"));
    let faults = if place.faults == 0 {
        String::new()
    } else {
        format!(", {}", counted(place.faults, "fault", "faults"))
    };
    let steps = if place.total == 0 {
        "no step".to_owned()
    } else {
        format!("{} of {} steps done, {} ready", place.done, place.total, place.ready)
    };
    let text = format!("{steps}{faults}, {load}, {}", place.access.replace('_', " "));
    row += canvas.wrapped(area, row, &text, Role::Text);
    if !place.placements.is_empty() {
        canvas.labelled(area, row, "here", &place.placements.join(", "));
    }
}

/// The chip of a place.
pub fn mark(marks: Marks, place: &YardPlace) -> (Tint, String) {
    match marks {
        Marks::Progress if place.total == 0 => (Tint::Skipped, "none".to_owned()),
        Marks::Progress if place.done == place.total => (Tint::Done, format!("all {}", place.total)),
        Marks::Progress if place.first => (Tint::Doing, format!("{}/{}", place.done, place.total)),
        Marks::Progress if place.ready > 0 => (Tint::Open, format!("{}/{}", place.done, place.total)),
        Marks::Progress => (Tint::Held, format!("{}/{}", place.done, place.total)),
        Marks::Faults if place.faults > 0 => (Tint::Stop, counted(place.faults, "fault", "faults")),
        Marks::Faults => (Tint::Done, "no fault".to_owned()),
        Marks::Load => match place.load_w {
            Some(w) => (Tint::Done, format!("{w} W")),
            None if place.placements.is_empty() => (Tint::Skipped, "none".to_owned()),
            None => (Tint::Held, "not known".to_owned()),
        },
    }
}
