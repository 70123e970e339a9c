//! Seasons and their dated duties.

use chrono::{NaiveDate, NaiveDateTime, NaiveTime};

use super::cell::{Moment, choice};
use super::fact::fact;
use super::placement::PlacementId;
use crate::units::{Money, Percent, Span};

fact! {
    /// One show of one year.
    Season, SeasonId, "season" {
        code: String,
        name: String,
        /// Which of the yard's shows this is, as `harbor`.
        show: String,
        lights_on: Option<NaiveDateTime>,
        lights_off: Option<NaiveDate>,
        /// Start of the load part.
        rehearsal: Option<NaiveDateTime>,
        /// Start of the full run after dark.
        rehearsal_dark: Option<NaiveDateTime>,
        work_from: Option<NaiveDate>,
        down_from: Option<NaiveDate>,
        nightly_from: Option<String>,
        nightly_to: Option<String>,
        buffer_days: i64,
        average_level_pct: Option<Percent>,
        budget_cents: Option<Money>,
        closed_on: Option<NaiveDate>,
        note: String,
        numbering: Option<Numbering>,
    }
}

impl Season {
    /// The first day of takedown: as told, else after the last night, else, where neither is told, the day after the
    /// lights go on.
    pub fn down_day(&self) -> Option<NaiveDate> {
        let after = |last: NaiveDate| last.succ_opt();
        self.down_from.or(self.lights_off.and_then(after)).or(self.lights_on.and_then(|on| after(on.date())))
    }

    /// From when to when the show is lit each night; it may end after midnight. Nothing where it is not told.
    pub fn nightly(&self) -> Option<(NaiveTime, NaiveTime)> {
        let clock = |t: &Option<String>| NaiveTime::parse_from_str(t.as_deref()?, "%H:%M").ok();
        clock(&self.nightly_from).zip(clock(&self.nightly_to))
    }

    /// Minutes the show is lit each night; nothing where its hours are not told.
    pub fn nightly_minutes(&self) -> Option<i64> {
        self.nightly().map(|(from, to)| (to - from).num_minutes().rem_euclid(24 * 60))
    }
}

choice! {
    /// How universes and slots follow each other.
    Numbering {
        /// Numbers run on; a pixel may straddle two universes.
        RunOn => "run_on",
        /// No pixel is split over two universes.
        NoSplit => "no_split",
        /// Each prop starts a universe of its own.
        Fresh => "fresh",
    }
}

choice! {
    /// What a duty is about.
    DutyKind {
        BuriedLines => "buried_lines",
        Permit => "permit",
        Town => "town",
        Neighbours => "neighbours",
        LookOver => "look_over",
        Other => "other",
    }
}

fact! {
    /// A dated duty of a season, as a permit or the buried-line request.
    Duty, DutyId, "duty" {
        code: String,
        season_id: SeasonId,
        title: String,
        kind: DutyKind,
        opens_on: Option<NaiveDate>,
        due_on: Option<NaiveDate>,
        expires_on: Option<NaiveDate>,
        lead_days: Option<i64>,
        minutes_s: Span,
        note: String,
    }
}

choice! {
    /// What the close of a season decided about a difference.
    Decision {
        Open => "open",
        Kept => "kept",
        Dropped => "dropped",
    }
}

choice! {
    /// What was done differently.
    Differed {
        Port => "port",
        Lead => "lead",
        Place => "place",
        Count => "count",
        Level => "level",
    }
}

fact! {
    /// Something done otherwise than planned, as it was before and after.
    SeasonDifference, SeasonDifferenceId, "season_difference" {
        season_id: SeasonId,
        placement_id: Option<PlacementId>,
        what: Differed,
        /// The code of the lead that it changed.
        link_code: Option<String>,
        before_text: String,
        after_text: String,
        at_ms: Moment,
        decision: Decision,
    }
}
