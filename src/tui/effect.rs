//! What an update wants done outside: plain data, carried out by `run`.

use crate::answers::view::ScreenId;
use crate::app::{Ask, LookWord, Question};

use super::action::Action;

/// One wish of an update, in order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Effect {
    /// Do and save a deed; what was shown is computed anew.
    Perform(Ask),
    /// Compute a screen's page.
    Load(ScreenId),
    /// Act again once what stands before it went well.
    Run(Action),
    /// Show what can be told: kinds, rows, a form.
    Tell(super::form::Want),
    /// Ask the question of the start after this one, or the first.
    Start(Option<Question>),
    /// Show what was done, latest first.
    History,
    /// Weigh a change that is not made.
    WhatIf(String),
    /// Weighs what would help most to be in time.
    WhatHelps,
    /// Show a season on every screen, or, where it is shown already, what the date asks for.
    SwitchSeason(String),
    /// Keep the look for the next start.
    KeepLook(LookWord),
    /// Keep whose steps Walk shows for the next start; empty is all.
    KeepWhose(String),
    /// Leave for the demo yard.
    Demo,
    /// Show a photo of a fault, by its number from 1.
    OpenPhoto {
        fault: String,
        number: usize,
    },
    /// Show what packing would move.
    ShowPacking,
    /// Stop the long work.
    StopWork,
    /// Hand the terminal back to the shell.
    Suspend,
    Quit,
}
