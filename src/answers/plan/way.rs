//! Which way a change can go: room that is added may be left unused, so that it never makes a date less sure, and what is
//! taken away never makes it surer; what is said where runs went the other way.
//!
//! People who decide as they go can end later for one session more (R. L. Graham, "Bounds on multiprocessing timing
//! anomalies", SIAM J. Appl. Math. 17 (1969) 416-429). Who knows that leaves the session unused and keeps to the plan.

use chrono::NaiveDateTime;

use super::change::Change;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Way {
    /// Room is added, or work taken away: never less sure.
    More,
    /// Room is taken away: never surer.
    Less,
    /// Comes after the date: neither.
    Neither,
    /// Some of it adds, some takes away.
    Either,
}

impl Way {
    pub(crate) fn of(changes: &[Change], lights_on: Option<NaiveDateTime>) -> Self {
        let one = |c: &Change| match c {
            Change::Session { starts, .. } if lights_on.is_some_and(|on| *starts >= on) => Self::Neither,
            Change::Session { .. } | Change::Helper { .. } | Change::Ladder { .. } | Change::Hold { .. } => {
                Self::More
            }
            Change::NoSession { .. } => Self::Less,
        };
        let both = |a: Self, b: Self| match (a, b) {
            (Self::Neither, x) | (x, Self::Neither) => x,
            (a, b) if a == b => a,
            _ => Self::Either,
        };
        changes.iter().map(one).fold(Self::Neither, both)
    }

    /// What is said of runs that go, by more than chance, the way that the change need not bring.
    pub(crate) const fn against(self, more: bool) -> Option<&'static str> {
        match self {
            Self::More if !more => Some(
                "who decides as the work goes on can end later with more room; left unused, it makes nothing less sure",
            ),
            Self::Less if more => Some(
                "who decides as the work goes on can end later with more room: leave it unused, and be as sure with it",
            ),
            Self::Neither => Some("it comes after lights on: it can't bring that, take both for the same"),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parsed(texts: &[&str]) -> Way {
        let on = chrono::NaiveDate::from_ymd_opt(2026, 11, 27).and_then(|d| d.and_hms_opt(17, 0, 0));
        let changes: Vec<Change> = texts.iter().filter_map(|t| Change::parse(t).ok()).collect();
        assert_eq!(changes.len(), texts.len());
        Way::of(&changes, on)
    }

    #[test]
    fn what_adds_what_takes_away_and_what_comes_too_late() {
        assert_eq!(parsed(&["session 2026-11-21T09:00 12:00"]), Way::More);
        assert_eq!(parsed(&["session 2026-11-28T09:00 12:00"]), Way::Neither);
        assert_eq!(parsed(&["without S-1"]), Way::Less);
        assert_eq!(parsed(&["ladder step_ladder", "session 2026-11-28T09:00 12:00"]), Way::More);
        assert_eq!(parsed(&["hold P-1", "without S-1"]), Way::Either);
    }
}
