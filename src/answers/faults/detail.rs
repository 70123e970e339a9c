//! All about one fault: its record, what to try, what may go out instead.

use crate::answers::Outlook;
use crate::answers::symptoms::guide::Try;
use crate::answers::symptoms::{answer_words, symptom};
use crate::answers::view::{FaultDetail, GuideStep};
use crate::answers::words::{deed_words, photo_lines};
use crate::domain::{Attachment, Fault, FaultId, Phase, PieceId, RepairEntry, Terms};
use crate::steps::{Facts, Spare, spares_at_home, spares_for};

/// All about one fault; nothing where it is not there.
pub fn fault_detail(outlook: &Outlook, id: FaultId, photos: &[Attachment]) -> Option<FaultDetail> {
    let facts = outlook.facts();
    let f = outlook.yard.faults.iter().find(|f| f.id == id)?;
    let entries = facts.repairs(f.id);
    let terms = outlook.yard.terms();
    let (known, ended) = (symptom(&f.symptom), facts.fault_over(f));
    let mut own: Vec<&Attachment> = photos.iter().filter(|a| a.fault_id == Some(f.id)).collect();
    own.sort_by_key(|a| a.id);
    // What is over asks for no guide.
    let guide = known.filter(|_| !ended).map_or(&[][..], |s| s.guide);
    Some(FaultDetail {
        found: found_words(outlook, f),
        entries: entry_lines(outlook, &facts, f),
        cautions: known.map_or(&[][..], |s| s.cautions).iter().map(|c| (*c).to_owned()).collect(),
        guide: guide.iter().map(|t| guide_step(terms, t, f, &entries)).collect(),
        spares: if ended { Vec::new() } else { spare_codes(outlook, &facts, f) },
        photos: photo_lines(&own),
    })
}

/// What was done about a fault, a line an entry.
pub(crate) fn entry_lines(outlook: &Outlook, facts: &Facts, f: &Fault) -> Vec<String> {
    let line = |e: &&RepairEntry| {
        let cause =
            e.cause.as_deref().map_or_else(String::new, |c| format!(", cause: {}", c.replace('_', " ")));
        let time = e.minutes_s.map_or_else(String::new, |m| format!(", {}", m.show()));
        let note = if e.note.is_empty() { String::new() } else { format!(": {}", e.note) };
        let part = e.part_id.and_then(|p| facts.product(p)).map_or_else(String::new, |p| {
            e.parts_used.map_or_else(String::new, |n| format!(", {n} x {}", p.name))
        });
        let who = e
            .person_id
            .and_then(|p| outlook.yard.people.iter().find(|x| x.id == p))
            .map_or_else(String::new, |p| format!(", {}", p.name));
        let at = outlook.say_ms(e.at_ms.0);
        match answer_words(outlook.yard.terms(), &f.symptom, &e.tried, &e.result) {
            Some([what, seen, _]) => format!("{at}{who} tried: {what} {seen}{note}"),
            None => format!("{at} {}{who}{cause}{time}{part}{note}", deed_words(e.deed)),
        }
    };
    facts.repairs(f.id).iter().map(line).collect()
}

/// What may go out in the place of the faulty piece, in the season that is put up next; the one proposed first.
fn spare_codes(outlook: &Outlook, facts: &Facts, f: &Fault) -> Vec<String> {
    let Ok(season) = outlook.season_for(Phase::Up).map(|s| s.id) else { return Vec::new() };
    let Some(piece) = f.piece_id.and_then(|p| facts.piece(p)) else { return Vec::new() };
    let (home, proposed) = (spares_at_home(facts, season), spares_for(facts, season));
    let of_it = home.get(&piece.product_id).into_iter().flatten();
    let mut spares: Vec<PieceId> = of_it.copied().filter(|p| *p != piece.id).collect();
    spares.sort_by_key(|id| proposed.get(&piece.id) != Some(&Spare::Piece(*id)));
    spares.into_iter().filter_map(|id| facts.piece(id)).map(|p| p.code.clone()).collect()
}

/// "Sun 14 Dec 2025 21:05, by Wren, rain".
pub(crate) fn found_words(outlook: &Outlook, f: &Fault) -> String {
    let who = f.person_id.and_then(|p| outlook.yard.people.iter().find(|x| x.id == p));
    let who = who.map_or_else(String::new, |p| format!(", by {}", p.name));
    let weather = if f.weather.is_empty() { String::new() } else { format!(", {}", f.weather) };
    format!("{}{who}{weather}", outlook.say_ms(f.found_ms.0))
}

/// One thing to try, with what it showed last.
fn guide_step(terms: Terms, t: &Try, f: &Fault, entries: &[&RepairEntry]) -> GuideStep {
    let answer = entries
        .iter()
        .rev()
        .find(|e| e.tried == t.code)
        .and_then(|e| answer_words(terms, &f.symptom, &e.tried, &e.result))
        .map(|[_, seen, means]| format!("{seen}: {means}"));
    GuideStep {
        code: t.code.to_owned(),
        what: terms.say(t.what),
        results: t
            .results
            .iter()
            .map(|(code, seen, means)| [(*code).to_owned(), terms.say(seen), terms.say(means)])
            .collect(),
        answer,
    }
}
