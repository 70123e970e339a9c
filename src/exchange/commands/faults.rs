//! `fault list`, `fault guide`: what is faulty, and what to try.

use std::fmt::Write as _;

use crate::answers::Outlook;
use crate::answers::faults::detail::{entry_lines, found_words};
use crate::answers::faults::page::symptom_words;
use crate::answers::view::{FaultDetail, FaultRow};
use crate::answers::words::target_name;
use crate::domain::Fault;
use crate::exchange::json::{FaultDoc, FaultsDoc, GuideDoc, GuideResultDoc, GuideStepDoc};

fn fault<'a>(outlook: &Outlook<'a>, row: &FaultRow) -> Option<&'a Fault> {
    outlook.yard.faults.iter().find(|f| f.id.0 == row.id)
}

pub(crate) fn document(outlook: &Outlook, rows: Vec<FaultRow>) -> FaultsDoc {
    let facts = outlook.facts();
    let doc = |r: FaultRow| {
        let fault = fault(outlook, &r);
        FaultDoc {
            found: fault.map(|f| outlook.rfc3339(f.found_ms.0)),
            note: fault.map_or_else(Vec::new, |f| entry_lines(outlook, &facts, f)),
            code: r.code,
            target: r.target,
            symptom: r.symptom,
            state: r.state.to_owned(),
            ended: r.ended,
            bench: r.bench,
            remedy: r.next,
        }
    };
    FaultsDoc { faults: rows.into_iter().map(doc).collect() }
}

pub(crate) fn text(outlook: &Outlook, rows: &[FaultRow]) -> String {
    if rows.is_empty() {
        return "no open faults\n".to_owned();
    }
    rows.iter().fold(String::new(), |mut out, r| {
        let found = fault(outlook, r).map_or_else(String::new, |f| found_words(outlook, f));
        let _ = writeln!(out, "{} {}: {} ({}), found {found}", r.code, r.target, r.symptom, r.state);
        if !r.next.is_empty() {
            let _ = writeln!(out, "      next: {}", r.next);
        }
        out
    })
}

/// What to try for a fault's symptom, in order.
pub(crate) fn guide_document(outlook: &Outlook, fault: &Fault, detail: FaultDetail) -> GuideDoc {
    GuideDoc {
        fault: fault.code.clone(),
        target: target_name(outlook, fault.piece_id, fault.placement_id),
        symptom: fault.symptom.clone(),
        cautions: detail.cautions,
        steps: detail
            .guide
            .into_iter()
            .map(|s| GuideStepDoc {
                code: s.code,
                text: s.what,
                results: s
                    .results
                    .into_iter()
                    .map(|[code, what, why]| GuideResultDoc { code, what, why })
                    .collect(),
                answered: s.answer.is_some(),
            })
            .collect(),
    }
}

/// The same, with the words that `fault guide` takes.
pub(crate) fn guide_text(outlook: &Outlook, fault: &Fault, detail: &FaultDetail) -> String {
    let target = target_name(outlook, fault.piece_id, fault.placement_id);
    let mut out = format!("{} {target}: {}\n", fault.code, symptom_words(fault));
    for caution in &detail.cautions {
        let _ = writeln!(out, "  ! {caution}");
    }
    for (n, step) in detail.guide.iter().enumerate() {
        let _ = writeln!(out, "  {}. {} [{}]", n + 1, step.what, step.code);
        for [word, seen, means] in &step.results {
            let _ = writeln!(out, "       {seen} [{word}]: {means}");
        }
        if let Some(answer) = &step.answer {
            let _ = writeln!(out, "     -> {answer}");
        }
    }
    out
}
