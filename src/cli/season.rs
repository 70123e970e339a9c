//! `season list|dates|new|close`

use std::process::ExitCode;

use super::args::Args;
use super::deed_args::SeasonDeed;
use super::{deeds, output};
use crate::app::{Ask, Problem};

pub(super) fn season(args: &Args, deed: &SeasonDeed) -> Result<ExitCode, Problem> {
    let ask = match deed {
        SeasonDeed::List => return Ok(output::answer(&args.open()?.seasons_answer(args.form())?)),
        SeasonDeed::Dates => return Ok(output::answer(&args.open()?.dates_answer(args.form())?)),
        SeasonDeed::New { code, name, lights_on } => {
            Ask::NewSeason { code: code.clone(), name: name.clone(), lights_on: lights_on.clone() }
        }
        SeasonDeed::Close { code, keep, as_before, next, lights_on } => {
            let decided = (*keep || *as_before).then_some(*keep);
            if decided.is_none() && !args.json {
                for line in args.open()?.differences(code)? {
                    output::note(&format!("done differently: {line}; --keep or --as-before decides"));
                }
            }
            let next = next.clone().map(|n| (n, lights_on.clone()));
            Ask::CloseSeason { code: code.clone(), keep: decided, next }
        }
    };
    deeds::perform(args, &ask)
}
