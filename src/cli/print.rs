//! `print checklist|wiring|labels|shopping|calendar`

use std::process::ExitCode;

use super::args::Args;
use super::output;
use super::sheet_args::Sheet;
use crate::app::{LabelForm, Pick, Problem, THOROUGH, text_answer};

pub(super) fn print(args: &Args, sheet: &Sheet) -> Result<ExitCode, Problem> {
    let mut app = args.open()?;
    let text = match sheet {
        Sheet::Checklist { phase, html, session, person, place } => {
            let pick = Pick { session: session.clone(), person: person.clone(), place: place.clone() };
            app.checklist((*phase).into(), &pick, THOROUGH, *html)?
        }
        Sheet::Wiring { html } => app.wiring_cards(*html)?,
        Sheet::Shopping { html } => app.shopping_sheet(*html)?,
        Sheet::Labels { what, sheet, html, pdf } => {
            let form = match pdf {
                Some(path) => LabelForm::Pdf(path),
                None if *html => LabelForm::Html,
                None => LabelForm::Text,
            };
            app.labels((*what).into(), sheet.as_deref(), form)?
        }
        Sheet::Calendar => app.calendar()?,
    };
    Ok(output::answer(&text_answer(text, args.form())))
}
