//! Ticks from paper: each printed checklist has a code and numbers of its own, and keeps what they stood for.
//!
//! They are kept beside the facts, not among them: losing them loses a short way to type, no deed. The last
//! [`SLOTS`] sheets are known.

use std::collections::BTreeMap;

use super::app::App;
use crate::answers::problem::Problem;
use crate::answers::view::ChecklistSheet;
use crate::deeds::{find_step, full_title, mistyped, refused, tick_rows};
use crate::domain::{Deed, TickKind};
use crate::steps::State;
use crate::store::{HOME, sha256_hex};

/// So many printed sheets are known; more would only grow the file.
const SLOTS: u64 = 16;
const COUNTER: &str = "sheets";
/// Letters that are read alike in no handwriting.
const LETTERS: &[u8] = b"ACDEFHJKLMNPRTUVWXY";

/// A printed sheet as it was kept.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Sheet {
    code: String,
    printed_ms: i64,
    /// Key and title by number, from 1.
    lines: Vec<(String, String)>,
}

/// One number as it will be taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PaperTick {
    pub number: usize,
    pub key: String,
    /// As it is printed.
    pub title: String,
    pub takes: Takes,
}

/// What becomes of a number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Takes {
    Done,
    /// So many of it.
    Count(i64),
    /// Done or skipped already: nothing is added.
    Already,
    /// The step is not there any more.
    Gone,
}

/// What numbers of a sheet come to; nothing is taken yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PaperTicks {
    pub sheet: String,
    /// When it was printed, in words.
    pub printed: String,
    pub ticks: Vec<PaperTick>,
    /// What of the whole sheet is otherwise now, one line each.
    pub stale: Vec<String>,
}

impl App {
    /// Gives a checklist its code and keeps what its numbers stand for. Where the yard can't be written, it stays
    /// without one.
    pub(super) fn number_sheet(&mut self, sheet: &mut ChecklistSheet) {
        if sheet.groups.is_empty() {
            return;
        }
        let told = self.store.meta(COUNTER).ok().flatten();
        let n = told.and_then(|t| t.parse::<u64>().ok()).unwrap_or(0) + 1;
        let mark = if self.store.device() == HOME { "" } else { self.store.device() };
        let lines: Vec<String> = sheet.lines().map(|l| format!("{}\t{}", l.key, l.title)).collect();
        let now = self.now().timestamp_millis();
        let digest = sha256_hex(format!("{mark} {n} {now}\n{}", lines.join("\n")).as_bytes());
        let letter = |at: usize| {
            let part = digest.get(at..at + 4).and_then(|d| usize::from_str_radix(d, 16).ok()).unwrap_or(0);
            LETTERS.get(part % LETTERS.len()).map_or('A', |l| char::from(*l))
        };
        let code = format!("{mark}{n}{}{}", letter(0), letter(4));
        let kept = format!("{code}\t{now}\n{}", lines.join("\n"));
        let wrote = self
            .store
            .set_meta(&format!("sheet {}", n % SLOTS), &kept)
            .and_then(|()| self.store.set_meta(COUNTER, &n.to_string()));
        if wrote.is_ok() {
            sheet.code = code;
        }
    }

    fn kept_sheet(&self, code: &str) -> Result<Sheet, Problem> {
        let mut known = Vec::new();
        for slot in 0..SLOTS {
            let Some(text) = self.store.meta(&format!("sheet {slot}"))? else { continue };
            let mut lines = text.lines();
            let Some((name, printed)) = lines.next().and_then(|l| l.split_once('\t')) else { continue };
            if name.eq_ignore_ascii_case(code.trim()) {
                let part = |l: &str| l.split_once('\t').map(|(k, t)| (k.to_owned(), t.to_owned()));
                return Ok(Sheet {
                    code: name.to_owned(),
                    printed_ms: printed.parse().unwrap_or(0),
                    lines: lines.filter_map(part).collect(),
                });
            }
            known.push(name.to_owned());
        }
        let hint = if known.is_empty() {
            "ladderday print checklist makes one".to_owned()
        } else {
            format!("sheets printed from this file: {}", known.join(", "))
        };
        Err(refused("no-sheet", format!("there is no sheet {code:?}"))
            .hint(hint)
            .hint("one that was printed from another copy is typed in there"))
    }

    /// What numbers of a printed sheet come to.
    ///
    /// # Errors
    /// `no-sheet`, `bad-number`, `number-beyond`, `count-beyond`.
    pub fn paper_ticks(&self, sheet: &str, numbers: &[String]) -> Result<PaperTicks, Problem> {
        let mut wanted: BTreeMap<usize, Option<i64>> = BTreeMap::new();
        for text in numbers.iter().flat_map(|t| t.split(',')).map(str::trim).filter(|t| !t.is_empty()) {
            let (from, to, count) = parted(text)?;
            wanted.extend((from..=to).map(|number| (number, count)));
        }
        let sheet = self.kept_sheet(sheet)?;
        let mut ticks = Vec::new();
        for (number, count) in wanted {
            let Some((key, title)) = number.checked_sub(1).and_then(|at| sheet.lines.get(at)) else {
                let what = format!("sheet {} has no number {number}", sheet.code);
                return Err(refused("number-beyond", what).hint(format!("1 to {}", sheet.lines.len())));
            };
            let takes = match (find_step(self, key), count) {
                (Err(_), _) => Takes::Gone,
                (Ok(found), count) => {
                    let progress = found.derived.progress.get(&found.step.key);
                    let state = progress.map_or(State::Open, |p| p.state);
                    match count {
                        _ if matches!(state, State::Done | State::Skipped) => Takes::Already,
                        Some(n) if progress.is_some_and(|p| p.done == n) => Takes::Already,
                        None => Takes::Done,
                        Some(n) if found.step.of.is_some_and(|of| (0..=of).contains(&n)) => Takes::Count(n),
                        Some(n) => {
                            let of = found.step.of.unwrap_or(1);
                            let what = format!("number {number}: {n} of {of} is not possible");
                            return Err(refused("count-beyond", what).hint(title.clone()));
                        }
                    }
                }
            };
            ticks.push(PaperTick { number, key: key.clone(), title: title.clone(), takes });
        }
        let mut stale = Vec::new();
        for (at, (key, title)) in sheet.lines.iter().enumerate() {
            match find_step(self, key) {
                Err(_) => stale.push(format!("{} {title}: not there any more", at + 1)),
                Ok(found) if full_title(&found.step) != *title => {
                    stale.push(format!("{} {title}: now {}", at + 1, full_title(&found.step)));
                }
                Ok(_) => {}
            }
        }
        Ok(PaperTicks { printed: self.outlook().say_ms(sheet.printed_ms), sheet: sheet.code, ticks, stale })
    }

    /// Takes what was ticked on paper, as one entry.
    pub(super) fn take_paper(&mut self, sheet: &str, numbers: &[String]) -> Result<String, Problem> {
        let paper = self.paper_ticks(sheet, numbers)?;
        let (mut rows, mut taken) = (Vec::new(), Vec::new());
        for tick in &paper.ticks {
            let (kind, count) = match tick.takes {
                Takes::Done => (TickKind::Done, None),
                Takes::Count(n) => (TickKind::Count, Some(n)),
                Takes::Already | Takes::Gone => continue,
            };
            rows.extend(tick_rows(self, &tick.key, kind, count)?);
            taken.push(tick.number.to_string());
        }
        if rows.is_empty() {
            return Err(refused("nothing-open", "none of these is open")
                .hint("what is done stays done; ladderday step list shows the rest"));
        }
        let what = format!("From paper, sheet {}: {}", paper.sheet, taken.join(", "));
        let deed = Deed { verb: "step-paper", what, at_ms: self.now().timestamp_millis(), rows };
        self.apply(&deed)?;
        Ok(format!("took {} of sheet {}: {}", taken.len(), paper.sheet, taken.join(", ")))
    }
}

/// `12`, `15-18` or `14=6`.
fn parted(text: &str) -> Result<(usize, usize, Option<i64>), Problem> {
    let bad = || {
        mistyped("bad-number", format!("{text:?} is no number of a sheet"))
            .hint("12 for one, 15-18 for several, 14=6 for 6 of it")
    };
    let number = |t: &str| t.trim().parse::<usize>().ok().filter(|n| (1..=9999).contains(n)).ok_or_else(bad);
    if let Some((n, count)) = text.split_once('=') {
        let count = count.trim().parse::<i64>().ok().filter(|c| *c >= 0).ok_or_else(bad)?;
        return Ok((number(n)?, number(n)?, Some(count)));
    }
    match text.split_once('-') {
        Some((from, to)) => {
            let (from, to) = (number(from)?, number(to)?);
            if from > to { Err(bad()) } else { Ok((from, to, None)) }
        }
        None => Ok((number(text)?, number(text)?, None)),
    }
}
