//! What `--json` prints: one document type a command, with names that scripts rely on.
//!
//! Not here: computing (`app` fills these), paths and files.

mod choices;
mod figures;
mod finding;
mod lists;
mod plan;
mod record;
mod setup;
mod stored;
mod told;

pub use choices::{
    ChoiceDoc, ChoicesDoc, DifferenceDoc, DropDoc, DropListDoc, HelpDoc, HelpsDoc, WhatIfDoc, WhatIfSideDoc,
};
pub use finding::{Figures, FindingDoc};
pub use lists::{
    BasketDoc, BasketLineDoc, BuyDoc, ConflictDoc, DeedDoc, EnergyDoc, EntryDoc, ErrorDoc, ExpectedDoc,
    FaultDoc, FaultsDoc, FindingsDoc, GuideDoc, GuideResultDoc, GuideStepDoc, JournalDoc, KitDetailDoc,
    KitDoc, KitLineDoc, KitRowDoc, NamedDoc, NeedDoc, NetworkDoc, NumbersDoc, OverviewDoc, PastDeedDoc,
    ProblemDoc, RivalDoc, SeasonDoc, SeasonsDoc, SessionRowDoc, SessionsDoc, StartPhaseDoc, StepRowDoc,
    StepsDoc, TriedChangeDoc, TriedDoc,
};
pub use plan::{
    AfterDoc, BoundDoc, CountDoc, EquipmentDoc, ForecastDoc, GoalDoc, LightDoc, LimitsDoc, MovesDoc, OddsDoc,
    PartDoc, PersonDoc, PlanDoc, SessionDoc, SetUpDoc, StepDoc, ToldDoc, ToolDoc, UnplacedDoc, WhyDoc,
};

pub use told::{Columns, KindDoc, ToldFactDoc, ToldKindsDoc, ToldRowsDoc};

pub use record::{
    BenchDoc, BenchListDoc, ComparisonDoc, CountRowDoc, DarkDoc, DurationDoc, GroupDoc, HistoryDoc,
    IntervalDoc, LastingDoc, RateDoc, SideDoc, SpareDoc, SparesDoc,
};

pub use stored::{DateConflictDoc, DateDoc, DatesDoc, FoundDoc, PackDoc, PackedToteDoc, ShelfDoc, ToteDoc};

pub use setup::{KeyDoc, PaperDoc, PaperTickDoc, SettingsDoc, SettingsFaultDoc, TextDoc};

/// The text of a document, indented, with a newline at its end.
pub fn text(doc: &impl serde::Serialize) -> String {
    figures::text(doc) + "\n"
}
