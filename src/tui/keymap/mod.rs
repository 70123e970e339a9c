//! Keys as data: one row a binding; help, hints and the command list are built from the same rows.
//!
//! Not here: what an action does (`update`, `screens`), reading the terminal (`run`).

mod key;
mod table;

pub use key::Key;
pub use table::{LINES, Line, WHERE_ROOM};

use super::action::Action;
use crate::answers::view::ScreenId;
use crate::app::{Problem, ProblemKind};

/// Where a row holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum When {
    /// Everywhere, whatever is open.
    Always,
    /// On every screen while nothing is open over it.
    Screens,
    /// On one screen while nothing is open over it.
    On(ScreenId),
    /// While a pick list is open.
    Picking,
    /// While a list with a text field is open.
    Searching,
    /// While a text field is open.
    Typing,
    /// While a form is open.
    Filling,
    /// While a page to read is open.
    Reading,
}

impl When {
    /// Whether both can hold at one time.
    pub fn overlaps(self, other: Self) -> bool {
        self == other
            || matches!(self, Self::Always)
            || matches!(other, Self::Always)
            || matches!((self, other), (Self::Screens, Self::On(_)) | (Self::On(_), Self::Screens))
    }

    /// Whether it holds in this mode, which is one of the narrow conditions.
    pub fn holds(self, mode: Self) -> bool {
        self == mode || self == Self::Always || (self == Self::Screens && matches!(mode, Self::On(_)))
    }

    /// The word of own key rows.
    pub fn from_word(word: &str) -> Option<Self> {
        Some(match word {
            "always" => Self::Always,
            "screens" => Self::Screens,
            "picking" => Self::Picking,
            "searching" => Self::Searching,
            "typing" => Self::Typing,
            "filling" => Self::Filling,
            "reading" => Self::Reading,
            _ => Self::On(ScreenId::ALL.into_iter().find(|s| s.name().eq_ignore_ascii_case(word))?),
        })
    }
}

/// An own key row, as settings write it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeyText {
    /// "walk", "screens", "picking" …
    pub place: String,
    pub key: String,
    pub action: String,
}

/// One binding.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Row {
    when: When,
    key: Key,
    action: Action,
    /// The word of the hint line; empty where it isn't hinted.
    hint: &'static str,
}

/// All bindings in force.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Keymap {
    rows: Vec<Row>,
}

impl Default for Keymap {
    fn default() -> Self {
        Self { rows: LINES.iter().filter_map(row).collect() }
    }
}

fn row(&(when, key, action, hint): &Line) -> Option<Row> {
    let key = if key == "name" { Key::ByName } else { Key::parse(key)? };
    Some(Row { when, key, action, hint })
}

impl Keymap {
    /// The shipped rows with every own row laid over them that can be, each taking its key from every row it meets; the
    /// others are told by their place.
    ///
    /// Where the rows together leave no key to quit, close or get help, none of them is taken.
    pub fn with_good_rows(own: &[KeyText]) -> (Self, Vec<(usize, Problem)>) {
        let mut map = Self::default();
        let mut refused = Vec::new();
        for (at, text) in own.iter().enumerate() {
            if let Err(problem) = map.lay_over(text) {
                refused.push((at, problem));
            }
        }
        match map.usable() {
            Ok(map) => (map, refused),
            Err(problem) => {
                refused.push((own.len().saturating_sub(1), problem));
                (Self::default(), refused)
            }
        }
    }

    /// Lays one own row over the others.
    fn lay_over(&mut self, text: &KeyText) -> Result<(), Problem> {
        let refuse =
            |what: String, hint: &str| Problem::new(ProblemKind::Data, "key-row", what).hint(hint.to_owned());
        let when = When::from_word(&text.place).ok_or_else(|| {
            refuse(
                format!("key row: \"{}\" is no place", text.place),
                "use a screen's name, screens, picking, typing, filling, searching, reading or always",
            )
        })?;
        let key = Key::parse(&text.key).filter(|k| *k != Key::AnyChar).ok_or_else(|| {
            refuse(
                format!("key row: \"{}\" is no key", text.key),
                "use one letter, or enter, space, esc, tab, up, f5, ctrl-x …",
            )
        })?;
        let action = Action::from_name(&text.action).ok_or_else(|| {
            refuse(
                format!("key row: \"{}\" is no command", text.action),
                "the command list (key :) shows all names",
            )
        })?;
        if (when.overlaps(When::Typing) || when.overlaps(When::Filling)) && matches!(key, Key::Char(_)) {
            return Err(refuse(
                format!("key row: {key} would be lost while typing"),
                "use a key that is no letter",
            ));
        }
        let same = |r: &&Row| r.when.overlaps(when) && r.action == action;
        let hint = self.rows.iter().find(same).map_or("", |r| r.hint);
        self.rows.retain(|r| !(r.key == key && r.when.overlaps(when)));
        self.rows.push(Row { when, key, action, hint });
        Ok(())
    }

    /// Refuses a map without a way out.
    fn usable(self) -> Result<Self, Problem> {
        for action in [Action::QuitProgram, Action::ClosePopup, Action::ShowHelp, Action::AcceptText] {
            if self.key_of(action).is_none() {
                return Err(Problem::new(
                    ProblemKind::Data,
                    "key-row",
                    format!("key rows: no key is left for {}", action.name()),
                )
                .hint("give it another key in the same settings"));
            }
        }
        Ok(self)
    }

    /// The action of a key in a mode.
    pub fn action(&self, mode: When, key: Key) -> Option<Action> {
        let found = self.rows.iter().find(|r| r.key == key && r.when.holds(mode)).map(|r| r.action);
        match (found, key) {
            (None, Key::Char(c)) => self
                .rows
                .iter()
                .any(|r| r.key == Key::AnyChar && r.when.holds(mode))
                .then_some(Action::TypeChar(c)),
            (found, _) => found,
        }
    }

    /// The first key of an action, whatever the place.
    pub fn key_of(&self, action: Action) -> Option<Key> {
        self.rows.iter().find(|r| r.action == action && r.key != Key::ByName).map(|r| r.key)
    }

    /// The first key of an action in a mode.
    pub fn key_in(&self, mode: When, action: Action) -> Option<Key> {
        let here = |r: &&Row| r.when.holds(mode) && r.action == action && r.key != Key::ByName;
        self.rows.iter().find(here).map(|r| r.key)
    }

    /// What the hint line shows: key and word of the actions that are of use.
    pub fn hints(&self, mode: When, useful: impl Fn(Action) -> bool) -> Vec<(String, &'static str)> {
        self.rows
            .iter()
            .filter(|r| r.when.holds(mode) && !r.hint.is_empty() && useful(r.action))
            .map(|r| (r.key.to_string(), r.hint))
            .collect()
    }

    /// What can be a button: key, word and action of the hinted rows that need no letter.
    pub fn buttons(&self, mode: When) -> Vec<(String, &'static str, Action)> {
        self.rows
            .iter()
            .filter(|r| r.when.holds(mode) && !r.hint.is_empty())
            .filter(|r| !matches!(r.action, Action::TypeChar(_) | Action::PickNumber(_)))
            .map(|r| (r.key.to_string(), r.hint, r.action))
            .collect()
    }

    /// The lines of the help: keys and what they do; those of this screen first.
    pub fn help(&self, mode: When) -> Vec<(Action, String, &'static str)> {
        let mut lines: Vec<(Action, Vec<String>)> = Vec::new();
        for row in self.rows.iter().filter(|r| r.when.holds(mode)) {
            let key = if row.key == Key::ByName { ":".to_owned() } else { row.key.to_string() };
            match lines.iter_mut().find(|(a, _)| *a == row.action) {
                Some((_, keys)) => keys.push(key),
                None => lines.push((row.action, vec![key])),
            }
        }
        lines.into_iter().map(|(action, keys)| (action, keys.join(" "), action.help())).collect()
    }

    /// What the command list offers: each action that makes sense by name, with where it belongs and its key.
    pub fn commands(&self) -> Vec<(Action, Option<ScreenId>, String)> {
        let mut out: Vec<(Action, Option<ScreenId>, String)> = Vec::new();
        for row in &self.rows {
            let screen = match row.when {
                When::On(screen) => Some(screen),
                When::Screens | When::Always => None,
                _ => continue,
            };
            let known = out.iter().any(|(a, s, _)| *a == row.action && (*s == screen || screen.is_none()));
            if !known {
                let key = if row.key == Key::ByName { String::new() } else { row.key.to_string() };
                out.push((row.action, screen, key));
            }
        }
        out
    }
}
