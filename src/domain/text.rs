//! Text from others as it may be shown: nothing that steers a terminal, turns the reading direction or stays unseen.

/// Whether a character is never shown: it steers a terminal (C0, C1, Unicode category Cc), is a format or line
/// character (categories Cf, Zl, Zp, the common ones), or takes no room and has no mark of its own (Unicode
/// `Default_Ignorable_Code_Point`, variation selectors left out).
pub fn is_hidden(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}'
            | '\u{180b}'..='\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{3164}' | '\u{feff}' | '\u{ffa0}' | '\u{fff0}'..='\u{fffb}'
            | '\u{1bca0}'..='\u{1bca3}' | '\u{1d173}'..='\u{1d17a}' | '\u{e0000}'..='\u{e0fff}')
}

/// Whole text as it leaves the program: lines stay lines, and tabs tabs; what is never shown is left out.
pub fn clean_lines(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut letters = text.chars().peekable();
    while let Some(c) = letters.next() {
        // A calendar file ends its lines with both (RFC 5545, 3.1).
        let ends_line = c == '\r' && letters.peek() == Some(&'\n');
        if ends_line || matches!(c, '\n' | '\t') || !is_hidden(c) {
            out.push(c);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_steers_or_hides_is_left_out_and_lines_stay() {
        assert_eq!(
            clean_lines("a\u{1b}]0;x\u{7}\u{9b}31m\u{202e}b\u{200b}c\r\nd\re\tf\u{e0041}"),
            "a]0;x31mbc\r\nde\tf"
        );
        assert_eq!(clean_lines("Grüße, 灯, ✓ é"), "Grüße, 灯, ✓ é");
    }
}
