//! `buy [list|add]`

use std::process::ExitCode;

use super::args::{Args, BuyDeed};
use super::{deeds, output};
use crate::app::{Ask, Problem};

pub(super) fn buy(args: &Args, deed: Option<&BuyDeed>) -> Result<ExitCode, Problem> {
    match deed {
        None | Some(BuyDeed::List) => Ok(output::answer(&args.open()?.buy_answer(args.form()))),
        Some(BuyDeed::Add { title, quantity, by }) => deeds::perform(
            args,
            &Ask::AddNeed { title: title.clone(), quantity: *quantity, need_by: by.clone() },
        ),
    }
}
