//! `check [power|signal|stock|wind|weather]`

use std::process::ExitCode;

use super::args::{Args, CheckArg, CheckChoice, NumberingArg};
use super::{deeds, output, wrong_use};
use crate::app::{Ask, CheckKind, Problem, WhatIf};
use crate::domain::Numbering;
use crate::units::Percent;

pub(super) fn check(args: &Args, kind: Option<CheckArg>, choice: &CheckChoice) -> Result<ExitCode, Problem> {
    let kinds = match kind {
        None => {
            vec![CheckKind::Power, CheckKind::Signal, CheckKind::Stock, CheckKind::Wind, CheckKind::Weather]
        }
        Some(CheckArg::Power) => vec![CheckKind::Power],
        Some(CheckArg::Signal) => vec![CheckKind::Signal],
        Some(CheckArg::Wind) => vec![CheckKind::Wind],
        Some(CheckArg::Weather) => vec![CheckKind::Weather],
        Some(CheckArg::Stock) => vec![CheckKind::Stock],
    };
    let way = choice.numbers.map(Numbering::from);
    if choice.write {
        if !matches!(kind, Some(CheckArg::Signal)) {
            let what = "only `check signal` proposes anything to write";
            return Err(wrong_use("write-needs-signal", what).hint("check signal --write"));
        }
        return deeds::perform(args, &Ask::WriteNumbers { way });
    }
    let level = choice.level.and_then(|l| Percent::new(i64::from(l)));
    let mut what_if = WhatIf { level, ..WhatIf::default() };
    for change in &choice.what_if {
        what_if = what_if.with(change)?;
    }
    let (fine, text) = args.open()?.check_answer(&kinds, &what_if, way, args.form())?;
    let code = output::answer(&text);
    Ok(if fine { code } else { ExitCode::from(1) })
}

impl From<NumberingArg> for Numbering {
    fn from(arg: NumberingArg) -> Self {
        match arg {
            NumberingArg::RunOn => Self::RunOn,
            NumberingArg::NoSplit => Self::NoSplit,
            NumberingArg::Fresh => Self::Fresh,
        }
    }
}
