//! Seasons: a new one, closing one, holding a placement back.

use chrono::{NaiveDateTime, NaiveTime};

use super::Desk;
use super::carry_over::carry_over;
use super::session::in_our_years;
use super::{mistyped, refused};
use crate::answers::problem::Problem;
use crate::answers::seasons::open_at_close;
use crate::domain::limit::bad_season_code;
use crate::domain::{
    Cell as _, Decision, RowChange, Season, SeasonDifferenceId, SeasonId, Value, local_time,
};
use crate::exchange::csv::clean;
use crate::exchange::sheet::read_day;

/// Lights go on at this hour where only the day is told.
const LIGHTS_ON_HOUR: u32 = 17;

pub(super) fn new_season(
    desk: &mut dyn Desk,
    code: &str,
    name: &str,
    lights_on: Option<&str>,
) -> Result<String, Problem> {
    let typed_name = name;
    let lights_on = match lights_on.map(str::trim).filter(|t| !t.is_empty()) {
        None => None,
        Some(text) => {
            let (day, time) =
                read_day(text).map_err(|(_, what, remedy)| mistyped("bad-date", what).hint(remedy))?;
            in_our_years(day).map_err(|what| mistyped("bad-date", what).hint("write it like 2026-11-27"))?;
            let assumed = NaiveTime::from_hms_opt(LIGHTS_ON_HOUR, 0, 0).unwrap_or_default();
            let t = day.and_time(time.unwrap_or(assumed));
            local_time(desk.zone(), t).map_err(|e| refused("no-such-time", e.to_string()))?;
            Some(t)
        }
    };
    let code = match code.trim() {
        "" => lights_on.map_or_else(|| "lights".to_owned(), |t| t.format("lights-%Y").to_string()),
        typed => typed.to_owned(),
    };
    if let Some(why) = bad_season_code(&code) {
        return Err(mistyped("bad-code", format!("the season's code {code:?} {why}"))
            .hint("write it like lights-2026"));
    }
    let name = clean(name).trim().to_owned();
    if name.is_empty() && !typed_name.trim().is_empty() {
        return Err(mistyped("no-name", "the season's name has nothing that shows")
            .hint("write it in letters, or leave it out"));
    }
    let name = name.as_str();
    if desk.yard().seasons.iter().any(|s| s.code == code) {
        return Err(
            refused("season-exists", format!("there is a season {code} already")).hint("choose another code")
        );
    }
    let show = code.rsplit_once('-').map_or(code.as_str(), |(show, _)| show).to_owned();
    if let Some(on) = lights_on
        && let Some(said) = date_season(desk, &code, name, &show, on)?
    {
        return Ok(said);
    }
    let new = Season {
        id: SeasonId(desk.id()),
        ended_at: None,
        name: if name.is_empty() { spoken(&code) } else { name.to_owned() },
        code: code.clone(),
        show: show.clone(),
        lights_on,
        lights_off: None,
        rehearsal: None,
        rehearsal_dark: None,
        work_from: None,
        down_from: None,
        nightly_from: None,
        nightly_to: None,
        buffer_days: 4,
        average_level_pct: None,
        budget_cents: None,
        closed_on: None,
        note: String::new(),
        numbering: None,
    };
    let (carried, rows) = carry_over(desk, &show, new);
    let said = format!("New season {code}{carried}");
    desk.write("season-new", &said, rows)?;
    Ok(said)
}

/// A code in words: "Lights 2026" of "lights-2026".
fn spoken(code: &str) -> String {
    let words = code.replace(['-', '_'], " ");
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}

/// Gives its day, code and name to the season that was begun without any; none where there is none of that show.
fn date_season(
    desk: &mut dyn Desk,
    code: &str,
    name: &str,
    show: &str,
    on: NaiveDateTime,
) -> Result<Option<String>, Problem> {
    let undated = |s: &&Season| s.lights_on.is_none() && s.closed_on.is_none() && s.show == show;
    let Some(season) = desk.yard().seasons.iter().find(undated) else { return Ok(None) };
    let text = |t: &str| Value::Text(t.to_owned());
    let set = vec![
        ("code", text(code)),
        ("name", if name.is_empty() { text(&spoken(code)) } else { text(name) }),
        ("lights_on", on.to_value()),
    ];
    let said = format!("Season {} has its day now and is {code}", season.code);
    let rows = vec![RowChange::new("season", season.id.0, set)];
    desk.write("season-new", &said, rows)?;
    Ok(Some(said))
}

/// Closes a season. What was done differently in it is decided on where `keep` says so; once closed it is not
/// asked again.
pub(super) fn close_season(desk: &mut dyn Desk, code: &str, keep: Option<bool>) -> Result<String, Problem> {
    let season = desk.yard().seasons.iter().find(|s| s.code == code).ok_or_else(|| {
        refused("no-season", format!("there is no season {code:?}")).hint("ladderday season list")
    })?;
    if let Some(on) = season.closed_on {
        return Err(refused("season-closed", format!("{code} was closed on {on}"))
            .hint("ladderday season new CODE --lights-on 2027-11-26 opens the next"));
    }
    let today = desk.now().with_timezone(&desk.zone()).format("%Y-%m-%d").to_string();
    let mut rows = vec![RowChange::new("season", season.id.0, vec![("closed_on", Value::Text(today))])];
    let open: Vec<SeasonDifferenceId> = desk
        .yard()
        .season_differences
        .iter()
        .filter(|d| d.season_id == season.id && d.decision == Decision::Open)
        .map(|d| d.id)
        .collect();
    if let Some(keep) = keep {
        let word = if keep { Decision::Kept } else { Decision::Dropped };
        rows.extend(open.iter().map(|id| {
            let decided = vec![("decision", Value::Text(word.as_str().to_owned()))];
            RowChange::new("season_difference", id.0, decided)
        }));
    }
    let differently = match (open.len(), keep) {
        (0, _) => String::new(),
        (n, Some(true)) => format!("; {n} changes are kept for next year"),
        (n, Some(false)) => format!("; {n} changes are not kept: next year begins as planned"),
        (n, None) => format!("; {n} changes stay undecided: next year begins as it ended"),
    };
    let still = open_at_close(&desk.outlook(), code);
    let still = if still.is_empty() { String::new() } else { format!("; still open: {}", still.join("; ")) };
    let said = format!("Closed season {code}{differently}");
    desk.write("season-close", &said, rows)?;
    Ok(format!("{said}{still}"))
}

pub(super) fn hold_placement(desk: &mut dyn Desk, code: &str, why: Option<&str>) -> Result<String, Problem> {
    let placement = desk
        .yard()
        .placements
        .iter()
        .find(|p| p.code.eq_ignore_ascii_case(code))
        .ok_or_else(|| refused("no-placement", format!("there is no placement {code:?}")))?;
    let value = why.map_or(Value::Null, |w| Value::Text(w.to_owned()));
    let said = match why {
        Some(w) => format!("Held back: {} ({w})", placement.name),
        None => format!("Goes on: {}", placement.name),
    };
    let row = RowChange::new("placement", placement.id.0, vec![("held_why", value)]);
    desk.write("placement-hold", &said, vec![row])?;
    Ok(said)
}
