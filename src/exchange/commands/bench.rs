//! `fault bench`: what waits to be mended, in the order of its dates.

use std::fmt::Write as _;

use crate::answers::faults::BenchRow;
use crate::exchange::json::{BenchDoc, BenchListDoc};

pub(crate) fn document(rows: Vec<BenchRow>) -> BenchListDoc {
    let doc = |r: BenchRow| BenchDoc {
        fault: r.fault,
        target: r.target,
        symptom: r.symptom,
        state: r.state.to_owned(),
        minutes: r.job.minutes,
        skills: r.job.skills,
        part: r.job.part,
        part_in: r.job.part_in,
        needed_by: r.job.needed_by.map(|d| d.to_string()),
        remedy: r.job.next,
    };
    BenchListDoc { bench: rows.into_iter().map(doc).collect() }
}

pub(crate) fn text(rows: &[BenchRow]) -> String {
    if rows.is_empty() {
        return "nothing waits on the bench\n".to_owned();
    }
    rows.iter().fold(String::new(), |mut out, r| {
        let _ = writeln!(out, "{} {}: {} ({})", r.fault, r.target, r.symptom, r.state);
        let _ = writeln!(out, "      {}", r.job.next);
        out
    })
}
