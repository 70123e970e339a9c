//! `settings --json`, `step paper --json`, and what has no fields of its own.

use serde::Serialize;

/// What holds at start, where the file goes, and its faults.
#[derive(Debug, Clone, Serialize)]
pub struct SettingsDoc {
    pub file: String,
    /// Whether it is there.
    pub there: bool,
    /// Null: the look chosen last.
    pub look: Option<String>,
    /// Who uses this computer; null where that is not written.
    pub me: Option<String>,
    pub ascii: bool,
    pub mouse: bool,
    pub glove_ms: u64,
    pub viewer: Vec<String>,
    pub keys: Vec<KeyDoc>,
    pub faults: Vec<SettingsFaultDoc>,
    /// A documented sample of the file.
    pub text: String,
}

/// One key of the settings file.
#[derive(Debug, Clone, Serialize)]
pub struct KeyDoc {
    pub on: String,
    pub key: String,
    pub does: String,
}

/// A fault of the settings file; lines and columns begin at 1.
#[derive(Debug, Clone, Serialize)]
pub struct SettingsFaultDoc {
    pub line: usize,
    pub column: usize,
    pub what: String,
    pub remedy: String,
}

/// What numbers of a printed checklist come to.
#[derive(Debug, Clone, Serialize)]
pub struct PaperDoc {
    pub sheet: String,
    pub note: String,
    pub ticks: Vec<PaperTickDoc>,
    /// What of the sheet is otherwise now.
    pub cautions: Vec<String>,
}

/// One number; takes `done`, `count`, `already` or `gone`.
#[derive(Debug, Clone, Serialize)]
pub struct PaperTickDoc {
    pub number: usize,
    pub key: String,
    pub title: String,
    pub takes: &'static str,
    pub count: Option<i64>,
}

/// A text as it is for people or other programs: a manual page, completions, a sheet.
#[derive(Debug, Clone, Serialize)]
pub struct TextDoc {
    pub text: String,
}
