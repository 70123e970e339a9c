//! Answers of earlier searches, kept in a file beside the yard: a command need not search again for what another found.
//!
//! A cache that may be lost: each answer stands under a number made of all that its search was given, so it is what a
//! search would find again. Another build of the program has its own.

use std::collections::VecDeque;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use crate::planner::Known;

/// So many answers are kept, the newest.
const MOST: usize = 12;
/// No cache of this program is larger.
const LARGEST: u64 = 32 * 1024 * 1024;

/// The answers, read when they are first asked for.
pub(super) struct Solved {
    path: PathBuf,
    /// Nothing is written beside a yard that is not written to.
    writes: bool,
    held: Mutex<Option<Held>>,
}

#[derive(Default)]
struct Held(VecDeque<(u128, Vec<i64>)>);

impl Solved {
    pub(super) fn beside(yard: &Path, writes: bool) -> Self {
        let mut name = yard.as_os_str().to_owned();
        name.push("-plans");
        Self { path: name.into(), writes, held: Mutex::new(None) }
    }

    /// Whether anything is known at all.
    pub(super) fn any(&self) -> bool {
        self.held().as_ref().is_some_and(|h| !h.0.is_empty())
    }

    fn held(&self) -> MutexGuard<'_, Option<Held>> {
        let mut held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
        held.get_or_insert_with(|| read(&self.path).unwrap_or_default());
        held
    }
}

impl Known for Solved {
    fn get(&self, key: u128) -> Option<Vec<i64>> {
        self.held().as_ref()?.0.iter().find(|(k, _)| *k == key).map(|(_, answer)| answer.clone())
    }

    fn put(&self, key: u128, answer: Vec<i64>) {
        let mut held = self.held();
        let Some(held) = held.as_mut() else { return };
        if held.0.front().is_some_and(|(k, a)| *k == key && *a == answer) {
            return;
        }
        held.0.retain(|(k, _)| *k != key);
        held.0.push_front((key, answer));
        held.0.truncate(MOST);
        if self.writes {
            // What can't be kept is found again.
            let _ = write(&self.path, held);
        }
    }
}

/// This build of the program: another may search in another way.
fn build() -> String {
    let own = std::env::current_exe().and_then(std::fs::metadata);
    let of = |m: &std::fs::Metadata| {
        let at = m.modified().ok()?.duration_since(std::time::UNIX_EPOCH).ok()?;
        Some(format!("{} {}", m.len(), at.as_nanos()))
    };
    format!("ladderday {} {}", env!("CARGO_PKG_VERSION"), own.ok().as_ref().and_then(of).unwrap_or_default())
}

fn read(path: &Path) -> Option<Held> {
    if std::fs::metadata(path).ok()?.len() > LARGEST {
        return None;
    }
    let text = std::fs::read_to_string(path).ok()?;
    let mut lines = text.lines();
    let mut held = Held::default();
    if lines.next()? != build() {
        return None;
    }
    for line in lines {
        let (head, rest) = line.split_once(' ')?;
        let (key, sum) = head.split_once('.')?;
        if u64::from_str_radix(sum, 16).ok()? != sum_of(rest) {
            return None;
        }
        let numbers = rest.split(' ').map(|n| n.parse().ok()).collect::<Option<Vec<i64>>>()?;
        held.0.push_back((u128::from_str_radix(key, 16).ok()?, numbers));
    }
    Some(held)
}

fn write(path: &Path, held: &Held) -> std::io::Result<()> {
    let mut text = build();
    text.push('\n');
    for (key, answer) in &held.0 {
        let numbers = answer.iter().map(i64::to_string).collect::<Vec<_>>().join(" ");
        let _ = writeln!(text, "{key:x}.{:x} {numbers}", sum_of(&numbers));
    }
    let mut beside = path.as_os_str().to_owned();
    beside.push(".new");
    let beside = PathBuf::from(beside);
    std::fs::write(&beside, text)?;
    std::fs::rename(&beside, path).inspect_err(|_| {
        let _ = std::fs::remove_file(&beside);
    })
}

/// Tells a line that was damaged (FNV-1a).
fn sum_of(text: &str) -> u64 {
    text.bytes().fold(0xCBF2_9CE4_8422_2325, |h, b| (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01B3))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_kept_is_read_again_and_damage_is_nothing_known() {
        let folder = tempfile::tempdir().unwrap();
        let yard = folder.path().join("y.ladderday");
        let one = Solved::beside(&yard, true);
        for n in 0..20 {
            one.put(n, vec![n as i64, -3, 7]);
        }
        assert_eq!(Solved::beside(&yard, true).get(19), Some(vec![19, -3, 7]));
        assert_eq!(Solved::beside(&yard, true).get(1), None, "only the newest are kept");
        let file = folder.path().join("y.ladderday-plans");
        let text = std::fs::read_to_string(&file).unwrap();
        std::fs::write(&file, text.replace("-3", "-4")).unwrap();
        assert!(!Solved::beside(&yard, true).any());
        std::fs::write(&file, text.replace("ladderday", "laddernight")).unwrap();
        assert!(!Solved::beside(&yard, true).any());
    }
}
