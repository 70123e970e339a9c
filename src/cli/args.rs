//! Commands and options, as they are typed.

use std::path::PathBuf;

use clap::{Parser, Subcommand, ValueEnum};

use super::deed_args::{
    BuyArgs, BuyDeed, ConflictDeed, FaultDeed, KitDeed, PropDeed, SeasonDeed, SessionDeed,
};
use super::sheet_args::Sheet;
use super::step_args::{PlanDeed, StepDeed};
use super::tote_args::ToteDeed;
use crate::domain::Phase;

/// Plans, walks and remembers the yearly putting up and taking down of a pixel-lit display. Without a command, the
/// screens.
#[derive(Debug, Parser)]
#[command(name = "ladderday", version, max_term_width = 100)]
pub(super) struct Args {
    /// The yard file; your own one where none is named
    #[arg(long, global = true, value_name = "FILE")]
    pub(super) yard: Option<PathBuf>,
    /// The season, by its code; the next one where none is named
    #[arg(long, global = true, value_name = "CODE")]
    pub(super) season: Option<String>,
    /// A fixed clock, as 2026-11-14T10:20, local time of the site
    #[arg(long, global = true, value_name = "DATETIME")]
    pub(super) now: Option<String>,
    /// The seed of everything random
    #[arg(long, global = true, value_name = "NUMBER")]
    pub(super) seed: Option<u64>,
    /// The answer as JSON
    #[arg(long, global = true)]
    pub(super) json: bool,
    /// Line by line, for screen readers: the same screens as text, and a prompt that takes the same commands
    #[arg(long, global = true)]
    pub(super) plain: bool,
    /// Only ASCII marks on the screens, for poor consoles
    #[arg(long, global = true)]
    pub(super) ascii: bool,
    /// Clicks and the wheel count; the bar and the buttons get three rows
    #[arg(long, global = true)]
    pub(super) mouse: bool,
    #[command(subcommand)]
    pub(super) command: Option<Command>,
}

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// The demo yard: made on first use, its own file
    Demo {
        /// Make it anew
        #[arg(long)]
        fresh: bool,
        /// A command to do on it, as plan up
        #[arg(trailing_var_arg = true, allow_hyphen_values = true, value_name = "COMMAND")]
        words: Vec<std::ffi::OsString>,
    },
    /// A new yard file with the shipped recipes
    New {
        /// Day, or day and time, the lights go on: makes the first season
        #[arg(long, value_name = "DATE")]
        lights_on: Option<String>,
    },
    /// Bring in a folder of CSV files, or a list of props: CSV, or a workbook (.xlsx, .ods)
    Import {
        #[arg(required = true, value_name = "FOLDER|FILE")]
        files: Vec<PathBuf>,
        /// Only say what would be done
        #[arg(long = "try")]
        try_only: bool,
        /// Take the list's word over what was changed here since, and likely names as renames
        #[arg(long)]
        yes: bool,
        /// End the props of the season that the list no longer tells
        #[arg(long)]
        end_missing: bool,
        /// Day, or day and time, the lights go on, where the list does not tell it
        #[arg(long, value_name = "DATE")]
        lights_on: Option<String>,
        /// What a column of a list tells, kept for this file: "Zeug=name"; may be given several times
        #[arg(long, value_name = "TITLE=WHAT")]
        column: Vec<String>,
        /// The sheet of a workbook, where another than the first with titles is meant
        #[arg(long, value_name = "NAME")]
        sheet: Option<String>,
    },
    /// Write every table as CSV into a folder
    Export { folder: PathBuf },
    /// A fact of any kind: makes it, or changes it where its code or name is there
    Tell {
        /// Its table, as place, person, product; told lists them
        kind: String,
        /// Its code or name, then columns as height=2.3m; an empty value is no longer told
        #[arg(required = true, value_name = "[CODE] COLUMN=VALUE")]
        words: Vec<String>,
    },
    /// Every kind of fact with its columns, or the rows of one kind
    Told { kind: Option<String> },
    /// A fact that no longer holds; its history stays
    End {
        kind: String,
        /// Its code or name
        #[arg(required = true, value_name = "CODE")]
        words: Vec<String>,
        #[arg(long, value_name = "TEXT")]
        why: Option<String>,
    },
    /// The plan of a phase, and why a step is where it is
    #[command(args_conflicts_with_subcommands = true)]
    Plan {
        #[command(subcommand)]
        deed: Option<PlanDeed>,
        /// What the date asks for where none is named
        #[arg(value_enum)]
        phase: Option<PhaseArg>,
        /// Keep it as what people expect
        #[arg(long)]
        keep: bool,
        /// With the recipes' own times, not those of your record
        #[arg(long)]
        recipe_times: bool,
        /// How many schedules the search makes
        #[arg(long, value_name = "NUMBER")]
        schedules: Option<u64>,
        /// What to leave out so that lights on is in time with so many percent
        #[arg(long, value_name = "PERCENT", conflicts_with_all = ["keep", "what_if"], value_parser = clap::value_parser!(u8).range(1..=100))]
        drop: Option<u8>,
        /// Made afresh: done early, with few evenings, or with the best odds
        #[arg(long, value_enum, value_name = "WHAT", conflicts_with_all = ["what_if", "drop", "helps"])]
        prefer: Option<PreferArg>,
        /// Plans to choose from, with evenings, moves, end and odds
        #[arg(long, conflicts_with_all = ["keep", "what_if", "drop", "helps", "prefer"])]
        choices: bool,
        /// What would help most to be in time: a spare rehearsal date, an evening, a helper, a prop less
        #[arg(long, conflicts_with_all = ["keep", "what_if", "drop"])]
        helps: bool,
        /// Finish and odds with a change, no fact touched: "session 2026-11-14T09:00 16:30", "helper Ann in
        /// S-1114-0900", "ladder step_ladder", "hold P-014"; may be given several times
        #[arg(long, value_name = "CHANGE", conflicts_with = "keep")]
        what_if: Vec<String>,
    },
    /// Steps: list them, or say what happened to one
    Step {
        #[command(subcommand)]
        deed: StepDeed,
    },
    /// Sessions: list, add, forecast
    Session {
        #[command(subcommand)]
        deed: SessionDeed,
    },
    /// Props of the coming season: add in one line, hold back, let go on
    Prop {
        #[command(subcommand)]
        deed: PropDeed,
    },
    /// What is owned: find it, change a field
    Kit {
        #[command(subcommand)]
        deed: KitDeed,
    },
    /// Totes: what is in, what is out, what is where; put in, taken out, counted
    Tote {
        #[command(subcommand)]
        deed: ToteDeed,
    },
    /// Totes for what comes down: by room, weight for one lifter, place and first use
    Pack {
        /// Let the pieces live there
        #[arg(long)]
        write: bool,
    },
    /// Faults: add one, list, triage, mend, guide
    Fault {
        #[command(subcommand)]
        deed: FaultDeed,
    },
    /// Seasons: list, new, close
    Season {
        #[command(subcommand)]
        deed: SeasonDeed,
    },
    /// What to buy, where, by when
    Buy {
        #[command(flatten)]
        choice: BuyArgs,
        #[command(subcommand)]
        deed: Option<BuyDeed>,
    },
    /// Look for what is wrong before it is plugged in
    Check {
        /// All where none is named
        #[arg(value_enum)]
        kind: Option<CheckArg>,
        #[command(flatten)]
        choice: CheckChoice,
    },
    /// Sheets for paper
    Print {
        #[command(subcommand)]
        sheet: Sheet,
    },
    /// What the record says: failure rates, comparisons, durations
    History,
    /// How many spares to carry of each product
    Spares {
        /// The chance in percent that they are enough; 90 where none is told
        #[arg(long, value_name = "PERCENT")]
        service: Option<f64>,
    },
    /// The latest deeds
    Journal,
    /// Take the last deed back; stops before an import, a merge, and what made or restored the yard
    Undo {
        /// Take that back, too
        #[arg(long)]
        yes: bool,
    },
    /// Do again what was taken back
    Redo,
    /// A verified copy of the yard file
    Backup {
        /// Not told: in the folder `backups` beside the yard file, where the last five and one a year stay
        #[arg(value_name = "FILE")]
        to: Option<PathBuf>,
    },
    /// Bring a backup back; what was there is kept beside it
    Restore {
        /// Only its facts, as its journal tells them, into a file made anew: for a file with foreign parts
        #[arg(long)]
        facts_only: bool,
        #[arg(value_name = "FILE")]
        from: PathBuf,
    },
    /// Look the yard file over
    Verify {
        /// Set the tables as the journal tells them
        #[arg(long)]
        rebuild: bool,
    },
    /// A copy for a second laptop
    Lend {
        #[arg(value_name = "FILE")]
        to: PathBuf,
        /// The letters that new labels on it carry; the next free ones where none are told
        #[arg(long)]
        mark: Option<String>,
    },
    /// Bring a lent copy's deeds in
    Merge {
        #[arg(value_name = "FILE")]
        other: PathBuf,
    },
    /// What copies told apart: every value, and deciding for one
    Conflict {
        #[command(subcommand)]
        deed: ConflictDeed,
    },
    /// A documented sample of the settings file, with where it goes
    Settings {
        /// Look the file over instead: every fault with line and column
        #[arg(long)]
        check: bool,
    },
    /// Completions for a shell
    Completions {
        #[arg(value_enum)]
        shell: clap_complete::Shell,
    },
    /// The manual page of a command
    Man {
        /// The command, as step done
        command: Vec<String>,
        /// All pages into a folder instead, one file a command
        #[arg(long, value_name = "FOLDER", conflicts_with = "command")]
        to: Option<PathBuf>,
    },
}

/// What an owner prefers.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum PreferArg {
    Early,
    Few,
    Calm,
}

impl From<PreferArg> for crate::app::Wish {
    fn from(word: PreferArg) -> Self {
        match word {
            PreferArg::Early => Self::Early,
            PreferArg::Few => Self::Few,
            PreferArg::Calm => Self::Calm,
        }
    }
}

#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum PhaseArg {
    Bench,
    Up,
    Tonight,
    Down,
    Change,
}

impl From<PhaseArg> for Phase {
    fn from(arg: PhaseArg) -> Self {
        match arg {
            PhaseArg::Bench => Self::Bench,
            PhaseArg::Up => Self::Up,
            PhaseArg::Tonight => Self::Tonight,
            PhaseArg::Down => Self::Down,
            PhaseArg::Change => Self::Change,
        }
    }
}

#[derive(Debug, clap::Args)]
pub(super) struct CheckChoice {
    /// Try another level than the show's limit, in percent
    #[arg(long, value_name = "PERCENT", value_parser = clap::value_parser!(u8).range(1..=100))]
    pub(super) level: Option<u8>,
    /// Try a change, no fact touched: "level 60", "gauge LEAD 12 AWG", "feed STRING 150"; may be given several
    /// times
    #[arg(long, value_name = "CHANGE")]
    pub(super) what_if: Vec<String>,
    /// How numbers are proposed where none are told
    #[arg(value_enum, long, value_name = "WAY")]
    pub(super) numbers: Option<NumberingArg>,
    /// Write the proposed universes and slots; what is set stays
    #[arg(long, conflicts_with = "what_if")]
    pub(super) write: bool,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum NumberingArg {
    /// Numbers run on; a pixel may lie in two universes
    RunOn,
    /// No pixel split over two universes
    NoSplit,
    /// Each prop starts fresh
    Fresh,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum CheckArg {
    Power,
    Signal,
    Stock,
    Wind,
    Weather,
}
