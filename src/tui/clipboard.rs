//! Text for the clipboard of the terminal, which may be a long way off: the escape OSC 52.

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
        None => state.refuse("There is no marked row here to copy"),
    }
}

/// The escape that asks the terminal to take a text (xterm control sequences, "Operating System Commands", Ps = 52).
pub fn osc52(text: &str) -> String {
    let bytes: Vec<u8> = text.bytes().take(LONGEST).collect();
    format!("\u{1b}]52;c;{}\u{7}", base64(&bytes))
}

/// RFC 4648, section 4.
fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = String::new();
    for three in bytes.chunks(3) {
        let byte = |n: usize| u32::from(three.get(n).copied().unwrap_or(0));
        let bits = byte(0) << 16 | byte(1) << 8 | byte(2);
        for n in 0..4 {
            let at = (bits >> (18 - 6 * n) & 63) as usize;
            let letter = LETTERS.get(at).copied().unwrap_or(b'=');
            out.push(if n > three.len() { '=' } else { char::from(letter) });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The test vectors of RFC 4648, section 10.
    #[test]
    fn base64_is_that_of_the_standard() {
        for (text, coded) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(text.as_bytes()), coded);
        }
        assert_eq!(osc52("L-031"), "\u{1b}]52;c;TC0wMzE=\u{7}");
    }
}
