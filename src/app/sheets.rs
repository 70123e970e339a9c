//! Sheets for paper and dates for a calendar program.

use super::app::App;
use crate::answers::plan::checklist::sheet;
use crate::answers::power::wiring_cards;
use crate::answers::problem::Problem;
use crate::answers::shopping::calendar::calendar;
use crate::answers::shopping::sheet::shopping_sheet;
use crate::domain::Phase;
use crate::exchange::calendar::calendar_text;
use crate::exchange::print::{
    cards_html, cards_text, checklist_html, checklist_text, shopping_html, shopping_text,
};

impl App {
    /// The checklist of a phase for paper, as HTML or plain text.
    ///
    /// # Errors
    /// As [`App::plan`].
    pub fn checklist(&mut self, phase: Phase, schedules: u64, html: bool) -> Result<String, Problem> {
        let plan = self.plan(phase, schedules)?;
        let sheet = sheet(&self.outlook(), &plan);
        Ok(if html { checklist_html(&sheet) } else { checklist_text(&sheet) })
    }

    /// A card for each box lid, as text or HTML.
    ///
    /// # Errors
    /// `no-season`; `no-box` where no box is told.
    pub fn wiring_cards(&mut self, html: bool) -> Result<String, Problem> {
        let cards = wiring_cards(&self.look()?)?;
        Ok(if html { cards_html(&cards) } else { cards_text(&cards) })
    }

    /// The shopping list for paper, as HTML or plain text.
    ///
    /// # Errors
    /// What the store says of the file.
    pub fn shopping_sheet(&mut self, html: bool) -> Result<String, Problem> {
        self.catch_up()?;
        let plan = self.build_plan();
        let sheet = shopping_sheet(&self.outlook(), plan.as_deref())?;
        Ok(if html { shopping_html(&sheet) } else { shopping_text(&sheet) })
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
        Ok(calendar_text(&name, &events, outlook.now()))
    }
}
