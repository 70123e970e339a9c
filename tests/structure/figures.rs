//! Figures that people read are written by `units::figure`, which knows no negative nothing.

use super::files;

/// Formulas' own messages, the formatter itself, the coordinates of drawings, the digits that a workbook keeps.
const APART: [&str; 5] = ["calc/", "stats/", "units/", "exchange/print/", "exchange/workbook/"];

/// Places of a text that write a fraction by hand.
fn by_hand(text: &str) -> Vec<usize> {
    let code = text.split("#[cfg(test)]").next().unwrap_or(text);
    let rounds = |line: &str| {
        line.match_indices(":.").any(|(at, _)| {
            line[at + 2..].starts_with(|c: char| c.is_ascii_digit())
                && line[..at].rfind('{') > line[..at].rfind('}')
        })
    };
    code.lines().enumerate().filter(|(_, line)| rounds(line)).map(|(at, _)| at + 1).collect()
}

#[test]
fn figures_are_written_by_one_formatter() {
    assert_eq!(by_hand("format!(\"{x:.2} V\")"), [1], "a planted one is seen");
    let found: Vec<String> = files("src")
        .into_iter()
        .filter(|(name, _)| !APART.iter().any(|a| name.starts_with(a)))
        .flat_map(|(name, text)| by_hand(&text).into_iter().map(move |line| format!("{name}:{line}")))
        .collect();
    assert!(found.is_empty(), "use units::figure: {found:?}");
}
