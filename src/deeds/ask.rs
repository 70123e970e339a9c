//! What a person can ask for: every deed of a screen or a command, as data.

use std::path::PathBuf;

use uuid::Uuid;

use crate::domain::{LookKind, Numbering, Phase, RepairDeed, TickKind};

/// A deed. `App::perform` does it, saves it and says in one line what was done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ask {
    /// Something happened to one step.
    Tick {
        key: String,
        kind: TickKind,
        count: Option<i64>,
        why: Option<String>,
    },
    /// One person confirms to do these steps alone.
    Alone {
        keys: Vec<String>,
    },
    /// Several steps were done together; their time is shared out.
    TickAll {
        keys: Vec<String>,
    },
    /// A step was done otherwise than planned.
    DoneDifferently {
        key: String,
        what: Difference,
        text: String,
    },
    /// A note to a step; changes nothing of its state.
    /// What was ticked on a printed checklist, by its numbers.
    Paper {
        sheet: String,
        numbers: Vec<String>,
    },
    Note {
        key: String,
        text: String,
    },
    LogFault(NewFault),
    /// Which piece of a placement of several a fault is of, once that is known.
    FaultPiece {
        fault: String,
        piece: String,
    },
    /// Time dark of a placement, by its code, or of `show`; nothing is the night of now.
    LogDark {
        target: String,
        /// As typed: 1h30.
        lasted: String,
        why: String,
        night: Option<String>,
    },
    Repair(NewRepair),
    /// A spare goes out in a faulty piece's place.
    ReplaceBySpare {
        fault: String,
        spare: String,
        note: String,
    },
    /// One of the values that copies told apart, as `conflict list` shows it.
    DecideConflict {
        code: String,
        value: String,
    },
    /// A fact of any kind, as typed: made, or changed where its code or name is there.
    Tell {
        /// Its table.
        kind: String,
        code: Option<String>,
        /// Columns, each with what is told of it; nothing where it is no longer told.
        cells: Vec<(String, String)>,
    },
    /// An answer to a question of the start.
    Start {
        question: crate::answers::start::Question,
        text: String,
    },
    /// A fact that no longer holds.
    End {
        kind: String,
        code: String,
        why: Option<String>,
    },
    /// A field of a fact, as typed.
    Edit {
        table: &'static str,
        id: Uuid,
        column: String,
        text: String,
    },
    /// "rain, gust 25 mph, low 31F, frozen" for a session, by its code.
    Forecast {
        session: String,
        text: String,
    },
    AddSession {
        starts: String,
        ends: String,
        people: Vec<String>,
        work_lights: bool,
    },
    /// Other times for a session, by its code; its people and forecast stay.
    MoveSession {
        session: String,
        starts: String,
        /// A time alone is of the day it starts; nothing keeps its length.
        ends: Option<String>,
    },
    /// Who comes to a session; nobody named means everybody.
    SessionPeople {
        session: String,
        people: Vec<String>,
    },
    /// A session that falls away.
    DropSession {
        session: String,
    },
    /// One prop of the coming season as one line: name, how many, where, how mounted.
    AddProp {
        line: String,
    },
    /// Files or folders to bring in, by their paths.
    Import {
        paths: Vec<String>,
        /// What columns of a list tell, as `Zeug=name`.
        columns: Vec<String>,
    },
    AddNeed {
        title: String,
        quantity: i64,
        need_by: Option<String>,
    },
    /// Write an order of what the basket has at a vendor.
    Order {
        vendor: String,
    },
    /// Something of an order arrived: products with how many pieces; all that is to come where none is named.
    Receive {
        order: String,
        lines: Vec<(String, Option<i64>)>,
        /// Code of the tote it goes into; nothing leaves its home untold.
        into: Option<String>,
    },
    /// An order is told to come on another day.
    ExpectOrder {
        order: String,
        on: String,
    },
    AddOffer(NewOffer),
    /// Who logs faults and repairs from now on, by name or code; on this laptop only, so it is no fact.
    LoggedBy {
        person: String,
    },
    /// A picture is copied into the yard and listed on a fault.
    AddPhoto {
        fault: String,
        path: PathBuf,
    },
    /// What one thing to try of a symptom's guide showed.
    AnswerGuide {
        fault: String,
        tried: String,
        result: String,
        note: String,
    },
    /// What a ticked step really took; no minutes say that no time is known. Without its time the last tick is meant.
    CorrectTime {
        key: String,
        ticked_ms: Option<i64>,
        minutes: Option<i64>,
        why: String,
    },
    /// Hold a placement back, or let it go on with nothing as reason.
    HoldPlacement {
        code: String,
        why: Option<String>,
    },
    NewSeason {
        code: String,
        name: String,
        lights_on: Option<String>,
    },
    /// Close a season; what was done differently is kept for next year or not, where it is said.
    CloseSeason {
        code: String,
        keep: Option<bool>,
        /// Code of the season that opens with it, and its lights on.
        next: Option<(String, Option<String>)>,
    },
    /// Keep the plan of a phase as what people expect.
    KeepPlan {
        phase: Phase,
    },
    /// Write the proposed universes and slots of leads that have none.
    WriteNumbers {
        /// Nothing takes the season's way.
        way: Option<Numbering>,
    },
    /// Currents read at the load rehearsal: code of supply, box or circuit, and amperes as typed.
    ReadMeter {
        key: String,
        readings: Vec<(String, String)>,
        /// The step is done with it.
        done: bool,
        why: Option<String>,
    },
    /// How pieces of a takedown step came off: good and dry ticks the step, the rest are exceptions. Nothing named
    /// means all pieces that have no exception yet.
    CameOff {
        key: String,
        how: LookKind,
        pieces: Vec<String>,
        /// Of a prop without labels: how many of it; nothing where that is not known.
        many: Option<i64>,
    },
    /// Pieces go into a tote by hand, by their codes as typed or scanned.
    PutInto {
        tote: String,
        pieces: Vec<String>,
    },
    /// Pieces are taken out of where they lie.
    TakeOut {
        pieces: Vec<String>,
    },
    /// A tote is counted: all that lives in it is there but what is missing, and what else was found in it.
    CountTote {
        tote: String,
        missing: Vec<String>,
        found: Vec<String>,
        /// Only what is named was counted: missing, or found, be it one that lives there.
        part: bool,
        /// Lots by their code, and how many there are.
        lots: Vec<(String, i64)>,
    },
    /// Let pieces live where `pack` proposes.
    WritePack,
    Undo,
    Redo,
}

/// The lot and the number of "ZIP=113".
pub fn lot_of(text: &str) -> Option<(String, i64)> {
    let (code, n) = text.split_once('=')?;
    let n = n.trim().replace([',', '\'', '_'], "").parse().ok()?;
    (!code.trim().is_empty()).then(|| (code.trim().to_owned(), n))
}

/// What was different.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Difference {
    Port,
    Lead,
    Place,
    Count,
    Level,
}

/// What was done about a fault on the night it was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tonight {
    Nothing,
    Mended,
    Patched,
    SwitchedOff,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewFault {
    /// Code of the piece or placement.
    pub target: String,
    /// Code of the symptom.
    pub symptom: String,
    /// Pixel number from the data end, or a segment in words.
    pub at: Option<String>,
    pub tonight: Tonight,
    pub note: String,
}

/// An offer, as typed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct NewOffer {
    /// Code or name.
    pub vendor: String,
    /// Code or name of a product.
    pub product: String,
    /// Of one pack: "12.50".
    pub price: String,
    pub pack: i64,
    pub min_packs: i64,
    pub max_packs: Option<i64>,
    pub lead_days: i64,
    /// As 2026-11-20.
    pub sale_from: Option<String>,
    pub sale_to: Option<String>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewRepair {
    /// The fault's code.
    pub fault: String,
    pub deed: RepairDeed,
    pub cause: Option<String>,
    pub minutes: Option<i64>,
    /// Code of a product used as a part, with how many as `PT-BULLET=3`, taken from stock.
    pub part: Option<String>,
    pub note: String,
}
