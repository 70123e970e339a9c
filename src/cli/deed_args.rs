//! What `fault` and `buy` take, as typed.

use std::path::PathBuf;

use clap::{Subcommand, ValueEnum};

use crate::app::Difference;

#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum TonightArg {
    Nothing,
    Mended,
    Patched,
    Off,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum DifferenceArg {
    Port,
    Lead,
    Place,
    Count,
    Level,
}

impl From<DifferenceArg> for Difference {
    fn from(arg: DifferenceArg) -> Self {
        match arg {
            DifferenceArg::Port => Self::Port,
            DifferenceArg::Lead => Self::Lead,
            DifferenceArg::Place => Self::Place,
            DifferenceArg::Count => Self::Count,
            DifferenceArg::Level => Self::Level,
        }
    }
}

#[derive(Debug, Subcommand)]
pub(super) enum PropDeed {
    /// A prop of the coming season: part by part, or as one line like "8 boat cut-outs, 50 pixels, 5 V, path left,
    /// zip-tied"
    Add {
        name: String,
        #[arg(default_value = "1")]
        count: i64,
        /// Where it goes
        place: Option<String>,
        /// How it is mounted, as "ground stakes"
        method: Option<String>,
    },
    /// Hold it back with all that it carries
    Hold {
        code: String,
        #[arg(long, value_name = "TEXT")]
        why: Option<String>,
    },
    /// Let it go on
    Release { code: String },
}

#[derive(Debug, Subcommand)]
pub(super) enum KitDeed {
    /// All of it, or what matches these letters, best first
    List { words: Vec<String> },
    /// All about one thing: its facts and its life
    Show { code: String },
    /// Change a field, as the screen does
    Set {
        code: String,
        /// Its name, as condition or note
        field: String,
        /// As typed; nothing empties it
        #[arg(default_value = "")]
        text: String,
    },
}

#[derive(Debug, Subcommand)]
pub(super) enum FaultDeed {
    /// Log a fault
    Add {
        /// Code of the piece or placement
        target: String,
        /// What is seen, as dark_from
        symptom: String,
        /// Pixel number from the data end, or where in words
        #[arg(long)]
        at: Option<String>,
        /// What was done about it tonight
        #[arg(long, value_enum, default_value = "nothing")]
        tonight: TonightArg,
        #[arg(long, default_value = "")]
        note: String,
    },
    /// Open faults
    List {
        /// Ended ones too
        #[arg(long)]
        all: bool,
        /// What waits on the bench, by the day it is needed
        #[arg(long, conflicts_with = "all")]
        bench: bool,
    },
    /// How long a prop, or the whole show, stayed dark on a night
    Dark {
        /// Code of the placement, or `show` for the whole display
        target: String,
        /// As 1h30, 45 min
        lasted: String,
        #[arg(long, value_name = "TEXT", default_value = "")]
        why: String,
        /// As 2026-12-09; without it the night of now
        #[arg(long, value_name = "DATE")]
        night: Option<String>,
    },
    /// Who logs faults and repairs from now on, on this laptop
    By { person: String },
    /// A photo: add a picture file, list them, or open one
    Photo {
        /// The fault's code
        fault: String,
        /// The picture to copy in; without it the photos are listed
        file: Option<PathBuf>,
        /// Open the photo of this number
        #[arg(long, value_name = "NUMBER", conflicts_with = "file")]
        open: Option<usize>,
        /// Open it with this program instead of the system's viewer
        #[arg(long, value_name = "PROGRAM", requires = "open")]
        with: Option<PathBuf>,
    },
    /// What to try for its symptom, in order, and what each result means
    Guide {
        /// The fault's code
        fault: String,
        /// What was tried, by its word in the guide
        #[arg(requires = "result")]
        tried: Option<String>,
        /// What it showed, by its word in the guide
        result: Option<String>,
        #[arg(long, default_value = "")]
        note: String,
    },
    /// Looked at: what was seen
    Look(RepairArgs),
    /// Which piece of a placement of several it is
    Which {
        /// The fault's code
        fault: String,
        /// The piece's label
        piece: String,
    },
    /// Patched for now
    Patch(RepairArgs),
    /// Switched off
    Off(RepairArgs),
    /// Waits for a part
    Wait(RepairArgs),
    /// Mended; it counts once it is tested
    Mend(RepairArgs),
    /// A spare goes out in its place; the piece waits on the bench
    Replace {
        /// The fault's code
        fault: String,
        /// Code of the piece that takes its place
        #[arg(long)]
        spare: String,
        #[arg(long, default_value = "")]
        note: String,
    },
    /// Tested on the bench: good again
    Test(RepairArgs),
    /// Scrapped for good
    Scrap(RepairArgs),
    /// Open again
    Reopen(RepairArgs),
}

#[derive(Debug, clap::Args)]
pub(super) struct RepairArgs {
    /// The fault's code
    pub(super) fault: String,
    #[arg(long)]
    pub(super) cause: Option<String>,
    #[arg(long)]
    pub(super) minutes: Option<i64>,
    /// Code of a product used, with how many as PT-BULLET=3, taken from stock
    #[arg(long)]
    pub(super) part: Option<String>,
    #[arg(long, default_value = "")]
    pub(super) note: String,
}

#[derive(Debug, clap::Args)]
pub(super) struct BuyArgs {
    /// No more than this: what is worth least is left out
    #[arg(long, value_name = "AMOUNT")]
    pub(super) budget: Option<String>,
    /// Only vendors nearby
    #[arg(long)]
    pub(super) local: bool,
    /// Done without: its code or name
    #[arg(long, value_name = "ITEM")]
    pub(super) without: Vec<String>,
    /// As if this vendor were closed
    #[arg(long, value_name = "VENDOR")]
    pub(super) close: Vec<String>,
}

#[derive(Debug, clap::Args)]
pub(super) struct OfferArgs {
    /// Code or name
    pub(super) vendor: String,
    /// Code or name
    pub(super) product: String,
    /// Of one pack, as 12.50
    #[arg(allow_hyphen_values = true)]
    pub(super) price: String,
    /// Pieces in a pack
    #[arg(long, default_value = "1", allow_hyphen_values = true)]
    pub(super) pack: i64,
    /// Fewest packs at this price
    #[arg(long, default_value = "1", allow_hyphen_values = true)]
    pub(super) min_packs: i64,
    #[arg(long, allow_hyphen_values = true)]
    pub(super) max_packs: Option<i64>,
    /// Days until it is sent, where it is not on the shelf
    #[arg(long, default_value = "0", allow_hyphen_values = true)]
    pub(super) lead_days: i64,
    /// First day of a sale, as 2026-11-20
    #[arg(long, value_name = "DATE")]
    pub(super) sale_from: Option<String>,
    /// Last day of a sale
    #[arg(long, value_name = "DATE")]
    pub(super) sale_to: Option<String>,
}

#[derive(Debug, Subcommand)]
pub(super) enum BuyDeed {
    /// Needs, baskets, order-by dates
    List,
    /// Write an order of what the basket has at a vendor
    Order {
        vendor: String,
        /// Only show what would be ordered
        #[arg(long = "try")]
        try_only: bool,
    },
    /// Something of an order arrived
    Receive {
        order: String,
        /// A product's code, with how many pieces as C-TIE=200; all that is to come where none is named
        #[arg(long = "line", value_name = "PRODUCT[=PIECES]")]
        lines: Vec<String>,
        /// Code of the tote it goes into
        #[arg(long, value_name = "TOTE")]
        into: Option<String>,
    },
    /// An order is told to come on another day: what waits for it moves
    Expect {
        order: String,
        /// As 2026-10-01
        on: String,
    },
    /// A price of a product at a vendor
    Offer(OfferArgs),
    /// Note something to buy; "improve: what" is a note of what to do better
    Add {
        title: String,
        #[arg(default_value = "1")]
        quantity: i64,
        /// As 2026-10-01
        #[arg(long)]
        by: Option<String>,
    },
}

#[derive(Debug, Subcommand)]
pub(super) enum SessionDeed {
    /// Sessions from now on
    List {
        /// Past ones too
        #[arg(long)]
        all: bool,
    },
    /// A new session
    Add {
        /// As 2026-10-17T09:00
        from: String,
        /// As 16:30, or with its date
        to: String,
        /// Names or codes of who comes
        #[arg(long, value_name = "NAME")]
        with: Vec<String>,
        /// There are work lights
        #[arg(long)]
        work_lights: bool,
    },
    /// Other times for a session; its people stay
    Move {
        session: String,
        /// As 2026-10-17T09:00
        from: String,
        /// As 16:30; its length stays where none is told
        to: Option<String>,
    },
    /// Who comes; everybody where nobody is named
    People {
        session: String,
        #[arg(long, value_name = "NAME")]
        with: Vec<String>,
    },
    /// A session that falls away
    Drop { session: String },
    /// A forecast in one line: "rain, gust 25 mph, low 31F, frozen"; for a session, or a night by its date or as
    /// "tonight"
    Forecast { session: String, text: String },
}

#[derive(Debug, Subcommand)]
pub(super) enum SeasonDeed {
    List,
    /// The dates of all coming shows in one list, and what contradicts itself
    Dates,
    /// A new season, with last time's placements of the same show
    New {
        code: String,
        #[arg(long, default_value = "")]
        name: String,
        #[arg(long, value_name = "DATE")]
        lights_on: Option<String>,
    },
    /// Close a season
    Close {
        code: String,
        /// What was done differently is how next year begins
        #[arg(long, conflicts_with = "as_before")]
        keep: bool,
        /// What was done differently was for this year only
        #[arg(long)]
        as_before: bool,
        /// Open the next season of the show with it, by its new code
        #[arg(long, value_name = "CODE")]
        next: Option<String>,
        /// Its lights on
        #[arg(long, value_name = "DATE", requires = "next")]
        lights_on: Option<String>,
    },
}

#[derive(Debug, Subcommand)]
pub(super) enum ConflictDeed {
    /// Every value of a column that copies told apart, with the copy and the time
    List,
    /// Takes one of them; the others stay in the journal
    Decide {
        /// As conflict list shows it
        code: String,
        /// One of its values
        value: String,
    },
}
