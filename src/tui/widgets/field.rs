//! A text field of one line.

use tui_input::{Input, InputRequest};

use crate::tui::action::Action;

/// What was typed, and where the cursor stands.
#[derive(Debug, Clone, Default)]
pub struct Field {
    input: Input,
}

impl Field {
    pub fn new(text: &str) -> Self {
        Self { input: Input::new(text.to_owned()) }
    }

    pub fn text(&self) -> &str {
        self.input.value()
    }

    /// The cursor's place in characters.
    pub fn cursor(&self) -> usize {
        self.input.cursor()
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
        self.input.handle(request);
        true
    }
}
