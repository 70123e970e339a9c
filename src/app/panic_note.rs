//! The text of a panic: left in one file of the state folder, named once by the next start.

use std::path::{Path, PathBuf};
use std::{fs, io};

use super::files::{make_folder, write_whole};
use super::paths::Paths;

/// Leaves the text of a panic, over that of an earlier one.
///
/// # Errors
/// Where the folder can't be made or the file not be written.
pub fn leave_panic_note(file: &Path, text: &str) -> io::Result<()> {
    if let Some(folder) = file.parent() {
        make_folder(folder)?;
    }
    write_whole(file, text.as_bytes())
}

/// Where the text of the last panic lies now; nothing where there is none, or it was named before.
pub fn take_panic_note(paths: &Paths) -> Option<PathBuf> {
    let (note, told) = (paths.panic_note(), paths.told_panic());
    // Moved aside, so that every panic is named once only; where that fails it is named again, not lost.
    match fs::rename(&note, &told) {
        Ok(()) => Some(told),
        Err(why) if why.kind() == io::ErrorKind::NotFound => None,
        Err(_) => note.exists().then_some(note),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_note_is_named_once_and_a_later_one_again() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        let paths = Paths { data: at("d"), config: at("c"), state: at("s"), cache: at("k") };
        assert_eq!(take_panic_note(&paths), None);
        for text in ["first", "second"] {
            leave_panic_note(&paths.panic_note(), text).unwrap();
            let named = take_panic_note(&paths).unwrap();
            assert_eq!(fs::read_to_string(&named).unwrap(), text);
            assert_eq!(take_panic_note(&paths), None, "named once");
        }
        assert_eq!(fs::read_dir(&paths.state).unwrap().count(), 1, "one file");
    }

    #[test]
    fn a_folder_that_cannot_be_is_an_error() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("file"), "").unwrap();
        assert!(leave_panic_note(&folder.path().join("file/state/note.txt"), "text").is_err());
    }
}
