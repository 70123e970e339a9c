//! What can be open over a screen, and what its answer is for.

use crate::answers::view::ScreenId;

use super::action::Action;
use super::find::rank;
use super::form::{self, Form};
use super::keymap::Keymap;
use super::screens::{buy, faults, kit, plan, power, seasons, today, totes, walk};
use super::widgets::Field;

/// One thing open over the screen; they stack.
#[derive(Debug, Clone)]
pub enum Popup {
    Reading(Reading),
    Pick(Pick),
    Prompt(Prompt),
    Form(Form),
    /// The search of the list below; its letters stand in that list's filter.
    Find(Field),
}

impl Popup {
    /// A page to read from its first line on.
    pub fn read(title: impl Into<String>, lines: Vec<(String, String)>) -> Self {
        Self::Reading(Reading { title: title.into(), lines, top: 0 })
    }
}

/// A page to read.
#[derive(Debug, Clone, Default)]
pub struct Reading {
    pub title: String,
    /// A line with a label shows it in the left column.
    pub lines: Vec<(String, String)>,
    pub top: usize,
}

/// A list to pick from, by digit, by mark or, with a field, by letters.
#[derive(Debug, Clone)]
pub struct Pick {
    pub title: String,
    /// What is picked, and a word beside it.
    pub rows: Vec<(String, String)>,
    pub field: Option<Field>,
    pub shown: Vec<usize>,
    pub at: usize,
    /// The only hit is taken at once: in the dark every key counts.
    pub at_once: bool,
    /// It opened by itself on the only hit of a search: an Enter still on its way there picks nothing.
    pub by_itself: bool,
    pub flow: Flow,
}

impl Pick {
    /// A list picked from by digit.
    pub fn digits(title: impl Into<String>, rows: Vec<(String, String)>, flow: Flow) -> Popup {
        let shown = (0..rows.len()).collect();
        Popup::Pick(Self {
            title: title.into(),
            rows,
            field: None,
            shown,
            at: 0,
            at_once: false,
            by_itself: false,
            flow,
        })
    }

    /// A list found in by letters, where the only hit is taken at once.
    pub fn at_once(title: impl Into<String>, rows: Vec<(String, String)>, flow: Flow) -> Popup {
        let mut popup = Self::letters(title, rows, flow);
        if let Popup::Pick(pick) = &mut popup {
            pick.at_once = true;
        }
        popup
    }

    /// A list found in by letters.
    pub fn letters(title: impl Into<String>, rows: Vec<(String, String)>, flow: Flow) -> Popup {
        let shown = (0..rows.len()).collect();
        Popup::Pick(Self {
            title: title.into(),
            rows,
            field: Some(Field::default()),
            shown,
            at: 0,
            at_once: false,
            by_itself: false,
            flow,
        })
    }

    /// Every command that makes sense by name; those of the screen first.
    pub fn commands(keymap: &Keymap, here: ScreenId) -> Popup {
        let mut commands = keymap.commands();
        commands.sort_by_key(|(_, screen, _)| match screen {
            Some(s) if *s == here => 0,
            None => 1,
            Some(_) => 2,
        });
        let rows = commands
            .iter()
            .map(|(action, screen, key)| {
                let key = if key.is_empty() { String::new() } else { format!("key {key}") };
                let place = screen.map_or(String::new(), |s| format!("{}  ", s.name()));
                (format!("{}  {}", action.name(), action.help()), format!("{place}{key}"))
            })
            .collect();
        let actions = commands.into_iter().map(|(action, screen, _)| (action, screen)).collect();
        Self::letters("Run a command by name", rows, Flow::Command(actions))
    }

    /// Shows the rows that match what was typed.
    pub fn refill(&mut self) {
        let texts: Vec<String> = self.rows.iter().map(|(text, word)| format!("{text} {word}")).collect();
        let asked = self.field.as_ref().map_or("", Field::text);
        self.shown = rank(asked, texts.iter().map(String::as_str));
        self.at = 0;
    }

    /// Whether what was typed stands, as it is, in one row alone.
    pub fn only_hit(&self) -> bool {
        let asked = self.field.as_ref().map_or_else(String::new, |f| f.text().to_lowercase());
        let [row] = self.shown.as_slice() else { return false };
        let found = self.rows.get(*row).map_or_else(String::new, |(text, _)| text.to_lowercase());
        !asked.trim().is_empty() && asked.split_whitespace().all(|word| found.contains(word))
    }
}

/// One question answered in words.
#[derive(Debug, Clone)]
pub struct Prompt {
    pub title: String,
    /// What is taken.
    pub takes: String,
    pub field: Field,
    /// Why the last answer was refused.
    pub refusal: Option<String>,
    pub flow: Flow,
}

impl Prompt {
    pub fn ask(title: impl Into<String>, takes: impl Into<String>, flow: Flow) -> Popup {
        Self::with(title, takes, "", flow)
    }

    /// A question whose field already holds a text; the first letter typed replaces it.
    pub fn with(title: impl Into<String>, takes: impl Into<String>, text: &str, flow: Flow) -> Popup {
        let field = Field::marked(text);
        Popup::Prompt(Self { title: title.into(), takes: takes.into(), field, refusal: None, flow })
    }
}

/// What an answer is for, with what was answered before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Flow {
    /// The picked row is one of these commands, each with the screen it belongs to.
    Command(Vec<(Action, Option<ScreenId>)>),
    /// The picked deed is gone back to before: so many undos.
    History(Vec<Option<usize>>),
    /// The picked row of the screen is gone to.
    Jump,
    Tell(form::Flow),
    Today(today::Flow),
    Walk(walk::Flow),
    Faults(faults::Flow),
    Kit(kit::Flow),
    Plan(plan::Flow),
    Buy(buy::Flow),
    Power(power::Flow),
    Seasons(seasons::Flow),
    Totes(totes::Flow),
}

/// What was answered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Answer {
    /// The row's place in the pick list as it was given.
    Row(usize),
    Text(String),
}

impl Answer {
    /// The text; nothing where it was left empty or a row was picked.
    pub fn text(self) -> Option<String> {
        match self {
            Self::Text(text) if !text.trim().is_empty() => Some(text.trim().to_owned()),
            _ => None,
        }
    }

    pub const fn row(&self) -> Option<usize> {
        match self {
            Self::Row(row) => Some(*row),
            Self::Text(_) => None,
        }
    }
}
