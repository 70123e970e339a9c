//! The settings of this person and the look chosen last: where they lie, and reading them at start.

use super::commands::Form;
use super::files::read_file;
use super::opening::io_problem;
use super::paths::Paths;
use crate::answers::problem::{Problem, ProblemKind};
use crate::exchange::json::{KeyDoc, SettingsDoc, SettingsFaultDoc, text};
use crate::exchange::settings::{KeyLine, LookWord, SAMPLE, Settings, SettingsFault, read_settings};

/// More is no settings file.
const LARGEST: u64 = 1 << 20;

/// What holds at start.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Setup {
    pub settings: Settings,
    /// Every fault of the file; what they are about is as it is without the file.
    pub faults: Vec<SettingsFault>,
    /// It could not be read at all.
    pub unread: bool,
    /// The look chosen last with its key.
    pub kept_look: Option<LookWord>,
    /// Whose steps Walk showed last, empty for all; nothing where that was never chosen.
    pub kept_whose: Option<String>,
    /// What the login is called.
    pub login: Option<String>,
}

impl Setup {
    /// Whose steps Walk begins with: whom its key showed last, else whom the settings name, else who is called as the
    /// login is; nobody in particular shows all.
    pub fn whose(&self) -> Option<String> {
        let known = || self.settings.me.clone().or_else(|| self.login.clone());
        self.kept_whose.clone().or_else(known).filter(|name| !name.is_empty())
    }
}

/// Under which name one is logged in (POSIX has LOGNAME, most shells USER, Windows USERNAME).
#[expect(clippy::disallowed_methods, reason = "settings are where the environment is read")]
fn login() -> Option<String> {
    let mut told = ["LOGNAME", "USER", "USERNAME"].into_iter().filter_map(|name| std::env::var(name).ok());
    told.find(|name| !name.is_empty())
}

impl Paths {
    fn kept_look(&self) -> std::path::PathBuf {
        self.state.join("look.txt")
    }

    fn kept_whose(&self) -> std::path::PathBuf {
        self.state.join("whose.txt")
    }

    /// Reads the settings; a file that is not there sets nothing.
    pub fn setup(&self) -> Setup {
        let file = self.settings();
        let kept = std::fs::read_to_string(self.kept_look()).unwrap_or_default();
        let kept_look = LookWord::from_word(kept.trim());
        let kept_whose = std::fs::read_to_string(self.kept_whose()).ok().map(|name| name.trim().to_owned());
        // What is no file, as a pipe, may never end.
        let text = match std::fs::symlink_metadata(&file) {
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => Ok(String::new()),
            _ => read_file(&file, LARGEST).map_err(|p| p.what).and_then(|bytes| {
                String::from_utf8(bytes).map_err(|_| format!("{} is no text", file.display()))
            }),
        };
        let unread = text.is_err();
        let (settings, faults) = match text {
            Ok(text) => read_settings(&text),
            Err(what) => {
                let remedy = "without it the defaults hold".to_owned();
                (Settings::default(), vec![SettingsFault { line: 1, column: 1, what, remedy }])
            }
        };
        Setup { settings, faults, unread, kept_look, kept_whose, login: login() }
    }

    /// Keeps the look for the next start.
    ///
    /// # Errors
    /// `file` where it can't be written.
    pub fn keep_look(&self, look: LookWord) -> Result<(), Problem> {
        self.keep(&self.kept_look(), look.word())
    }

    /// Keeps whose steps Walk shows for the next start; empty is all.
    ///
    /// # Errors
    /// `file` where it can't be written.
    pub fn keep_whose(&self, name: &str) -> Result<(), Problem> {
        self.keep(&self.kept_whose(), name)
    }

    fn keep(&self, file: &std::path::Path, word: &str) -> Result<(), Problem> {
        super::files::make_folder(&self.state).map_err(|e| io_problem(&self.state, "made", &e))?;
        super::files::write_whole(file, word.as_bytes()).map_err(|e| io_problem(file, "written", &e))
    }

    /// The documented sample, with where it goes.
    pub fn settings_sample(&self) -> String {
        format!("# This goes into {}\n{SAMPLE}", self.settings().display())
    }
}

/// What the settings file comes to.
pub fn settings_answer(paths: &Paths, setup: &Setup, form: Form) -> String {
    let file = paths.settings();
    let there = file.exists();
    if form == Form::Text {
        let how = if there { "reads well" } else { "is not there: the defaults hold" };
        return format!("{} {how}\n", file.display());
    }
    let settings = setup.settings.clone();
    let key = |k: KeyLine| KeyDoc { on: k.on, key: k.key, does: k.does };
    let fault = |f: &SettingsFault| SettingsFaultDoc {
        line: f.line,
        column: f.column,
        what: f.what.clone(),
        remedy: f.remedy.clone(),
    };
    text(&SettingsDoc {
        file: file.display().to_string(),
        there,
        look: settings.look.map(|l| l.word().to_owned()),
        me: settings.me,
        ascii: settings.ascii,
        mouse: settings.mouse,
        glove_ms: settings.glove_ms,
        viewer: settings.viewer,
        keys: settings.keys.into_iter().map(key).collect(),
        faults: setup.faults.iter().map(fault).collect(),
        text: paths.settings_sample(),
    })
}

/// Every fault of the settings file as one problem.
///
/// # Errors
/// `no-settings` where it can't be read, `bad-settings` where there is a fault in it.
pub fn refuse_settings(path: &std::path::Path, setup: &Setup) -> Result<(), Problem> {
    let sample = "ladderday settings prints a documented sample";
    if let (true, Some(fault)) = (setup.unread, setup.faults.first()) {
        let what = format!("{}; {}", fault.what, fault.remedy);
        return Err(Problem::new(ProblemKind::File, "no-settings", what).hint(sample));
    }
    if setup.faults.is_empty() {
        return Ok(());
    }
    let lines: Vec<String> = setup.faults.iter().map(ToString::to_string).collect();
    let what = format!("{}:\n{}", path.display(), lines.join("\n"));
    Err(Problem::new(ProblemKind::Use, "bad-settings", what).hint(sample))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn walk_begins_with_whom_the_key_showed_then_the_settings_then_the_login() {
        let name = |text: &str| Some(text.to_owned());
        let of = |kept: Option<&str>, me: Option<&str>| {
            let settings = Settings { me: me.and_then(name), ..Settings::default() };
            Setup { settings, kept_whose: kept.and_then(name), login: name("ann"), ..Setup::default() }
                .whose()
        };
        assert_eq!(of(Some("Wren"), Some("Ollie")), name("Wren"));
        assert_eq!(of(Some(""), Some("Ollie")), None, "all were chosen");
        assert_eq!(of(None, Some("Ollie")), name("Ollie"));
        assert_eq!(of(None, None), name("ann"));
    }
}
