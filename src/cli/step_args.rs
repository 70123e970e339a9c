//! What `step` and `plan why` take, as typed.

use clap::Subcommand;

use super::args::PhaseArg;
use super::deed_args::DifferenceArg;
use super::sheet_args::OffArg;

#[derive(Debug, Subcommand)]
pub(super) enum PlanDeed {
    /// Why a step is where it is, and what would move it earlier
    Why {
        /// Its key, as step list shows it
        key: String,
        #[arg(value_enum, long, default_value = "up")]
        phase: PhaseArg,
    },
}

#[derive(Debug, Subcommand)]
pub(super) enum StepDeed {
    /// Every step of a phase with its key
    List {
        #[arg(value_enum, default_value = "up")]
        phase: PhaseArg,
    },
    /// Begun
    Start {
        key: String,
        #[arg(long, value_name = "TEXT")]
        why: Option<String>,
    },
    /// Done
    Done {
        #[arg(required = true)]
        keys: Vec<String>,
        #[arg(long, value_name = "TEXT")]
        why: Option<String>,
        /// A current read at the load rehearsal, as SUP-01=21.8; may be given several times
        #[arg(long, value_name = "CODE=AMPS")]
        reading: Vec<String>,
    },
    /// Currents read at the load rehearsal; the step stays open
    Reading {
        key: String,
        /// Supply, box or circuit and amperes, as SUP-01=21.8
        #[arg(required = true, value_name = "CODE=AMPS")]
        readings: Vec<String>,
    },
    /// So many of it done; the rest stays open
    Count {
        key: String,
        number: i64,
        #[arg(long, value_name = "TEXT")]
        why: Option<String>,
    },
    /// Held back for a reason
    Hold {
        key: String,
        #[arg(long, value_name = "TEXT")]
        why: Option<String>,
    },
    /// Not done this time
    Skip {
        key: String,
        #[arg(long, value_name = "TEXT")]
        why: Option<String>,
    },
    /// Done, but with another port, lead, place, count or level
    Differently {
        key: String,
        #[arg(value_enum)]
        what: DifferenceArg,
        /// The port, the lead's label, the place, the count, the percent
        text: String,
    },
    /// How it came off at takedown: good (and dry) ticks it, the rest are exceptions
    Off {
        key: String,
        #[arg(value_enum, default_value = "good")]
        how: OffArg,
        /// Which pieces, by their labels; without one all that have no exception
        #[arg(long = "piece", value_name = "PIECE")]
        pieces: Vec<String>,
        /// How many of a prop without labels
        #[arg(long = "count", value_name = "NUMBER")]
        many: Option<i64>,
    },
    /// What was ticked on a printed checklist, by its numbers: shown first, taken with --yes
    Paper {
        /// The sheet's code, as it is printed
        sheet: String,
        /// 12, or 15-18, or 14=6 for 6 of it
        #[arg(required = true, value_name = "NUMBER")]
        numbers: Vec<String>,
        /// Take them
        #[arg(long)]
        yes: bool,
    },
    /// A note to it
    Note { key: String, text: String },
    /// Confirmed: done alone, on the ground or a step ladder
    Alone {
        #[arg(required = true)]
        keys: Vec<String>,
    },
    /// Open again
    Reopen {
        key: String,
        #[arg(long, value_name = "TEXT")]
        why: Option<String>,
    },
    /// What a ticked step really took, pauses left out
    Took {
        key: String,
        /// As 12 for minutes, or 1h20; "none" where no time is known
        time: String,
        #[arg(long, value_name = "TEXT")]
        why: Option<String>,
    },
}
