//! `check [power|signal]`

use std::process::ExitCode;

use super::args::{Args, CheckArg};
use super::output;
use crate::app::Problem;
use crate::app::power::{CheckKind, WhatIf};
use crate::units::Percent;

pub(super) fn check(args: &Args, kind: Option<CheckArg>, level: Option<u8>) -> Result<ExitCode, Problem> {
    let kinds = match kind {
        None => vec![CheckKind::Power, CheckKind::Signal],
        Some(CheckArg::Power) => vec![CheckKind::Power],
        Some(CheckArg::Signal) => vec![CheckKind::Signal],
    };
    let what_if = WhatIf { level: level.and_then(|l| Percent::new(i64::from(l))) };
    let (fine, text) = args.open()?.check_answer(&kinds, what_if, args.form())?;
    let code = output::answer(&text);
    Ok(if fine { code } else { ExitCode::from(1) })
}
