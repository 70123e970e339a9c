//! All that the screens know: plain data, no terminal, no clock.

use crate::answers::view::{Aim, Frame, ScreenId};
use crate::app::{Detail, DetailOf};
use crate::domain::Phase;

use super::effect::Effect;
use super::host::Background;
use super::keymap::{Key, Keymap, When};
use super::look::Look;
use super::popup::Popup;
use super::screens::{buy, faults, kit, plan, power, seasons, today, totes, walk, yard};
use super::widgets::canvas::Hit;
use crate::app::PageWant;

/// The same key within this time, by its event, counts once where settings say nothing else.
pub const GLOVE_MS: u64 = 150;

/// How the status line says something.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tone {
    Said,
    Refused,
}

/// The status line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Status {
    pub tone: Tone,
    pub text: String,
}

/// What the screens show and where everyone stands in them.
#[derive(Debug, Clone)]
pub struct State {
    pub screen: ScreenId,
    pub frame: Frame,
    pub background: Option<Background>,
    pub popups: Vec<Popup>,
    /// The question whose answer is being carried out; comes back where it is refused.
    pub asked: Option<Popup>,
    /// A form closed with something typed in it.
    pub left: Option<super::form::Form>,
    pub status: Option<Status>,
    /// All that was said, oldest first.
    pub said: Vec<String>,
    pub look: Look,
    pub keymap: Keymap,
    pub size: (u16, u16),
    /// The same key within so many milliseconds counts once in Walk.
    pub glove_ms: u64,
    /// Clicks count: the bar and the buttons are large.
    pub mouse: bool,
    /// What is marked on the screen that is gone to.
    pub aim: Option<Aim>,
    /// A text on its way to the clipboard.
    pub copied: Option<String>,
    /// What can be clicked in the last picture.
    pub hits: Vec<Hit>,
    /// Read line by line: no columns side by side, no big letters.
    pub lines: bool,
    /// The settings file for reading: faults first, then the sample.
    pub settings: Vec<(String, String)>,
    /// Days to lights on, as Today last told them.
    pub days: Option<i64>,
    pub phase: Option<Phase>,
    /// That phase is where a row of Today led.
    pub visit: bool,
    /// Screens whose page is older than the facts.
    pub stale: Vec<ScreenId>,
    /// The last key that may bounce, with the milliseconds of its event.
    pub last_key: Option<(Key, u64)>,
    pub today: today::TodayState,
    pub walk: walk::WalkState,
    pub yard: yard::YardState,
    pub plan: plan::PlanState,
    pub kit: kit::KitState,
    pub power: power::PowerState,
    pub faults: faults::FaultsState,
    pub totes: totes::TotesState,
    pub buy: buy::BuyState,
    pub seasons: seasons::SeasonsState,
}

impl State {
    pub fn new(frame: Frame, look: Look, keymap: Keymap) -> Self {
        Self {
            screen: ScreenId::Today,
            frame,
            background: None,
            popups: Vec::new(),
            asked: None,
            left: None,
            status: None,
            said: Vec::new(),
            look,
            keymap,
            size: (80, 24),
            glove_ms: GLOVE_MS,
            mouse: false,
            aim: None,
            copied: None,
            hits: Vec::new(),
            lines: false,
            settings: Vec::new(),
            days: None,
            phase: None,
            visit: false,
            stale: Vec::new(),
            last_key: None,
            today: today::TodayState::default(),
            walk: walk::WalkState::default(),
            yard: yard::YardState::default(),
            plan: plan::PlanState::default(),
            kit: kit::KitState::default(),
            power: power::PowerState::default(),
            faults: faults::FaultsState::default(),
            totes: totes::TotesState::default(),
            buy: buy::BuyState::default(),
            seasons: seasons::SeasonsState::default(),
        }
    }

    /// The narrow condition that holds now.
    pub fn mode(&self) -> When {
        match self.popups.last() {
            None => When::On(self.screen),
            Some(Popup::Reading(_)) => When::Reading,
            Some(Popup::Pick(pick)) if pick.field.is_some() => When::Searching,
            Some(Popup::Pick(_)) => When::Picking,
            Some(Popup::Prompt(_)) => When::Typing,
            Some(Popup::Form(_)) => When::Filling,
            Some(Popup::Find(_)) => When::Searching,
        }
    }

    /// Says something in the status line; nothing is to be done for it.
    pub fn say(&mut self, text: impl Into<String>) -> Vec<Effect> {
        self.tell(Tone::Said, text.into())
    }

    /// Says why something can't be.
    pub fn refuse(&mut self, text: impl Into<String>) -> Vec<Effect> {
        self.tell(Tone::Refused, text.into())
    }

    /// Opens something over the screen.
    pub fn open(&mut self, popup: Popup) -> Vec<Effect> {
        self.popups.push(popup);
        Vec::new()
    }

    /// Asks once more what was just asked, with why the answer is not taken.
    pub fn ask_again(&mut self, why: impl Into<String>) -> Vec<Effect> {
        if let Some(Popup::Prompt(mut prompt)) = self.asked.take() {
            prompt.refusal = Some(why.into());
            self.popups.push(Popup::Prompt(prompt));
        }
        Vec::new()
    }

    fn tell(&mut self, tone: Tone, text: String) -> Vec<Effect> {
        const KEPT: usize = 200;
        let text = super::widgets::text::clean(&text);
        self.said.push(text.clone());
        if self.said.len() > KEPT {
            self.said.remove(0);
        }
        self.status = Some(Status { tone, text });
        Vec::new()
    }

    /// Clicks and the wheel count, or the mouse is the terminal's.
    pub fn switch_mouse(&mut self) {
        self.mouse = !self.mouse;
        self.say(if self.mouse {
            "Clicks and the wheel count now; M hands the mouse back to the terminal"
        } else {
            "The mouse is the terminal's again: it marks text to copy"
        });
    }

    pub fn want(&self) -> PageWant {
        PageWant {
            walk_session: self.walk.session,
            walk_step: self.walk.aim.clone(),
            phase: self.phase,
            what_if: self.power.what_if.clone(),
            numbering: self.power.numbering,
            buy: self.buy.choice.clone(),
        }
    }

    /// The marked row, where what is known of it is not there yet.
    pub fn detail_wanted(&self) -> Option<DetailOf> {
        match self.screen {
            ScreenId::Kit if self.kit.detail().is_none() => self.kit.row().map(kit::KitState::detail_of),
            ScreenId::Faults if self.faults.detail().is_none() => {
                self.faults.row().map(faults::FaultsState::detail_of)
            }
            _ => None,
        }
    }

    /// Takes in what is known of a row.
    pub fn take_detail(&mut self, of: DetailOf, detail: Detail) {
        match (of, detail) {
            (of, Detail::Kit(detail)) => self.kit.detail = Some((of, detail)),
            (of, Detail::Fault(detail)) => self.faults.detail = Some((of, detail)),
        }
    }

    /// Whether a screen's page is there and follows the facts.
    pub fn has_page(&self, screen: ScreenId) -> bool {
        let there = match screen {
            ScreenId::Today => self.today.page.is_some(),
            ScreenId::Walk => self.walk.page.is_some(),
            ScreenId::Yard => self.yard.page.is_some(),
            ScreenId::Plan => self.plan.page.is_some(),
            ScreenId::Kit => self.kit.page.is_some(),
            ScreenId::Power => self.power.page.is_some(),
            ScreenId::Faults => self.faults.page.is_some(),
            ScreenId::Totes => self.totes.page.is_some(),
            ScreenId::Buy => self.buy.page.is_some(),
            ScreenId::Seasons => self.seasons.page.is_some(),
        };
        there && !self.stale.contains(&screen)
    }

    /// The facts have changed: a screen's page is computed again when it is shown next. It is dropped only then, so that
    /// no key waits for that.
    pub fn outdate_page(&mut self, screen: ScreenId) {
        if !self.stale.contains(&screen) {
            self.stale.push(screen);
        }
    }

    /// Forgets a screen's page, which can't be computed now.
    pub fn forget_page(&mut self, screen: ScreenId) {
        match screen {
            ScreenId::Today => self.today.page = None,
            ScreenId::Walk => self.walk.page = None,
            ScreenId::Yard => self.yard.page = None,
            ScreenId::Plan => self.plan.page = None,
            ScreenId::Kit => self.kit.page = None,
            ScreenId::Power => self.power.page = None,
            ScreenId::Faults => self.faults.page = None,
            ScreenId::Totes => self.totes.page = None,
            ScreenId::Buy => self.buy.page = None,
            ScreenId::Seasons => self.seasons.page = None,
        }
    }
}
