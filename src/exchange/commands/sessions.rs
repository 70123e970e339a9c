//! `session list`: sessions with their people, light and forecast.

use std::fmt::Write as _;

use crate::answers::Outlook;
use crate::answers::outdoors::light::light_words;
use crate::answers::words::forecast_words;
use crate::domain::{Session, local_time};
use crate::exchange::json::{SessionRowDoc, SessionsDoc};

/// Sessions from now on, or all, in the order of their dates.
pub fn sessions<'a>(outlook: &Outlook<'a>, all: bool) -> Vec<&'a Session> {
    let over = |s: &&Session| local_time(outlook.zone(), s.ends).is_ok_and(|t| t < outlook.now());
    let mut list: Vec<&Session> = outlook.yard.sessions.iter().filter(|s| all || !over(s)).collect();
    list.sort_by_key(|s| (s.starts, s.code.clone()));
    list
}

pub fn document(outlook: &Outlook, list: &[&Session]) -> SessionsDoc {
    let calendar =
        crate::planner::Calendar::new(outlook.yard, chrono::DateTime::<chrono::Utc>::MIN_UTC, None);
    let doc = |s: &&Session| SessionRowDoc {
        code: s.code.clone(),
        from: Outlook::say_local(s.starts),
        to: s.ends.format("%H:%M").to_string(),
        people: people(outlook, s),
        work_lights: s.work_lights,
        forecast: forecast_words(outlook, s),
        light: calendar
            .sessions
            .iter()
            .find(|x| x.id == s.id)
            .map_or_else(String::new, |x| light_words(outlook, x)),
        lost: s.lost,
    };
    SessionsDoc { sessions: list.iter().map(doc).collect() }
}

fn people(outlook: &Outlook, session: &Session) -> Vec<String> {
    let of = outlook.yard.session_people.iter().filter(|x| x.session_id == session.id);
    of.filter_map(|x| outlook.yard.people.iter().find(|p| p.id == x.person_id))
        .map(|p| p.name.clone())
        .collect()
}

pub fn text(outlook: &Outlook, list: &[&Session]) -> String {
    document(outlook, list).sessions.iter().fold(String::new(), |mut out, r| {
        let lights = if r.work_lights { ", work lights" } else { "" };
        let forecast =
            if r.forecast.is_empty() { String::new() } else { format!("; forecast: {}", r.forecast) };
        let people = r.people.join(", ");
        let _ = writeln!(out, "{:<12} {} to {}  {people}{lights}{forecast}", r.code, r.from, r.to);
        if !r.light.is_empty() {
            let _ = writeln!(out, "{:<12} {}", "", r.light);
        }
        out
    })
}
