//! `season dates`: the dates of all shows that are not over, and what contradicts itself.

use std::fmt::Write as _;

use crate::answers::view::Dates;
use crate::exchange::json::{DateConflictDoc, DateDoc, DatesDoc};

pub(crate) fn document(dates: Dates) -> DatesDoc {
    let at = |r: &crate::answers::view::DateRow| {
        let time = r.time.map_or_else(String::new, |t| t.format("T%H:%M").to_string());
        format!("{}{time}", r.day)
    };
    DatesDoc {
        dates: dates
            .rows
            .into_iter()
            .map(|r| DateDoc { at: at(&r), season: r.season, what: r.what, title: r.title })
            .collect(),
        conflicts: dates
            .conflicts
            .into_iter()
            .map(|c| DateConflictDoc {
                code: c.code.to_owned(),
                seasons: c.seasons,
                what: c.what,
                remedy: c.remedy,
                pieces: c.pieces,
            })
            .collect(),
        not_told: dates.not_told,
    }
}

pub(crate) fn text(dates: &Dates) -> String {
    if dates.rows.is_empty() {
        return "no date of a coming show is told yet\n".to_owned();
    }
    let mut out = String::new();
    for r in &dates.rows {
        let past = if r.past { " (past)" } else { "" };
        let _ = writeln!(out, "{:<22}{}: {}{past}", r.on(), r.show, r.title);
    }
    if dates.conflicts.is_empty() {
        out.push_str("no conflict of dates or pieces found in what is told\n");
    }
    for c in &dates.conflicts {
        let _ = writeln!(out, "conflict: {}: {}", c.what, c.remedy);
    }
    for line in &dates.not_told {
        let _ = writeln!(out, "not told: {line}");
    }
    out
}
