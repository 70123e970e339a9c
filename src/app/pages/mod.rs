//! What each screen shows, one file a screen.
//!
//! Not here: drawing (`tui`), deeds (`deeds`).

mod alarms;
mod buy;
mod duties;
mod fault_detail;
mod faults;
mod fetch;
mod frame;
mod kit;
mod kit_detail;
mod life;
mod plan;
mod seasons;
mod states;
mod today;
mod totes;
mod untold;
mod walk;
mod walk_words;
mod yard;

pub(super) use kit_detail::editable;
pub(super) use today::title;

use super::owner::App;
use super::page::{Detail, DetailOf, Page};
use super::power::WhatIf;
use super::problem::Problem;
use super::view::ScreenId;
use crate::domain::{FaultId, Phase};

impl App {
    /// Computes one screen. `session` and `phase` choose what Walk and Plan show; nothing takes what is due.
    ///
    /// # Errors
    /// What keeps the steps from being derived; a yard without a season gives empty pages, not errors.
    pub fn page(
        &mut self,
        screen: ScreenId,
        session: Option<usize>,
        phase: Option<Phase>,
    ) -> Result<Page, Problem> {
        self.catch_up()?;
        let phase = phase.unwrap_or_else(|| self.phase_now());
        Ok(match screen {
            ScreenId::Today => Page::Today(self.today_page(phase)?),
            ScreenId::Walk => Page::Walk(self.walk_page(phase, session)?),
            ScreenId::Yard => Page::Yard(self.yard_page(phase)?),
            ScreenId::Plan => Page::Plan(self.plan_page(phase)?),
            ScreenId::Kit => Page::Kit(self.kit_page()),
            ScreenId::Power => Page::Power(self.power_page(&WhatIf::default(), None)?),
            ScreenId::Faults => Page::Faults(self.faults_page()),
            ScreenId::Totes => Page::Totes(self.totes_page()),
            ScreenId::Buy => Page::Buy(self.buy_page()),
            ScreenId::Seasons => Page::Seasons(self.seasons_page()),
        })
    }

    /// Computes all about one row of a page; nothing where it is not there.
    pub fn detail(&self, of: DetailOf) -> Option<Detail> {
        Some(match of {
            DetailOf::Kit(kind, id) => Detail::Kit(self.kit_detail(kind, id)?),
            DetailOf::Fault(id) => Detail::Fault(self.fault_detail(FaultId(id))?),
        })
    }
}
