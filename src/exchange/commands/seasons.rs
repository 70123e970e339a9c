//! `season list`: seasons, newest first.

use std::fmt::Write as _;

use crate::answers::view::SeasonRow;
use crate::answers::words::counted;
use crate::exchange::json::{SeasonDoc, SeasonsDoc};

pub(crate) fn document(rows: Vec<SeasonRow>) -> SeasonsDoc {
    let doc = |r: SeasonRow| SeasonDoc {
        code: r.code,
        name: r.name,
        lit: r.lit,
        state: r.state,
        placements: r.placements,
        steps_done: r.steps_done,
        planned_minutes: r.planned_min,
        taken_minutes: r.taken_min,
        faults: r.faults,
        hours: r.hours,
    };
    SeasonsDoc { seasons: rows.into_iter().map(doc).collect() }
}

pub(crate) fn text(rows: &[SeasonRow]) -> String {
    rows.iter().fold(String::new(), |mut out, r| {
        let _ = writeln!(
            out,
            "{:<14} {:<24} {:<9} lit {}; {}, {} done, {}",
            r.code,
            r.name,
            r.state,
            r.lit,
            counted(r.placements as i64, "placement", "placements"),
            counted(r.steps_done as i64, "step", "steps"),
            counted(r.faults as i64, "fault", "faults")
        );
        if let Some(hours) = &r.hours {
            let _ = writeln!(out, "{:<14} {hours}", "");
        }
        out
    })
}
