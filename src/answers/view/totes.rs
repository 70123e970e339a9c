//! The Totes screen: what is where.

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Totes {
    pub rows: Vec<ToteRow>,
    /// Pieces with no home told.
    pub homeless: Vec<String>,
    /// What contradicts itself: one label twice, a piece in another tote than its own.
    pub findings: Vec<String>,
    /// Rooms, racks and shelves from the outermost in, each with what stands on it.
    pub map: Vec<ShelfRow>,
    /// What dries now and the room for it; nothing where nothing dries and no room is told.
    pub drying: Option<Drying>,
}

/// A standing container on the map of shelves.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShelfRow {
    /// Empty for what stands nowhere that is told.
    pub code: String,
    pub name: String,
    /// How many others it stands in.
    pub depth: usize,
    /// Rows of the totes on it.
    pub totes: Vec<usize>,
}

/// The drying place as it is now.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Drying {
    /// Props it takes at once; nothing where it is not told.
    pub room: Option<i64>,
    /// Each prop that fills a place of it: its wet pieces, since when, until when at least.
    pub rows: Vec<DryingRow>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DryingRow {
    pub placement: String,
    pub name: String,
    pub pieces: Vec<String>,
    /// "Sat 9 Jan 2027 10:00".
    pub since: String,
    /// The day and hour from which it may be packed; nothing before it is laid out.
    pub until: Option<String>,
    /// The step that lays it out, where that is still to be done: on the day it came off.
    pub key: Option<String>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ToteRow {
    pub code: String,
    pub name: String,
    pub kind: String,
    /// "shelf 2, garage".
    pub stands: String,
    /// What the time of the year asks of it: "count", "6 go out".
    pub due: Option<String>,
    /// How many of what is to come are down: what still hangs cannot be put in.
    pub down: usize,
    /// How many labelled pieces lie in it now, and how many live in it.
    pub is_in: usize,
    pub of: usize,
    /// Names of the props and places its pieces go to: found by, not shown.
    pub goes_to: String,
    /// Code, name and where it is now ("in", "up at drive edge", "on the bench", "lost").
    pub contents: Vec<(String, String, String)>,
    pub notes: Vec<String>,
}

impl Totes {
    /// The row of a shelf on which pieces lie or live without a tote.
    pub fn of(&self, shelf: &ShelfRow) -> Option<&ToteRow> {
        self.rows.iter().find(|r| r.code == shelf.code && r.of + r.is_in > 0)
    }
}

impl ToteRow {
    /// "T-05  Boats 1-4, Loft over the garage".
    pub fn said(&self) -> String {
        format!("{}  {}, {}", self.code, self.name, self.stands)
    }

    /// "3 of 4 in"; of a bench tote, where nothing lives, "3 in".
    pub fn lies(&self) -> String {
        if self.of == 0 { format!("{} in", self.is_in) } else { format!("{} of {} in", self.is_in, self.of) }
    }
}

impl Drying {
    /// "13 props, room for 12".
    pub fn filled(&self) -> String {
        let n = self.rows.len();
        let props = if n == 1 { "1 prop".to_owned() } else { format!("{n} props") };
        match self.room {
            Some(room) => format!("{props}, room for {room}"),
            None => format!("{props}, its room is not told"),
        }
    }
}

impl DryingRow {
    /// "Arches (ARCH-2, ARCH-3): since Sat 9 Jan 2027 10:00, dry by Mon 11 Jan 2027 10:00".
    pub fn line(&self) -> String {
        let codes =
            if self.pieces.is_empty() { String::new() } else { format!(" ({})", self.pieces.join(", ")) };
        let until = match &self.until {
            Some(t) => format!("laid out {}, dry by {t}", self.since),
            None => format!("came off wet {}, to be laid out the same day", self.since),
        };
        format!("{}{codes}: {until}", self.name)
    }
}
