//! Spoiling bytes.

use fastrand::Rng;

/// What parsers stumble over.
const AWKWARD: &[&str] = &[
    "",
    "\0",
    "\n",
    "\r\n",
    "\"",
    "'",
    ",",
    ";",
    "/",
    "\\",
    "=",
    "-",
    "+",
    "--",
    ".",
    "..",
    "0",
    "-0",
    "00",
    "1e308",
    "1e-400",
    "NaN",
    "inf",
    "-inf",
    "9223372036854775807",
    "9223372036854775808",
    "-9223372036854775808",
    "18446744073709551616",
    "340282366920938463463374607431768211456",
    "1e19",
    "0x10",
    "٣",
    "½",
    "µ",
    "Ω",
    "°",
    "é",
    "ß",
    "İ",
    "\u{202e}",
    "\u{200b}",
    "\u{feff}",
    "\u{0301}",
    "💡",
    "\u{fffd}",
    "\t",
    "[",
    "]",
    "{",
    "}",
    ":",
    "#",
    "%",
    "@",
    "\u{85}",
    "'=1",
    "=SUM(A1)",
    "2026-02-30",
    "9999-12-31T23:59",
    "-9999-01-01",
    "2026-11-01T01:30",
    "24:00",
    "14 AWG",
    "7'6\"",
    "h",
    "min",
];

/// `bytes` changed in one to four ways; `other` lends parts.
pub fn spoil(bytes: &[u8], other: &[u8], random: &mut Rng) -> Vec<u8> {
    let mut out = bytes.to_vec();
    for _ in 0..random.usize(1..=4) {
        let at = random.usize(0..=out.len());
        let end = (at + random.usize(0..=12)).min(out.len());
        match random.u8(0..9) {
            0 if at < out.len() => out[at] ^= 1 << random.u8(..8),
            1 if at < out.len() => out[at] = random.u8(..),
            2 => drop(out.drain(at..end)),
            3 => {
                let part = out[at..end].to_vec();
                for _ in 0..random.usize(1..=6) {
                    out.splice(at..at, part.iter().copied());
                }
            }
            4 | 5 => {
                let word = AWKWARD[random.usize(..AWKWARD.len())];
                let until = if random.bool() { at } else { end };
                out.splice(at..until, word.bytes());
            }
            6 => out.truncate(at),
            7 if !other.is_empty() => {
                let from = random.usize(..other.len());
                let until = (from + random.usize(1..=20)).min(other.len());
                out.splice(at..end, other[from..until].iter().copied());
            }
            _ => {
                let digit = b'0' + random.u8(0..10);
                let many = random.usize(1..=24);
                out.splice(at..at, std::iter::repeat_n(digit, many));
            }
        }
    }
    out
}
