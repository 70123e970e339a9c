//! Text made safe for other programs, and taken back.

use crate::domain::is_hidden;

/// Leaves out control, bidirectional and zero-width characters; a line break stays, a tab becomes a blank.
pub fn clean(text: &str) -> String {
    text.chars()
        .filter_map(|c| match c {
            '\n' => Some('\n'),
            '\t' => Some(' '),
            c if is_hidden(c) => None,
            c => Some(c),
        })
        .collect()
}

/// Whether a spreadsheet would take the text for a formula (OWASP, "CSV Injection": `= + - @`, tab, return), with
/// any `'` in front looked through.
fn begins_formula(text: &str) -> bool {
    text.trim_start_matches('\'').starts_with(['=', '+', '-', '@', '\t', '\r', '＝', '＋', '－', '＠'])
}

/// Puts `'` before text that a spreadsheet would take for a formula.
pub(super) fn neutralise(text: &str) -> String {
    if begins_formula(text) { format!("'{text}") } else { text.to_owned() }
}

/// Takes that `'` away again.
pub(in crate::exchange) fn restore(text: &str) -> &str {
    match text.strip_prefix('\'') {
        Some(rest) if begins_formula(rest) => rest,
        _ => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_are_neutralised_and_come_back() {
        for text in ["=1+1", "@SUM", "-2 C", "+1", "'=x", "''@", "plain", "'quoted'", ""] {
            assert!(!neutralise(text).starts_with(['=', '+', '-', '@']), "{text}");
            assert_eq!(restore(&neutralise(text)), text);
        }
        assert_eq!(neutralise("'quoted'"), "'quoted'");
    }

    #[test]
    fn what_hides_or_turns_text_is_left_out() {
        assert_eq!(clean("a\u{202E}b\u{200B}c\u{7}d\u{1b}[31m\ne\tf"), "abcd[31m\ne f");
    }
}
