//! `fault add|list|dark|by|photo|guide|look|which|patch|off|wait|mend|replace|test|scrap|reopen`

use std::process::ExitCode;

use super::args::Args;
use super::deed_args::{FaultDeed, RepairArgs, TonightArg};
use super::{deeds, output};
use crate::app::{Ask, Done, NewFault, NewRepair, Paths, Problem, Tonight};
use crate::domain::RepairDeed;
use crate::tui::viewer;

pub(super) fn fault(args: &Args, deed: &FaultDeed) -> Result<ExitCode, Problem> {
    let ask = match deed {
        FaultDeed::List { bench: true, .. } => {
            return Ok(output::answer(&args.open()?.bench_answer(args.form())?));
        }
        FaultDeed::List { all, .. } => {
            return Ok(output::answer(&args.open()?.faults_answer(*all, args.form())?));
        }
        FaultDeed::Add { target, symptom, at, tonight, note } => Ask::LogFault(NewFault {
            target: target.clone(),
            symptom: symptom.clone(),
            at: at.clone(),
            tonight: match tonight {
                TonightArg::Nothing => Tonight::Nothing,
                TonightArg::Mended => Tonight::Mended,
                TonightArg::Patched => Tonight::Patched,
                TonightArg::Off => Tonight::SwitchedOff,
            },
            note: note.clone(),
        }),
        FaultDeed::Dark { target, lasted, why, night } => Ask::LogDark {
            target: target.clone(),
            lasted: lasted.clone(),
            why: why.clone(),
            night: night.clone(),
        },
        FaultDeed::By { person } => Ask::LoggedBy { person: person.clone() },
        FaultDeed::Photo { fault, file: Some(path), .. } => {
            Ask::AddPhoto { fault: fault.clone(), path: path.clone() }
        }
        FaultDeed::Photo { fault, open: Some(number), with, .. } => {
            let paths = Paths::of_system()?;
            let path = args.open()?.photo_file(fault, *number, &paths.photos())?;
            let told = with.as_ref().map(|p| vec![p.to_string_lossy().into_owned()]);
            let said = viewer::open(&path, &told.unwrap_or_else(|| paths.setup().settings.viewer))?;
            return Ok(output::answer(&crate::app::deed_answer(&Done::only(said), args.form())));
        }
        FaultDeed::Photo { fault, .. } => {
            let photos = args.open()?.photos_answer(fault)?;
            return Ok(output::answer(&crate::app::text_answer(photos, args.form())));
        }
        FaultDeed::Guide { fault, tried: Some(tried), result: Some(result), note } => Ask::AnswerGuide {
            fault: fault.clone(),
            tried: tried.clone(),
            result: result.clone(),
            note: note.clone(),
        },
        FaultDeed::Guide { fault, .. } => {
            return Ok(output::answer(&args.open()?.guide_answer(fault, args.form())?));
        }
        FaultDeed::Which { fault, piece } => Ask::FaultPiece { fault: fault.clone(), piece: piece.clone() },
        FaultDeed::Look(r) => repair(r, RepairDeed::Looked),
        FaultDeed::Patch(r) => repair(r, RepairDeed::Patched),
        FaultDeed::Off(r) => repair(r, RepairDeed::SwitchedOff),
        FaultDeed::Wait(r) => repair(r, RepairDeed::WaitingPart),
        FaultDeed::Mend(r) => repair(r, RepairDeed::Mended),
        FaultDeed::Replace { fault, spare, note } => {
            Ask::ReplaceBySpare { fault: fault.clone(), spare: spare.clone(), note: note.clone() }
        }
        FaultDeed::Test(r) => repair(r, RepairDeed::Tested),
        FaultDeed::Scrap(r) => repair(r, RepairDeed::Scrapped),
        FaultDeed::Reopen(r) => repair(r, RepairDeed::Reopened),
    };
    deeds::perform(args, &ask)
}

fn repair(r: &RepairArgs, deed: RepairDeed) -> Ask {
    Ask::Repair(NewRepair {
        fault: r.fault.clone(),
        deed,
        cause: r.cause.clone(),
        minutes: r.minutes,
        part: r.part.clone(),
        note: r.note.clone(),
    })
}
