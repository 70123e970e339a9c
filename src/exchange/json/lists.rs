//! The smaller documents: lists of steps, faults, needs, seasons, sessions, findings, and what a deed said.

use serde::Serialize;

use super::{Figures, FindingDoc};

/// What a deed did, once it is on disk.
#[derive(Debug, Clone, Serialize)]
pub struct DeedDoc {
    pub said: String,
    /// Nothing where nothing was written to the journal.
    pub entry: Option<EntryDoc>,
    pub made: Vec<NamedDoc>,
    pub changed: Vec<NamedDoc>,
}

/// An entry of the journal.
#[derive(Debug, Clone, Serialize)]
pub struct EntryDoc {
    pub device: String,
    pub number: i64,
}

/// A row by its table and its code; of a tick the step's key, of a row without a code its id.
#[derive(Debug, Clone, Serialize)]
pub struct NamedDoc {
    pub kind: String,
    pub code: String,
}

/// What could not be done.
#[derive(Debug, Clone, Serialize)]
pub struct ErrorDoc {
    pub error: ProblemDoc,
}

#[derive(Debug, Clone, Serialize)]
pub struct ProblemDoc {
    pub code: String,
    pub what: String,
    pub hints: Vec<String>,
}

/// Everything that is owned or placed.
#[derive(Debug, Clone, Serialize)]
pub struct KitDoc {
    pub kit: Vec<KitRowDoc>,
}

#[derive(Debug, Clone, Serialize)]
pub struct KitRowDoc {
    pub code: String,
    /// Its table.
    pub kind: String,
    pub name: String,
    pub sort: String,
    pub state: String,
    pub home: String,
}

/// All about one thing, as the page in Kit has it.
#[derive(Debug, Clone, Serialize)]
pub struct KitDetailDoc {
    pub code: String,
    /// Its table.
    pub kind: String,
    pub lines: Vec<KitLineDoc>,
}

/// A fact, or what happened to it.
#[derive(Debug, Clone, Serialize)]
pub struct KitLineDoc {
    pub label: String,
    pub text: String,
}

/// What to try for a fault.
#[derive(Debug, Clone, Serialize)]
pub struct GuideDoc {
    pub fault: String,
    pub target: String,
    pub symptom: String,
    pub cautions: Vec<String>,
    pub steps: Vec<GuideStepDoc>,
}

#[derive(Debug, Clone, Serialize)]
pub struct GuideStepDoc {
    pub code: String,
    pub text: String,
    pub results: Vec<GuideResultDoc>,
    pub answered: bool,
}

/// What may be seen, and what it means.
#[derive(Debug, Clone, Serialize)]
pub struct GuideResultDoc {
    pub code: String,
    pub what: String,
    pub why: String,
}

/// A column that copies told apart; the first rival stands.
#[derive(Debug, Clone, Serialize)]
pub struct ConflictDoc {
    pub code: String,
    pub kind: String,
    pub of: String,
    pub column: String,
    pub rivals: Vec<RivalDoc>,
}

#[derive(Debug, Clone, Serialize)]
pub struct RivalDoc {
    pub value: String,
    pub copy: String,
    pub who: Option<String>,
    pub when: Option<String>,
}

/// One deed of the journal.
#[derive(Debug, Clone, Serialize)]
pub struct PastDeedDoc {
    pub at: String,
    pub what: String,
    pub undone: bool,
}

#[derive(Debug, Clone, Serialize)]
pub struct JournalDoc {
    pub deeds: Vec<PastDeedDoc>,
}

#[derive(Debug, Clone, Serialize)]
pub struct FaultDoc {
    pub code: String,
    pub target: String,
    pub symptom: String,
    /// RFC 3339.
    pub found: Option<String>,
    pub state: String,
    pub ended: bool,
    pub bench: bool,
    /// What to do next.
    pub remedy: String,
    /// What was done, a line an entry.
    pub note: Vec<String>,
}

#[derive(Debug, Clone, Serialize)]
pub struct FaultsDoc {
    pub faults: Vec<FaultDoc>,
}

#[derive(Debug, Clone, Serialize)]
pub struct NeedDoc {
    pub title: String,
    pub quantity: i64,
    pub need_by: Option<String>,
    pub order_by: Option<String>,
    pub vendor: Option<String>,
    pub price_cents: Option<i64>,
    pub why: Vec<String>,
}

#[derive(Debug, Clone, Serialize)]
pub struct BasketLineDoc {
    pub item: String,
    pub packs: i64,
    pub pack: i64,
    /// Of all packs.
    pub price_cents: i64,
    /// The day of the price.
    pub priced_on: Option<String>,
}

#[derive(Debug, Clone, Serialize)]
pub struct BasketDoc {
    pub vendor: String,
    /// Nothing where any day will do.
    pub order_by: Option<String>,
    pub late: bool,
    pub goods_cents: i64,
    pub shipping_cents: i64,
    pub total_cents: i64,
    pub lines: Vec<BasketLineDoc>,
}

#[derive(Debug, Clone, Serialize)]
pub struct BuyDoc {
    pub needs: Vec<NeedDoc>,
    pub baskets: Vec<BasketDoc>,
    /// Nothing where there is no basket.
    pub total_cents: Option<i64>,
    /// ISO 4217; empty where it is not known.
    pub currency: String,
    pub proven: bool,
    pub unmet: Vec<String>,
    /// What the budget does not reach.
    pub left_out: Vec<String>,
    /// What the choices change against the plain answer.
    pub against: Option<String>,
    /// What differs from the plain answer, one line each.
    pub changes: Vec<String>,
    pub calendar: Vec<String>,
    /// What could not be counted, as nothing of it is told.
    pub not_told: Vec<String>,
}

/// What the program answers without a command: the plan of the phase that runs, what is broken, what to buy.
#[derive(Debug, Clone, Serialize)]
pub struct OverviewDoc {
    pub plan: super::PlanDoc,
    pub faults: Vec<FaultDoc>,
    pub buy: BuyDoc,
}

#[derive(Debug, Clone, Serialize)]
pub struct SeasonDoc {
    pub code: String,
    pub name: String,
    pub lit: String,
    pub state: String,
    pub placements: usize,
    pub steps_done: usize,
    pub planned_minutes: i64,
    pub taken_minutes: i64,
    pub faults: usize,
    /// Nights and hours; nothing where they are not told.
    pub hours: Option<String>,
}

#[derive(Debug, Clone, Serialize)]
pub struct SeasonsDoc {
    pub seasons: Vec<SeasonDoc>,
}

#[derive(Debug, Clone, Serialize)]
pub struct StepRowDoc {
    pub key: String,
    pub code_key: String,
    pub title: String,
    pub subject: String,
    pub state: String,
    pub minutes: i64,
    pub session: Option<String>,
    pub from: Option<String>,
}

#[derive(Debug, Clone, Serialize)]
pub struct StepsDoc {
    pub season: String,
    pub phase: String,
    pub steps: Vec<StepRowDoc>,
}

#[derive(Debug, Clone, Serialize)]
pub struct SessionRowDoc {
    pub code: String,
    /// RFC 3339.
    pub from: String,
    pub to: String,
    pub people: Vec<String>,
    pub work_lights: bool,
    /// Nothing where none is told.
    pub forecast: Option<super::ForecastDoc>,
    /// Nothing where the position is not told.
    pub light: Option<super::LightDoc>,
    pub lost: bool,
}

#[derive(Debug, Clone, Serialize)]
pub struct SessionsDoc {
    pub sessions: Vec<SessionRowDoc>,
}

#[derive(Debug, Clone, Serialize)]
pub struct FindingsDoc {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub what_if: Option<TriedDoc>,
    pub findings: Vec<FindingDoc>,
    pub not_told: Vec<String>,
    pub start_up: Vec<StartPhaseDoc>,
    pub numbers: Vec<NumbersDoc>,
    pub expected: Vec<ExpectedDoc>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub energy: Option<EnergyDoc>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub network: Option<NetworkDoc>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub caution: Option<&'static str>,
}

/// Where the watts of the low-voltage side go, at the show's level.
#[derive(Debug, Clone, Serialize)]
pub struct NetworkDoc {
    pub load_w: f64,
    pub wire_loss_w: f64,
    pub supply_w: f64,
}

/// What the season takes from the mains.
#[derive(Debug, Clone, Serialize)]
pub struct EnergyDoc {
    /// At the average level.
    pub watts: f64,
    pub hours_a_night: f64,
    pub nights: u32,
    pub kwh: f64,
    /// In the site's currency; nothing where no price is told.
    pub cost: Option<f64>,
}

/// What a trial changes.
#[derive(Debug, Clone, Serialize)]
pub struct TriedDoc {
    pub what: String,
    /// Lowest pixel of each string that changes.
    pub lowest: Vec<TriedChangeDoc>,
    pub supplies: Vec<TriedChangeDoc>,
    pub gone: Vec<FindingDoc>,
    pub come: Vec<FindingDoc>,
}

/// Flat beside the name: `before_v` and `after_v` of a string's lowest pixel; `before_a`, `after_a` and `limit_a` of a supply.
/// What is not known is not there.
#[derive(Debug, Clone, Serialize)]
pub struct TriedChangeDoc {
    pub name: String,
    #[serde(flatten)]
    pub figures: Figures,
}

/// One phase of switching on at one circuit.
#[derive(Debug, Clone, Serialize)]
pub struct StartPhaseDoc {
    pub circuit: String,
    pub phase: usize,
    pub boxes: Vec<String>,
    pub peak_a: Option<f64>,
    pub limit_a: Option<f64>,
    /// What runs on the circuit once the phase has started.
    pub runs_a: Option<f64>,
    pub over: bool,
}

/// Universes and slots of one data lead.
#[derive(Debug, Clone, Serialize)]
pub struct NumbersDoc {
    pub lead: String,
    pub name: String,
    pub first: String,
    pub last: String,
    pub groups: String,
    pub proposed: bool,
}

/// A current to expect at the load rehearsal.
#[derive(Debug, Clone, Serialize)]
pub struct ExpectedDoc {
    pub target: String,
    pub at: String,
    pub amps: Option<f64>,
    pub of: String,
}
