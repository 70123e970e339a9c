//! Sheets for paper and dates for a calendar program.

use std::fmt::Write as _;
use std::path::Path;

use super::app::App;
use super::files::{io_problem, write_whole};
use super::paper::{PaperTick, PaperTicks, Takes};
use crate::answers::plan::checklist::sheet;
use crate::answers::power::wiring_cards;
use crate::answers::problem::Problem;
use crate::answers::shopping::calendar::calendar;
use crate::answers::shopping::sheet::shopping_sheet;
use crate::answers::view::Pick;
use crate::domain::{Phase, Value};
use crate::exchange::calendar::calendar_text;
use crate::exchange::json::{PaperDoc, PaperTickDoc};
use crate::exchange::print::{
    Paper, PrintedPdf, cards_html, cards_pdf, cards_text, checklist_html, checklist_pdf, checklist_text,
    shopping_html, shopping_pdf, shopping_text,
};
use crate::units::System;

/// What the calendar said last, so that a change is seen as one.
const CALENDAR: &str = "calendar";

/// How a sheet is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SheetForm<'a> {
    Text,
    Html,
    /// Into this file, on this paper or else the usual one of the site's units.
    Pdf(&'a Path, Option<Paper>),
}

impl App {
    /// A sheet in the form that is wanted: itself, or what was written where.
    fn printed(
        &self,
        form: SheetForm,
        text: impl FnOnce() -> String,
        html: impl FnOnce() -> String,
        pdf: impl FnOnce(Paper) -> PrintedPdf,
    ) -> Result<String, Problem> {
        let (path, paper) = match form {
            SheetForm::Text => return Ok(text()),
            SheetForm::Html => return Ok(html()),
            SheetForm::Pdf(path, paper) => (path, paper),
        };
        let usual = if self.outlook().units() == System::Us { Paper::Letter } else { Paper::A4 };
        let paper = paper.unwrap_or(usual);
        let made = pdf(paper);
        write_whole(path, &made.bytes).map_err(|e| io_problem(path, "written", &e))?;
        let pages = if made.pages == 1 { "1 page".to_owned() } else { format!("{} pages", made.pages) };
        let mut said = format!("{pages} {} written to {}\n", paper.name(), path.display());
        if made.lost {
            said.push_str(
                "letters that a PDF without a font of its own lacks stand as \"?\": --html has them all\n",
            );
        }
        Ok(said)
    }

    /// The checklist of a phase for paper, numbered so that it can be ticked from paper.
    ///
    /// # Errors
    /// As [`App::plan`]; what of `pick` is not known; a file that can't be written.
    pub fn checklist(
        &mut self,
        phase: Phase,
        pick: &Pick,
        schedules: u64,
        form: SheetForm,
    ) -> Result<String, Problem> {
        let plan = self.plan(phase, schedules)?;
        let mut sheet = sheet(&self.outlook(), &plan, pick)?;
        self.number_sheet(&mut sheet);
        let pdf = |paper| checklist_pdf(&sheet, paper);
        self.printed(form, || checklist_text(&sheet), || checklist_html(&sheet), pdf)
    }

    /// A card for each box lid.
    ///
    /// # Errors
    /// `no-season`; `no-box` where no box is told; a file that can't be written.
    pub fn wiring_cards(&mut self, form: SheetForm) -> Result<String, Problem> {
        let mut cards = wiring_cards(&self.look()?)?;
        // What stood on the card before is struck out on the new one, so that the old one is known by it.
        for line in cards.iter_mut().flat_map(|c| &mut c.lines).filter(|l| l.changed) {
            let before = self.store.changes("link", &line.link.to_string(), &["from_port"])?;
            line.was =
                before.iter().rev().find(|c| c.verb == "done-differently").and_then(|c| match &c.before {
                    Value::Text(port) if *port != line.port => Some(port.clone()),
                    _ => None,
                });
        }
        self.printed(form, || cards_text(&cards), || cards_html(&cards), |paper| cards_pdf(&cards, paper))
    }

    /// The shopping list for paper.
    ///
    /// # Errors
    /// What the store says of the file; a file that can't be written.
    pub fn shopping_sheet(&mut self, form: SheetForm) -> Result<String, Problem> {
        self.catch_up()?;
        let plan = self.build_plan();
        let sheet = shopping_sheet(&self.outlook(), plan.as_deref())?;
        let pdf = |paper| shopping_pdf(&sheet, paper);
        self.printed(form, || shopping_text(&sheet), || shopping_html(&sheet), pdf)
    }

    /// The dates to keep, as iCalendar text.
    ///
    /// # Errors
    /// `no-season` where there is none.
    pub fn calendar(&mut self) -> Result<String, Problem> {
        self.catch_up()?;
        let plan = self.build_plan();
        let outlook = self.outlook();
        let (name, events) = calendar(&outlook, plan.as_deref())?;
        let before = self.store.meta(CALENDAR)?.unwrap_or_default();
        let (text, next) = calendar_text(&name, &events, &before, outlook.now());
        if next != before {
            // A file that can't be written is read all the same; then every event stays as it was last known.
            let _ = self.store.set_meta(CALENDAR, &next);
        }
        Ok(text)
    }
}

/// One number of a printed checklist as it will be taken.
fn takes_words(takes: &Takes) -> String {
    match takes {
        Takes::Done => "done".to_owned(),
        Takes::Count(n) => format!("{n} of it done"),
        Takes::Already => "done already".to_owned(),
        Takes::Gone => "not there any more".to_owned(),
    }
}

pub(super) fn paper_text(ticks: &PaperTicks) -> String {
    let mut out = format!("Sheet {}, printed {}\n", ticks.sheet, ticks.printed);
    for t in &ticks.ticks {
        let _ = writeln!(out, "{:>4}  {}: {}", t.number, t.title, takes_words(&t.takes));
    }
    if !ticks.stale.is_empty() {
        out.push_str("The sheet is stale; otherwise now:\n");
    }
    for line in &ticks.stale {
        let _ = writeln!(out, "      {line}");
    }
    out.push_str("Nothing is taken yet: the same with --yes takes them\n");
    out
}

pub(super) fn paper_document(ticks: &PaperTicks) -> PaperDoc {
    let row = |t: &PaperTick| PaperTickDoc {
        number: t.number,
        key: t.key.clone(),
        title: t.title.clone(),
        takes: match t.takes {
            Takes::Done => "done",
            Takes::Count(_) => "count",
            Takes::Already => "already",
            Takes::Gone => "gone",
        },
        count: if let Takes::Count(n) = t.takes { Some(n) } else { None },
    };
    PaperDoc {
        sheet: ticks.sheet.clone(),
        note: format!("printed {}", ticks.printed),
        ticks: ticks.ticks.iter().map(row).collect(),
        cautions: ticks.stale.clone(),
    }
}
