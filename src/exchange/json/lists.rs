//! The smaller documents: lists of steps, faults, needs, seasons, sessions, findings, and what a deed said.

use serde::Serialize;

/// What a deed did, once it is on disk.
#[derive(Debug, Clone, Serialize)]
pub struct DeedDoc {
    pub said: String,
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
    pub found: String,
    pub state: String,
    pub ended: bool,
    pub bench: bool,
    pub next: String,
    pub entries: Vec<String>,
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
    pub reasons: Vec<String>,
}

#[derive(Debug, Clone, Serialize)]
pub struct BasketLineDoc {
    pub item: String,
    pub packs: i64,
    pub pack: i64,
    pub price: String,
    /// The day of the price, in words.
    pub priced: String,
}

#[derive(Debug, Clone, Serialize)]
pub struct BasketDoc {
    pub vendor: String,
    pub order_by: String,
    pub late: bool,
    pub goods: String,
    pub shipping: String,
    pub total: String,
    pub lines: Vec<BasketLineDoc>,
}

#[derive(Debug, Clone, Serialize)]
pub struct BuyDoc {
    pub needs: Vec<NeedDoc>,
    pub baskets: Vec<BasketDoc>,
    pub total: String,
    pub proven: bool,
    pub unmet: Vec<String>,
    /// What the budget does not reach.
    pub left_out: Vec<String>,
    /// What the choices change against the plain answer.
    pub against: Option<String>,
    /// What differs from the plain answer, one line each.
    pub changes: Vec<String>,
    pub calendar: Vec<String>,
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
    pub from: String,
    pub to: String,
    pub people: Vec<String>,
    pub work_lights: bool,
    pub forecast: String,
    /// Sunset, dusk …, and how long each light of a step lasts within it.
    pub light: String,
    pub lost: bool,
}

#[derive(Debug, Clone, Serialize)]
pub struct SessionsDoc {
    pub sessions: Vec<SessionRowDoc>,
}

/// One finding of a check or of verify.
#[derive(Debug, Clone, Serialize)]
pub struct FindingDoc {
    pub severity: String,
    pub code: String,
    pub place: String,
    pub what: String,
    pub value: String,
    pub limit: String,
    pub remedy: String,
    pub caution: Option<String>,
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

/// What a trial changes; texts as on the screen.
#[derive(Debug, Clone, Serialize)]
pub struct TriedDoc {
    pub what: String,
    /// Lowest pixel of each string that changes.
    pub lowest: Vec<TriedChangeDoc>,
    pub supplies: Vec<TriedChangeDoc>,
    pub gone: Vec<FindingDoc>,
    pub come: Vec<FindingDoc>,
}

#[derive(Debug, Clone, Serialize)]
pub struct TriedChangeDoc {
    pub name: String,
    pub before: String,
    pub after: String,
}

/// One phase of switching on at one circuit.
#[derive(Debug, Clone, Serialize)]
pub struct StartPhaseDoc {
    pub circuit: String,
    pub phase: usize,
    pub boxes: Vec<String>,
    pub peak: String,
    pub limit: String,
    /// What runs on the circuit once the phase has started.
    pub runs: Option<String>,
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
