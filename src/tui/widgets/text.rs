//! Text on its way to the screen: cleaned, measured and cut by width, never by bytes.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

use crate::domain::is_hidden;
pub use crate::units::hours_and_minutes as minutes;

/// Columns that a text takes.
pub fn width(text: &str) -> usize {
    UnicodeWidthStr::width(text)
}

/// Takes out what would move, hide or turn other text: control, bidi and zero-width characters.
pub fn clean(text: &str) -> String {
    text.chars()
        .filter_map(|c| match c {
            '\t' | '\n' | '\r' => Some(' '),
            _ if is_hidden(c) => None,
            _ => Some(c),
        })
        .collect()
}

/// Cuts to a width; what was cut shows as a last "…".
pub fn cut(text: &str, most: usize) -> String {
    if width(text) <= most {
        return text.to_owned();
    }
    let mut out = String::new();
    let mut used = 0;
    for c in text.chars() {
        let wide = c.width().unwrap_or(0);
        if used + wide + 1 > most {
            break;
        }
        used += wide;
        out.push(c);
    }
    if most > 0 {
        out.push('…');
    }
    out
}

/// What of a text fits into so many columns: without what is said beside, parted by "; ", then without the years.
pub fn fitting(text: &str, most: usize) -> String {
    let mut text = text;
    while width(text) > most
        && let Some((front, _)) = text.rsplit_once("; ")
    {
        text = front;
    }
    if width(text) <= most { text.to_owned() } else { without_years(text) }
}

/// Dates without their year: "Sat 14 Nov 2026, 10:20" as "Sat 14 Nov, 10:20".
fn without_years(text: &str) -> String {
    const MONTHS: [&str; 12] =
        ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
    let mut out = String::new();
    let mut before = "";
    for word in text.split(' ') {
        let (digits, sign) = word.split_at(word.bytes().take_while(u8::is_ascii_digit).count());
        let year = digits.len() == 4 && MONTHS.contains(&before) && !sign.contains(char::is_alphanumeric);
        if year {
            out.push_str(sign);
        } else {
            if !out.is_empty() {
                out.push(' ');
            }
            out.push_str(word);
        }
        before = word;
    }
    out
}

/// The first columns of a text, and the rest.
pub fn part(text: &str, columns: usize) -> (String, String) {
    let mut used = 0;
    let at = text.char_indices().find(|(_, c)| {
        used += c.width().unwrap_or(0);
        used > columns
    });
    let (front, back) = text.split_at(at.map_or(text.len(), |(at, _)| at));
    (front.to_owned(), back.to_owned())
}

/// Breaks into lines of at most `most` columns, at spaces where there are some.
pub fn wrap(text: &str, most: usize) -> Vec<String> {
    let most = most.max(1);
    let mut lines = Vec::new();
    for part in text.split('\n') {
        let part = clean(part);
        let mut line = String::new();
        for word in &together(&part) {
            let room = most.saturating_sub(if line.is_empty() { 0 } else { width(&line) + 1 });
            if !line.is_empty() && width(word) > room {
                lines.push(std::mem::take(&mut line));
            }
            if !line.is_empty() {
                line.push(' ');
            }
            for c in word.chars() {
                if width(&line) + c.width().unwrap_or(0) > most && !line.is_empty() {
                    lines.push(std::mem::take(&mut line));
                }
                line.push(c);
            }
        }
        lines.push(line);
    }
    lines
}

/// Units that stay on the line of their figure.
const UNITS: [&str; 8] = ["h", "min", "%", "W", "A", "V", "ft", "m"];

/// The words of a text, a figure with its unit as one: "0 %", "1 h 23".
fn together(text: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let figure = |w: &str| w.starts_with(|c: char| c.is_ascii_digit());
    for word in text.split_whitespace() {
        let bare = word.trim_end_matches([',', ';', '.', ':', ')']);
        let unit = UNITS.contains(&bare);
        match out.last_mut() {
            Some(last)
                if (unit && figure(last)) || (last.ends_with(" h") && bare.len() == 2 && figure(word)) =>
            {
                last.push(' ');
                last.push_str(word);
            }
            _ => out.push(word.to_owned()),
        }
    }
    out
}

/// Minutes of a day as a clock shows them.
pub fn clock(min: i64) -> String {
    let min = min.rem_euclid(24 * 60);
    format!("{:02}:{:02}", min / 60, min % 60)
}

/// With a capital first letter.
pub fn cap(word: &str) -> String {
    let mut chars = word.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

/// "1 step", "3 steps".
pub fn counted(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hostile_text_is_cleaned() {
        assert_eq!(clean("a\u{1b}[31mb\u{202e}c\u{200b}d\te"), "a[31mbcd e");
    }

    #[test]
    fn cuts_by_width_and_says_so() {
        assert_eq!(cut("abcdef", 4), "abc…");
        assert_eq!(width(&cut("漢字漢字", 4)), 3);
        assert_eq!(cut("abc", 0), "");
    }

    #[test]
    fn a_figure_keeps_its_unit() {
        assert_eq!(wrap("ends in 1 h 23, 60 % in time", 10), ["ends in", "1 h 23,", "60 % in", "time"]);
    }

    #[test]
    fn what_is_said_beside_gives_way_then_the_year() {
        let text = "o: order by Fri 1 Jan 2027, 20 caps; 12 needs; 1 late";
        assert_eq!(fitting(text, 99), text);
        assert_eq!(fitting(text, 45), "o: order by Fri 1 Jan 2027, 20 caps; 12 needs");
        assert_eq!(fitting(text, 35), "o: order by Fri 1 Jan 2027, 20 caps");
        assert_eq!(fitting(text, 34), "o: order by Fri 1 Jan, 20 caps");
        assert_eq!(fitting("the board of Nov 2026x", 9), "the board of Nov 2026x");
    }

    #[test]
    fn long_words_are_broken() {
        assert_eq!(wrap("ab cdefgh", 4), ["ab", "cdef", "gh"]);
    }
}
