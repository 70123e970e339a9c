//! What the screens show, as plain structs: text is ready to read, in the site's units and words.
//!
//! Every struct here is computed by a use case of `app`; a screen draws it and holds nothing that is not in it.
//!
//! Not here: drawing, colours, keys (`tui`); JSON (`exchange`).

mod buy;
mod faults;
mod finding;
mod kit;
mod past;
mod plan;
mod power;
mod seasons;
mod sheets;
mod today;
mod totes;
mod walk;
mod yard;

pub use buy::{Basket, BasketLine, Buy, NeedRow, OrderRow};
pub use faults::{FaultDetail, FaultRow, Faults, GuideStep, Symptom};
pub use finding::{Amount, Figure, Finding};
pub use kit::{Kit, KitDetail, KitKind, KitRow};
pub use past::PastRow;
pub use plan::{HELPS_MOST, Plan, PlanGoal, PlanSession, PlanStep, UnplacedRow, WorkKind};
pub use power::{NumberRow, Power, PowerNode, SeasonEnergy, StartPhase, StringVoltage, Tried, TriedChange};
pub use seasons::{DateConflict, DateRow, Dates, RecordBar, SeasonRow, Seasons};
pub use sheets::{
    BoxCard, CardLine, ChecklistGroup, ChecklistLine, ChecklistSheet, Event, Pick, ShoppingLine,
    ShoppingSheet, ShoppingVendor, When,
};
pub use today::{Aim, Alarm, HeldRow, ReadyPlace, Today, ToldApart};
pub use totes::{Drying, DryingRow, ShelfRow, ToteRow, Totes};
pub use walk::{ConnectLine, FetchLine, PauseRow, ReadingLine, StepState, Walk, WalkPlace, WalkStep};
pub use yard::{Building, YardMap, YardPlace};

/// What every screen's frame shows, whatever the screen.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Frame {
    /// "Midwinter Harbor 2026"; empty where there is no season.
    pub season: String,
    /// "Tue 1 Sep 2026 18:00".
    pub now: String,
    /// The clock is the demo's.
    pub demo_clock: bool,
    /// Why nothing can be written, where that is so.
    pub read_only: Option<String>,
    /// "18:04 ticked: drive stakes, boat cut-outs"; the last deed that is on disk.
    pub last_deed: Option<String>,
    /// Nothing is told yet: the first-run page shows.
    pub empty: bool,
}

/// What is next, as Today, Walk, Yard and Plan say it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Next {
    /// The step's key.
    pub key: String,
    /// "Sat 7 Nov 2026 09:00: Porch box, Bench test".
    pub text: String,
}

/// How pressing something is; always with a word, never by colour alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// Must stop the work.
    Stop,
    /// What this day asks for.
    Due,
    /// To be put right.
    Mend,
    /// Good to know.
    Note,
}

/// The screens, in the order of their digits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ScreenId {
    Today,
    Walk,
    Yard,
    Plan,
    Kit,
    Power,
    Faults,
    Totes,
    Buy,
    Seasons,
}

impl ScreenId {
    pub const ALL: [Self; 10] = [
        Self::Today,
        Self::Walk,
        Self::Yard,
        Self::Plan,
        Self::Kit,
        Self::Power,
        Self::Faults,
        Self::Totes,
        Self::Buy,
        Self::Seasons,
    ];

    pub const fn name(self) -> &'static str {
        match self {
            Self::Today => "Today",
            Self::Walk => "Walk",
            Self::Yard => "Yard",
            Self::Plan => "Plan",
            Self::Kit => "Kit",
            Self::Power => "Power",
            Self::Faults => "Faults",
            Self::Totes => "Totes",
            Self::Buy => "Buy",
            Self::Seasons => "Seasons",
        }
    }
}
