//! The first questions to a new yard, one after another; each may be left empty, each says what it is good for.

use super::Outlook;
use super::untold::not_told;
use crate::domain::{Phase, Place, Placement};
use crate::steps::{Facts, Scope};
use crate::units::Length;

/// A question of the start.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Question {
    LightsOn,
    LastNight,
    Where,
    Zone,
    Who,
    Ladders,
    Prop,
    /// How a place is reached that seems to be above the ground, by its order among those.
    Reach(usize),
}

/// A question as it is asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    pub question: Question,
    pub title: String,
    pub takes: String,
}

/// Words of places that are not reached from the ground.
const HIGH: &[&str] = &[
    "roof",
    "gable",
    "eave",
    "eaves",
    "gutter",
    "gutters",
    "ridge",
    "ridgeline",
    "dormer",
    "chimney",
    "fascia",
    "soffit",
    "peak",
    "rake",
    "upstairs",
    "upper",
    "mast",
    "treetop",
    "second",
    "rooftop",
    "parapet",
];

/// Whether a place, by its name, seems to be above the ground.
pub fn seems_high(name: &str) -> bool {
    let lower = name.to_lowercase();
    lower.split(|c: char| !c.is_alphanumeric()).any(|word| HIGH.contains(&word))
}

/// What is higher is reached from no ground (common practice).
const REACH: Length = Length::from_mm(2_100);

/// Places that seem high, by code, whether told how they are reached or not.
pub fn high_places<'a>(outlook: &Outlook<'a>) -> Vec<&'a Place> {
    outlook.yard.places.iter().filter(|p| high(p)).collect()
}

fn high(place: &Place) -> bool {
    seems_high(&place.name) || place.height_mm.is_some_and(|h| h > REACH)
}

/// Whether a place seems high and is taken for ground, as how it is reached is not told.
pub(crate) fn reach_untold(facts: &Facts, place: &Place) -> bool {
    high(place) && place.access.is_none() && facts.access(Some(place.id)) == crate::domain::Access::Ground
}

/// The same of what is placed there, which may be reached for higher than its place is.
pub(crate) fn reach_untold_of(facts: &Facts, placement: &Placement, place: &Place) -> bool {
    let above = placement.height_mm.is_some_and(|h| h > REACH);
    reach_untold(facts, place)
        || above && place.access.is_none() && facts.access(Some(place.id)) == crate::domain::Access::Ground
}

/// What nobody needs a step to reach (common practice).
const EASY: Length = Length::from_mm(1_800);

/// Whether what is placed there may be reached from the ground or from a step, and is taken for ground untold.
pub(crate) fn reach_assumed(facts: &Facts, placement: &Placement, place: &Place) -> bool {
    let above = |h: Option<Length>| h.is_some_and(|h| h > EASY);
    facts.access_told(place).is_none()
        && (above(placement.height_mm) || above(place.height_mm))
        && !reach_untold_of(facts, placement, place)
}

/// Those of them of which it is not told, and that are taken for ground.
pub(crate) fn high_untold<'a>(outlook: &Outlook<'a>) -> Vec<&'a Place> {
    let facts = outlook.facts();
    high_places(outlook).into_iter().filter(|p| reach_untold(&facts, p)).collect()
}

/// The question after one, or the first; nothing after the last.
pub fn next(outlook: &Outlook, after: Option<Question>) -> Option<Asked> {
    let season = outlook.season_for(Phase::Up).is_ok();
    let zone = outlook.yard.sites.first().is_some_and(|s| s.time_zone.is_some());
    let mut at = match after {
        None => Question::LightsOn,
        Some(q) => following(q),
    };
    loop {
        let skip = match at {
            Question::LastNight | Question::Prop => !season,
            Question::Zone => zone,
            Question::Reach(n) => high_places(outlook).get(n)?.access.is_some(),
            _ => false,
        };
        if !skip {
            break;
        }
        at = following(at);
    }
    let (title, takes) = words(outlook, at);
    Some(Asked { question: at, title, takes })
}

const fn following(q: Question) -> Question {
    match q {
        Question::LightsOn => Question::LastNight,
        Question::LastNight => Question::Where,
        Question::Where => Question::Zone,
        Question::Zone => Question::Who,
        Question::Who => Question::Ladders,
        Question::Ladders => Question::Prop,
        Question::Prop => Question::Reach(0),
        Question::Reach(n) => Question::Reach(n + 1),
    }
}

fn words(outlook: &Outlook, q: Question) -> (String, String) {
    let (title, takes) = match q {
        Question::LightsOn => {
            ("When do the lights go on?", "a day, with its hour or without: 27 Nov 2026, 2026-11-27 17:00")
        }
        Question::LastNight => {
            ("Which is the last night?", "a day: 6 Jan 2027; takedown is planned after it")
        }
        Question::Where => (
            "Where is the yard?",
            "coordinates as 43.07 N 89.40 W, for daylight and dusk; or a town, for its time zone",
        ),
        Question::Zone => ("Which time zone?", "as America/New_York, Europe/Berlin, or a big city of it"),
        Question::Who => (
            "Who helps?",
            "names, as Ann, Bo (roof), me; or alone. Then hands are counted, and what takes two is told",
        ),
        Question::Ladders => (
            "Which ladders are there?",
            "step ladder, extension ladder; or none. Then what can't be reached is told",
        ),
        Question::Prop => (
            "A prop; an empty line ends",
            "a line as it comes: 8 boat cut-outs, 50 pixels, 5 V, path left, zip-tied; or only its name. Many lines may be pasted",
        ),
        Question::Reach(n) => {
            let place = high_places(outlook).get(n).map_or_else(String::new, |p| p.name.clone());
            return (
                format!("How is {place:?} reached?"),
                "ground, step ladder, extension ladder, roof, or nobody: what hangs there is held back then"
                    .to_owned(),
            );
        }
    };
    (title.to_owned(), takes.to_owned())
}

/// What is told now, what is assumed, and what is not told: read back at the end of the start.
pub fn read_back(outlook: &Outlook) -> Vec<(String, String)> {
    let yard = outlook.yard;
    let season = outlook.season_for(Phase::Up).ok();
    let mut lines = Vec::new();
    let mut tell = |label: &str, text: String| {
        if !text.is_empty() {
            lines.push((label.to_owned(), text));
        }
    };
    tell("lights on", season.and_then(|s| s.lights_on).map_or_else(String::new, Outlook::say_local));
    tell(
        "last night",
        season.and_then(|s| s.lights_off).map_or_else(String::new, |d| d.format("%a %-d %b %Y").to_string()),
    );
    if let Some(site) = yard.sites.first() {
        let zone = site.time_zone.as_deref().unwrap_or("time zone not told");
        tell("where", format!("{}, {zone}", site.name));
    }
    let names: Vec<&str> = yard.people.iter().map(|p| p.name.as_str()).collect();
    tell("who", names.join(", "));
    let ladders = yard.products.iter().filter(|p| p.role == crate::domain::Role::Ladder);
    tell("ladders", ladders.map(|p| p.name.as_str()).collect::<Vec<_>>().join(", "));
    let facts = outlook.facts();
    for p in yard.placements.iter().filter(|p| season.is_some_and(|s| s.id == p.season_id)) {
        let many = if p.count > 1 { format!("{} × ", p.count) } else { String::new() };
        let place = p.place_id.and_then(|id| facts.place(id)).map_or("place not told", |x| x.name.as_str());
        let how = p
            .method_id
            .and_then(|id| yard.methods.iter().find(|m| m.id == id))
            .map_or("", |m| m.name.as_str());
        tell("prop", format!("{many}{}, {place}, {how}", p.name));
    }
    let scope = season.map(|s| Scope { season: s.id, phase: Phase::Up, day: outlook.tonight() });
    if let Some(Ok(derived)) = scope.map(|scope| outlook.derived(scope)) {
        for line in &derived.assumed {
            tell("assumed", line.clone());
        }
    }
    for line in not_told(outlook, season) {
        tell("not told", line);
    }
    lines
}
