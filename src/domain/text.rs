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

/// Letters of a name from which on a code that begins it was cut from it.
const CUT: usize = 16;

/// Years that stand behind the codes of a season's props, two digits each.
const YEARS: std::ops::RangeInclusive<u32> = 20..=59;

/// Whether a code is only the name written as codes are, the year of a season behind it or not: "CANDY-CANE-PATH" and
/// "CANDY-CANE-PATH-26" of "candy cane path".
pub fn says_the_name(code: &str, name: &str) -> bool {
    let bare = |text: &str| -> String {
        text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
    };
    let year = |end: &str| end.len() == 2 && end.parse::<u32>().is_ok_and(|n| YEARS.contains(&n));
    let whole = code;
    let code = code.rsplit_once('-').filter(|(_, end)| year(end)).map_or(code, |(front, _)| front);
    let (whole, code, name) = (bare(whole), bare(code), bare(name));
    !code.is_empty() && (whole == name || code == name || (code.len() >= CUT && name.starts_with(&code)))
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

    #[test]
    fn a_code_that_is_the_name_again_says_nothing_more() {
        assert!(says_the_name("CANDY-CANE-PATH", "candy cane path"));
        assert!(says_the_name("GRANDMA-S-STAR", "Grandma's star"));
        assert!(says_the_name("PAPER-STAR-26", "paper star"));
        assert!(says_the_name("ROUTE-66", "Route 66"));
        assert!(says_the_name("NET-LIGHTS-FOR-THE-BOXWO", "net lights for the boxwoods"));
        // A number parts two that are called the same; a label is stuck on the thing.
        assert!(!says_the_name("WREATH-2", "wreath"));
        assert!(!says_the_name("WREATH-2-26", "wreath"));
        assert!(!says_the_name("ARCH-02", "Bridge arch, sleeved strip"));
        assert!(!says_the_name("", ""));
    }
}
