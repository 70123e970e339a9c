//! A text field of one line.

use tui_input::{Input, InputRequest};

use crate::tui::action::Action;

/// What was typed, and where the cursor stands.
#[derive(Debug, Clone, Default)]
pub struct Field {
    input: Input,
    /// What stands there is replaced by the first letter; any other key keeps it.
    marked: bool,
}

impl Field {
    pub fn new(text: &str) -> Self {
        Self { input: Input::new(text.to_owned()), marked: false }
    }

    /// A field whose text goes as soon as a letter is typed.
    pub fn marked(text: &str) -> Self {
        Self { marked: !text.is_empty(), ..Self::new(text) }
    }

    pub const fn is_marked(&self) -> bool {
        self.marked
    }

    pub fn text(&self) -> &str {
        self.input.value()
    }

    /// The cursor's place in characters.
    pub fn cursor(&self) -> usize {
        self.input.cursor()
    }

    /// Puts text where the cursor stands, all at once: letter by letter takes time by the square of its length.
    pub fn insert(&mut self, text: &str) {
        if text.is_empty() {
            return;
        }
        if std::mem::take(&mut self.marked) {
            self.input.handle(InputRequest::DeleteLine);
        }
        let at = self.input.cursor();
        let before: String = self.input.value().chars().take(at).collect();
        let after: String = self.input.value().chars().skip(at).collect();
        let cursor = at + text.chars().count();
        self.input = Input::new(format!("{before}{text}{after}")).with_cursor(cursor);
    }

    /// Carries out an editing action; false where it is none.
    pub fn edit(&mut self, action: Action) -> bool {
        let request = match action {
            Action::TypeChar(c) if !c.is_control() => InputRequest::InsertChar(c),
            Action::DeleteBack => InputRequest::DeletePrevChar,
            Action::DeleteNext => InputRequest::DeleteNextChar,
            Action::CursorLeft => InputRequest::GoToPrevChar,
            Action::CursorRight => InputRequest::GoToNextChar,
            Action::CursorHome => InputRequest::GoToStart,
            Action::CursorEnd => InputRequest::GoToEnd,
            Action::ClearText => InputRequest::DeleteLine,
            _ => return false,
        };
        if std::mem::take(&mut self.marked) && matches!(action, Action::TypeChar(_)) {
            self.input.handle(InputRequest::DeleteLine);
        }
        self.input.handle(request);
        true
    }
}
