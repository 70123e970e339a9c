//! `tote list|map|find|put|take|count`, `pack`

use std::process::ExitCode;

use super::args::Args;
use super::tote_args::ToteDeed;
use super::{deeds, output, wrong_use};
use crate::app::{Ask, Problem, lot_of};

pub(super) fn tote(args: &Args, deed: &ToteDeed) -> Result<ExitCode, Problem> {
    let ask = match deed {
        ToteDeed::List => return Ok(output::answer(&args.open()?.totes_answer(args.form())?)),
        ToteDeed::Map => return Ok(output::answer(&args.open()?.tote_map_answer(args.form())?)),
        ToteDeed::Find { words } => {
            // The same finding as on the screen.
            let find = |asked: &str, lines: &[String]| {
                crate::tui::find::rank(asked, lines.iter().map(String::as_str))
            };
            return Ok(output::answer(&args.open()?.tote_find_answer(
                &words.join(" "),
                find,
                args.form(),
            )?));
        }
        ToteDeed::Put { tote, pieces } => Ask::PutInto { tote: tote.clone(), pieces: pieces.clone() },
        ToteDeed::Take { pieces } => Ask::TakeOut { pieces: pieces.clone() },
        ToteDeed::Count { tote, missing, found, part, lots } => {
            let number = |lot: &String| {
                lot_of(lot).ok_or_else(|| {
                    wrong_use("bad-count", format!("{lot:?} is no count of a lot: write CODE=NUMBER"))
                })
            };
            Ask::CountTote {
                tote: tote.clone(),
                missing: missing.clone(),
                found: found.clone(),
                part: *part,
                lots: lots.iter().map(number).collect::<Result<_, _>>()?,
            }
        }
    };
    deeds::perform(args, &ask)
}

pub(super) fn pack(args: &Args, write: bool) -> Result<ExitCode, Problem> {
    if write {
        return deeds::perform(args, &Ask::WritePack);
    }
    Ok(output::answer(&args.open()?.pack_answer(args.form())?))
}
