//! Where files live, by the system's conventions.

use std::path::PathBuf;

use directories::ProjectDirs;

use crate::answers::problem::{Problem, ProblemKind};

/// The folders of this program for this person.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Paths {
    pub data: PathBuf,
    pub config: PathBuf,
    /// Where the text of a panic is left for the next start.
    pub state: PathBuf,
    /// What can be made anew at any time.
    pub cache: PathBuf,
}

impl Paths {
    /// # Errors
    /// `no-home` where the system names no home folder, or one that is not there: it is not for us to make it.
    pub fn of_system() -> Result<Self, Problem> {
        let dirs = ProjectDirs::from("", "", "ladderday").ok_or_else(|| {
            Problem::new(ProblemKind::File, "no-home", "the system names no home folder")
                .hint("set HOME, or name the file with --yard FILE")
        })?;
        let home = directories::BaseDirs::new().map(|b| b.home_dir().to_owned());
        let missing = home.filter(|h| dirs.data_dir().starts_with(h) && !(h.is_absolute() && h.is_dir()));
        if let Some(home) = missing {
            let what = format!("the home folder {} is not there", home.display());
            return Err(Problem::new(ProblemKind::File, "no-home", what)
                .hint("set HOME, or name the file with --yard FILE"));
        }
        Ok(Self {
            cache: dirs.cache_dir().to_owned(),
            data: dirs.data_dir().to_owned(),
            config: dirs.config_dir().to_owned(),
            state: dirs.state_dir().unwrap_or_else(|| dirs.data_local_dir()).to_owned(),
        })
    }

    pub fn default_yard(&self) -> PathBuf {
        self.data.join("yard.ladderday")
    }

    pub fn demo_yard(&self) -> PathBuf {
        self.data.join("demo.ladderday")
    }

    pub fn settings(&self) -> PathBuf {
        self.config.join("settings.toml")
    }

    /// Where photos are written out to be looked at.
    pub fn photos(&self) -> PathBuf {
        self.cache.join("photos")
    }

    pub fn panic_note(&self) -> PathBuf {
        self.state.join("last-panic.txt")
    }

    /// The same once a start has named it.
    pub fn told_panic(&self) -> PathBuf {
        self.state.join("last-panic-named.txt")
    }
}
