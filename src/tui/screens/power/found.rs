//! What was found, worst first: the list, and below it the one under the cursor with caution and remedy.

use ratatui::layout::Rect;

use crate::answers::view::{Finding, Power};
use crate::tui::look::Role;
use crate::tui::screens::today::view::level;
use crate::tui::state::State;
use crate::tui::widgets::table::{Cell, Line};
use crate::tui::widgets::text::wrap;
use crate::tui::widgets::{Canvas, panes};

/// Rows that a finding has below the list at least, and the columns of its labels.
const LOW: usize = 8;
const LABEL: usize = 11;

/// A prop's name without its code, where that is enough to tell the row from others that say the same.
fn place_in_list<'a>(page: &Power, found: &'a Finding) -> &'a str {
    let bare = |f: &'a Finding| f.place.rsplit_once(" (").map_or(f.place.as_str(), |(name, _)| name);
    let same = |f: &Finding| {
        f.what == found.what && f.place.rsplit_once(" (").is_some_and(|(n, _)| n == bare(found))
    };
    if page.findings.iter().filter(|f| same(f)).count() > 1 { &found.place } else { bare(found) }
}

/// A note such as "all at once may trip this breaker" says nothing without what it is about.
fn headline(found: &Finding) -> String {
    format!("{}: {}", found.place, found.what)
}

pub(super) fn findings(state: &State, page: &Power, canvas: &mut Canvas, area: Rect) {
    if page.findings.is_empty() {
        let text = match page.not_told.len() {
            0 => "Nothing was found: all that is checked holds.",
            _ if page.nodes.is_empty() => {
                "Nothing is checked: no circuit, box, supply or lead is told. + tells one."
            }
            _ => "Nothing was found in what is told; what is not known stands below.",
        };
        canvas.wrapped(area, 1, text, Role::Strong);
        return;
    }
    let rows: Vec<Line> = page
        .findings
        .iter()
        .enumerate()
        .map(|(at, f)| {
            let (tint, word) = level(f.level);
            Line::Row(
                at,
                vec![Cell::Chip(tint, word.to_owned()), (&f.what).into(), place_in_list(page, f).into()],
            )
        })
        .collect();
    let heads = ["", "What, worst first", "Where"];
    let found = page.findings.get(state.power.at);
    // As many rows below the list as the longest needs to be read whole; a wide screen has them.
    let high = |f: &Finding| {
        let rows =
            |text: &str, beside: usize| wrap(text, usize::from(area.width).saturating_sub(beside)).len();
        let caution = f.caution.as_ref().map_or(0, |c| rows(c, LABEL));
        rows(&headline(f), 0) + rows(&f.remedy, LABEL) + rows(&f.measured(), LABEL) + caution + 1
    };
    let low = page.findings.iter().filter(|_| area.width < panes::WIDE).map(high).max().unwrap_or(0).max(LOW);
    let lower = panes::list(canvas, area, (&heads, &rows, Some(state.power.at)), low as u16);
    if let Some(found) = found {
        let mut row = canvas.headed(lower, 0, &headline(found));
        if let Some(caution) = &found.caution {
            row += canvas.labelled(lower, row, "caution", caution);
        }
        row += canvas.labelled(lower, row, "remedy", &found.remedy);
        canvas.labelled(lower, row, "is", &found.measured());
    }
}
