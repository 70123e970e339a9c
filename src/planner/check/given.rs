//! What the plan says of the facts is what the facts say.

use std::collections::BTreeMap;

use chrono::{DateTime, LocalResult, NaiveDateTime, Offset, TimeZone, Utc};
use chrono_tz::Tz;

use super::{Found, View, moment};
use crate::calc::daylight::{SunTimes, sun_times};
use crate::domain::{Condition, MoveKind, Phase, Role, Session};
use crate::planner::{Forecast, SessionSpan};

pub(super) fn look(view: &View, found: &mut Found) {
    let (plan, yard) = (view.plan, view.facts.yard);
    if plan.now != view.now {
        found.say("now_wrong", "", format!("made for {}, asked at {}", plan.now, view.now));
    }
    if plan.season != view.season.code {
        found.say("season_wrong", "", format!("of {}, asked of {}", plan.season, view.season.code));
    }
    let site = yard.sites.first();
    let zone = site.and_then(|s| s.time_zone.as_deref()).and_then(|z| z.parse().ok()).unwrap_or(Tz::UTC);
    if plan.zone != zone {
        found.say("zone_wrong", "", format!("said {}, is {zone}", plan.zone));
    }
    let dates = [
        // Nothing has to be ready by the rehearsal on the way down.
        ("rehearsal", plan.rehearsal, view.season.rehearsal.filter(|_| plan.phase != Phase::Down)),
        ("lights on", plan.lights_on, view.season.lights_on),
    ];
    for (name, said, local) in dates {
        if said != local.and_then(|l| moment(zone, l)) {
            found.say("date_wrong", "", format!("{name} said {said:?}, the season tells {local:?}"));
        }
    }
    let minutes = [
        ("place", plan.setup.place, site.and_then(|s| s.place_minutes)),
        ("ladder", plan.setup.ladder, site.and_then(|s| s.ladder_minutes)),
    ];
    for (name, said, told) in minutes {
        if told.is_some_and(|t| t != said) || said < 0 {
            found.say("setup_wrong", "", format!("{name} takes {said} minutes, told {told:?}"));
        }
    }
    let ladders = yard.products.iter().any(|p| p.role == Role::Ladder && serves(p.serves_as.as_ref()));
    let tools = yard.products.iter().any(|p| p.role != Role::Ladder && serves(p.serves_as.as_ref()));
    let to_come = yard.sessions.iter().filter(|s| !s.lost).any(|s| {
        let span = one_moment(zone, s.starts).zip(one_moment(zone, s.ends));
        span.is_some_and(|(from, to)| from < to && to > view.now)
    });
    let told = [
        ("sessions", plan.told.sessions, to_come && plan.phase != Phase::Tonight),
        ("people", plan.told.people, !yard.people.is_empty()),
        ("equipment", plan.told.equipment, ladders || tools),
    ];
    for (name, said, is) in told {
        if said != is {
            found.say("told_wrong", name, format!("said {said}, is {is}"));
        }
    }
    for (i, session) in plan.sessions.iter().enumerate() {
        if plan.sessions.iter().take(i).any(|s| s.id == session.id) {
            found.say("session_twice", &session.code, "listed twice");
        }
        if let Some(what) = session_fault(view, zone, session) {
            found.say("session_wrong", &session.code, what);
        }
    }
    equipment(view, found);
}

fn serves(word: Option<&String>) -> bool {
    word.is_some_and(|w| !w.is_empty())
}

fn one_moment(zone: Tz, local: NaiveDateTime) -> Option<DateTime<Utc>> {
    match zone.from_local_datetime(&local) {
        LocalResult::Single(t) => Some(t.with_timezone(&Utc)),
        _ => None,
    }
}

fn session_fault(view: &View, zone: Tz, said: &SessionSpan) -> Option<String> {
    let yard = view.facts.yard;
    let Some(session) = yard.sessions.iter().find(|s| s.id == said.id) else {
        return Some("no such session is told".to_owned());
    };
    if session.lost {
        return Some("it is lost".to_owned());
    }
    if one_moment(zone, session.starts) != Some(said.from) || one_moment(zone, session.ends) != Some(said.to)
    {
        return Some(format!(
            "said {} to {}, told {} to {}",
            said.from, said.to, session.starts, session.ends
        ));
    }
    if said.from >= said.to {
        return Some("it ends before it begins".to_owned());
    }
    if said.work_lights != session.work_lights {
        return Some("its work lights are not as told".to_owned());
    }
    if said.forecast != forecast(session) {
        return Some("its forecast is not as told".to_owned());
    }
    if said.light != light(view, zone, session) {
        return Some("its daylight is not that of its day and position".to_owned());
    }
    let is = people(view, zone, session, said);
    let mut shown: Vec<Came> =
        said.people.iter().map(|a| (a.name.clone(), a.skills.clone(), a.from, a.to)).collect();
    shown.sort();
    (shown != is).then(|| "its people are not as told".to_owned())
}

fn forecast(s: &Session) -> Option<Forecast> {
    let told = s.rain.is_some()
        || s.snow.is_some()
        || s.ice.is_some()
        || s.frozen.is_some()
        || s.gust_mms.is_some()
        || s.low_mc.is_some();
    told.then_some(Forecast {
        rain: s.rain,
        snow: s.snow,
        ice: s.ice,
        frozen: s.frozen,
        gust: s.gust_mms,
        low: s.low_mc,
    })
}

fn light(view: &View, zone: Tz, session: &Session) -> Option<SunTimes> {
    let site = view.facts.yard.sites.first()?;
    let date = session.starts.date();
    let noon = zone.from_local_datetime(&date.and_hms_opt(12, 0, 0)?).earliest()?;
    let (latitude, longitude) = (site.latitude_udeg?, site.longitude_udeg?);
    sun_times(latitude.degrees(), longitude.degrees(), date, &noon.offset().fix()).ok()
}

/// Name, skills, from, to.
type Came = (String, Vec<String>, DateTime<Utc>, DateTime<Utc>);

fn people(view: &View, zone: Tz, session: &Session, span: &SessionSpan) -> Vec<Came> {
    let yard = view.facts.yard;
    let mut come: Vec<Came> = Vec::new();
    let mut anyone = false;
    for row in yard.session_people.iter().filter(|r| r.session_id == session.id) {
        anyone = true;
        let edge = |t: Option<NaiveDateTime>, else_: DateTime<Utc>| {
            t.and_then(|t| one_moment(zone, t)).unwrap_or(else_).clamp(span.from, span.to)
        };
        let (from, to) = (edge(row.comes, span.from), edge(row.goes, span.to));
        for p in yard.people.iter().filter(|p| p.id == row.person_id && from < to) {
            come.push((p.name.clone(), p.skills.iter().map(str::to_owned).collect(), from, to));
        }
    }
    if !anyone {
        for p in &yard.people {
            come.push((p.name.clone(), p.skills.iter().map(str::to_owned).collect(), span.from, span.to));
        }
    }
    come.sort();
    come
}

fn equipment(view: &View, found: &mut Found) {
    let yard = view.facts.yard;
    let mut ladders: Vec<(String, &str)> = Vec::new();
    let mut tools: BTreeMap<&str, i64> = BTreeMap::new();
    for product in &yard.products {
        let Some(word) = product.serves_as.as_deref().filter(|w| !w.is_empty()) else { continue };
        for piece in yard.pieces.iter().filter(|p| p.product_id == product.id) {
            if piece.condition == Condition::Good && product.role == Role::Ladder {
                ladders.push((format!("{} ", piece.code), word));
            }
            if product.role != Role::Ladder {
                *tools.entry(word).or_default() += i64::from(piece.condition == Condition::Good);
            }
        }
        if product.role != Role::Ladder {
            let lots = yard.stock.iter().filter(|s| s.product_id == product.id);
            *tools.entry(word).or_default() += lots.map(|s| have(view, s.id)).sum::<i64>();
        }
    }
    for (i, unit) in view.plan.equipment.iter().enumerate() {
        let twice = view.plan.equipment.iter().take(i).any(|u| u.name == unit.name);
        let as_told = if unit.ladder {
            let named =
                ladders.iter().any(|(code, word)| unit.name.starts_with(code) && *word == unit.serves);
            unit.count == 1 && named
        } else {
            tools.get(unit.serves.as_str()) == Some(&unit.count) && unit.name == unit.serves
        };
        if twice || !as_told {
            let what = format!("{} of {} not as told", unit.count, unit.serves);
            found.say("equipment_wrong", &unit.name, what);
        }
    }
}

/// How many of a lot there are by its movements.
fn have(view: &View, lot: crate::domain::StockId) -> i64 {
    let mut rows: Vec<_> = view.facts.yard.stock_moves.iter().filter(|m| m.stock_id == lot).collect();
    rows.sort_by_key(|m| (m.at_ms, m.id));
    let mut have = 0;
    for row in rows {
        have = match row.kind {
            MoveKind::Counted => row.quantity,
            MoveKind::Bought | MoveKind::Found => have + row.quantity,
            MoveKind::Used | MoveKind::Lost | MoveKind::Scrapped => 0.max(have - row.quantity),
        };
    }
    have
}
