//! `plan … --drop --json`, `plan … --what-if --json` and `plan … --helps --json`. Odds are shares, 0 to 1; times carry an offset.

use serde::Serialize;

#[derive(Debug, Clone, Serialize)]
pub struct DropListDoc {
    pub wanted: f64,
    pub before: f64,
    pub after: f64,
    pub reached: bool,
    pub drops: Vec<DropDoc>,
}

/// One placement to leave out, what goes with it, their worth together and the minutes of hands they free.
#[derive(Debug, Clone, Serialize)]
pub struct DropDoc {
    pub placement: String,
    pub with: Vec<String>,
    pub worth: i64,
    pub minutes: i64,
}

#[derive(Debug, Clone, Serialize)]
pub struct WhatIfDoc {
    pub changes: Vec<String>,
    pub before: WhatIfSideDoc,
    pub after: WhatIfSideDoc,
    pub difference: Option<DifferenceDoc>,
    /// What is to be known where the runs went the way that the changes can't bring; null otherwise.
    pub note: Option<String>,
}

/// What a change brings to the chance of lights on in time: the mean over the plan as it is and, where none was kept, three
/// others, from runs that meet the same weather and durations on both sides.
#[derive(Debug, Clone, Serialize)]
pub struct DifferenceDoc {
    pub by: f64,
    pub standard_error: f64,
    /// More than twice its standard error.
    pub beyond_chance: bool,
}

/// Null where it is not met by the last session, or not known.
#[derive(Debug, Clone, Serialize)]
pub struct WhatIfSideDoc {
    pub finish: Option<String>,
    pub not_placed: usize,
    pub by_lights_on: Option<f64>,
    pub p50: Option<String>,
    pub p80: Option<String>,
    pub p95: Option<String>,
}

/// What would help most, for what it costs, first.
#[derive(Debug, Clone, Serialize)]
pub struct HelpsDoc {
    /// Chance of lights on in time as it is; null where there are no odds.
    pub before: Option<f64>,
    pub helps: Vec<HelpDoc>,
}

#[derive(Debug, Clone, Serialize)]
pub struct HelpDoc {
    /// `spare_rehearsal`, `evening`, `helper` or `prop_less`.
    pub kind: String,
    pub what: String,
    pub by_lights_on: f64,
    pub difference: DifferenceDoc,
    /// What people give for it.
    pub person_minutes: i64,
    /// What is not shown then.
    pub worth: i64,
}

#[derive(Debug, Clone, Serialize)]
pub struct ChoicesDoc {
    pub choices: Vec<ChoiceDoc>,
}

/// One plan to choose: `few` takes least of people's time, `early` ends first, `ahead` is `few` a week before it has to be.
#[derive(Debug, Clone, Serialize)]
pub struct ChoiceDoc {
    pub prefer: String,
    /// It has the best odds of all.
    pub calm: bool,
    pub sessions: usize,
    pub place_moves: usize,
    pub ladder_moves: usize,
    pub given_minutes: i64,
    pub not_placed: usize,
    pub finish: Option<String>,
    pub by_lights_on: Option<f64>,
    pub standard_error: Option<f64>,
}
