//! What the record says: rates, comparisons, survival, durations; and the spares to carry.

use serde::Serialize;

/// An estimate with the bounds of its two-sided interval.
#[derive(Debug, Clone, Serialize)]
pub struct IntervalDoc {
    pub estimate: f64,
    pub lower: f64,
    pub upper: f64,
}

#[derive(Debug, Clone, Serialize)]
pub struct GroupDoc {
    pub by: String,
    pub name: String,
    pub unit_seasons: u64,
    pub failed: u64,
    pub faults: u64,
    pub share: IntervalDoc,
    pub thousand_pixel_hours: Option<f64>,
    pub per_thousand_pixel_hours: Option<IntervalDoc>,
    pub shrunk_share: f64,
    pub weight_on_data: f64,
}

#[derive(Debug, Clone, Serialize)]
pub struct SideDoc {
    pub failed: u64,
    pub unit_seasons: u64,
}

#[derive(Debug, Clone, Serialize)]
pub struct ComparisonDoc {
    /// All the groupings that these very sides go by, with their names in the same order.
    pub by: Vec<String>,
    pub first: Vec<String>,
    pub second: Vec<String>,
    pub within: Option<String>,
    pub first_counts: SideDoc,
    pub second_counts: SideDoc,
    pub p: f64,
    pub adjusted_p: f64,
    pub differ: bool,
    /// The same by failures per pixel-hour; null where pixels or hours are not told.
    pub rate: Option<RateDoc>,
    pub tied: Option<String>,
}

/// Two rates compared; `ratio` null where the second had no failure.
#[derive(Debug, Clone, Serialize)]
pub struct RateDoc {
    pub ratio: Option<f64>,
    pub p: f64,
    pub adjusted_p: f64,
    pub differ: bool,
}

#[derive(Debug, Clone, Serialize)]
pub struct LastingDoc {
    pub kind: String,
    pub season_of_use: u64,
    pub without_failure: f64,
    pub lower: Option<f64>,
    pub upper: Option<f64>,
    pub pieces: usize,
}

#[derive(Debug, Clone, Serialize)]
pub struct DurationDoc {
    pub recipe_step: String,
    pub title: String,
    pub times: usize,
    pub planned_minutes: f64,
    pub taken_minutes: f64,
    pub factor: f64,
    pub spread: f64,
    pub weight_on_record: f64,
}

#[derive(Debug, Clone, Serialize)]
pub struct CountRowDoc {
    pub name: String,
    pub faults: u64,
}

/// Time dark of a placement, or where there is none of the whole show, in one season.
#[derive(Debug, Clone, Serialize)]
pub struct DarkDoc {
    pub season: String,
    pub placement: Option<String>,
    pub name: String,
    pub nights: usize,
    pub minutes: i64,
    pub why: Vec<String>,
}

#[derive(Debug, Clone, Serialize)]
pub struct HistoryDoc {
    pub confidence: f64,
    pub alpha: f64,
    pub unit_seasons: usize,
    pub failed: usize,
    pub groups: Vec<GroupDoc>,
    pub comparisons: Vec<ComparisonDoc>,
    pub survival: Vec<LastingDoc>,
    pub durations: Vec<DurationDoc>,
    pub durations_left_out: usize,
    pub faults_by_week: Vec<CountRowDoc>,
    pub faults_by_weather: Vec<CountRowDoc>,
    pub dark: Vec<DarkDoc>,
    pub findings: Vec<String>,
}

#[derive(Debug, Clone, Serialize)]
pub struct SpareDoc {
    pub product: String,
    pub name: String,
    pub carry: u64,
    pub on_hand: i64,
    pub achieved: f64,
    pub why: String,
}

#[derive(Debug, Clone, Serialize)]
pub struct SparesDoc {
    pub service: f64,
    pub spares: Vec<SpareDoc>,
}

/// One job of the bench.
#[derive(Debug, Clone, Serialize)]
pub struct BenchDoc {
    pub fault: String,
    pub target: String,
    pub symptom: String,
    pub state: String,
    pub minutes: i64,
    pub skills: Vec<String>,
    pub part: Option<String>,
    pub part_in: bool,
    pub needed_by: Option<String>,
    /// What to do next.
    pub remedy: String,
}

#[derive(Debug, Clone, Serialize)]
pub struct BenchListDoc {
    pub bench: Vec<BenchDoc>,
}
