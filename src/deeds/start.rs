//! The answers to the first questions: each becomes the facts it tells, and says what it is good for.

use chrono::NaiveDateTime;

use super::Desk;
use super::prop::{add_prop, plain_piece};
use super::tell::{tell_fact, telling};
use super::{mistyped, refused};
use crate::answers::problem::Problem;
use crate::answers::start::{Question, high_places};
use crate::domain::{Fact as _, Phase, ProductId, RowChange, Value, us_zone};
use crate::exchange::sheet::with_year;
use crate::exchange::tell::{Which, near, tell};
use crate::units::Angle;

/// Words that say no.
const NONE: &[&str] = &["none", "no", "no ladder", "no ladders", "nothing"];
const ALONE: &[&str] =
    &["alone", "i am alone", "me", "only me", "just me", "nobody", "no one", "i", "myself"];

/// Takes an answer.
pub(super) fn answer_start(desk: &mut dyn Desk, question: Question, text: &str) -> Result<String, Problem> {
    let text = text.trim();
    match question {
        Question::LightsOn => start_lights_on(desk, text),
        Question::LastNight => {
            let code = coming(desk)?;
            let on = desk.outlook().season_for(Phase::Up)?.lights_on;
            let text = on.map_or_else(|| text.to_owned(), |on| with_year(text, on.date()));
            let said = start_tell(desk, "season", Some(&code), &[("lights_off", text.as_str())])?;
            Ok(format!("{said}. Takedown is planned after it"))
        }
        Question::Where => start_where(desk, text),
        Question::Zone => {
            let zone = zone_called(text)?;
            let said = start_site(desk, &zone_cells(&zone))?;
            Ok(format!("{said}. Hours are those of your clock"))
        }
        Question::Who => start_who(desk, text),
        Question::Ladders => start_ladders(desk, text),
        Question::Prop => add_prop(desk, text),
        Question::Reach(n) => start_reach(desk, n, text),
    }
}

fn coming(desk: &dyn Desk) -> Result<String, Problem> {
    desk.outlook().season_for(Phase::Up).map(|s| s.code.clone())
}

fn start_tell(
    desk: &mut dyn Desk,
    kind: &str,
    code: Option<&str>,
    cells: &[(&str, &str)],
) -> Result<String, Problem> {
    let cells: Vec<_> = cells.iter().map(|(c, t)| ((*c).to_owned(), (*t).to_owned())).collect();
    tell_fact(desk, kind, code, &cells)
}

fn start_lights_on(desk: &mut dyn Desk, text: &str) -> Result<String, Problem> {
    let code = coming(desk).ok();
    let full = with_year(text, desk.outlook().local_now().date());
    let said = start_tell(desk, "season", code.as_deref(), &[("lights_on", full.as_str())])?;
    let assumed = if said.contains("assumed") { ", 17:00 assumed" } else { "" };
    let Some(on) = desk.outlook().season_for(Phase::Up).ok().and_then(|s| s.lights_on) else {
        return Ok(said);
    };
    let days = (on.date() - desk.outlook().local_now().date()).num_days();
    let when = full_day(on);
    Ok(match days {
        0.. => {
            format!("Lights on {when}{assumed}: {days} days from now. With sessions told you get dates")
        }
        _ => format!("Lights on {when}{assumed}: that is {} days ago", -days),
    })
}

fn start_where(desk: &mut dyn Desk, text: &str) -> Result<String, Problem> {
    if let Some((latitude, longitude)) = coordinates(text) {
        let (lat, lon) = (latitude.show(), longitude.show());
        let said = start_site(desk, &[("latitude".to_owned(), lat), ("longitude".to_owned(), lon)])?;
        return Ok(format!("{said}. Daylight and dusk are planned with"));
    }
    if text.chars().any(|c| c.is_ascii_digit()) {
        return Err(mistyped("bad-position", format!("{text:?} is no position"))
            .hint("write it like 43.07 N 89.40 W, or 43.07, -89.40; or the name of a town"));
    }
    let mut cells = vec![("name".to_owned(), text.to_owned())];
    let zone = zone_called(text).ok();
    if let Some(zone) = &zone {
        cells.extend(zone_cells(zone));
    }
    let said = start_site(desk, &cells)?;
    Ok(format!("{said}. Coordinates would tell daylight, too: + tells them, site"))
}

/// Columns of the one site, which is made where it is not told yet.
fn start_site(desk: &mut dyn Desk, cells: &[(String, String)]) -> Result<String, Problem> {
    tell_fact(desk, "site", None, cells)
}

fn start_who(desk: &mut dyn Desk, text: &str) -> Result<String, Problem> {
    let alone = ALONE.contains(&text.to_lowercase().trim_end_matches('.'));
    let names = if alone { vec!["me".to_owned()] } else { listed(text) };
    let existing = desk.whole_yard()?;
    let mark = desk.mark();
    let mut rows: Vec<RowChange> = Vec::new();
    for name in &names {
        let (name, skills) = name.trim_end_matches(')').split_once('(').unwrap_or((name, ""));
        let cells =
            [("name".to_owned(), name.trim().to_owned()), ("skills".to_owned(), skills.trim().to_owned())];
        let cells = if skills.is_empty() { &cells[..1] } else { &cells[..] };
        let told = tell("person", Which::Called(Some(name.trim())), cells, &telling(desk, &existing, &mark))
            .map_err(|f| super::tell::refusal(&f))?;
        rows.push(told.row);
    }
    let said = if alone {
        "You are alone: what takes two, or must not be done alone, is told apart, with why".to_owned()
    } else {
        format!(
            "{}: hands are counted. Who may go on the roof has the skill roof, as Bo (roof)",
            names.join(", ")
        )
    };
    start_write(desk, &said, rows)
}

fn start_ladders(desk: &mut dyn Desk, text: &str) -> Result<String, Problem> {
    let existing = desk.whole_yard()?;
    let mark = desk.mark();
    let none = NONE.contains(&text.to_lowercase().as_str());
    let mut rows: Vec<RowChange> = Vec::new();
    for name in if none { vec!["No ladder".to_owned()] } else { listed(text) } {
        let lower = name.to_lowercase();
        let word = match () {
            () if none || lower.contains("step") || lower.contains("a-frame") => "step_ladder",
            () if lower.contains("exten") || lower.contains("leaning") => "extension_ladder",
            () => {
                return Err(refused(
                    "bad-ladder",
                    format!("{name:?} is no kind of ladder that steps ask for"),
                )
                .hint("write step ladder or extension ladder, parted by commas; or none"));
            }
        };
        let cells = [("role", "ladder"), ("serves_as", word), ("counted", "no")];
        let cells: Vec<_> = cells.iter().map(|(c, t)| ((*c).to_owned(), (*t).to_owned())).collect();
        let told = tell("product", Which::Called(Some(&name)), &cells, &telling(desk, &existing, &mark))
            .map_err(|f| super::tell::refusal(&f))?;
        let product = ProductId(told.row.id);
        rows.push(told.row);
        // None at all is a kind of ladder without a piece: it is told, and not there.
        if !none && !existing.pieces.iter().any(|p| p.product_id == product) {
            rows.push(plain_piece(desk, format!("{}-{mark}1", told.code), product).to_row());
        }
    }
    let said = if none {
        "No ladder: what needs one is told apart, with why".to_owned()
    } else {
        format!("{}: other ladders are not there. What can't be reached is told", listed(text).join(", "))
    };
    start_write(desk, &said, rows)
}

fn start_write(desk: &mut dyn Desk, said: &str, rows: Vec<RowChange>) -> Result<String, Problem> {
    desk.write("tell", said, rows)?;
    Ok(said.to_owned())
}

fn start_reach(desk: &mut dyn Desk, n: usize, text: &str) -> Result<String, Problem> {
    let outlook = desk.outlook();
    let place = high_places(&outlook).get(n).map(|p| (p.id, p.code.clone(), p.name.clone()));
    let Some((id, code, name)) = place else {
        return Err(refused("no-place", "this place is not there any more"));
    };
    if ALONE.contains(&text.to_lowercase().as_str()) || NONE.contains(&text.to_lowercase().as_str()) {
        let why = format!("nobody goes up to {name}");
        let season = outlook.season_for(Phase::Up)?.id;
        let there = desk.yard().placements.iter().filter(|p| p.place_id == Some(id) && p.season_id == season);
        let held = |p: &crate::domain::Placement| {
            RowChange::new("placement", p.id.0, vec![("held_why", Value::Text(why.clone()))])
        };
        let rows: Vec<RowChange> = there.map(held).collect();
        let said = format!("Held back, as {why}: {} props; h on Plan lets them go on", rows.len());
        return start_write(desk, &said, rows);
    }
    start_tell(desk, "place", Some(&code), &[("access", text)])
}

/// "Ann, Bo and Cy" as three.
fn listed(text: &str) -> Vec<String> {
    let parts = text.split([',', ';', '&', '+']).flat_map(|p| p.split(" and "));
    parts.map(str::trim).filter(|p| !p.is_empty()).map(str::to_owned).collect()
}

fn full_day(on: NaiveDateTime) -> String {
    on.format("%A %-d %B %Y %H:%M").to_string()
}

/// The zone of a name, or of a city that a zone is called by.
fn zone_called(text: &str) -> Result<String, Problem> {
    let plain = |t: &str| t.to_lowercase().replace(['_', '-'], " ");
    let city = |name: &str| plain(name.rsplit('/').next().unwrap_or(name));
    let all = || chrono_tz::TZ_VARIANTS.iter().map(|z| z.name());
    let town = text.split(',').next().unwrap_or_default().trim();
    all()
        .find(|name| plain(name) == plain(text) || (city(name) == plain(town) && name.contains('/')))
        .map(str::to_owned)
        .ok_or_else(|| {
            let near = near(town, all(), 3).join(", ");
            refused("unknown-zone", format!("{text:?} is no time zone that is known"))
                .hint(format!("nearest are: {near}; write it like America/New_York, or a big city of it"))
        })
}

/// Words and units follow the place.
fn zone_cells(zone: &str) -> Vec<(String, String)> {
    let (units, terms) = if us_zone(zone) { ("us", "us") } else { ("si", "elsewhere") };
    [("time_zone", zone), ("units", units), ("terms", terms)]
        .map(|(c, t)| (c.to_owned(), t.to_owned()))
        .into()
}

/// A latitude and a longitude: "43.07 N 89.40 W", "43.07, -89.40".
fn coordinates(text: &str) -> Option<(Angle, Angle)> {
    let halves = text.split_once(',').map(|(a, b)| (a.to_owned(), b.to_owned())).or_else(|| {
        let words: Vec<&str> = text.split_whitespace().collect();
        let (first, second) = words.split_at(words.len() / 2);
        (first.len() == second.len() && !first.is_empty()).then(|| (first.join(" "), second.join(" ")))
    })?;
    let (a, b) = (Angle::parse(&halves.0).ok()?, Angle::parse(&halves.1).ok()?);
    (a.udeg().abs() <= 90_000_000 && b.udeg().abs() <= 180_000_000).then_some((a, b))
}
