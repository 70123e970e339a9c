//! `session list|add|move|people|drop|forecast`

use std::process::ExitCode;

use super::args::Args;
use super::deed_args::SessionDeed;
use super::{deeds, output};
use crate::app::{Ask, Problem};

pub(super) fn session(args: &Args, deed: &SessionDeed) -> Result<ExitCode, Problem> {
    let ask = match deed {
        SessionDeed::List { all } => {
            return Ok(output::answer(&args.open()?.sessions_answer(*all, args.form())?));
        }
        SessionDeed::Add { from, to, with, work_lights } => Ask::AddSession {
            starts: from.clone(),
            ends: to.clone(),
            people: with.clone(),
            work_lights: *work_lights,
        },
        SessionDeed::Move { session, from, to } => {
            Ask::MoveSession { session: session.clone(), starts: from.clone(), ends: to.clone() }
        }
        SessionDeed::People { session, with } => {
            Ask::SessionPeople { session: session.clone(), people: with.clone() }
        }
        SessionDeed::Drop { session } => Ask::DropSession { session: session.clone() },
        SessionDeed::Forecast { session, text } => {
            Ask::Forecast { session: session.clone(), text: text.clone() }
        }
    };
    deeds::perform(args, &ask)
}
