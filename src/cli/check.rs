//! `check [power|signal|stock|wind]`

use std::process::ExitCode;

use super::args::{Args, CheckArg};
use super::{deeds, output};
use crate::app::power::{CheckKind, WhatIf};
use crate::app::{Ask, Problem, ProblemKind};
use crate::units::Percent;

pub(super) fn check(
    args: &Args,
    kind: Option<CheckArg>,
    level: Option<u8>,
    write: bool,
) -> Result<ExitCode, Problem> {
    let kinds = match kind {
        None => vec![CheckKind::Power, CheckKind::Signal, CheckKind::Stock, CheckKind::Wind],
        Some(CheckArg::Power) => vec![CheckKind::Power],
        Some(CheckArg::Signal) => vec![CheckKind::Signal],
        Some(CheckArg::Wind) => vec![CheckKind::Wind],
        Some(CheckArg::Stock) => vec![CheckKind::Stock],
    };
    if write {
        if !matches!(kind, Some(CheckArg::Signal)) {
            let problem = Problem::new(
                ProblemKind::Use,
                "write-needs-signal",
                "only `check signal` proposes anything to write",
            );
            return Err(problem.hint("check signal --write"));
        }
        return deeds::perform(args, &Ask::WriteNumbers);
    }
    let what_if = WhatIf { level: level.and_then(|l| Percent::new(i64::from(l))) };
    let (fine, text) = args.open()?.check_answer(&kinds, what_if, args.form())?;
    let code = output::answer(&text);
    Ok(if fine { code } else { ExitCode::from(1) })
}
