//! Names of things in words, the same on screens, in commands and on paper.

use chrono::NaiveDate;
use uuid::Uuid;

use super::Outlook;
use crate::domain::{
    Attachment, Caution, ContainerId, Phase, PieceId, Placement, PlacementId, RepairDeed, Session, StepDeed,
    Terms, says_the_name,
};
use crate::planner::PlannedStep;
use crate::steps::{Facts, Step};

/// The key with codes instead of ids, as people can type it.
pub fn code_key(outlook: &Outlook, step: &Step) -> String {
    let mut text = String::new();
    for part in step.key.as_str().split_inclusive([':', '/']) {
        let word = part.trim_end_matches([':', '/']);
        match Uuid::try_parse(word).ok().and_then(|id| step_word(outlook, id)) {
            Some(code) => text.extend([code, part.get(word.len()..).unwrap_or_default()]),
            None => text.push_str(part),
        }
    }
    text
}

/// The code of anything that a step can be about.
fn step_word<'a>(outlook: &Outlook<'a>, id: Uuid) -> Option<&'a str> {
    let yard = outlook.yard;
    let placement = || yard.placements.iter().find(|p| p.id.0 == id).map(|p| &p.code);
    let place = || yard.places.iter().find(|p| p.id.0 == id).map(|p| &p.code);
    let piece = || yard.pieces.iter().find(|p| p.id.0 == id).map(|p| &p.code);
    let season = || yard.seasons.iter().find(|s| s.id.0 == id).map(|s| &s.code);
    let task = || yard.desk_tasks.iter().find(|t| t.id.0 == id).map(|t| &t.code);
    let duty = || yard.duties.iter().find(|d| d.id.0 == id).map(|d| &d.code);
    let fault = || yard.faults.iter().find(|f| f.id.0 == id).map(|f| &f.code);
    let code = placement().or_else(place).or_else(piece).or_else(season);
    code.or_else(task).or_else(duty).or_else(fault).map(String::as_str)
}

/// A session's forecast in words, in the site's units.
pub fn forecast_words(outlook: &Outlook, s: &Session) -> String {
    let units = outlook.units();
    let wet = [(s.rain, "rain"), (s.snow, "snow"), (s.ice, "ice")];
    let dry = wet.iter().all(|(f, _)| *f == Some(false));
    let flags = wet.into_iter().filter_map(|(f, word)| match f {
        Some(true) => Some(word.to_owned()),
        Some(false) if !dry => Some(format!("no {word}")),
        _ => None,
    });
    let ground = s.frozen.map(|f| if f { "frozen" } else { "thawed" }.to_owned());
    let gust = s.gust_mms.map(|g| format!("gust {}", g.show(units)));
    let low = s.low_mc.map(|l| format!("low {}", l.show(units)));
    let dry = dry.then(|| "dry".to_owned());
    dry.into_iter().chain(flags).chain(ground).chain(gust).chain(low).collect::<Vec<_>>().join(", ")
}

pub fn target_name(outlook: &Outlook, piece: Option<PieceId>, placement: Option<PlacementId>) -> String {
    let facts = outlook.facts();
    if let Some(p) = piece.and_then(|id| facts.piece(id)) {
        let name = if p.name.is_empty() {
            facts.product(p.product_id).map_or("", |x| x.name.as_str())
        } else {
            p.name.as_str()
        };
        return format!("{name} ({})", p.code);
    }
    placement
        .and_then(|id| facts.placement(id))
        .map_or_else(|| "something".to_owned(), |p| format!("{} ({})", p.name, p.code))
}

/// What was done about a fault.
pub const fn deed_words(deed: RepairDeed) -> &'static str {
    match deed {
        RepairDeed::Looked => "looked at",
        RepairDeed::Patched => "patched for now",
        RepairDeed::SwitchedOff => "switched off",
        RepairDeed::WaitingPart => "waits for a part",
        RepairDeed::Mended => "mended, to be tested",
        RepairDeed::Tested => "tested, good again",
        RepairDeed::Scrapped => "scrapped",
        RepairDeed::Replaced => "replaced by a spare",
        RepairDeed::Reopened => "opened again",
    }
}

/// "1 pack", "3 packs".
pub(crate) fn packs(n: i64) -> String {
    if n == 1 { "1 pack".to_owned() } else { format!("{n} packs") }
}

/// "1  sign.jpg, 12 KiB, 14 Dec 2025", one line a photo.
pub fn photo_lines(photos: &[&Attachment]) -> Vec<String> {
    photos
        .iter()
        .enumerate()
        .map(|(n, a)| {
            let on = a.noted_on.map_or_else(String::new, |d| d.format(", %-d %b %Y").to_string());
            format!("{}  {}{on}", n + 1, a.name)
        })
        .collect()
}

/// A caution as it is said at this site: clauses hold where they are law, so that a row of the code with `.elsewhere`
/// goes before it outside the United States.
pub(crate) fn caution<'a>(outlook: &Outlook<'a>, code: &str) -> Option<&'a Caution> {
    let of = |code: &str| outlook.yard.cautions.iter().find(|c| c.code == code);
    let elsewhere = outlook.yard.terms() == Terms::Elsewhere;
    elsewhere.then(|| of(&format!("{code}.elsewhere"))).flatten().or_else(|| of(code))
}

/// A caution's text; its code where the text was not told.
pub fn caution_text(outlook: &Outlook, code: &str) -> String {
    caution(outlook, code).map_or_else(|| code.replace('_', " "), |c| outlook.yard.terms().say(&c.text))
}

/// Where a step is done, in words.
pub(crate) fn place_name(outlook: &Outlook, p: &PlannedStep) -> String {
    match p.step.place {
        Some(id) => outlook
            .yard
            .places
            .iter()
            .find(|x| x.id == id)
            .map_or_else(|| "somewhere".to_owned(), |x| x.name.clone()),
        None if p.step.deed == StepDeed::Desk => "desk".to_owned(),
        None if p.step.phase == Phase::Bench || p.step.deed == StepDeed::Pack => "bench".to_owned(),
        None => "anywhere".to_owned(),
    }
}

/// "boat cut-outs, 8: drive stakes".
pub(crate) fn title(p: &PlannedStep) -> String {
    if p.step.subject.is_empty() {
        p.step.title.clone()
    } else {
        format!("{}: {}", p.step.subject, p.step.title)
    }
}

/// "Mon 3 Aug 2026".
pub fn say_date(d: NaiveDate) -> String {
    d.format("%a %-d %b %Y").to_string()
}

/// "1 step", "3 steps".
pub fn counted(n: i64, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// A prop as a sentence names it: by its code, unless that is the name again.
pub(crate) fn called(p: &Placement) -> String {
    if says_the_name(&p.code, &p.name) { p.name.clone() } else { p.code.clone() }
}

/// "L-031, L-032, L-033 and 28 more".
pub(crate) fn some<S: Into<String>>(names: impl IntoIterator<Item = S>) -> String {
    const SHOWN: usize = 3;
    let mut names = names.into_iter();
    let first: Vec<String> = names.by_ref().take(SHOWN).map(Into::into).collect();
    let (first, more) = (first.join(", "), names.count());
    if more > 0 { format!("{first} and {more} more") } else { first }
}

/// "1 lead", "3 leads", "2 mains boxes": so many of what is named by a word of ours.
pub(crate) fn n_of(n: impl TryInto<i64>, one: &str) -> String {
    let n = n.try_into().unwrap_or(i64::MAX);
    if n == 1 {
        return format!("1 {one}");
    }
    match one.strip_suffix('y').filter(|stem| !stem.ends_with(['a', 'e', 'o', 'u'])) {
        Some(stem) => format!("{n} {stem}ies"),
        None if one.ends_with(['s', 'x', 'h']) => format!("{n} {one}es"),
        None => format!("{n} {one}s"),
    }
}

pub(crate) fn placement_place(facts: &Facts, p: &Placement) -> String {
    p.place_id.and_then(|id| facts.place(id)).map_or_else(|| "place not told".to_owned(), |x| x.name.clone())
}

pub(crate) fn container_name(outlook: &Outlook, id: ContainerId) -> Option<String> {
    let c = outlook.yard.containers.iter().find(|c| c.id == id)?;
    let parent = c.parent_id.and_then(|p| outlook.yard.containers.iter().find(|c| c.id == p));
    Some(match parent {
        Some(p) => format!("{} {}, {}", c.code, c.name, p.name),
        None => format!("{} {}", c.code, c.name),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_is_one() {
        assert_eq!([n_of(1_usize, "lead"), n_of(0_i64, "mains cord")], ["1 lead", "0 mains cords"]);
        assert_eq!([n_of(2_i64, "supply"), n_of(1_i64, "supply")], ["2 supplies", "1 supply"]);
        assert_eq!([n_of(2_i64, "guy"), n_of(2_i64, "box")], ["2 guys", "2 boxes"]);
        assert_eq!(n_of(3_i64, "address"), "3 addresses");
        assert_eq!(some(["a", "b", "c", "d"]), "a, b, c and 1 more");
    }
}
