//! The Faults screen: log, triage, bench.

use std::collections::BTreeMap;

use chrono::NaiveDate;

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Faults {
    pub rows: Vec<FaultRow>,
    /// The symptoms to pick from, in the order of how often they were seen here.
    pub symptoms: Vec<Symptom>,
    /// What can carry a fault: code and name of pieces and placements of this season.
    pub targets: Vec<(String, String)>,
    /// Code and name of the pieces of each placement that puts out several, by the placement's code.
    pub pieces: BTreeMap<String, Vec<(String, String)>>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Symptom {
    pub code: &'static str,
    pub text: &'static str,
    /// Whether it asks for a pixel number.
    pub asks_pixel: bool,
}

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct FaultRow {
    pub id: uuid::Uuid,
    pub code: String,
    /// "Bridge arch 2 (P-031)".
    pub target: String,
    /// Where that is now: "Drive edge", "Bench tote".
    pub place: String,
    /// "dark from pixel 37 on".
    pub symptom: String,
    /// "open", "patched", "off", "waiting for a part", "mended, to be tested", "ended", "scrapped".
    pub state: &'static str,
    pub ended: bool,
    /// It waits on the bench.
    pub bench: bool,
    /// It is up: nobody mends it on the bench before it is down.
    pub hangs: bool,
    /// The day of the first step of a coming season that uses the piece.
    pub needed_by: Option<NaiveDate>,
    /// What to do next.
    pub next: String,
}

/// All about one fault: asked for when it is marked.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct FaultDetail {
    /// "Sun 14 Dec 2025 21:05, by Wren, rain".
    pub found: String,
    /// One line an entry: date, deed, note.
    pub entries: Vec<String>,
    /// Read before anything is tried.
    pub cautions: Vec<String>,
    /// What to try, in order, by symptom; nothing for what is over.
    pub guide: Vec<GuideStep>,
    /// Codes of the spares that may go out in its place, the one proposed first.
    pub spares: Vec<String>,
    /// "1  sign.jpg, 14 Dec 2025".
    pub photos: Vec<String>,
}

/// One thing to try.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GuideStep {
    pub code: String,
    pub what: String,
    /// Code, what is seen, what it means.
    pub results: Vec<[String; 3]>,
    /// What it showed, and what that means, where it was tried.
    pub answer: Option<String>,
}
