//! Screens that show a yard, known to each other: two may write, and whoever comes second is told.

use std::fs::{File, OpenOptions};
use std::os::unix::fs::{MetadataExt as _, OpenOptionsExt as _};
use std::path::Path;

use super::files::make_folder;
use super::paths::Paths;

/// Held while screens show a yard; the system lets go of it however they end.
#[derive(Debug)]
pub struct Presence {
    _held: File,
    /// Whether other screens of this person showed the yard already.
    pub others: bool,
}

impl Presence {
    /// Says that screens show `yard` from now on. Nothing where there is no such file yet or no place to say it: it is
    /// a courtesy, and what is written is safe without it.
    pub fn announce(yard: &Path, paths: &Paths) -> Option<Self> {
        // One file has one number, by whatever name or link it is opened.
        let file = std::fs::metadata(yard).ok()?;
        make_folder(&paths.state).ok()?;
        let name = format!("shown-{:x}-{:x}.lock", file.dev(), file.ino());
        let held = OpenOptions::new()
            .create(true)
            .truncate(false)
            .write(true)
            .mode(0o600)
            .open(paths.state.join(name))
            .ok()?;
        let others = held.try_lock().is_err();
        // Shared from here on, so that the next ones see it.
        held.unlock().ok()?;
        held.try_lock_shared().ok()?;
        Some(Self { _held: held, others })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whoever_comes_second_hears_of_the_first() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        let paths = Paths { data: at("d"), config: at("c"), state: at("s"), cache: at("k") };
        for yard in ["a", "b"] {
            std::fs::write(at(yard), "").unwrap();
        }
        std::os::unix::fs::symlink(at("a"), at("link")).unwrap();
        let first = Presence::announce(&at("a"), &paths).unwrap();
        assert!(!first.others);
        assert!(!Presence::announce(&at("b"), &paths).unwrap().others, "another yard");
        let second = Presence::announce(&at("link"), &paths).unwrap();
        assert!(second.others);
        drop(first);
        assert!(Presence::announce(&at("a"), &paths).unwrap().others, "the second is still there");
        drop(second);
        assert!(!Presence::announce(&at("a"), &paths).unwrap().others);
        assert!(Presence::announce(&at("none"), &paths).is_none());
    }
}
