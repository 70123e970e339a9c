//! Dated duties that are due or overdue: the request for marks, permits, town hours, look-overs.

use chrono::{Duration, NaiveDate};

use crate::answers::Outlook;
use crate::answers::view::Level;
use crate::domain::{DutyId, DutyKind, Phase, Season};
use crate::steps::{State, StepKey};

/// A duty without a lead time is said so many days before it is due.
const USUAL_LEAD_DAYS: i64 = 7;

/// Level, words, remedy and step key of each duty of the season that is not ticked and due by now, its lead time counted.
pub(crate) fn due_duties(
    outlook: &Outlook,
    season: &Season,
    phase: Phase,
) -> Vec<(Level, String, &'static str, String)> {
    if phase == Phase::Down {
        return Vec::new();
    }
    let today = outlook.now().with_timezone(&outlook.zone()).date_naive();
    let progress = outlook.progress();
    let over = |id: DutyId| {
        progress
            .get(&StepKey::of("duty", id, "do", Phase::Up))
            .is_some_and(|p| matches!(p.state_for(None), State::Done | State::Skipped))
    };
    // Once the lights are on nothing more is driven for them, and a mark that is asked for comes too late.
    let driven = season.lights_on.is_some_and(|t| t <= outlook.local_now());
    let mut due: Vec<_> = outlook
        .yard
        .duties
        .iter()
        .filter(|d| d.season_id == season.id && !over(d.id) && !(driven && d.kind == DutyKind::BuriedLines))
        .filter_map(|d| Some((d.due_on?, d)))
        .filter(|(on, d)| today >= *on - Duration::days(d.lead_days.unwrap_or(USUAL_LEAD_DAYS)))
        .collect();
    due.sort_by(|a, b| (a.0, &a.1.code).cmp(&(b.0, &b.1.code)));
    due.into_iter()
        .map(|(on, d)| {
            let level = if today > on { Level::Mend } else { Level::Note };
            let key = StepKey::of("duty", d.id, "do", Phase::Up).to_string();
            (level, format!("{}: {}", d.title, when(today, on)), remedy(d.kind), key)
        })
        .collect()
}

fn when(today: NaiveDate, on: NaiveDate) -> String {
    let days = (today - on).num_days();
    let date = on.format("%-d %b");
    match days {
        0 => format!("due today, {date}"),
        1.. => format!("overdue {days} d, since {date}"),
        _ => format!("due {date}, in {} d", -days),
    }
}

const fn remedy(kind: DutyKind) -> &'static str {
    match kind {
        DutyKind::BuriedLines => "ask for the marks now; no stake or hole before they are there, and tick it",
        DutyKind::Permit => "apply or renew, and tick it; the town's word goes first",
        DutyKind::Town => "set the hours and the volume as the town says, and tick it",
        DutyKind::Neighbours => "tell them, and tick it",
        DutyKind::LookOver => "look it over before anyone climbs, write the date, and tick it",
        DutyKind::Other => "do it and tick it, or skip it with a why",
    }
}
