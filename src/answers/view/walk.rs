//! The Walk screen: the checklist of a session, one key a deed.

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Walk {
    /// "up", "down", "bench", "tonight" or "change".
    pub phase: String,
    /// "Sat 17 Oct 09:00 to 16:30"; "order without dates" where no sessions are told.
    pub session: String,
    /// Steps of this session, done ones included.
    pub places: Vec<WalkPlace>,
    /// What to bring before the session begins.
    pub fetch: Vec<FetchLine>,
    /// All steps of the phase in this season.
    pub phase_done: usize,
    pub phase_total: usize,
    /// The sessions that can be walked, in order, and which one this is.
    pub sessions: Vec<String>,
    pub session_at: usize,
    /// When the timer of the step at hand began: "18:05", the last tick of the session or its start.
    pub since: Option<String>,
    /// Leads to choose from where another one was used, those that hang nowhere first: code and words.
    pub leads: Vec<(String, String)>,
    /// Places to choose from: code and name.
    pub all_places: Vec<(String, String)>,
    /// What to do first where there is nothing to walk.
    pub empty_hint: Option<String>,
    /// Long pauses of the session that ended last, to be asked about.
    pub pauses: Vec<PauseRow>,
}

/// A long time before a tick.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PauseRow {
    /// The step's key, and when it was ticked.
    pub key: String,
    pub ticked_ms: i64,
    pub title: String,
    /// When the tick before was, or the session began.
    pub from: String,
    pub gap_min: i64,
    pub planned_min: i64,
}

/// The steps of one place, in the order of the plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WalkPlace {
    pub place: String,
    pub steps: Vec<WalkStep>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StepState {
    Open,
    Doing,
    Held,
    Done,
    Skipped,
}

impl StepState {
    pub const fn word(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Doing => "doing",
            Self::Held => "held",
            Self::Done => "done",
            Self::Skipped => "skipped",
        }
    }
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WalkStep {
    /// The step's key, as commands take it.
    pub key: String,
    /// The deed in a few letters, for lists: "Drive the stakes".
    pub deed: String,
    /// The deed in full.
    pub title: String,
    /// What it is done to: "boat cut-outs, 8".
    pub prop: String,
    /// The placement's code, where it belongs to one.
    pub placement: Option<String>,
    pub place: String,
    pub state: StepState,
    /// Done and of, where the step is over several pieces.
    /// It is work, not a date such as the rehearsal: what is counted as done and left.
    pub counts: bool,
    pub count: Option<(i64, i64)>,
    /// Minutes left, by the plan.
    pub minutes: i64,
    /// "09:40", where planned in a session for people who are told.
    pub from: Option<String>,
    pub people: Vec<String>,
    /// Ladder and tools by name.
    pub tools: Vec<String>,
    /// "day", "twilight", "lamp", "dark", "indoors".
    pub light: &'static str,
    /// Full sentences at the first step of a place that carries them, then a reminder by name; the first shows in the
    /// list, all in the big view.
    pub cautions: Vec<String>,
    /// What goes into which port, at connect steps.
    pub connects: Vec<ConnectLine>,
    /// The question asked before a connect.
    pub question: Option<String>,
    /// How many there are where none has a label: what is seen of them is told by number.
    pub unlabelled: Option<i64>,
    /// The labels of its pieces.
    pub labels: Vec<String>,
    /// "tote T-07, shelf 2".
    pub home: Option<String>,
    /// It is on its way there, not from there.
    pub comes_home: bool,
    /// Why it is held, or the note of a skip or a partial count.
    pub why: Option<String>,
    /// Nothing that is still to be done stands before it.
    pub ready: bool,
    /// Keys of what is still to be done before it; nothing where an hour or a day must come too.
    pub after: Vec<String>,
    /// Why it is too early yet, where what came before it still runs, cures or dries: "runs until 10:40".
    pub early: Option<String>,
    /// What it waits for: "after 'base poured': cures until Tue 9:00".
    pub waits: Vec<String>,
    pub critical: bool,
    /// "runs since 18:05", "took 12 min", "took 15 min, corrected".
    pub timer: Option<String>,
    /// What the wind does to its placement: "lower it from a gust of 30 mph", "not known: …".
    pub wind: Option<String>,
    /// Measures, photo, note of the placement.
    pub notes: Vec<String>,
    /// Where the meter goes, at the load part of the rehearsal.
    pub readings: Vec<ReadingLine>,
}

/// One current to read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadingLine {
    /// Code of the supply, box or circuit.
    pub target: String,
    /// "in BOX-MAST".
    pub at: String,
    pub expected: String,
    /// "rated 70 A".
    pub of: String,
    /// The last reading.
    pub read: Option<String>,
    /// The fault that it raised.
    pub fault: Option<String>,
}

/// One lead in a connect step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ConnectLine {
    /// The journaled link, as commands name it.
    pub link: String,
    /// "port 6".
    pub port: String,
    /// "bridge arch 2, end in".
    pub to: String,
    /// "L-031, 12 ft, 18 AWG".
    pub lead: String,
    /// "tag 5 V"; or why it must not be plugged.
    pub check: String,
}

/// Something to bring, with where it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FetchLine {
    /// "ladder", "tool", "tote", "piece", "lead", "stock".
    pub what: &'static str,
    pub name: String,
    pub from: String,
}
