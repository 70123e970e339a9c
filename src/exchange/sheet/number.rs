//! How many, as people write it.

/// Words for a number.
const WORDS: &[(&str, i64)] = &[
    ("one", 1),
    ("a", 1),
    ("single", 1),
    ("two", 2),
    ("pair", 2),
    ("a pair", 2),
    ("a pair of", 2),
    ("three", 3),
    ("four", 4),
    ("five", 5),
    ("six", 6),
    ("half a dozen", 6),
    ("seven", 7),
    ("eight", 8),
    ("nine", 9),
    ("ten", 10),
    ("eleven", 11),
    ("twelve", 12),
    ("dozen", 12),
    ("a dozen", 12),
];
/// What may stand around a number without changing it.
const UNITS: &[&str] = &[
    "x", "×", "pcs", "pc", "pieces", "piece", "ea", "each", "off", "no", "nos", "units", "unit", "total",
    "stück", "st",
];
/// What people write where they don't know yet.
const UNTOLD: &[&str] = &[
    "",
    "?",
    "??",
    "-",
    "–",
    "—",
    "tbd",
    "tbc",
    "n/a",
    "na",
    "unknown",
    "see note",
    "see notes",
    "none yet",
    "x?",
];

pub(super) fn is_untold(text: &str) -> bool {
    UNTOLD.contains(&text.trim().to_lowercase().as_str())
}

/// A whole number from 1 to 10,000: `8`, `8x`, `1,200`, `8.0`, `twelve`.
///
/// # Errors
/// What is wrong with it, and what to write.
pub(super) fn how_many(text: &str) -> Result<i64, (&'static str, String, String)> {
    let plain = text.trim().to_lowercase();
    if let Some((_, n)) = WORDS.iter().find(|(word, _)| *word == plain) {
        return Ok(*n);
    }
    let mut bare = plain.trim_start_matches(['x', '×', '(']).trim_end_matches(')').trim();
    for unit in UNITS {
        if let Some(rest) = bare.strip_suffix(unit).or_else(|| bare.strip_suffix(&format!("{unit}."))) {
            let rest = rest.trim_end();
            if rest.ends_with(|c: char| c.is_ascii_digit()) {
                bare = rest;
                break;
            }
        }
    }
    let digits = |t: &str| !t.is_empty() && t.chars().all(|c| c.is_ascii_digit());
    let grouped = |mark: char| {
        let mut parts = bare.split(mark);
        let first = parts.next().unwrap_or_default();
        let rest: Vec<&str> = parts.collect();
        let whole = digits(first)
            && first.len() <= 3
            && !rest.is_empty()
            && rest.iter().all(|p| p.len() == 3 && digits(p));
        whole.then(|| format!("{first}{}", rest.concat()))
    };
    let number = if digits(bare) {
        bare.to_owned()
    } else if let Some(n) =
        grouped(',').or_else(|| grouped(' ')).or_else(|| grouped('\'')).or_else(|| grouped('\u{202F}'))
    {
        n
    } else if let Some(n) = grouped('.') {
        let what = format!("this is {n} or {}", bare.trim_end_matches('0').trim_end_matches('.'));
        return Err(("ambiguous-number", what, format!("write {n} if so many are meant")));
    } else if let Some((whole, zeros)) =
        bare.split_once(['.', ',']).filter(|(w, z)| digits(w) && !z.is_empty() && z.chars().all(|c| c == '0'))
    {
        let _ = zeros;
        whole.to_owned()
    } else {
        return Err(("not-a-number", "this is no whole number".into(), "give 1 to 10000".into()));
    };
    match number.parse::<i64>() {
        Ok(n) if (1..=10_000).contains(&n) => Ok(n),
        _ => Err(("out-of-range", format!("{number} is out of range"), "give 1 to 10000".into())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_as_people_write_them() {
        for (text, n) in [
            ("8", 8),
            ("8x", 8),
            ("x8", 8),
            ("× 8", 8),
            ("8 pcs", 8),
            ("8 ea.", 8),
            ("1,200", 1200),
            ("1 200", 1200),
            ("8.0", 8),
            ("8,00", 8),
            ("Twelve", 12),
            ("a dozen", 12),
            ("(4)", 4),
            ("10000", 10_000),
        ] {
            assert_eq!(how_many(text), Ok(n), "{text}");
        }
        for text in [
            "many",
            "0",
            "-3",
            "8.5",
            "8,5",
            "6-8",
            "1,20",
            "2 sets",
            "12,34,567",
            "10001",
            "8 9",
            "1e3",
            "99999999999999999999",
        ] {
            assert!(how_many(text).is_err(), "{text}");
        }
        let (code, what, _) = how_many("1.200").unwrap_err();
        assert_eq!((code, what.as_str()), ("ambiguous-number", "this is 1200 or 1.2"));
        assert!(is_untold("TBD") && is_untold(" ") && !is_untold("8"));
    }
}
