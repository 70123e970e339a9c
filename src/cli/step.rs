//! `step list|start|done|count|hold|skip|reopen|took`

use std::process::ExitCode;

use super::args::{Args, StepDeed};
use super::{deeds, output, wrong_use};
use crate::app::{Ask, Problem};
use crate::domain::TickKind;

pub(super) fn step(args: &Args, deed: &StepDeed) -> Result<ExitCode, Problem> {
    let tick = |key: &String, kind: TickKind, count: Option<i64>, why: &Option<String>| Ask::Tick {
        key: key.clone(),
        kind,
        count,
        why: why.clone(),
    };
    let ask = match deed {
        StepDeed::List { phase } => {
            return Ok(output::answer(&args.open()?.steps_answer((*phase).into(), args.form())?));
        }
        StepDeed::Start { key, why } => tick(key, TickKind::Start, None, why),
        StepDeed::Done { keys, why } => match keys.as_slice() {
            [one] => tick(one, TickKind::Done, None, why),
            several => Ask::TickAll { keys: several.to_vec() },
        },
        StepDeed::Count { key, number, why } => tick(key, TickKind::Count, Some(*number), why),
        StepDeed::Hold { key, why } => tick(key, TickKind::Hold, None, why),
        StepDeed::Skip { key, why } => tick(key, TickKind::Skip, None, why),
        StepDeed::Reopen { key, why } => tick(key, TickKind::Reopen, None, why),
        StepDeed::Took { key, minutes, why } => {
            let minutes = match minutes.trim() {
                "none" => None,
                text => Some(text.parse().map_err(|_| {
                    wrong_use("bad-minutes", format!("{text:?} is no number of minutes")).hint("25, or none")
                })?),
            };
            let why = why.clone().unwrap_or_default();
            Ask::CorrectTime { key: key.clone(), ticked_ms: None, minutes, why }
        }
    };
    deeds::perform(args, &ask)
}
