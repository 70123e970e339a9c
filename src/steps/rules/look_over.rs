//! A ladder, a harness and what holds a person or a mast is looked over before its first use.

use std::collections::BTreeMap;

use crate::domain::{Access, DutyKind, Phase, PieceId, Product, Role, Season, StepDeed};
use crate::steps::facts::Facts;
use crate::steps::key::StepKey;
use crate::steps::step::{Edge, Reason, Step};

/// What a look-over is of.
struct Of {
    key: StepKey,
    /// The ladder or tool words of what was looked over.
    words: Vec<String>,
    /// It holds whoever is on a roof.
    roof: bool,
    piece: Option<PieceId>,
    why: String,
}

/// Puts every look-over of the season before each step that uses what it looks at.
pub(in crate::steps) fn look_over(facts: &Facts, season: &Season, steps: &mut [Step]) {
    let there: BTreeMap<StepKey, usize> = steps.iter().enumerate().map(|(i, s)| (s.key.clone(), i)).collect();
    let all: Vec<Of> = of_pieces(facts, steps)
        .chain(of_duties(facts, season))
        .filter(|of| there.contains_key(&of.key))
        .collect();
    for step in steps.iter_mut().filter(|s| s.deed != StepDeed::Desk) {
        for of in &all {
            let held = of.roof && step.access == Access::Roof;
            let word = step.ladder().into_iter().chain(step.equipment.iter().map(String::as_str));
            let put_out = || {
                of.piece.is_some_and(|piece| {
                    step.phase == Phase::Up
                        && step.placement.is_some_and(|p| facts.pieces_of(p).contains(&piece))
                })
            };
            if held || word.into_iter().any(|w| of.words.iter().any(|own| own == w)) || put_out() {
                step.add_edge(Edge::after(of.key.clone(), Reason::Sequence, of.why.clone()));
            }
        }
    }
}

/// The yearly look-overs of single pieces.
fn of_pieces<'a>(facts: &'a Facts, steps: &'a [Step]) -> impl Iterator<Item = Of> + 'a {
    let looks = steps.iter().filter(|s| s.deed == StepDeed::LookOver && s.placement.is_none());
    looks.filter_map(|s| {
        let id = s.key.as_str().strip_prefix("piece:")?.split('/').next()?;
        let piece = facts.yard.pieces.iter().find(|p| p.id.to_string() == id)?;
        let product = facts.product(piece.product_id)?;
        Some(Of {
            key: s.key.clone(),
            words: product.serves_as.iter().cloned().chain(harness_word(product)).collect(),
            roof: product.role != Role::Ladder && facts.placements_of(piece.id).is_empty(),
            piece: Some(piece.id),
            why: format!("{} is looked over before its first use this year", piece.code),
        })
    })
}

/// A harness answers the word by its kind alone.
fn harness_word(product: &Product) -> Option<String> {
    product.kind.to_lowercase().contains("harness").then(|| "harness".to_owned())
}

/// A duty to look over tools: of those that its title names, of all where it names none.
fn of_duties<'a>(facts: &'a Facts, season: &'a Season) -> impl Iterator<Item = Of> + 'a {
    let duties = facts.yard.duties.iter();
    duties.filter(|d| d.season_id == season.id && d.kind == DutyKind::LookOver).map(|d| {
        let title = d.title.to_lowercase();
        let ladders = title.contains("ladder");
        let holds = ["harness", "anchor", "strap", "lanyard"].iter().any(|w| title.contains(w));
        let mut words: Vec<String> = Vec::new();
        if ladders || !holds {
            words.extend(["step_ladder".to_owned(), "extension_ladder".to_owned()]);
        }
        if holds || !ladders {
            words.push("harness".to_owned());
        }
        Of {
            key: StepKey::of("duty", d.id, "do", Phase::Up),
            words,
            roof: holds || !ladders,
            piece: None,
            why: format!("\"{}\" comes before the first use", d.title),
        }
    })
}
