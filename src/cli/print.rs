//! `print checklist|wiring|shopping|calendar`

use std::process::ExitCode;

use super::args::{Args, Sheet};
use super::output;
use crate::app::{Problem, THOROUGH};

pub(super) fn print(args: &Args, sheet: &Sheet) -> Result<ExitCode, Problem> {
    let mut app = args.open()?;
    Ok(output::answer(&match sheet {
        Sheet::Checklist { phase, html } => app.checklist((*phase).into(), THOROUGH, *html)?,
        Sheet::Wiring { html } => app.wiring_cards(*html)?,
        Sheet::Shopping { html } => app.shopping_sheet(*html)?,
        Sheet::Calendar => app.calendar()?,
    }))
}
