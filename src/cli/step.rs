//! `step list|start|done|reading|count|hold|skip|differently|paper|note|took|reopen`

use std::process::ExitCode;

use super::args::Args;
use super::step_args::StepDeed;
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
        StepDeed::Reading { key, readings } => {
            Ask::ReadMeter { key: key.clone(), readings: parted(readings)?, done: false, why: None }
        }
        StepDeed::Done { keys, why, reading } if !reading.is_empty() => match keys.as_slice() {
            [one] => {
                let (key, readings) = (one.clone(), parted(reading)?);
                Ask::ReadMeter { key, readings, done: true, why: why.clone() }
            }
            _ => return Err(wrong_use("one-step", "readings belong to one step: name one key")),
        },
        StepDeed::Done { keys, why, .. } => match keys.as_slice() {
            [one] => tick(one, TickKind::Done, None, why),
            several => Ask::TickAll { keys: several.to_vec() },
        },
        StepDeed::Count { key, number, why } => tick(key, TickKind::Count, Some(*number), why),
        StepDeed::Hold { key, why } => tick(key, TickKind::Hold, None, why),
        StepDeed::Skip { key, why } => tick(key, TickKind::Skip, None, why),
        StepDeed::Differently { key, what, text } => {
            Ask::DoneDifferently { key: key.clone(), what: (*what).into(), text: text.clone() }
        }
        StepDeed::Off { key, how, pieces, many } => {
            Ask::CameOff { key: key.clone(), how: (*how).into(), pieces: pieces.clone(), many: *many }
        }
        StepDeed::Paper { sheet, numbers, yes } => {
            if !yes {
                let ticks = args.open()?.paper_answer(sheet, numbers, args.form())?;
                let code = output::answer(&ticks);
                if args.json || !asked() {
                    return Ok(code);
                }
            }
            Ask::Paper { sheet: sheet.clone(), numbers: numbers.clone() }
        }
        StepDeed::Note { key, text } => Ask::Note { key: key.clone(), text: text.clone() },
        StepDeed::Alone { keys } => Ask::Alone { keys: keys.clone() },
        StepDeed::Reopen { key, why } => tick(key, TickKind::Reopen, None, why),
        StepDeed::Took { key, time, why } => {
            let minutes = match time.trim() {
                "none" => None,
                text => Some(
                    crate::units::Span::parse(text)
                        .map_err(|e| wrong_use("bad-time", e.to_string()).hint("25, 1h20, or none"))?
                        .minutes_up(),
                ),
            };
            let why = why.clone().unwrap_or_default();
            Ask::CorrectTime { key: key.clone(), ticked_ms: None, minutes, why }
        }
    };
    deeds::perform(args, &ask)
}

/// Whether somebody at the terminal says yes.
fn asked() -> bool {
    use std::io::IsTerminal as _;
    let stdin = std::io::stdin();
    if !(stdin.is_terminal() && std::io::stdout().is_terminal()) {
        return false;
    }
    output::answer("Take these? y or n: ");
    let mut said = String::new();
    stdin.read_line(&mut said).is_ok() && ["y", "yes"].contains(&said.trim().to_lowercase().as_str())
}

/// `SUP-01=21.8` in its two parts.
fn parted(readings: &[String]) -> Result<Vec<(String, String)>, Problem> {
    let part = |text: &String| {
        let (code, amps) = text.split_once('=')?;
        Some((code.trim().to_owned(), amps.trim().to_owned()))
    };
    readings
        .iter()
        .map(|text| {
            part(text).ok_or_else(|| {
                wrong_use("bad-reading", format!("{text:?} is no reading")).hint("SUP-01=21.8")
            })
        })
        .collect()
}
