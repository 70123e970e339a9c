//! Text for the clipboard of the terminal, which may be a long way off: the escape OSC 52.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

use super::screens;
use super::state::State;

/// Longest text that is put there; terminals cut or refuse longer ones.
const LONGEST: usize = 4096;

/// Puts the marked row on its way: its code, or all of it in words.
pub fn copy(state: &mut State, line: bool) {
    match screens::copied(state, line) {
        Some(text) => {
            state.say(format!("Copied: {text}"));
            state.copied = Some(text);
        }
        None => {
            state.refuse("There is no marked row here to copy");
        }
    }
}

/// The escape that asks the terminal to take a text (xterm control sequences, "Operating System Commands", Ps = 52).
pub fn osc52(text: &str) -> String {
    let cut = text.as_bytes().get(..LONGEST).unwrap_or(text.as_bytes());
    format!("\u{1b}]52;c;{}\u{7}", STANDARD.encode(cut))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// "foobar" is of RFC 4648, section 10.
    #[test]
    fn the_escape_has_the_text_in_base64_and_an_end() {
        assert_eq!(osc52("foobar"), "\u{1b}]52;c;Zm9vYmFy\u{7}");
        assert_eq!(osc52("L-031"), "\u{1b}]52;c;TC0wMzE=\u{7}");
        assert_eq!(osc52(&"x".repeat(5000)).len(), osc52(&"x".repeat(LONGEST)).len());
    }
}
