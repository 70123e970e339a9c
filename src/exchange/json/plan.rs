//! `plan … --json`. All times carry an offset; figures are SI.

use serde::Serialize;

#[derive(Debug, Clone, Serialize)]
pub struct PlanDoc {
    pub season: String,
    pub phase: String,
    pub now: String,
    pub lights_on: Option<String>,
    pub rehearsal: Option<String>,
    pub finish: Option<String>,
    pub finish_lower_bound: Option<String>,
    pub seed: u64,
    pub stopped_by: String,
    pub told: ToldDoc,
    pub goals: Vec<GoalDoc>,
    pub proven: bool,
    pub odds: Option<OddsDoc>,
    pub moves: MovesDoc,
    pub setup: SetUpDoc,
    pub sessions: Vec<SessionDoc>,
    pub equipment: Vec<EquipmentDoc>,
    pub steps: Vec<StepDoc>,
    pub unplaced: Vec<UnplacedDoc>,
    /// Placements that can't be ready in time and would keep others waiting: all else is planned without them.
    pub left_out: Vec<String>,
    pub assumed: Vec<String>,
}

#[derive(Debug, Clone, Serialize)]
pub struct ToldDoc {
    pub sessions: bool,
    pub people: bool,
    pub equipment: bool,
}

#[derive(Debug, Clone, Serialize)]
pub struct GoalDoc {
    pub name: String,
    pub value: i64,
    pub bound: i64,
}

/// Chance of lights on in time, 0 to 1, with all that the plan does not leave out, and the finish dates that 50, 80 and 95 of 100 runs meet.
#[derive(Debug, Clone, Serialize)]
pub struct OddsDoc {
    pub by_lights_on: f64,
    pub standard_error: f64,
    /// The end of the last session where the work is not done by it: see `beyond`.
    pub p50: String,
    pub p80: String,
    pub p95: String,
    /// Which of these are not met by the last session.
    pub beyond: Vec<String>,
    pub runs: u32,
    /// Chance that a session is lost to weather, January to December; `basis` says where it comes from.
    pub lost_by_month: Vec<f64>,
    /// What drives the risk, the strongest first.
    pub risks: Vec<String>,
    /// Where the chances come from.
    pub basis: Vec<String>,
}

#[derive(Debug, Clone, Serialize)]
pub struct MovesDoc {
    pub ladder: usize,
    pub place: usize,
}

#[derive(Debug, Clone, Serialize)]
pub struct SetUpDoc {
    pub place_minutes: i64,
    pub ladder_minutes: i64,
    /// Of each session used.
    pub session_minutes: i64,
    pub indoors_breaks: bool,
}

#[derive(Debug, Clone, Serialize)]
pub struct SessionDoc {
    pub id: String,
    pub from: String,
    pub to: String,
    pub work_lights: bool,
    /// Minutes of people planned in it, moving among them, and minutes for which people are there from now on.
    pub load_minutes: i64,
    pub room_minutes: i64,
    pub people: Vec<PersonDoc>,
    pub light: LightDoc,
    pub forecast: Option<ForecastDoc>,
}

/// A person in a session; `from` and `to` null are the session's.
#[derive(Debug, Clone, Serialize)]
pub struct PersonDoc {
    pub name: String,
    pub skills: Vec<String>,
    pub from: Option<String>,
    pub to: Option<String>,
}

#[derive(Debug, Clone, Serialize)]
pub struct LightDoc {
    pub sun: String,
    pub civil: String,
    pub sunrise: Option<String>,
    pub sunset: Option<String>,
    pub dawn: Option<String>,
    pub dusk: Option<String>,
}

/// Null where that part was not told. Gust in m/s, lowest temperature in °C.
#[derive(Debug, Clone, Serialize)]
pub struct ForecastDoc {
    pub rain: Option<bool>,
    pub snow: Option<bool>,
    pub ice: Option<bool>,
    pub frozen: Option<bool>,
    pub gust_ms: Option<f64>,
    pub low_c: Option<f64>,
}

#[derive(Debug, Clone, Serialize)]
pub struct EquipmentDoc {
    pub name: String,
    pub count: i64,
    pub ladder: bool,
}

#[derive(Debug, Clone, Serialize)]
pub struct CountDoc {
    pub done: i64,
    pub of: i64,
}

/// The part that is planned of a step too long for any session: so many pieces `of` those left; `minutes`, `from` and
/// `to` are the part's, and the rest is planned once the part is counted.
#[derive(Debug, Clone, Serialize)]
pub struct PartDoc {
    pub pieces: i64,
    pub of: i64,
}

#[derive(Debug, Clone, Serialize)]
pub struct ToolDoc {
    pub name: String,
    pub count: i64,
}

#[derive(Debug, Clone, Serialize)]
pub struct AfterDoc {
    pub key: String,
    pub wait_minutes: i64,
    pub within_minutes: Option<i64>,
    pub same_day: bool,
    /// What the other step started runs until then: in the same session, with somebody of it there.
    pub watched: bool,
    pub reason: String,
    pub why: String,
}

#[derive(Debug, Clone, Serialize)]
pub struct LimitsDoc {
    pub min_c: Option<f64>,
    pub max_gust_ms: Option<f64>,
    pub dry: bool,
    pub unfrozen: bool,
}

#[derive(Debug, Clone, Serialize)]
pub struct StepDoc {
    pub key: String,
    pub role: String,
    pub title: String,
    pub subject: String,
    pub placement: Option<String>,
    pub place: Option<String>,
    pub access: String,
    pub state: String,
    pub count: Option<CountDoc>,
    /// Null where all that is left is planned.
    pub part: Option<PartDoc>,
    pub order: usize,
    pub late: bool,
    pub minutes: i64,
    pub setup_minutes: i64,
    pub hands: i64,
    pub skills: Vec<String>,
    /// One list a hand; whoever fills it can do all of it.
    pub needs: Vec<Vec<String>>,
    pub equipment: Vec<ToolDoc>,
    pub after: Vec<AfterDoc>,
    pub light: String,
    pub deed: String,
    /// Code of the box that must be off or on meanwhile, and which.
    pub r#box: Option<String>,
    pub mode: Option<String>,
    pub not_alone: bool,
    pub limits: LimitsDoc,
    pub cautions: Vec<String>,
    pub session: Option<String>,
    pub from: Option<String>,
    pub to: Option<String>,
    /// It can't begin earlier, nor end later without losing worth, a step or a day, whatever the others do.
    pub earliest: Option<String>,
    pub latest: Option<String>,
    /// Of its placement, 1 to 5.
    pub worth: Option<i64>,
    pub people: Vec<String>,
}

#[derive(Debug, Clone, Serialize)]
pub struct UnplacedDoc {
    pub key: String,
    pub code: String,
    pub why: String,
    pub remedy: String,
}

/// `plan why KEY --json`
#[derive(Debug, Clone, Serialize)]
pub struct WhyDoc {
    pub key: String,
    pub title: String,
    pub from: Option<String>,
    /// On the chain that decides the finish.
    pub critical: bool,
    pub bounds: Vec<BoundDoc>,
    /// Of sessions before: why it is not there.
    pub earlier: Vec<String>,
}

/// One thing that keeps a step from being earlier, and the step that does where one does.
#[derive(Debug, Clone, Serialize)]
pub struct BoundDoc {
    pub code: String,
    pub text: String,
    pub remedy: String,
    pub by: Option<String>,
}
