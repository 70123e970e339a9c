//! `plan … --drop --json` and `plan … --what-if --json`. Odds are shares, 0 to 1; times carry an offset.

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
