//! The light of sessions, and of the nights a show is lit, in words.

use chrono::{DateTime, Days, Utc};

use crate::answers::Outlook;
use crate::answers::words::n_of;
use crate::calc::daylight::{is_dark, sun_times};
use crate::domain::{Season, local_time};
use crate::planner::{Calendar, SessionSpan};
use crate::steps::Light;
use crate::units::Span;

/// The lights of work outdoors; indoors there is always some.
const OUTDOORS: [Light; 4] = [Light::Day, Light::Twilight, Light::Lamp, Light::Dark];

/// "sunset 17:58, dusk 18:26; day none, twilight 26 min, lamp 3 h, dark 2 h 34", for a session of the calendar.
pub(crate) fn light_words(outlook: &Outlook, session: &SessionSpan) -> String {
    let Some(sun) = session.light else {
        return "position not told: light not known".to_owned();
    };
    let zone = outlook.zone();
    let clock = |word: &str, t: Option<DateTime<Utc>>| {
        let t = t.filter(|t| session.from <= *t && *t <= session.to)?;
        Some(format!("{word} {}", t.with_timezone(&zone).format("%H:%M")))
    };
    let mut turns: Vec<String> = [
        clock("dawn", sun.dawn()),
        clock("sunrise", sun.sunrise()),
        clock("sunset", sun.sunset()),
        clock("dusk", sun.dusk()),
    ]
    .into_iter()
    .flatten()
    .collect();
    match sun.sun_status() {
        "polar_night" => turns.push("the sun stays down".to_owned()),
        "midnight_sun" => turns.push("the sun stays up".to_owned()),
        _ => {}
    }
    let lights = OUTDOORS.map(|light| {
        let minutes: i64 =
            Calendar::lit(session, light).iter().map(|(from, to)| (*to - *from).num_minutes()).sum();
        let time = if minutes > 0 { Span::from_minutes(minutes).show() } else { "none".to_owned() };
        format!("{} {time}", light.as_str())
    });
    let turns = if turns.is_empty() { String::new() } else { format!("{}; ", turns.join(", ")) };
    format!("{turns}{}", lights.join(", "))
}

/// "38 nights of 4 h 30, 171 h; begins before dusk on 12 of them"; nothing where nights or hours are not told.
pub(crate) fn lit_hours(outlook: &Outlook, season: &Season) -> Option<String> {
    let ((from, _), minutes) = season.nightly().zip(season.nightly_minutes())?;
    let (first, last) = (season.lights_on?.date(), season.lights_off?);
    let nights = usize::try_from((last - first).num_days() + 1).ok().filter(|n| *n > 0)?;
    let hours = Span::from_minutes(minutes * nights as i64).show();
    let told = format!(
        "{nights} of {}, {hours}",
        Span::from_minutes(minutes).show(),
        nights = n_of(nights, "night")
    );
    let site = outlook.yard.sites.first();
    let Some((lat, lon)) = site.and_then(|s| s.latitude_udeg.zip(s.longitude_udeg)) else {
        return Some(format!("{told}; position not told: daylight not known"));
    };
    let zone = outlook.zone();
    let (mut bright, mut never) = (0_usize, 0_usize);
    for date in (0..nights as u64).filter_map(|n| first.checked_add_days(Days::new(n))) {
        let Ok(begins) = local_time(zone, date.and_time(from)) else { continue };
        // The search for dusk only where there is one to be told from none.
        if is_dark(lat.degrees(), lon.degrees(), begins).unwrap_or(true) {
            continue;
        }
        let offset = chrono::Offset::fix(begins.with_timezone(&zone).offset());
        match sun_times(lat.degrees(), lon.degrees(), date, &offset) {
            Ok(sun) if sun.dusk().is_some() => bright += 1,
            Ok(sun) if sun.civil_status() == "civil_all_night" => never += 1,
            _ => {}
        }
    }
    let bright = (bright > 0).then(|| format!("begins before dusk on {bright} of them"));
    let never = (never > 0).then(|| format!("on {never} of them it never gets dark"));
    Some([Some(told), bright, never].into_iter().flatten().collect::<Vec<_>>().join("; "))
}
