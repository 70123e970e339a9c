//! Photos of a fault: copied into the yard by their hash, written out again to be looked at.

use std::path::{Path, PathBuf};

use super::app::App;
use super::files::{io_problem, make_folder, read_file, write_whole};
use crate::answers::problem::{Problem, ProblemKind};
use crate::answers::words::photo_lines;
use crate::deeds::{fault_by_code, refused};
use crate::domain::{Attachment, AttachmentId, Deed, Fact, FaultId};
use crate::store::{MOST_BYTES, decode, encode, sha256_hex};

/// A sort of picture: how its file begins, its media type, the ending it is written out with.
struct Sort {
    mime: &'static str,
    ending: &'static str,
    begins: fn(&[u8]) -> bool,
}

/// What is told by its first bytes; a name proves nothing.
const SORTS: &[Sort] = &[
    Sort { mime: "image/jpeg", ending: "jpg", begins: |b| b.starts_with(&[0xFF, 0xD8, 0xFF]) },
    Sort { mime: "image/png", ending: "png", begins: |b| b.starts_with(b"\x89PNG\r\n\x1a\n") },
    Sort { mime: "image/gif", ending: "gif", begins: |b| b.starts_with(b"GIF8") },
    Sort {
        mime: "image/webp",
        ending: "webp",
        begins: |b| b.starts_with(b"RIFF") && b.get(8..12) == Some(b"WEBP"),
    },
    Sort {
        mime: "image/heic",
        ending: "heic",
        begins: |b| {
            b.get(4..8) == Some(b"ftyp")
                && matches!(b.get(8..12), Some(b"heic" | b"heix" | b"mif1" | b"msf1" | b"heim" | b"hevc"))
        },
    },
    Sort {
        mime: "image/tiff",
        ending: "tiff",
        begins: |b| b.starts_with(b"II*\0") || b.starts_with(b"MM\0*"),
    },
];

impl App {
    /// Copies a picture into the yard and lists it on the fault.
    pub(super) fn add_photo(&mut self, fault: &str, path: &Path) -> Result<String, Problem> {
        let fault = fault_by_code(self, fault)?;
        let size = std::fs::metadata(path).map_err(|e| io_problem(path, "read", &e))?;
        if !size.is_file() {
            return Err(
                unusable("no-file", format!("{} is no file", path.display())).hint("name one picture")
            );
        }
        if size.len() > MOST_BYTES as u64 {
            return Err(too_large(path, size.len()));
        }
        let bytes = read_file(path, MOST_BYTES as u64 + 1)?;
        if bytes.len() > MOST_BYTES {
            return Err(too_large(path, bytes.len() as u64));
        }
        let Some(sort) = SORTS.iter().find(|s| (s.begins)(&bytes)) else {
            let what = if bytes.is_empty() { "is empty" } else { "is no picture that is known" };
            return Err(unusable("no-picture", format!("{} {what}", path.display()))
                .hint("jpeg, png, gif, webp, heic and tiff are taken"));
        };
        let sha256 = sha256_hex(&bytes);
        if let Some(there) = self.photos_of(fault.id)?.iter().find(|p| p.sha256 == sha256) {
            return Err(refused(
                "photo-there",
                format!("{} has this picture already: {}", fault.code, there.name),
            )
            .hint("nothing was written"));
        }
        let now = self.now();
        let name = path.file_name().map_or_else(|| "photo".to_owned(), |n| n.to_string_lossy().into_owned());
        let name = crate::exchange::csv::clean(&name);
        let row = Attachment {
            id: AttachmentId(self.ids.make(now)),
            ended_at: None,
            sha256,
            name: name.clone(),
            mime: sort.mime.to_owned(),
            bytes: encode(&bytes),
            piece_id: fault.piece_id,
            fault_id: Some(fault.id),
            noted_on: Some(now.with_timezone(&self.zone()).date_naive()),
        };
        let said = format!("{}: photo {name} kept ({})", fault.code, kib(bytes.len()));
        self.apply(&Deed {
            verb: "photo-add",
            what: said.clone(),
            at_ms: self.now().timestamp_millis(),
            rows: vec![row.to_row()],
        })?;
        Ok(said)
    }

    /// The photos of a fault in the order they came, without their bytes.
    pub(super) fn photos_of(&self, fault: FaultId) -> Result<Vec<Attachment>, Problem> {
        let mut all = self.store.list_attachments()?;
        all.retain(|a| a.fault_id == Some(fault));
        all.sort_by_key(|a| a.id);
        Ok(all)
    }

    /// Writes the `number`-th photo of a fault, from 1, into `folder` under its hash, and gives its path.
    ///
    /// # Errors
    /// `no-photo`; what the system says where it can't be written.
    pub fn photo_file(&self, fault: &str, number: usize, folder: &Path) -> Result<PathBuf, Problem> {
        let fault = fault_by_code(self, fault)?;
        let photos = self.photos_of(fault.id)?;
        let row = number.checked_sub(1).and_then(|n| photos.get(n)).ok_or_else(|| {
            let (what, hint) = if photos.is_empty() {
                (
                    format!("{} has no photo", fault.code),
                    "add one: ladderday fault photo CODE FILE".to_owned(),
                )
            } else {
                (format!("{} has no photo {number}", fault.code), format!("1 to {}", photos.len()))
            };
            refused("no-photo", what).hint(hint)
        })?;
        let whole = self.store.load_attachment(row.id)?;
        let bytes = whole.and_then(|a| decode(&a.bytes)).filter(|b| sha256_hex(b) == row.sha256).ok_or_else(
            || {
                Problem::new(
                    ProblemKind::File,
                    "photo-damaged",
                    format!("{} does not match its hash", row.name),
                )
                .hint("ladderday verify; then restore a backup")
            },
        )?;
        let ending = SORTS.iter().find(|s| s.mime == row.mime).map_or("bin", |s| s.ending);
        make_folder(folder).map_err(|e| io_problem(folder, "made", &e))?;
        let path = folder.join(format!("{}.{ending}", row.sha256));
        // What is there under this hash may be cut short: it is written anew unless it is the same.
        if std::fs::read(&path).is_ok_and(|there| there == bytes) {
            return Ok(path);
        }
        write_whole(&path, &bytes).map_err(|e| io_problem(&path, "written", &e))?;
        Ok(path)
    }

    /// The photos of a fault as an answer.
    ///
    /// # Errors
    /// `no-fault`.
    pub fn photos_answer(&self, fault: &str) -> Result<String, Problem> {
        let fault = fault_by_code(self, fault)?;
        let photos = self.photos_of(fault.id)?;
        if photos.is_empty() {
            return Ok(format!("{} has no photo\n", fault.code));
        }
        let lines = photo_lines(&photos.iter().collect::<Vec<_>>());
        Ok(lines.iter().fold(String::new(), |out, line| format!("{out}{line}\n")))
    }
}

fn too_large(path: &Path, bytes: u64) -> Problem {
    unusable("file-too-large", format!("{} has {bytes} bytes", path.display()))
        .hint(format!("at most {MOST_BYTES} bytes (8 MiB) are kept: make it smaller"))
}

fn kib(bytes: usize) -> String {
    format!("{} KiB", bytes.div_ceil(1024))
}

/// The named file can't be used for this.
fn unusable(code: &'static str, what: String) -> Problem {
    Problem::new(ProblemKind::File, code, what)
}
