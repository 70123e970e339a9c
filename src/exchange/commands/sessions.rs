//! `session list`: sessions with their people, light and forecast.

use std::fmt::Write as _;

use chrono::{DateTime, Utc};

use super::plan;
use crate::answers::Outlook;
use crate::answers::outdoors::light::light_words;
use crate::answers::words::forecast_words;
use crate::domain::{Session, local_time};
use crate::exchange::json::{SessionRowDoc, SessionsDoc};
use crate::planner;
use crate::planner::SessionSpan;

fn spans(outlook: &Outlook) -> Vec<SessionSpan> {
    planner::Calendar::new(outlook.yard, DateTime::<Utc>::MIN_UTC, None).sessions
}

pub(crate) fn document(outlook: &Outlook, list: &[&Session]) -> SessionsDoc {
    let (zone, spans) = (outlook.zone(), spans(outlook));
    let at = |t| local_time(zone, t).map_or_else(|_| t.to_string(), |t| t.with_timezone(&zone).to_rfc3339());
    let doc = |s: &&Session| {
        let span = spans.iter().find(|x| x.id == s.id);
        SessionRowDoc {
            code: s.code.clone(),
            from: at(s.starts),
            to: at(s.ends),
            people: people(outlook, s),
            work_lights: s.work_lights,
            forecast: span.and_then(|x| x.forecast).map(|f| plan::forecast(&f)),
            light: span.and_then(|x| x.light).map(|l| plan::light(zone, &l)),
            lost: s.lost,
        }
    };
    SessionsDoc { sessions: list.iter().map(doc).collect() }
}

fn people(outlook: &Outlook, session: &Session) -> Vec<String> {
    let of = outlook.yard.session_people.iter().filter(|x| x.session_id == session.id);
    of.filter_map(|x| outlook.yard.people.iter().find(|p| p.id == x.person_id))
        .map(|p| p.name.clone())
        .collect()
}

pub(crate) fn text(outlook: &Outlook, list: &[&Session]) -> String {
    let spans = spans(outlook);
    list.iter().fold(String::new(), |mut out, s| {
        let lights = if s.work_lights { ", work lights" } else { "" };
        let forecast = forecast_words(outlook, s);
        let forecast = if forecast.is_empty() { forecast } else { format!("; forecast: {forecast}") };
        let (from, to) = (Outlook::say_local(s.starts), s.ends.format("%H:%M"));
        let people = people(outlook, s).join(", ");
        let _ = writeln!(out, "{:<12} {from} to {to}  {people}{lights}{forecast}", s.code);
        if let Some(light) = spans.iter().find(|x| x.id == s.id).map(|x| light_words(outlook, x)) {
            let _ = writeln!(out, "{:<12} {light}", "");
        }
        out
    })
}
