//! Spoiled yard files.

use std::fs;
use std::path::{Path, PathBuf};

use ladderday::answers::view::ScreenId;
use ladderday::app::{App, Choices};
use ladderday::domain::{Deed, RowChange, Value, Yard};
use ladderday::store::{PastDeed, Store};

use crate::spoil::spoil;
use crate::{calm, random_for, spread};

const WHAT: [&str; 10] = [
    "refused at opening",
    "opened, facts as they were, verify silent",
    "opened, facts as they were, verify finds it",
    "opened, OTHER FACTS, verify finds it",
    "opened, OTHER FACTS, verify silent",
    "of those silent: other words in the history",
    "refused while reading",
    "refused and changed on the disk",
    "screens refused",
    "panics",
];
const SILENT: usize = 4;
const CHANGED: usize = 7;
const PANICS: usize = 9;

struct Whole {
    folder: PathBuf,
    file: Vec<u8>,
    facts: Yard,
    past: Vec<PastDeed>,
}

pub fn all(folder: &Path, files: u64, seed: u64) -> bool {
    let folder = folder.join(format!("fuzz-{}", std::process::id()));
    fs::create_dir_all(&folder).unwrap();
    let whole = make(&folder);
    let flipped = spread(files, |i| tried(&whole, &format!("f{i}"), seed, i, flip));
    tell("flipped bytes", files, &flipped);
    let spoiled = spread(files / 10, |i| tried(&whole, &format!("j{i}"), seed, i, spoil_journal));
    tell("journal with spoiled JSON", files / 10, &spoiled);
    let _ = fs::remove_dir_all(&folder);
    [flipped, spoiled].iter().all(|sums| sums[SILENT] + sums[CHANGED] + sums[PANICS] == 0)
}

fn tell(name: &str, n: u64, sums: &[u64; WHAT.len()]) {
    println!("{n} files, {name}:");
    for (what, count) in WHAT.iter().zip(sums) {
        println!("  {count:6} {what}");
    }
}

/// A small yard: the recipes, a handful of props, some deeds; closed cleanly.
fn make(folder: &Path) -> Whole {
    let path = folder.join("whole.ladderday");
    let table = folder.join("props.csv");
    fs::write(
        &table,
        "lights on,2026-11-27\nname,how many,where,how mounted,worth,length,permanent,carried by\n\
         Mini trees,8,Lawn left,on stakes,4,,no,\nIcicles,6,Porch rail,hooks,3,2 m,no,\nStar,1,Gable,hooks,5,,no,\n",
    )
    .unwrap();
    let mut app = App::create(&path, &choices()).unwrap();
    app.import(&[table]).unwrap();
    drop(app);
    let mut store = Store::open(&path).unwrap();
    let place = store.load_yard().unwrap().places[0].id.0;
    for n in 0..30 {
        let name = Value::Text(format!("Lawn left of the path {n}"));
        let rows = vec![RowChange::new("place", place, vec![("name", name)])];
        store
            .apply(&Deed { verb: "test", what: format!("Renamed {n}"), at_ms: 2_000_000_000_000 + n, rows })
            .unwrap();
    }
    let (facts, past) = (store.load_whole_yard().unwrap(), store.history(usize::MAX).unwrap());
    drop(store);
    Whole { folder: folder.to_owned(), file: fs::read(&path).unwrap(), facts, past }
}

fn choices() -> Choices {
    Choices { now: Some("2026-10-01T12:00+00:00".to_owned()), ..Choices::default() }
}

type Spoiler = fn(&Whole, &Path, &mut fastrand::Rng);

fn tried(whole: &Whole, name: &str, seed: u64, i: u64, spoiler: Spoiler) -> [u64; WHAT.len()] {
    let folder = whole.folder.join(name);
    fs::create_dir_all(&folder).unwrap();
    let path = folder.join("y.ladderday");
    let mut counted = [0; WHAT.len()];
    let mut random = random_for(seed, i);
    if !calm(|| {
        spoiler(whole, &path, &mut random);
        look(whole, &path, &mut counted);
    }) {
        eprintln!("# file {i} of seed {seed} panics");
        counted[PANICS] += 1;
    }
    let _ = fs::remove_dir_all(&folder);
    counted
}

fn look(whole: &Whole, path: &Path, counted: &mut [u64; WHAT.len()]) {
    let before = fs::read(path).unwrap();
    match App::open(path, &choices()) {
        Err(_) => {
            counted[0] += 1;
            counted[CHANGED] += u64::from(fs::read(path).unwrap() != before);
        }
        Ok(mut app) => {
            for screen in [ScreenId::Today, ScreenId::Walk, ScreenId::Kit] {
                counted[8] += u64::from(app.page(screen, &ladderday::app::PageWant::default()).is_err());
            }
        }
    }
    // What the screens open without looking first, and a helper's file brought in.
    drop(
        App::open_to_show(path, &choices())
            .map(|mut app| app.page(ScreenId::Today, &ladderday::app::PageWant::default()).is_ok()),
    );
    let other = path.with_extension("other");
    fs::write(&other, &whole.file).unwrap();
    let mut store = Store::open(&other).unwrap();
    let _ = store.merge(path);
    drop(store);
    if counted[0] > 0 {
        return;
    }
    let Ok(store) = Store::open(path) else {
        counted[6] += 1;
        return;
    };
    let (Ok(facts), Ok(found)) = (store.load_whole_yard(), store.verify()) else {
        counted[6] += 1;
        return;
    };
    match (facts == whole.facts, found.is_empty()) {
        (true, true) => {
            counted[1] += 1;
            counted[5] += u64::from(store.history(usize::MAX).ok().as_ref() != Some(&whole.past));
        }
        (true, false) => counted[2] += 1,
        (false, false) => counted[3] += 1,
        (false, true) => counted[SILENT] += 1,
    }
}

/// One to eight bytes become others.
fn flip(whole: &Whole, path: &Path, random: &mut fastrand::Rng) {
    let mut bytes = whole.file.clone();
    for _ in 0..random.usize(1..=8) {
        let at = random.usize(..bytes.len());
        bytes[at] ^= random.u8(1..);
    }
    fs::write(path, bytes).unwrap();
}

/// One line of the journal tells something else: well kept by SQLite, so that only its reader can notice.
fn spoil_journal(whole: &Whole, path: &Path, random: &mut fastrand::Rng) {
    fs::write(path, &whole.file).unwrap();
    let conn = rusqlite::Connection::open(path).unwrap();
    let lines: i64 = conn.query_row("SELECT count(*) FROM journal_line", [], |row| row.get(0)).unwrap();
    let at = random.i64(0..lines);
    let ((entry, line), column): ((i64, i64), _) = (
        conn.query_row(
            "SELECT entry_id, line FROM journal_line ORDER BY entry_id, line LIMIT 1 OFFSET ?1",
            [at],
            |row| Ok((row.get(0)?, row.get(1)?)),
        )
        .unwrap(),
        if random.bool() { "after" } else { "before" },
    );
    let text: Option<String> = conn
        .query_row(
            &format!("SELECT {column} FROM journal_line WHERE entry_id = ?1 AND line = ?2"),
            [entry, line],
            |row| row.get(0),
        )
        .unwrap();
    let bytes =
        spoil(text.unwrap_or_else(|| "{}".to_owned()).as_bytes(), b"{\"a\":[1.5e3,null,true]}", random);
    let text = String::from_utf8_lossy(&bytes);
    conn.execute(
        &format!("UPDATE journal_line SET {column} = ?3 WHERE entry_id = ?1 AND line = ?2"),
        rusqlite::params![entry, line, text],
    )
    .unwrap();
    conn.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())).unwrap();
}
