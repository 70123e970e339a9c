//! Faults: what was logged, what to do next, what to try.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::app::deeds::deed_words;
use crate::app::guide::Try;
use crate::app::owner::App;
use crate::app::record::BenchJob;
use crate::app::symptoms::{SYMPTOMS, answer_words, symptom};
use crate::app::view::{FaultRow, Faults, GuideStep, Symptom};
use crate::domain::{
    Attachment, Fault, FaultId, Phase, PieceId, Placement, PlacementId, RepairDeed, RepairEntry, Terms,
};
use crate::steps::{Facts, Spare, spares_at_home, spares_for};

/// A tick this long ago, milliseconds, says no more where one stands.
const STANDS_HERE_MS: i64 = 2 * 3_600_000;

impl App {
    /// The faults of this yard: those just found, then the bench by its dates, then what is over.
    pub fn faults_page(&self) -> Faults {
        let facts = self.facts();
        // Days from the plan that is there already: nobody waits for one at the fault in the dark.
        let plan = self.season_for(Phase::Up).ok().and_then(|s| self.plans.get(&(s.id, Phase::Up)));
        let jobs = self.bench_jobs(plan.map(AsRef::as_ref));
        let mut faults: Vec<&Fault> = self.yard.faults.iter().collect();
        faults.sort_by_cached_key(|f| {
            let over = facts.fault_over(f);
            let bench = jobs.contains_key(&f.id);
            (over, bench, Self::bench_order(&jobs, f.id), std::cmp::Reverse(f.found_ms), f.code.clone())
        });
        // A photo that can't be listed is no reason to hide the faults; verify says what is wrong.
        let photos = self.store.list_attachments().unwrap_or_default();
        let mut advice = BTreeMap::new();
        let mut rows: Vec<FaultRow> = faults
            .iter()
            .map(|f| {
                let advice: &Advice =
                    advice.entry(f.symptom.as_str()).or_insert_with(|| Advice::on(self.yard.terms(), f));
                self.fault_row(&facts, &jobs, &photos, advice, f)
            })
            .collect();
        self.add_spares(&facts, &faults, &mut rows);
        let seen = |code: &str| {
            self.yard.faults.iter().filter(|f| symptom(&f.symptom).is_some_and(|s| s.code == code)).count()
        };
        let mut symptoms: Vec<(usize, Symptom)> = SYMPTOMS
            .iter()
            .map(|s| (seen(s.code), Symptom { code: s.code, text: s.text, asks_pixel: s.asks_pixel }))
            .collect();
        symptoms.sort_by_key(|(n, _)| std::cmp::Reverse(*n));
        Faults {
            rows,
            symptoms: symptoms.into_iter().map(|(_, s)| s).collect(),
            targets: self.targets(&facts),
        }
    }

    /// How a fault stands, and what to do next.
    pub(in crate::app) fn fault_state(facts: &Facts, f: &Fault) -> (&'static str, &'static str) {
        match facts.fault_stands(f.id) {
            None | Some(RepairDeed::Looked | RepairDeed::Reopened) => {
                ("open", "mend tonight, patch it, or switch it off")
            }
            Some(RepairDeed::Patched) => ("patched", "mend it on the bench in summer"),
            Some(RepairDeed::SwitchedOff) => ("off", "mend it on the bench in summer"),
            Some(RepairDeed::WaitingPart) => ("waiting for a part", "order the part, or receive it"),
            Some(RepairDeed::Mended) => ("mended, to be tested", "test it on the bench"),
            Some(RepairDeed::Replaced) => ("replaced, piece on the bench", "mend or scrap the piece"),
            Some(RepairDeed::Tested) => ("ended", ""),
            Some(RepairDeed::Scrapped) => ("scrapped", ""),
        }
    }

    fn fault_row(
        &self,
        facts: &Facts,
        jobs: &BTreeMap<FaultId, BenchJob>,
        photos: &[Attachment],
        advice: &Advice,
        f: &Fault,
    ) -> FaultRow {
        let mut own: Vec<&Attachment> = photos.iter().filter(|a| a.fault_id == Some(f.id)).collect();
        own.sort_by_key(|a| a.id);
        let known = symptom(&f.symptom);
        let terms = self.yard.terms();
        let entries = facts.repairs(f.id);
        let (state, next) = Self::fault_state(facts, f);
        let job = jobs.get(&f.id);
        let ended = facts.fault_over(f);
        FaultRow {
            id: f.id.0,
            code: f.code.clone(),
            target: self.target_name(f.piece_id, f.placement_id),
            symptom: Self::symptom_words(f),
            found: self.found_words(f),
            state,
            ended,
            bench: job.is_some(),
            next: job.map_or_else(|| next.to_owned(), |j| j.next.clone()),
            entries: entries
                .iter()
                .map(|e| {
                    let cause = e
                        .cause
                        .as_deref()
                        .map_or_else(String::new, |c| format!(", cause: {}", c.replace('_', " ")));
                    let time = e.minutes_s.map_or_else(String::new, |m| format!(", {}", m.show()));
                    let note = if e.note.is_empty() { String::new() } else { format!(": {}", e.note) };
                    let part = e.part_id.and_then(|p| facts.product(p)).map_or_else(String::new, |p| {
                        e.parts_used.map_or_else(String::new, |n| format!(", {n} x {}", p.name))
                    });
                    let who = e
                        .person_id
                        .and_then(|p| self.yard.people.iter().find(|x| x.id == p))
                        .map_or_else(String::new, |p| format!(", {}", p.name));
                    if let Some([what, seen, _]) = answer_words(terms, &f.symptom, &e.tried, &e.result) {
                        return format!("{}{who} tried: {what} {seen}{note}", self.say_ms(e.at_ms.0));
                    }
                    format!("{} {}{who}{cause}{time}{part}{note}", self.say_ms(e.at_ms.0), deed_words(e.deed))
                })
                .collect(),
            cautions: Arc::clone(&advice.cautions),
            // What is over asks for no guide.
            guide: match known.filter(|_| !ended) {
                None => Arc::default(),
                Some(s) if entries.iter().any(|e| !e.tried.is_empty()) => {
                    s.guide.iter().map(|t| guide_step(terms, t, f, &entries)).collect()
                }
                Some(_) => Arc::clone(&advice.guide),
            },
            spares: Vec::new(),
            photos: Self::photo_lines(&own),
        }
    }

    /// What may go out in the place of each faulty piece, in the season that is put up next.
    fn add_spares(&self, facts: &Facts, faults: &[&Fault], rows: &mut [FaultRow]) {
        let Ok(season) = self.season_for(Phase::Up).map(|s| s.id) else { return };
        let (home, proposed) = (spares_at_home(facts, season), spares_for(facts, season));
        for (f, row) in faults.iter().zip(rows).filter(|(_, row)| !row.ended) {
            let Some(piece) = f.piece_id.and_then(|p| facts.piece(p)) else { continue };
            let mut spares: Vec<PieceId> = home
                .get(&piece.product_id)
                .into_iter()
                .flatten()
                .copied()
                .filter(|p| *p != piece.id)
                .collect();
            spares.sort_by_key(|id| proposed.get(&piece.id) != Some(&Spare::Piece(*id)));
            row.spares =
                spares.into_iter().filter_map(|id| facts.piece(id)).map(|p| p.code.clone()).collect();
        }
    }

    /// "Sun 14 Dec 2025 21:05, by Wren, rain".
    fn found_words(&self, f: &Fault) -> String {
        let who = f.person_id.and_then(|p| self.yard.people.iter().find(|x| x.id == p));
        let who = who.map_or_else(String::new, |p| format!(", by {}", p.name));
        let weather = if f.weather.is_empty() { String::new() } else { format!(", {}", f.weather) };
        format!("{}{who}{weather}", self.say_ms(f.found_ms.0))
    }

    /// "dark from pixel 37 on".
    pub(in crate::app) fn symptom_words(f: &Fault) -> String {
        let text = symptom(&f.symptom).map_or_else(|| f.symptom.replace('_', " "), |s| s.text.to_owned());
        match (f.at_pixel, &f.segment) {
            (Some(n), _) if text.contains("pixel N") => text.replace("pixel N", &format!("pixel {n}")),
            (Some(n), _) => format!("{text} (pixel {n})"),
            (None, Some(s)) => format!("{text} ({s})"),
            (None, None) => text,
        }
    }

    /// What can carry a fault: where one stands by the last tick, the placements of the season that is lit and of the
    /// one that goes up, then every piece that is not alone at one of them: there the two are one thing.
    fn targets(&self, facts: &Facts) -> Vec<(String, String)> {
        let since = self.now_ms() - STANDS_HERE_MS;
        let ticks = self.yard.ticks.iter().filter(|t| t.at_ms.is_some_and(|at| at.0 >= since));
        let here = ticks.max_by_key(|t| (t.at_ms, t.id)).and_then(|t| t.placement_id);
        let mut placements: Vec<&Placement> = here.and_then(|id| facts.placement(id)).into_iter().collect();
        for phase in [Phase::Tonight, Phase::Up] {
            placements
                .extend(self.season_for(phase).ok().map(|s| facts.placements_in(s.id)).unwrap_or_default());
        }
        let mut targets: Vec<(String, String)> = Vec::new();
        let (mut named, mut covered) = (BTreeSet::<PieceId>::new(), BTreeSet::<PieceId>::new());
        let mut seen: BTreeSet<PlacementId> = BTreeSet::new();
        for p in placements {
            let pieces = facts.pieces_of(p.id);
            // The same pieces in another show are no other thing.
            let again = !pieces.is_empty() && pieces.iter().all(|x| covered.contains(x));
            if !seen.insert(p.id) || again {
                continue;
            }
            covered.extend(pieces);
            let name = match pieces {
                [one] => {
                    named.insert(*one);
                    facts.piece(*one).map_or_else(|| p.name.clone(), |x| format!("{} ({})", p.name, x.code))
                }
                _ => p.name.clone(),
            };
            targets.push((p.code.clone(), name));
        }
        for piece in self.yard.pieces.iter().filter(|p| !named.contains(&p.id)) {
            let product = facts.product(piece.product_id);
            let name =
                if piece.name.is_empty() { product.map_or("", |p| p.name.as_str()) } else { &piece.name };
            targets.push((piece.code.clone(), name.to_owned()));
        }
        targets
    }
}

/// What is said of every fault of one symptom that nothing was tried on.
struct Advice {
    cautions: Arc<[String]>,
    guide: Arc<[GuideStep]>,
}

impl Advice {
    fn on(terms: Terms, f: &Fault) -> Self {
        let known = symptom(&f.symptom);
        let cautions = known.map_or(&[][..], |s| s.cautions);
        let guide = known.map_or(&[][..], |s| s.guide);
        Self {
            cautions: cautions.iter().map(|c| (*c).to_owned()).collect(),
            guide: guide.iter().map(|t| guide_step(terms, t, f, &[])).collect(),
        }
    }
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
