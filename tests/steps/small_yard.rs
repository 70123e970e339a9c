//! A small yard made of CSV texts with the shipped recipes, as an owner would bring it in.

use ladderday::app::{App, Choices};
use ladderday::domain::{Phase, Yard};
use ladderday::steps::{DeriveError, Derived, Facts, Scope, Step, derive};

pub const SEASON: &str = "code,name,show,lights_on,lights_off,rehearsal,rehearsal_dark\n\
    glow-2026,Glow 2026,glow,2026-11-27T17:00,2027-01-03,2026-11-22T13:00,2026-11-22T17:30\n";

pub const PLACES: &str =
    "code,name,access\nEAVES,Eaves,extension_ladder\nPORCH,Porch,ground\nLAWN,Lawn,ground\nROOF,Roof,roof\n";

pub const PRODUCTS: &str = "code,name,role,volts_mv,pixels,ports\n\
    CURTAIN,Icicle curtain,prop,5000,150,\nBOAT,Boat cut-out,prop,5000,50,\nLINE,Roofline,prop,12000,620,\n\
    STAR,Roof star,prop,12000,80,\nFRAME,Strut frame,mount,,,\nPANEL,Tide board,prop,5000,1536,\nBOX,Box,box,,,4\n";

pub const PIECES: &str = "code,product\nBX,BOX\nB-1,BOAT\nB-2,BOAT\nF-1,FRAME\n";

/// Reads files, each a name and its text, into a yard of its own.
pub fn yard(files: &[(&str, &str)]) -> Yard {
    let folder = tempfile::tempdir().unwrap();
    let csv = folder.path().join("csv");
    std::fs::create_dir(&csv).unwrap();
    let base =
        [("season.csv", SEASON), ("place.csv", PLACES), ("product.csv", PRODUCTS), ("piece.csv", PIECES)];
    for (name, text) in base.iter().chain(files) {
        std::fs::write(csv.join(name), text).unwrap();
    }
    let choices = Choices { now: Some("2026-09-01T12:00".to_owned()), ..Choices::default() };
    let mut app = App::create(&folder.path().join("y.ladderday"), &choices).unwrap();
    app.import(&[csv]).unwrap();
    app.yard().clone()
}

pub fn try_derived(yard: &Yard, season: &str, phase: Phase) -> Result<Derived, DeriveError> {
    let season = yard.seasons.iter().find(|s| s.code == season).unwrap().id;
    derive(
        &Facts::new(yard),
        Scope { season, phase, day: chrono::NaiveDate::from_ymd_opt(2026, 12, 4).unwrap() },
    )
}

pub fn derived(yard: &Yard, phase: Phase) -> Vec<Step> {
    try_derived(yard, "glow-2026", phase).unwrap().steps.iter().map(|s| (**s).clone()).collect()
}

/// The step of a placement by the word of its recipe step, as "hang".
pub fn step<'a>(steps: &'a [Step], yard: &Yard, placement: &str, word: &str) -> &'a Step {
    let id = yard.placements.iter().find(|p| p.code == placement).unwrap().id;
    let fits = |s: &&Step| s.placement == Some(id) && s.recipe_step.ends_with(&format!(".{word}"));
    steps.iter().find(fits).unwrap_or_else(|| {
        let there: Vec<&str> =
            steps.iter().filter(|s| s.placement == Some(id)).map(|s| s.recipe_step.as_str()).collect();
        panic!("{placement} has no step {word}: {there:?}")
    })
}

/// Whether `first` comes before `then` by some path of edges: an own search, sharing nothing with the program.
pub fn before(steps: &[Step], first: &Step, then: &Step) -> bool {
    let mut todo = vec![&then.key];
    let mut seen = std::collections::BTreeSet::new();
    while let Some(key) = todo.pop() {
        if key == &first.key {
            return true;
        }
        if seen.insert(key) {
            todo.extend(steps.iter().filter(|s| &s.key == key).flat_map(|s| s.after.iter().map(|e| &e.key)));
        }
    }
    false
}
