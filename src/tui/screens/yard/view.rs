//! Yard drawn: each place as a label where it lies, marked by progress, faults or load.

use ratatui::layout::Rect;

use super::state::Marks;
use crate::answers::view::YardPlace;
use crate::tui::look::{Role, Tint};
use crate::tui::state::State;
use crate::tui::widgets::Canvas;
use crate::tui::widgets::table::{self, Cell, Line};

/// Columns and rows of a label.
const WIDE: u16 = 19;
const HIGH: u16 = 2;

/// Draws Yard.
pub fn draw(state: &State, canvas: &mut Canvas, area: Rect) {
    let Some(page) = &state.yard.page else { return };
    if page.places.is_empty() {
        let text = "No place is told yet. A place comes with each prop: its line says where it goes.";
        canvas.wrapped(area, 1, text, Role::Strong);
        return;
    }
    let how = if page.laid_out { "laid out from the tree, positions not told" } else { "as measured" };
    canvas.text(
        area,
        0,
        0,
        &format!("{} places, {how}; marked by {}", page.places.len(), state.yard.marks.word()),
        Role::Strong,
    );
    let low = 4.min(area.height / 3);
    let map = Rect { y: area.y + 1, height: area.height.saturating_sub(low + 1), ..area };
    if let Some(spots) = lay_out(&page.places, map).filter(|_| !state.lines) {
        for (at, (place, spot)) in page.places.iter().zip(spots).enumerate() {
            label(state, place, at == state.yard.at, canvas, spot);
        }
    } else {
        let rows: Vec<Line> = page
            .places
            .iter()
            .enumerate()
            .map(|(at, p)| {
                let (tint, word) = mark(state.yard.marks, p);
                Line::Row(at, vec![(&p.code).into(), (&p.name).into(), Cell::Chip(tint, word)])
            })
            .collect();
        table::draw(canvas, map, &[("Code", 12), ("Place", 0), ("", 22)], &rows, Some(state.yard.at));
    }
    if let Some(place) = state.yard.place() {
        let lower = Rect { y: area.y + area.height - low, height: low, ..area };
        canvas.heading(lower, 0, &format!("{}  {}", place.code, place.name));
        let load = place.load_w.map_or_else(|| "load not known".to_owned(), |w| format!("{w} W"));
        let text = format!(
            "{} of {} steps done, {} ready, {} faults, {load}, {}",
            place.done, place.total, place.ready, place.faults, place.access
        );
        canvas.text(lower, 0, 1, &text, Role::Text);
        canvas.labelled(lower, 2, "here", &place.placements.join(", "));
    }
}

/// Where each label goes: as near to its place as is free; nothing where they don't all fit.
fn lay_out(places: &[YardPlace], area: Rect) -> Option<Vec<Rect>> {
    let (columns, rows) = (area.width / WIDE, area.height / HIGH);
    if usize::from(columns) * usize::from(rows) < places.len() {
        return None;
    }
    let span = |all: &dyn Fn(&YardPlace) -> i64| {
        let (low, high) =
            (places.iter().map(all).min().unwrap_or(0), places.iter().map(all).max().unwrap_or(0));
        (low, high.saturating_sub(low).max(1))
    };
    let (x0, wide) = span(&|p| p.x_mm);
    let (y0, deep) = span(&|p| p.y_mm);
    let mut taken: Vec<(u16, u16)> = Vec::new();
    let mut spots = vec![Rect::default(); places.len()];
    // From the top left on, so that neighbours stay neighbours.
    let mut order: Vec<usize> = (0..places.len()).collect();
    order.sort_by_key(|n| places.get(*n).map(|p| (p.y_mm, p.x_mm, *n)));
    for n in order {
        let place = places.get(n)?;
        let scale = |v: i64, from: i64, over: i64, cells: u16| {
            let at =
                i128::from(v.saturating_sub(from)) * i128::from(cells.saturating_sub(1)) / i128::from(over);
            u16::try_from(at).unwrap_or(0)
        };
        let (want_x, want_y) = (scale(place.x_mm, x0, wide, columns), scale(place.y_mm, y0, deep, rows));
        let free = (0..rows)
            .flat_map(|y| (0..columns).map(move |x| (x, y)))
            .filter(|spot| !taken.contains(spot))
            .min_by_key(|(x, y)| (x.abs_diff(want_x) * 3 + y.abs_diff(want_y) * 2, *y, *x))?;
        taken.push(free);
        let (gap_x, gap_y) = (area.width / columns, area.height / rows);
        let spot =
            Rect { x: area.x + free.0 * gap_x, y: area.y + free.1 * gap_y, width: WIDE - 1, height: HIGH };
        *spots.get_mut(n)? = spot;
    }
    Some(spots)
}

fn label(state: &State, place: &YardPlace, on: bool, canvas: &mut Canvas, spot: Rect) {
    let role = if on { Role::Selected } else { Role::Strong };
    let top = Rect { height: 1, ..spot };
    canvas.fill(top, if on { Role::Selected } else { Role::Text });
    canvas.text(top, 0, 0, &format!("{}{}", if on { "›" } else { "" }, place.name), role);
    let (tint, word) = mark(state.yard.marks, place);
    canvas.chip(spot, 0, 1, tint, &word);
}

/// The chip of a place.
fn mark(marks: Marks, place: &YardPlace) -> (Tint, String) {
    match marks {
        Marks::Progress if place.total == 0 => (Tint::Skipped, "no steps".to_owned()),
        Marks::Progress if place.done == place.total => (Tint::Done, format!("all {}", place.total)),
        Marks::Progress if place.ready > 0 => {
            (Tint::Open, format!("{}/{}, {} ready", place.done, place.total, place.ready))
        }
        Marks::Progress => (Tint::Held, format!("{}/{}, waits", place.done, place.total)),
        Marks::Faults if place.faults > 0 => (Tint::Stop, format!("{} faults", place.faults)),
        Marks::Faults => (Tint::Done, "no fault".to_owned()),
        Marks::Load => match place.load_w {
            Some(w) => (Tint::Note, format!("{w} W")),
            None => (Tint::Held, "not known".to_owned()),
        },
    }
}
