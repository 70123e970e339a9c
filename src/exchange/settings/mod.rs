//! The settings file: a few documented keys and own key rows, read with all faults at once.
//!
//! Each key is read by itself, so that one fault takes nothing else away.
//!
//! Not here: where the file is (`app`), which commands and keys there are (`tui`).

use std::fmt;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// The documented sample; as it stands it sets nothing.
pub const SAMPLE: &str = include_str!("sample.toml");

/// The most that a doubled key may be apart, milliseconds.
const MOST_GLOVE_MS: i64 = 2000;
/// Doubled keys, milliseconds, where nothing is written.
const GLOVE_MS: u64 = 150;

/// The colours asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LookWord {
    Day,
    Night,
    None,
}

impl LookWord {
    pub const ALL: [(&'static str, Self); 3] =
        [("day", Self::Day), ("night", Self::Night), ("none", Self::None)];

    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|(w, _)| *w == word).map(|(_, look)| look)
    }

    pub fn word(self) -> &'static str {
        Self::ALL.into_iter().find(|(_, look)| *look == self).map_or("day", |(w, _)| w)
    }
}

/// One own key, with the place of its block in the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeyLine {
    pub on: String,
    pub key: String,
    pub does: String,
    pub line: usize,
    pub column: usize,
}

/// What the file sets.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settings {
    /// Nothing: the look that was chosen last.
    pub look: Option<LookWord>,
    /// Who uses this computer, by a name of the yard: whose steps Walk shows first.
    pub me: Option<String>,
    pub ascii: bool,
    pub mouse: bool,
    /// Milliseconds, 0 to 2000.
    pub glove_ms: u64,
    /// The program that shows pictures, with its own arguments; empty for the system's viewer.
    pub viewer: Vec<String>,
    pub keys: Vec<KeyLine>,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            look: None,
            me: None,
            ascii: false,
            mouse: false,
            glove_ms: GLOVE_MS,
            viewer: Vec::new(),
            keys: Vec::new(),
        }
    }
}

/// One fault of the file; lines and columns (in characters) begin at 1.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SettingsFault {
    pub line: usize,
    pub column: usize,
    pub what: String,
    pub remedy: String,
}

impl fmt::Display for SettingsFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "line {}, column {}: {}; {}", self.line, self.column, self.what, self.remedy)
    }
}

/// Reads the file's text: what could be read, and every fault in the order of the file.
pub fn read_settings(text: &str) -> (Settings, Vec<SettingsFault>) {
    let (table, errors) = DeTable::parse_recoverable(text);
    let mut reader = Reader { text, faults: Vec::new() };
    for error in errors {
        let span = error.span().unwrap_or(0..0);
        let remedy = "write key = value; ladderday settings prints a sample";
        let near = text.get(span.start..).and_then(|t| t.lines().next()).unwrap_or_default().trim();
        let what = if near.is_empty() {
            "something is missing".to_owned()
        } else {
            format!("{near:?} can't be read")
        };
        reader.fault(span, what, remedy);
    }
    // What stands behind a broken line is a guess of the parser, and its faults would mislead.
    let broken = !reader.faults.is_empty();
    let settings = reader.settings(table.get_ref());
    if broken {
        reader.faults.retain(|f| f.remedy.starts_with("write key = value"));
    }
    let mut faults = reader.faults;
    faults.sort_by_key(|f| (f.line, f.column));
    (settings, faults)
}

struct Reader<'a> {
    text: &'a str,
    faults: Vec<SettingsFault>,
}

impl Reader<'_> {
    fn fault(&mut self, span: Range<usize>, what: String, remedy: &str) {
        let (line, column) = self.place(span.start);
        self.faults.push(SettingsFault { line, column, what, remedy: remedy.to_owned() });
    }

    fn place(&self, at: usize) -> (usize, usize) {
        let before = self.text.get(..at).unwrap_or(self.text);
        let start = before.rfind('\n').map_or(0, |n| n + 1);
        (before.matches('\n').count() + 1, before.get(start..).map_or(0, |l| l.chars().count()) + 1)
    }

    fn settings(&mut self, table: &DeTable<'_>) -> Settings {
        let mut out = Settings::default();
        for (key, value) in table {
            match key.get_ref().as_ref() {
                "look" => match value.get_ref().as_str().map(|w| (w, LookWord::from_word(w))) {
                    Some((_, Some(look))) => out.look = Some(look),
                    _ => self.wrong(value, "look", "\"day\", \"night\" or \"none\""),
                },
                "me" => match value.get_ref().as_str().map(str::trim) {
                    Some(name) => out.me = Some(name.to_owned()).filter(|n| !n.is_empty()),
                    None => self.wrong(value, "me", "a name in quotes"),
                },
                "ascii" => self.yes(value, "ascii", &mut out.ascii),
                "mouse" => self.yes(value, "mouse", &mut out.mouse),
                "glove_ms" => {
                    let number = value.get_ref().as_integer().and_then(|n| n.as_str().parse::<i64>().ok());
                    match number.filter(|n| (0..=MOST_GLOVE_MS).contains(n)) {
                        Some(n) => out.glove_ms = n.unsigned_abs(),
                        None => self.wrong(value, "glove_ms", "milliseconds from 0 to 2000"),
                    }
                }
                "viewer" => self.viewer(value, &mut out.viewer),
                "key" => self.keys(value, &mut out.keys),
                other => self.fault(
                    key.span(),
                    format!("{other:?} is no setting"),
                    "there are look, me, ascii, mouse, glove_ms, viewer and [[key]]",
                ),
            }
        }
        out
    }

    fn wrong(&mut self, value: &Spanned<DeValue<'_>>, name: &str, takes: &str) {
        let as_written = self.text.get(value.span()).unwrap_or_default();
        self.fault(value.span(), format!("{name} is {as_written}"), &format!("it takes {takes}"));
    }

    fn yes(&mut self, value: &Spanned<DeValue<'_>>, name: &str, into: &mut bool) {
        match value.get_ref().as_bool() {
            Some(yes) => *into = yes,
            None => self.wrong(value, name, "true or false"),
        }
    }

    /// A program, or a list of it and its arguments; an empty text is the system's viewer.
    fn viewer(&mut self, value: &Spanned<DeValue<'_>>, into: &mut Vec<String>) {
        let words = match value.get_ref() {
            DeValue::String(program) if program.is_empty() => Some(Vec::new()),
            DeValue::String(program) => Some(vec![program.to_string()]),
            DeValue::Array(list) => list.iter().map(|w| w.get_ref().as_str().map(str::to_owned)).collect(),
            _ => None,
        };
        match words.filter(|w| w.first().is_none_or(|program| !program.trim().is_empty())) {
            Some(words) => *into = words,
            None => self.wrong(value, "viewer", "a program in quotes, or a list of it and its arguments"),
        }
    }

    fn keys(&mut self, value: &Spanned<DeValue<'_>>, into: &mut Vec<KeyLine>) {
        let Some(blocks) = value.get_ref().as_array() else {
            self.wrong(value, "key", "blocks, each begun by a line [[key]]");
            return;
        };
        for block in blocks {
            let Some(table) = block.get_ref().as_table() else {
                self.wrong(block, "key", "on, key and does");
                continue;
            };
            let (line, column) = self.place(block.span().start);
            let mut row =
                KeyLine { on: String::new(), key: String::new(), does: String::new(), line, column };
            for (name, value) in table {
                let into = match name.get_ref().as_ref() {
                    "on" => &mut row.on,
                    "key" => &mut row.key,
                    "does" => &mut row.does,
                    other => {
                        let what = format!("{other:?} is no part of a key");
                        self.fault(name.span(), what, "a key has on, key and does");
                        continue;
                    }
                };
                match value.get_ref().as_str() {
                    Some(text) => text.clone_into(into),
                    None => self.wrong(value, name.get_ref().as_ref(), "text in quotes"),
                }
            }
            let missing: Vec<&str> = [("on", &row.on), ("key", &row.key), ("does", &row.does)]
                .into_iter()
                .filter(|(name, text)| text.is_empty() && !table.keys().any(|k| k.get_ref() == name))
                .map(|(name, _)| name)
                .collect();
            if missing.is_empty() {
                into.push(row);
            } else {
                self.fault(block.span(), format!("this key has no {}", missing.join(", ")), "add it");
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sample_sets_nothing_and_reads_whole_when_uncommented() {
        assert_eq!(read_settings(SAMPLE), (Settings::default(), Vec::new()));
        let lines = SAMPLE.lines().map(|l| match l.strip_prefix('#') {
            Some(rest) if !rest.starts_with(' ') => rest,
            _ => l,
        });
        let (settings, faults) = read_settings(&lines.collect::<Vec<_>>().join("\n"));
        assert_eq!(faults, []);
        assert_eq!(settings.look, Some(LookWord::Day));
        assert_eq!(settings.keys.len(), 1);
        let rest = Settings { look: None, keys: Vec::new(), ..settings };
        assert_eq!(rest, Settings::default(), "the sample shows what holds without a file");
    }

    #[test]
    fn all_faults_come_at_once_with_line_and_column_and_the_rest_holds() {
        let text = "look = \"dusk\"\nascii = true\nmouse = 1\n\nglove_ms = 5000\nbell = true\n[[key]]\non = \"walk\"\nkey = 3\n[[key]]\non = \"walk\"\nkey = \"x\"\ndoes = \"hold-step\"\n";
        let (settings, faults) = read_settings(text);
        let places: Vec<(usize, usize)> = faults.iter().map(|f| (f.line, f.column)).collect();
        assert_eq!(places, [(1, 8), (3, 9), (5, 12), (6, 1), (7, 1), (9, 7)], "{faults:#?}");
        assert!(settings.ascii && !settings.mouse && settings.glove_ms == 150);
        assert_eq!(settings.keys.len(), 1);
        assert_eq!((settings.keys[0].does.as_str(), settings.keys[0].line), ("hold-step", 10));
        assert_eq!(
            faults[0].to_string(),
            "line 1, column 8: look is \"dusk\"; it takes \"day\", \"night\" or \"none\""
        );
    }

    #[test]
    fn the_viewer_is_a_program_or_a_list_with_its_arguments() {
        let of = |text: &str| read_settings(&format!("viewer = {text}\n"));
        assert_eq!(of("\"my viewer\"").0.viewer, ["my viewer"]);
        assert_eq!(of("[\"show\", \"--full\"]").0.viewer, ["show", "--full"]);
        for bad in ["3", "[\"show\", 3]", "\" \"", "[\"\", \"x\"]"] {
            let (settings, faults) = of(bad);
            assert!(settings.viewer.is_empty() && faults.len() == 1, "{bad}: {faults:?}");
        }
    }

    #[test]
    fn broken_lines_are_all_named() {
        let (_, faults) = read_settings("look = \nascii = true\nmouse = = false\n");
        let lines: Vec<usize> = faults.iter().map(|f| f.line).collect();
        assert!(lines.contains(&1) && lines.contains(&3), "{faults:#?}");
    }
}
