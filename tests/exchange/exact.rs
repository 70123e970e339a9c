//! Out and back in, exactly: after any deeds an export that is read into another file is exported the same again.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;

use ladderday::app::{App, Ask, Choices, Difference, NewFault, NewRepair, Tonight};
use ladderday::domain::{LookKind, Phase, RepairDeed, TickKind};
use proptest::prelude::*;

use super::small_yard::FILES;

/// Names and codes that mean something elsewhere.
const ODD: [&str; 8] =
    ["Star/left", "A:B", "nowhere", "set_out", "50%2F off", "Wreath. small", "=SUM(A1)", "Ω 'quoted' \"x\""];

/// Two things are not done in one moment: the clock goes on by a minute a deed.
fn choices(seed: u64, minute: usize) -> Choices {
    Choices { now: Some(format!("2026-11-10T18:{minute:02}")), seed: Some(seed), ..Choices::default() }
}

fn written(app: &App, folder: &Path) -> BTreeMap<String, String> {
    app.export(folder).unwrap();
    std::fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .map(|p| (p.file_name().unwrap().to_string_lossy().into_owned(), std::fs::read_to_string(p).unwrap()))
        .collect()
}

/// Steps of a phase as people read them, with how far each is.
fn steps(app: &App, phase: Phase) -> Vec<String> {
    let Ok(derived) = app.steps(phase) else { return Vec::new() };
    let mut all: Vec<String> = derived
        .steps
        .iter()
        .map(|s| format!("{}|{}|{:?}|{}", s.title, s.subject, s.deed, s.after.len()))
        .collect();
    all.sort();
    all
}

/// One deed out of three numbers; many are refused, as they should be.
fn deed(app: &App, kind: u8, a: usize, b: usize) -> Ask {
    let phases = [Phase::Bench, Phase::Up, Phase::Down, Phase::Tonight];
    let keys: Vec<String> = app
        .steps(phases[b % phases.len()])
        .map(|d| d.steps.iter().map(|s| s.key.to_string()).collect())
        .unwrap_or_default();
    let key = keys.get(a % keys.len().max(1)).cloned().unwrap_or_default();
    let (yard, note) = (app.yard(), key.clone());
    let placement = yard.placements.get(a % yard.placements.len().max(1));
    let piece = yard.pieces.get(b % yard.pieces.len().max(1));
    let code = |p: Option<&ladderday::domain::Placement>| p.map_or_else(String::new, |p| p.code.clone());
    let odd = ODD[b % ODD.len()];
    let ticks = [TickKind::Start, TickKind::Done, TickKind::Skip, TickKind::Hold, TickKind::Reopen];
    match kind % 16 {
        0..=4 => Ask::Tick { key, kind: ticks[b % ticks.len()], count: None, why: Some(odd.to_owned()) },
        5 => Ask::AddProp { line: format!("\"{}\",{},{odd}{a},zip ties", odd.replace('"', ""), a % 9 + 1) },
        6 => Ask::Edit {
            table: "placement",
            id: placement.map_or(uuid::Uuid::nil(), |p| p.id.0),
            column: "code".to_owned(),
            text: format!("{odd}{a}"),
        },
        7 => Ask::Edit {
            table: "place",
            id: yard.places.get(a % yard.places.len().max(1)).map_or(uuid::Uuid::nil(), |p| p.id.0),
            column: "code".to_owned(),
            text: format!("{odd}.{a}"),
        },
        8 => Ask::Edit {
            table: "placement",
            id: placement.map_or(uuid::Uuid::nil(), |p| p.id.0),
            column: "note".to_owned(),
            text: format!("  {odd} "),
        },
        9 => Ask::LogFault(NewFault {
            target: piece.map_or_else(String::new, |p| p.code.clone()),
            symptom: "one_out".to_owned(),
            at: None,
            tonight: Tonight::Nothing,
            note: odd.to_owned(),
        }),
        10 => Ask::Repair(NewRepair {
            fault: yard.faults.get(a % yard.faults.len().max(1)).map_or_else(String::new, |f| f.code.clone()),
            deed: [RepairDeed::Mended, RepairDeed::Scrapped, RepairDeed::Reopened][b % 3],
            cause: None,
            minutes: Some(5),
            part: None,
            note: String::new(),
        }),
        11 => Ask::HoldPlacement { code: code(placement), why: b.is_multiple_of(2).then(|| odd.to_owned()) },
        12 => Ask::AddSession {
            starts: format!("2026-11-{:02}T09:00", a % 14 + 12),
            ends: "12:00".to_owned(),
            people: Vec::new(),
            work_lights: b.is_multiple_of(2),
        },
        13 => Ask::DoneDifferently { key, what: Difference::Count, text: "2".to_owned() },
        14 => Ask::Undo,
        _ => [
            Ask::CameOff {
                key,
                how: [LookKind::Good, LookKind::Wet, LookKind::Worn, LookKind::Faulty, LookKind::Missing]
                    [a % 5],
                pieces: Vec::new(),
                many: a.is_multiple_of(3).then_some(1),
            },
            Ask::CountTote {
                tote: yard
                    .containers
                    .get(a % yard.containers.len().max(1))
                    .map_or_else(String::new, |c| c.code.clone()),
                missing: Vec::new(),
                found: piece.map(|p| p.code.clone()).into_iter().collect(),
                part: a.is_multiple_of(2),
                lots: yard.stock.iter().map(|s| (s.code.clone(), 7)).take(a % 2).collect(),
            },
            Ask::WritePack,
            Ask::Redo,
            Ask::Note { key: note, text: odd.to_owned() },
            Ask::AddNeed { title: odd.to_owned(), quantity: 2, need_by: None },
            Ask::DropSession { session: yard.sessions.first().map_or_else(String::new, |s| s.code.clone()) },
            Ask::NewSeason {
                code: format!("y{a}"),
                name: String::new(),
                lights_on: Some(format!("2027-11-{:02}", a % 28 + 1)),
            },
            Ask::CloseSeason {
                code: yard.seasons.first().map_or_else(String::new, |s| s.code.clone()),
                keep: Some(true),
                next: None,
            },
        ][b % 9]
            .clone(),
    }
}

fn round_trip(app: &App, folder: &Path) -> Result<(), TestCaseError> {
    let first = written(app, &folder.join("first"));
    let mut again = App::create(&folder.join("again.ladderday"), &choices(99, 59)).unwrap();
    again.import(&[folder.join("first")]).map_err(|p| TestCaseError::fail(p.what))?;
    let second = written(&again, &folder.join("second"));
    for (name, text) in &first {
        let other = second.get(name).map_or("", String::as_str);
        let line = text.lines().zip(other.lines()).find(|(a, b)| a != b);
        prop_assert_eq!(text.len(), other.len(), "{} {:?}", name, line);
        prop_assert!(text == other, "{} {:?}", name, line);
    }
    prop_assert_eq!(first.len(), second.len());
    for phase in [Phase::Bench, Phase::Up, Phase::Down] {
        prop_assert_eq!(steps(app, phase), steps(&again, phase), "{:?}", phase);
    }
    Ok(())
}

proptest! {
    #![proptest_config(crate::store::cases(12))]

    #[test]
    fn after_any_deeds_an_export_comes_back_the_same(deeds in prop::collection::vec((any::<u8>(), 0..500_usize, 0..500_usize), 0..24)) {
        let folder = tempfile::tempdir().unwrap();
        let csv = folder.path().join("csv");
        std::fs::create_dir(&csv).unwrap();
        for (name, text) in FILES {
            std::fs::write(csv.join(name), text).unwrap();
        }
        let file = folder.path().join("y.ladderday");
        let mut app = App::create(&file, &choices(1, 0)).unwrap();
        app.import(&[csv]).unwrap();
        for (minute, (kind, a, b)) in deeds.into_iter().enumerate() {
            drop(app);
            app = App::open(&file, &choices(1 + minute as u64, minute + 1)).unwrap();
            let ask = deed(&app, kind, a, b);
            let _ = app.perform(&ask);
        }
        round_trip(&app, folder.path())?;
    }
}

/// The demo with its old seasons and their ticks.
#[test]
fn the_demo_comes_back_the_same() {
    let folder = tempfile::tempdir().unwrap();
    let mut app = App::demo(&folder.path().join("demo.ladderday"), true, &choices(1, 0)).unwrap();
    for n in 0..12 {
        let ask = deed(&app, n, 7 * usize::from(n), 3);
        let _ = app.perform(&ask);
    }
    if let Err(fault) = round_trip(&app, folder.path()) {
        panic!("{fault}");
    }
}

/// Codes that hold what parts a key, and words that stand for nothing told: every tick comes back to its step.
#[test]
fn codes_that_look_like_parts_of_a_key_come_back() {
    let folder = tempfile::tempdir().unwrap();
    let csv = folder.path().join("csv");
    std::fs::create_dir(&csv).unwrap();
    let codes = ["A/B", "C:D/up", "nowhere", "set_out", "50%2F", "x.y.z", "%6Eowhere", "=1+1"];
    let mut places = "code,name,access\n".to_owned();
    let mut lines = "code,name,season,count,place,method\n".to_owned();
    for (n, code) in codes.iter().enumerate() {
        writeln!(places, "{code},Place {n},ground").unwrap();
        let method = ["bracket", "glue", "tie", ""][n % 4];
        writeln!(lines, "{code},Prop {n},frost,1,{code},{method}").unwrap();
    }
    lines.push_str("none,Prop none,frost,1,,bracket\n");
    std::fs::write(csv.join("place.csv"), places).unwrap();
    std::fs::write(csv.join("placement.csv"), lines).unwrap();
    std::fs::write(csv.join("season.csv"), "code,name,lights_on\nfrost,Frost,2026-11-27T17:00\n").unwrap();
    let mut app = App::create(&folder.path().join("y.ladderday"), &choices(1, 0)).unwrap();
    app.import(&[csv]).unwrap();
    let mut ticked = 0;
    for phase in [Phase::Bench, Phase::Up] {
        let keys: Vec<String> = app.steps(phase).unwrap().steps.iter().map(|s| s.key.to_string()).collect();
        for key in keys {
            let done = Ask::Tick { key, kind: TickKind::Done, count: None, why: None };
            ticked += usize::from(app.perform(&done).is_ok());
        }
    }
    assert!(ticked > 40, "{ticked}");
    if let Err(fault) = round_trip(&app, folder.path()) {
        panic!("{fault}");
    }
}
