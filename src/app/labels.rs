//! Labels as text, as a page, or as a PDF file.

use super::app::App;
use super::files::{io_problem, write_whole};
use super::sheets::SheetForm;
use crate::answers::problem::{Problem, ProblemKind};
use crate::answers::totes::labels::labels;
use crate::answers::totes::page::labels_twice;
use crate::answers::totes::{Label, LabelKind};
use crate::answers::words::counted;
use crate::exchange::print::{LabelSheet, SHEETS, labels_html, labels_pdf, labels_text};
use crate::units::System;

impl App {
    /// Labels of a kind on a sheet of the named size, else on the usual one of the site's units. A label that is on two
    /// things is refused: a scan could not tell them apart.
    ///
    /// # Errors
    /// `nothing-to-label`; `label-twice`; `no-sheet` names the sheets; `label` where a code does not fit.
    pub fn labels(
        &mut self,
        kind: LabelKind,
        sheet: Option<&str>,
        form: SheetForm,
    ) -> Result<String, Problem> {
        let outlook = self.look()?;
        let refused = |code, what: String| Problem::new(ProblemKind::Data, code, what);
        let sheet = sheet_of(outlook.units(), kind, sheet)?;
        let list: Vec<Label> = labels(&outlook, kind);
        if list.is_empty() {
            return Err(refused("nothing-to-label", "nothing of that kind is told yet".to_owned())
                .hint("containers are in container.csv, leads are pieces of a product of role lead"));
        }
        if let Some((_, first)) = labels_twice(&outlook).into_iter().next() {
            return Err(refused("label-twice", first));
        }
        let wrong = |e: crate::exchange::print::LabelError| {
            refused("label", e.to_string()).hint("give it a shorter code, or take a sheet of larger labels")
        };
        match form {
            SheetForm::Text => labels_text(&list).map_err(wrong),
            SheetForm::Html => labels_html(&list, sheet).map_err(wrong),
            SheetForm::Pdf(path, _) => {
                let bytes = labels_pdf(&list, sheet).map_err(wrong)?;
                write_whole(path, &bytes).map_err(|e| io_problem(path, "written", &e))?;
                let pages = list.len().div_ceil(sheet.on_a_page());
                Ok(format!(
                    "{} on {} {} written to {}; print at 100 %\n",
                    counted(list.len() as i64, "label", "labels"),
                    counted(pages as i64, "sheet", "sheets"),
                    sheet.name,
                    path.display()
                ))
            }
        }
    }
}

fn sheet_of(units: System, kind: LabelKind, name: Option<&str>) -> Result<&'static LabelSheet, Problem> {
    let usual = match (units, kind) {
        (System::Us, LabelKind::Leads) => "letter-3x10",
        (System::Us, _) => "letter-2x5",
        (System::Si, LabelKind::Leads) => "a4-3x8",
        (System::Si, _) => "a4-2x7",
    };
    let name = name.unwrap_or(usual);
    SHEETS.iter().find(|s| s.name.eq_ignore_ascii_case(name.trim())).ok_or_else(|| {
        let known: Vec<&str> = SHEETS.iter().map(|s| s.name).collect();
        Problem::new(ProblemKind::Use, "no-sheet", format!("there is no label sheet {name:?}"))
            .hint(known.join(", "))
    })
}
