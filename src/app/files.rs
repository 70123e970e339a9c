//! Files that the program writes for its owner besides the yard: whole or not at all, and for nobody else, whatever
//! the system's mask for new files says. Files that it reads: of a size and a sort that are told.

use std::fs::{self, DirBuilder, File, OpenOptions};
use std::io::{self, Read as _, Write as _};
use std::os::unix::fs::{DirBuilderExt as _, OpenOptionsExt as _};
use std::path::{Path, PathBuf};

use crate::answers::problem::{Problem, ProblemKind};

/// Makes a folder with those above it where they are missing, open to their owner alone.
///
/// # Errors
/// What the system refuses.
pub(super) fn make_folder(folder: &Path) -> io::Result<()> {
    DirBuilder::new().recursive(true).mode(0o700).create(folder)
}

/// Writes a file in the place of what has its name: by one rename, once all of it is on the disk.
///
/// # Errors
/// What the system refuses; then what has the name is as it was.
pub(super) fn write_whole(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let draft = draft_of(path);
    let done = fill(&draft, bytes).and_then(|()| fs::rename(&draft, path));
    if done.is_err() {
        let _ = fs::remove_file(&draft);
    }
    done
}

/// Writes pages that can be made again at any time into a folder, each over what has its name.
///
/// # Errors
/// `file` where one can't be written.
pub fn write_pages(folder: &Path, pages: &[(String, String)]) -> Result<(), Problem> {
    make_folder(folder).map_err(|e| io_problem(folder, "made", &e))?;
    for (name, text) in pages {
        let path = folder.join(name);
        write_whole(&path, text.as_bytes()).map_err(|e| io_problem(&path, "written", &e))?;
    }
    Ok(())
}

/// Writes files into a folder. One that is not there yet appears with all of them in it; in one that is, each file is
/// replaced once all are on the disk.
///
/// # Errors
/// What the system refuses, with the path.
pub(super) fn write_folder_whole(folder: &Path, files: &[(String, String)]) -> Result<(), Problem> {
    let new = !folder.exists();
    let into = if new { draft_of(folder) } else { folder.to_owned() };
    let drafts: Vec<(PathBuf, PathBuf)> = files
        .iter()
        .map(|(name, _)| {
            let path = into.join(name);
            (if new { path.clone() } else { draft_of(&path) }, path)
        })
        .collect();
    let write = || -> Result<(), Problem> {
        if new {
            if let Some(above) = folder.parent().filter(|p| !p.as_os_str().is_empty()) {
                make_folder(above).map_err(|e| io_problem(above, "made", &e))?;
            }
            make_folder(&into).map_err(|e| io_problem(&into, "made", &e))?;
        }
        for ((draft, _), (_, text)) in drafts.iter().zip(files) {
            fill(draft, text.as_bytes()).map_err(|e| io_problem(draft, "written", &e))?;
        }
        if new {
            return fs::rename(&into, folder).map_err(|e| io_problem(folder, "made", &e));
        }
        for (draft, path) in &drafts {
            fs::rename(draft, path).map_err(|e| io_problem(path, "written", &e))?;
        }
        Ok(())
    };
    let done = write();
    if done.is_err() {
        for (draft, _) in drafts {
            let _ = fs::remove_file(draft);
        }
        if new {
            let _ = fs::remove_dir(&into);
        }
    }
    done
}

fn fill(draft: &Path, bytes: &[u8]) -> io::Result<()> {
    let _ = fs::remove_file(draft);
    let mut file = OpenOptions::new().write(true).create_new(true).mode(0o600).open(draft)?;
    file.write_all(bytes)?;
    file.sync_all()
}

/// A hidden name beside it.
fn draft_of(path: &Path) -> PathBuf {
    let mut name = std::ffi::OsString::from(".");
    name.push(path.file_name().unwrap_or_default());
    name.push(".draft");
    path.with_file_name(name)
}

/// Reads a file of at most so many bytes.
///
/// # Errors
/// `no-file` for what is no file, as a pipe or a device, which may never end; `file-too-large`.
pub(super) fn read_file(path: &Path, most: u64) -> Result<Vec<u8>, Problem> {
    let about = fs::metadata(path).map_err(|e| io_problem(path, "read", &e))?;
    if !about.is_file() {
        let what = format!("{} is no file but a pipe, a device or a folder", path.display());
        return Err(Problem::new(ProblemKind::File, "no-file", what).hint("copy it into a file first"));
    }
    let mut bytes = Vec::new();
    // It may grow while it is read.
    let read = File::open(path).and_then(|f| f.take(most + 1).read_to_end(&mut bytes));
    read.map_err(|e| io_problem(path, "read", &e))?;
    if bytes.len() as u64 > most {
        let size = about.len().max(bytes.len() as u64);
        let what = format!("{} has {size} bytes", path.display());
        return Err(Problem::new(ProblemKind::File, "file-too-large", what)
            .hint(format!("at most {most} bytes are read; part it into several files")));
    }
    Ok(bytes)
}

pub(super) fn io_problem(path: &Path, what: &str, error: &io::Error) -> Problem {
    let why = crate::store::io_words(error);
    Problem::new(ProblemKind::File, "file", format!("{} could not be {what}: {why}", path.display()))
        .hint("look at its name and permissions")
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::os::unix::fs::PermissionsExt as _;

    fn mode(path: &Path) -> u32 {
        fs::metadata(path).unwrap().permissions().mode() & 0o777
    }

    #[test]
    fn a_folder_appears_whole_and_for_its_owner_alone() {
        let folder = tempfile::tempdir().unwrap();
        let to = folder.path().join("deep/out");
        let files =
            |text: &str| vec![("a.csv".to_owned(), text.to_owned()), ("b.csv".to_owned(), text.to_owned())];
        write_folder_whole(&to, &files("one")).unwrap();
        assert_eq!((mode(&to), mode(&to.join("a.csv"))), (0o700, 0o600));
        fs::write(to.join("own.txt"), "mine").unwrap();
        write_folder_whole(&to, &files("two")).unwrap();
        assert_eq!(fs::read_to_string(to.join("b.csv")).unwrap(), "two");
        let mut names: Vec<_> = fs::read_dir(&to).unwrap().map(|f| f.unwrap().file_name()).collect();
        names.sort();
        assert_eq!(names, ["a.csv", "b.csv", "own.txt"]);
        // The second can't be written: the first stays as it was, and no draft is left.
        fs::create_dir(to.join(".b.csv.draft")).unwrap();
        assert!(write_folder_whole(&to, &files("three")).is_err());
        assert_eq!(fs::read_to_string(to.join("a.csv")).unwrap(), "two");
        assert!(!to.join(".a.csv.draft").exists());
    }

    #[test]
    fn what_never_ends_is_not_read() {
        for (path, code) in [("/dev/zero", "no-file"), ("/dev", "no-file"), ("/nowhere/at/all", "file")] {
            assert_eq!(read_file(Path::new(path), 10).unwrap_err().code, code);
        }
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("f");
        fs::write(&file, "12345678901").unwrap();
        assert_eq!(read_file(&file, 10).unwrap_err().code, "file-too-large");
        assert_eq!(read_file(&file, 11).unwrap().len(), 11);
    }
}
