//! Keys as plain data: from terminal events, from text, to text.

use std::fmt;

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

/// One key press.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Key {
    Char(char),
    Ctrl(char),
    Enter,
    Esc,
    Back,
    Tab,
    BackTab,
    Up,
    Down,
    Left,
    Right,
    Home,
    End,
    PageUp,
    PageDown,
    Delete,
    F(u8),
    /// Stands in the table for any letter of a text field.
    AnyChar,
    /// Stands in the table for what has no key and is run by name.
    ByName,
}

/// Names of the keys that are no letters, in text and on screen.
const NAMES: [(Key, &str, &str); 16] = [
    (Key::Char(' '), "space", "Space"),
    (Key::Enter, "enter", "Enter"),
    (Key::Esc, "esc", "Esc"),
    (Key::Back, "backspace", "Backspace"),
    (Key::Tab, "tab", "Tab"),
    (Key::BackTab, "shift-tab", "Shift-Tab"),
    (Key::Up, "up", "Up"),
    (Key::Down, "down", "Down"),
    (Key::Left, "left", "Left"),
    (Key::Right, "right", "Right"),
    (Key::Home, "home", "Home"),
    (Key::End, "end", "End"),
    (Key::PageUp, "pageup", "PageUp"),
    (Key::PageDown, "pagedown", "PageDown"),
    (Key::Delete, "delete", "Delete"),
    (Key::AnyChar, "any", "letters"),
];

impl Key {
    /// Reads a key as settings write it: `enter`, `ctrl-z`, `A`, `f5`; nothing where it is none.
    pub fn parse(text: &str) -> Option<Self> {
        if let Some((key, ..)) = NAMES.iter().find(|(_, name, _)| *name == text) {
            return Some(*key);
        }
        let mut chars = text.chars();
        if let (Some(only), None) = (chars.next(), chars.next()) {
            return Some(Self::Char(only));
        }
        if let Some(rest) = text.strip_prefix("ctrl-") {
            let mut chars = rest.chars();
            return match (chars.next(), chars.next()) {
                (Some(c), None) if c.is_ascii_lowercase() => Some(Self::Ctrl(c)),
                _ => None,
            };
        }
        text.strip_prefix('f')?.parse().ok().filter(|n| (1..=12).contains(n)).map(Self::F)
    }

    /// The keys of a terminal event; none for releases and keys that mean nothing here.
    ///
    /// No key is pressed together with Alt here, and a terminal sends Esc and a letter in quick order as Alt and that
    /// letter: so it is taken as the two keys, Esc and Enter too.
    pub fn from_event(event: &KeyEvent) -> Vec<Self> {
        if !(event.is_press() || event.is_repeat()) {
            return Vec::new();
        }
        let alone = KeyEvent { modifiers: event.modifiers.difference(KeyModifiers::ALT), ..*event };
        let alt = event.modifiers.contains(KeyModifiers::ALT)
            && matches!(event.code, KeyCode::Char(_) | KeyCode::Enter);
        alt.then_some(Self::Esc).into_iter().chain(Self::single(&alone)).collect()
    }

    fn single(event: &KeyEvent) -> Option<Self> {
        let held = event.modifiers;
        Some(match event.code {
            KeyCode::Char(c) if held.contains(KeyModifiers::CONTROL) => Self::Ctrl(c.to_ascii_lowercase()),
            KeyCode::Char(c) => Self::Char(c),
            KeyCode::Enter => Self::Enter,
            KeyCode::Esc => Self::Esc,
            KeyCode::Backspace => Self::Back,
            KeyCode::Tab => Self::Tab,
            KeyCode::BackTab => Self::BackTab,
            KeyCode::Up => Self::Up,
            KeyCode::Down => Self::Down,
            KeyCode::Left => Self::Left,
            KeyCode::Right => Self::Right,
            KeyCode::Home => Self::Home,
            KeyCode::End => Self::End,
            KeyCode::PageUp => Self::PageUp,
            KeyCode::PageDown => Self::PageDown,
            KeyCode::Delete => Self::Delete,
            KeyCode::F(n) => Self::F(n),
            _ => return None,
        })
    }

    /// Keys whose doubled press within 150 ms counts once in Walk.
    pub const fn bounces(self) -> bool {
        matches!(self, Self::Enter | Self::Back | Self::Char(' '))
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some((.., shown)) = NAMES.iter().find(|(key, ..)| key == self) {
            return f.write_str(shown);
        }
        match self {
            Self::Char(c) => write!(f, "{c}"),
            Self::Ctrl(c) => write!(f, "Ctrl-{}", c.to_ascii_uppercase()),
            Self::F(n) => write!(f, "F{n}"),
            _ => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn esc_and_a_letter_in_quick_order_are_two_keys() {
        let event = KeyEvent::new(KeyCode::Char('q'), KeyModifiers::ALT);
        assert_eq!(Key::from_event(&event), [Key::Esc, Key::Char('q')]);
        let event = KeyEvent::new(KeyCode::Enter, KeyModifiers::ALT);
        assert_eq!(Key::from_event(&event), [Key::Esc, Key::Enter]);
        let event = KeyEvent::new(KeyCode::Char('z'), KeyModifiers::CONTROL);
        assert_eq!(Key::from_event(&event), [Key::Ctrl('z')]);
    }
}
