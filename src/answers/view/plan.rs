//! The Plan screen: a timeline by day and person.

use crate::answers::view::Next;

/// The label of what helps most to be in time, among what was weighed.
pub const HELPS_MOST: &str = "helps most";

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Plan {
    pub phase: String,
    /// The show that is over, where none is ahead.
    pub ended: Option<String>,
    pub lights_on: Option<String>,
    /// Of a takedown, the last day that is lit, and whether that is still ahead.
    pub lit_until: Option<(String, bool)>,
    pub rehearsal: Option<String>,
    pub finish: Option<String>,
    /// Steps that have no room in any session, those that wait for them and those held not counted.
    pub no_place: usize,
    /// The plan ends after the rehearsal or after lights on.
    pub ends_late: bool,
    /// What is next, wherever that is.
    pub next: Option<Next>,
    /// What this plan begins with, where something else comes before it: while a show is lit its round, before its takedown.
    pub begins: Option<Next>,
    /// The next session told, of whatever phase: "Sat 9 Jan 09:00 to 12:00".
    pub next_session: Option<String>,
    pub goals: Vec<PlanGoal>,
    pub proven: bool,
    /// "93 %", once computed.
    pub odds: Option<String>,
    /// "50 % by 12 Nov, 80 % by 14 Nov, 95 % by 20 Nov".
    pub finish_odds: Option<String>,
    pub ladder_moves: usize,
    pub place_moves: usize,
    pub sessions: Vec<PlanSession>,
    pub unplaced: Vec<UnplacedRow>,
    /// What drives the risk, once computed.
    pub risks: Vec<String>,
    pub not_told: Vec<String>,
    /// Everybody who is told of, to choose who comes.
    pub people: Vec<String>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlanGoal {
    pub name: String,
    pub value: String,
    pub bound: String,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlanSession {
    pub code: String,
    /// "Sat 17 Oct".
    pub day: String,
    /// "2026-10-17", as it is typed.
    pub date: String,
    /// Minutes of the local day.
    pub from_min: i64,
    pub to_min: i64,
    pub people: Vec<String>,
    pub work_lights: bool,
    /// Minutes of the local day of sunrise, sunset, dawn, dusk; nothing where they don't happen.
    pub sunrise_min: Option<i64>,
    pub sunset_min: Option<i64>,
    pub dawn_min: Option<i64>,
    pub dusk_min: Option<i64>,
    /// "rain, gust 25 mph, low 31 °F"; nothing where none was entered.
    pub forecast: Option<String>,
    /// Chance that weather or life takes it, in percent, by the month and the yard's record.
    pub lost_pct: u8,
    /// "up: Roof stars, Boats; lit: Arches; step ladder".
    pub summary: String,
    pub past: bool,
    pub steps: Vec<PlanStep>,
    /// Person-minutes used and there.
    pub used_min: i64,
    pub there_min: i64,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlanStep {
    pub key: String,
    /// The deed in a few letters.
    pub deed: String,
    pub kind: WorkKind,
    /// What its bar is named by: the prop without its number, else the place.
    pub bar: String,
    pub title: String,
    pub prop: String,
    pub place: String,
    pub from_min: i64,
    pub to_min: i64,
    pub setup_min: i64,
    pub people: Vec<String>,
    pub tools: Vec<String>,
    pub state: crate::answers::view::StepState,
    pub critical: bool,
    pub late: bool,
    /// The placement's code, where it belongs to one.
    pub placement: Option<String>,
    /// Why it is where it is, one line each.
    pub why: Vec<String>,
}

/// What kind of work a step is.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum WorkKind {
    /// Tests, mends, making and packing.
    Bench,
    /// Marks, stakes, pegs.
    Ground,
    /// Hanging, setting, tying.
    #[default]
    Mount,
    /// Leads, plugs, light tests.
    Wire,
    Desk,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnplacedRow {
    pub key: String,
    pub title: String,
    pub code: String,
    pub why: String,
    pub remedy: String,
}
