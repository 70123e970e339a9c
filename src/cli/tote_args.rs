//! What `tote` takes.

use clap::Subcommand;

#[derive(Debug, Subcommand)]
pub(super) enum ToteDeed {
    /// Every tote and shelf, with how much of what lives there is in
    List,
    /// Rooms and shelves, with the totes on each
    Map,
    /// Where something is, best match first: "box north gable"
    Find {
        #[arg(required = true)]
        words: Vec<String>,
    },
    /// Pieces go into a tote and live there from now on
    Put {
        tote: String,
        #[arg(required = true)]
        pieces: Vec<String>,
    },
    /// Pieces are taken out of where they lie
    Take {
        #[arg(required = true)]
        pieces: Vec<String>,
    },
    /// All that lives in it is there, but what is missing
    Count {
        tote: String,
        /// Only what is named was counted: found (or there) and missing; the rest stays not counted
        #[arg(long)]
        part: bool,
        /// How many there are of a lot that lives in it; may be given several times
        #[arg(long = "lot", value_name = "CODE=NUMBER")]
        lots: Vec<String>,
        /// A piece that should be there and is not; may be given several times
        #[arg(long, value_name = "PIECE")]
        missing: Vec<String>,
        /// A piece that is there and should not be; may be given several times
        #[arg(long, value_name = "PIECE")]
        found: Vec<String>,
    },
}
