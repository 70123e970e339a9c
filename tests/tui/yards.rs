//! Real programs for the screens: the demo, and yards at random with names as bad as can be.

use std::fmt::Write;
use std::path::PathBuf;

use fastrand::Rng;
use ladderday::app::{App, Ask, Choices, NewFault, Tonight};

/// A yard file in a folder of its own.
pub(super) struct Yard {
    folder: tempfile::TempDir,
}

fn at(now: &str) -> Choices {
    Choices { now: Some(now.to_owned()), ..Choices::default() }
}

impl Yard {
    fn path(&self) -> PathBuf {
        self.folder.path().join("yard.ladderday")
    }

    pub(super) fn open(&self, now: &str) -> App {
        App::open(&self.path(), &at(now)).unwrap()
    }
}

pub(super) fn demo() -> Yard {
    let yard = Yard { folder: tempfile::tempdir().unwrap() };
    App::demo(&yard.path(), true, &at("2026-09-01T12:00")).unwrap();
    yard
}

/// A yard file that nothing was told yet.
pub(super) fn empty() -> Yard {
    let yard = Yard { folder: tempfile::tempdir().unwrap() };
    App::create(&yard.path(), &at("2026-09-01T12:00")).unwrap();
    yard
}

/// Two props on a balcony; no people, sessions, power or totes told.
pub(super) fn balcony() -> Yard {
    let yard = empty();
    let sheet = "lights on,2026-11-29\nname,how many,where,how mounted\nfairy light string,2,balcony rail,zip-tied\n\
                 paper star,1,balcony door,hooks\n";
    let file = yard.folder.path().join("props.csv");
    std::fs::write(&file, sheet).unwrap();
    yard.open("2026-09-01T12:00").import(&[file]).unwrap();
    yard
}

/// A farm told in feet: far places, sessions, nobody told who comes.
pub(super) fn farm() -> Yard {
    let yard = empty();
    let sheet = "lights on,2026-12-05\nname,how many,where,how mounted,length,pixels\n\
                 Barn outline,4,barn roof ridge,clips,60 ft,400\nSilo spiral,1,silo,wrap,120 ft,600\n\
                 Fence lanterns,24,lane fence,zip ties,,24\nTractor cut-out,1,front pasture,stakes,12 ft,200\n\
                 Sheep cut-outs,8,front pasture,stakes,4 ft,50\nGate arch,1,lane gate,timber base,16 ft,300\n\
                 Mega tree,1,yard well,guyed mast,30 ft,2400\nPorch icicles,6,farmhouse porch,hooks,8 ft,100\n";
    let file = yard.folder.path().join("props.csv");
    std::fs::write(&file, sheet).unwrap();
    let mut app = yard.open("2026-09-01T12:00");
    app.import(&[file]).unwrap();
    for day in ["2026-10-10", "2026-10-24", "2026-11-14", "2026-11-21", "2027-01-16"] {
        app.perform(&Ask::AddSession {
            starts: format!("{day}T09:00"),
            ends: format!("{day}T16:00"),
            people: Vec::new(),
            work_lights: false,
        })
        .unwrap();
    }
    yard
}

const NAMES: [&str; 12] = [
    "boat cut-outs",
    "Stern von der Dachkante mit sehr langem Namen und noch mehr",
    "漢字の長い名前の光",
    "e\u{301}toile du toit",
    "icicles",
    "net",
    "wreath above the front door of the neighbours' house",
    "Snowman",
    "candy canes",
    "arch",
    "penguin, small",
    "projector",
];
const PLACES: [&str; 8] = [
    "path left",
    "porch eaves",
    "roof ridge",
    "front hedge along the whole of the lane to the street",
    "walk",
    "garage gable",
    "玄関",
    "balcony",
];
const METHODS: [&str; 6] = ["stakes", "hooks", "clips", "zip-tied", "draped over", "on the ground"];

/// Up to thirty props, or none, some with a name of two hundred letters; sessions, faults and people or none.
pub(super) fn random(seed: u64) -> Yard {
    let yard = empty();
    let mut app = yard.open("2026-09-01T12:00");
    let mut rng = Rng::with_seed(seed);
    let mut sheet = "lights on,2026-11-27\nname,how many,where,how mounted\n".to_owned();
    for n in 0..rng.usize(1..=30) {
        let name = NAMES[rng.usize(0..NAMES.len())];
        let name = if n == 3 { name.chars().cycle().take(200).collect() } else { format!("{n} {name}") };
        let place = PLACES[rng.usize(0..PLACES.len())];
        let method = METHODS[rng.usize(0..METHODS.len())];
        writeln!(sheet, "\"{name}\",{},{place},{method}", rng.usize(1..=40)).unwrap();
    }
    let file = yard.folder.path().join("props.csv");
    std::fs::write(&file, sheet).unwrap();
    app.import(&[file]).unwrap();
    for n in 0..rng.u32(0..=4) {
        let day = 10 + n * 3;
        app.perform(&Ask::AddSession {
            starts: format!("2026-10-{day}T09:00"),
            ends: format!("2026-10-{day}T15:00"),
            people: Vec::new(),
            work_lights: n == 2,
        })
        .unwrap();
    }
    for _ in 0..rng.usize(0..=3) {
        let placements = &app.yard().placements;
        let target = placements[rng.usize(0..placements.len())].code.clone();
        let symptom = "dark_from".to_owned();
        let fault = NewFault {
            target,
            symptom,
            at: Some("12".to_owned()),
            tonight: Tonight::Patched,
            note: String::new(),
        };
        app.perform(&Ask::LogFault(fault)).unwrap();
    }
    yard
}
