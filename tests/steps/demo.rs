//! The demo yard's steps as a whole: an own topological check, cautions, and the changeover.

use std::collections::{BTreeMap, BTreeSet};

use ladderday::app::{App, Choices};
use ladderday::domain::{Access, Phase, StepDeed, Yard};
use ladderday::steps::Reason;

use super::small_yard::try_derived;

fn demo() -> Yard {
    let folder = tempfile::tempdir().unwrap();
    let choices = Choices { now: Some("2026-09-01T12:00".to_owned()), ..Choices::default() };
    App::demo(&folder.path().join("demo.ladderday"), true, &choices).unwrap().yard().clone()
}

#[test]
fn every_order_of_the_demo_keeps_every_edge() {
    let y = demo();
    for season in ["tide-2024", "harbor-2025", "tide-2026", "harbor-2026"] {
        for phase in [Phase::Bench, Phase::Up, Phase::Tonight, Phase::Down, Phase::Change] {
            let steps = try_derived(&y, season, phase).unwrap().steps;
            let mut over = BTreeSet::new();
            for s in &steps {
                for e in &s.after {
                    assert!(over.contains(&e.key), "{season} {phase:?}: {} before {}", s.key, e.key);
                    assert!(!e.why.is_empty());
                }
                assert!(over.insert(s.key.clone()), "{} twice", s.key);
            }
        }
    }
}

#[test]
fn no_step_on_ladder_roof_mains_or_mast_is_without_a_caution() {
    let y = demo();
    let known: BTreeSet<&str> = y.cautions.iter().map(|c| c.code.as_str()).collect();
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for season in ["tide-2026", "harbor-2026"] {
        for phase in [Phase::Up, Phase::Down] {
            for s in try_derived(&y, season, phase).unwrap().steps {
                for code in &s.cautions {
                    assert!(known.contains(code.as_str()), "{code} has no text");
                }
                let has = |code: &str| s.cautions.iter().any(|c| c == code);
                let mut need = |what: &'static str, code: &str| {
                    *seen.entry(what).or_default() += 1;
                    assert!(has(code), "{}: {} without {code}: {:?}", s.subject, s.title, s.cautions);
                };
                match s.access {
                    Access::StepLadder | Access::ExtensionLadder => need("ladder", "ladder"),
                    Access::Roof => need("roof", "roof"),
                    Access::Ground => {}
                }
                if matches!(s.deed, StepDeed::Power) {
                    need("mains", "mains");
                }
                if s.deed == StepDeed::Raise && s.recipe_step.starts_with("guyed_mast") {
                    need("mast", "mast");
                }
            }
        }
    }
    assert!(["ladder", "roof", "mains", "mast"].iter().all(|k| seen.contains_key(k)), "{seen:?}");
    for c in &y.cautions {
        assert!(!c.text.is_empty() && !c.source.is_empty(), "{} says where it comes from", c.code);
    }
}

#[test]
fn a_frame_that_both_shows_want_simply_stays() {
    let y = demo();
    let change = try_derived(&y, "harbor-2026", Phase::Change).unwrap().steps;
    let frames: Vec<_> = y
        .placements
        .iter()
        .filter(|p| p.name.contains("Strut frame"))
        .filter(|p| y.seasons.iter().any(|s| s.id == p.season_id && s.code.ends_with("2026")))
        .map(|p| p.id)
        .collect();
    assert_eq!(frames.len(), 2, "one placement in each show");
    let deeds: Vec<StepDeed> =
        change.iter().filter(|s| s.placement.is_some_and(|p| frames.contains(&p))).map(|s| s.deed).collect();
    assert!(
        !deeds
            .iter()
            .any(|d| matches!(d, StepDeed::Lower | StepDeed::Pack | StepDeed::Raise | StepDeed::Set)),
        "{deeds:?}"
    );
    // What both shows want at different places moves straight across.
    assert!(change.iter().flat_map(|s| &s.after).any(|e| e.reason == Reason::Shared));
}
