//! The season that a list is for: of the day it tells, else the one that is lit last, else one whose day is told later.

use std::collections::BTreeSet;

use chrono::{NaiveDate, NaiveTime};
use uuid::Uuid;

use super::dates;
use super::known::plain;
use crate::domain::{RowChange, Season, Value};
use crate::exchange::csv::grid::Line;
use crate::exchange::csv::{CsvFault, Target, field, identity};

/// The hour of lights on where only the day is told; assumed.
const LIGHTS_ON_HOUR: (u32, u32) = (17, 0);
/// The code of a season that a list begins without a day.
const UNDATED: &str = "lights";
/// The show of seasons that lists begin.
const SHOW: &str = "lights";
/// What people call the day.
const TITLES: &[&str] =
    &["lights on", "switch on", "lights go on", "opening night", "first night", "show starts", "start date"];

fn undated() -> String {
    format!(
        "the day of lights on is not told: nothing has a deadline yet; ladderday tell season {UNDATED} lights_on=DAY tells it"
    )
}

/// The season's row, and what was assumed of it.
pub(super) struct SeasonRow {
    pub(super) id: Uuid,
    pub(super) code: String,
    /// The year of lights on.
    pub(super) year: String,
    /// What was assumed of it, or is not told.
    pub(super) said: Option<String>,
    pub(super) row: RowChange,
}

/// The line and the words that tell the day, among the lines before the props.
pub(super) fn told(before: &[Line]) -> Option<(u64, String)> {
    before.iter().find_map(|line| {
        let first = line.cells.iter().position(|c| !c.is_empty())?;
        let cell = line.cell(first);
        let lower = cell.to_lowercase().replace(['_', '-'], " ");
        let title = TITLES.iter().find(|t| lower.starts_with(**t))?;
        let rest =
            cell.get(title.len()..).unwrap_or_default().trim_start_matches([':', '=', ' ', '-']).trim();
        let next = || line.cells.iter().skip(first + 1).find(|c| !c.is_empty()).cloned();
        Some((line.number, if rest.is_empty() { next().unwrap_or_default() } else { rest.to_owned() }))
    })
}

/// Whether a line tells the day of lights on, be it in two readings, and not a prop whose name begins so.
pub(super) fn tells_a_day(line: &Line) -> bool {
    let told = told(std::slice::from_ref(line)).map(|(_, text)| dates::read(&text));
    told.is_some_and(|read| read.is_ok() || read.is_err_and(|(code, ..)| code == "ambiguous-date"))
}

/// The season without a day that the list is about: the one that holds most of its props, else the one that lists began,
/// else the only one there is; what is not clear is asked.
fn undated_of<'a>(
    names: &BTreeSet<String>,
    target: &Target<'a>,
    day: NaiveDate,
) -> Result<Option<&'a Season>, (String, String)> {
    let open = || target.existing.seasons.iter().filter(|s| s.ended_at.is_none() && s.closed_on.is_none());
    let undated: Vec<&Season> = open().filter(|s| s.lights_on.is_none()).collect();
    let holds = |s: &Season| {
        let own = target.existing.placements.iter().filter(|p| p.ended_at.is_none() && p.season_id == s.id);
        own.fold((0, 0), |(all, known), p| (all + 1, known + usize::from(names.contains(&plain(&p.name)))))
    };
    let most = undated.iter().map(|s| holds(s).1).max().unwrap_or(0);
    let only = |of: Vec<&&'a Season>| match of.as_slice() {
        [one] => Some(**one),
        _ => None,
    };
    let by_props = only(undated.iter().filter(|s| most > 0 && holds(s).1 == most).collect());
    let of_lists = || only(undated.iter().filter(|s| s.code == UNDATED || s.show == SHOW).collect());
    let alone = || only(undated.iter().filter(|s| open().count() == 1 && holds(s).0 == 0).collect());
    if let Some(season) = by_props.or_else(of_lists).or_else(alone) {
        return Ok(Some(season));
    }
    let Some(first) = undated.first() else { return Ok(None) };
    let codes: Vec<&str> = undated.iter().map(|s| s.code.as_str()).collect();
    let (day, year) = (day.format("%Y-%m-%d"), day.format("%Y"));
    Err((
        format!(
            "the list tells {day}, and it is not clear whether that is the day of {}",
            codes.join(" or ")
        ),
        format!(
            "if it is: ladderday tell season {} lights_on={day}; if the list is for another season: ladderday season \
             new {SHOW}-{year} --lights-on {day}; then import it again",
            first.code
        ),
    ))
}

/// The season of that lights on, a new one where there is none.
pub(super) fn season_of(
    file: &str,
    told: Option<&(u64, String)>,
    names: &BTreeSet<String>,
    target: &Target<'_>,
) -> Result<SeasonRow, Box<CsvFault>> {
    let holding = target.existing.seasons.iter().filter(|s| s.ended_at.is_none());
    let reuse = |season: &Season, said| SeasonRow {
        id: season.id.0,
        code: season.code.clone(),
        year: season.lights_on.map_or_else(String::new, |t| t.format("%Y").to_string()),
        said,
        row: RowChange::new("season", season.id.0, vec![("code", Value::Text(season.code.clone()))]),
    };
    let made = |code: String, name: String, year: String, more: Vec<(&'static str, Value)>, said| {
        let id = holding
            .clone()
            .find(|s| s.code == code)
            .map_or_else(|| identity::id_of(target.yard_id, "season", &code), |s| s.id.0);
        let mut set = vec![
            ("ended_at", Value::Null),
            ("code", Value::Text(code.clone())),
            ("name", Value::Text(name)),
            ("show", Value::Text(SHOW.to_owned())),
        ];
        set.extend(more);
        SeasonRow { id, code, year, said, row: RowChange::new("season", id, set) }
    };
    let Some((number, text)) = told else {
        // Without a day told, the season still ahead of its close that is lit last; one without a day before none.
        return Ok(holding
            .clone()
            .filter(|s| s.closed_on.is_none())
            .max_by_key(|s| (s.lights_on, s.code.clone()))
            .map_or_else(
                || made(UNDATED.to_owned(), "Lights".to_owned(), String::new(), Vec::new(), Some(undated())),
                |season| reuse(season, None),
            ));
    };
    let at = |code, what: String, remedy: String| {
        Box::new(CsvFault::new(code, file, *number, what, remedy).at("lights on", text))
    };
    let told = dates::read(text).map_err(|(code, what, remedy)| at(code, what, remedy))?;
    let time =
        told.time.or(NaiveTime::from_hms_opt(LIGHTS_ON_HOUR.0, LIGHTS_ON_HOUR.1, 0)).unwrap_or_default();
    let full = told.day.and_time(time).format("%Y-%m-%dT%H:%M").to_string();
    let lights_on = match field::local(&full, target.zone()) {
        Ok(Value::Text(time)) => time,
        Ok(_) => String::new(),
        Err(field::Refusal(code, what, _)) => {
            return Err(at(code, what, "write it like 2026-11-27 or 2026-11-27T17:00".to_owned()));
        }
    };
    let hour = told.time.is_none().then(|| "lights on at 17:00 assumed".to_owned());
    let same_day = |s: &&Season| s.lights_on.is_some_and(|t| t.date() == told.day);
    if let Some(season) = holding.clone().find(same_day) {
        let mut season = reuse(season, hour);
        if told.time.is_some() {
            season.row.set.push(("lights_on", Value::Text(lights_on)));
        }
        return Ok(season);
    }
    // The day of a season that had none so far.
    if let Some(season) =
        undated_of(names, target, told.day).map_err(|(what, how)| at("season-not-clear", what, how))?
    {
        let mut season = reuse(season, hour);
        season.row.set.push(("lights_on", Value::Text(lights_on)));
        return Ok(season);
    }
    let year = told.day.format("%Y").to_string();
    let day = vec![("lights_on", Value::Text(lights_on))];
    Ok(made(format!("lights-{year}"), format!("Lights {year}"), year, day, hour))
}
