//! `print checklist|wiring|labels|shopping|calendar`

use std::process::ExitCode;

use super::args::Args;
use super::output;
use super::sheet_args::Sheet;
use crate::app::{Pick, Problem, SheetForm, THOROUGH, text_answer};

pub(super) fn print(args: &Args, sheet: &Sheet) -> Result<ExitCode, Problem> {
    let mut app = args.open()?;
    let text = match sheet {
        Sheet::Checklist { phase, how, session, person, place } => {
            let pick = Pick { session: session.clone(), person: person.clone(), place: place.clone() };
            app.checklist((*phase).into(), &pick, THOROUGH, how.form())?
        }
        Sheet::Wiring { how } => app.wiring_cards(how.form())?,
        Sheet::Shopping { how } => app.shopping_sheet(how.form())?,
        Sheet::Labels { what, sheet, html, pdf } => {
            let form = match pdf {
                Some(path) => SheetForm::Pdf(path, None),
                None if *html => SheetForm::Html,
                None => SheetForm::Text,
            };
            app.labels((*what).into(), sheet.as_deref(), form)?
        }
        Sheet::Calendar => app.calendar()?,
    };
    Ok(output::answer(&text_answer(text, args.form())))
}
