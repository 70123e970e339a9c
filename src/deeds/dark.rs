//! Time in which the show, or one prop, stayed dark: a row is added, the record counts it.

use chrono::{Duration, NaiveDate, NaiveDateTime, Timelike};

use super::Desk;
use super::{mistyped, read_day, refused};
use crate::answers::problem::Problem;
use crate::domain::{DarkTime, DarkTimeId, Fact, Moment, Season};
use crate::units::Span;

/// The word for all of it.
const WHOLE: &str = "show";
/// A night is dark for no longer than a day.
const MOST_S: i64 = 24 * 3600;
/// Before this hour it is still the night of the day before.
const NIGHT_ENDS: u32 = 12;

/// Keeps that a prop, by the code of its placement, or `show` was dark on a night; nothing is the night of now.
pub(super) fn log_dark(
    desk: &mut dyn Desk,
    target: &str,
    lasted: &str,
    why: &str,
    night: Option<&str>,
) -> Result<String, Problem> {
    let now = desk.now();
    let local = now.with_timezone(&desk.zone()).naive_local();
    let dark_s = Span::parse(lasted).map_err(|e| mistyped("bad-dark-time", e.to_string()))?;
    if !(1..=MOST_S).contains(&dark_s.s()) {
        return Err(mistyped("bad-dark-time", format!("{lasted:?} is no time within one night"))
            .hint("more than nothing, up to 24 h; a longer outage is one line a night"));
    }
    let tonight = night_of(local);
    let night_on = match night {
        Some(text) => read_day(text)?,
        None => tonight,
    };
    if night_on > tonight {
        return Err(refused("night-to-come", format!("the night of {night_on} is not over"))
            .hint("tell it when it happened"));
    }
    let season = season_of_night(desk, night_on)?.clone();
    let (placement_id, name) = if target.trim().eq_ignore_ascii_case(WHOLE) {
        (None, "the whole show".to_owned())
    } else {
        let found = desk
            .yard()
            .placements
            .iter()
            .filter(|p| p.ended_at.is_none() && p.code.eq_ignore_ascii_case(target.trim()))
            .find(|p| p.season_id == season.id);
        let placement = found.ok_or_else(|| {
            refused("no-placement", format!("{} has no placement {target:?}", season.name))
                .hint("its code as in `kit list`, or `show` for the whole display")
        })?;
        (Some(placement.id), placement.name.clone())
    };
    let why = why.trim();
    let row = DarkTime {
        id: DarkTimeId(desk.id()),
        ended_at: None,
        season_id: season.id,
        placement_id,
        night_on,
        dark_s,
        at_ms: Moment(now.timestamp_millis()),
        why: why.to_owned(),
    };
    let reason = if why.is_empty() { String::new() } else { format!(" ({why})") };
    let said = format!("Dark on {night_on}: {name}, {}{reason}", dark_s.show());
    desk.write("dark-log", &said, vec![row.to_row()])?;
    Ok(said)
}

/// The season whose lights are on in a night.
fn season_of_night(desk: &dyn Desk, night: NaiveDate) -> Result<&Season, Problem> {
    desk.yard()
        .seasons
        .iter()
        .filter(|s| s.ended_at.is_none() && s.lights_on.is_some_and(|t| t.date() <= night))
        .filter(|s| s.lights_off.is_none_or(|d| night <= d))
        .max_by_key(|s| (s.lights_on, s.code.clone()))
        .ok_or_else(|| {
            refused("not-lit", format!("no show is lit on {night}"))
                .hint("name the night with --night, or tell the season's lights on and off")
        })
}

/// The day a night began on.
fn night_of(local: NaiveDateTime) -> NaiveDate {
    let day = local.date();
    if local.hour() < NIGHT_ENDS { day.checked_sub_signed(Duration::days(1)).unwrap_or(day) } else { day }
}
