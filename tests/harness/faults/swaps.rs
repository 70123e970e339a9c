//! The file is swapped under a writing program, as a folder that is kept alike on two machines does it.

use std::collections::BTreeSet;
use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use ladderday::store::{NewYard, Store};
use uuid::Uuid;

/// What stands under the name, and what was kept beside it, together hold all that was acknowledged.
pub fn under_a_program(folder: &Path, times: usize, sabotage: bool) -> bool {
    let mut random = fastrand::Rng::with_seed(1);
    let (mut acknowledged, mut lost, mut findings, mut named) = (0, 0, 0, 0);
    for round in 0..times {
        let dir = folder.join(format!("swap-{round}"));
        fs::create_dir_all(&dir).unwrap();
        let yard = dir.join("yard.ladderday");
        let new =
            NewYard { yard_id: Uuid::from_u128(1), device: "A".into(), clock_shift_ms: None, demo: false };
        drop(Store::create(&yard, &new).unwrap());
        let other = dir.join("other");
        fs::copy(&yard, &other).unwrap();
        let mut child = Command::new(std::env::current_exe().unwrap());
        child.args(["--write", &yard.display().to_string(), "--from", "1", "--deeds", "100000"]);
        if sabotage {
            child.args(["--sabotage", "ack-first"]);
        }
        let mut child = child.stdout(Stdio::piped()).spawn().unwrap();
        let lines = BufReader::new(child.stdout.take().unwrap());
        let writing = std::thread::spawn(move || lines.lines().map_while(Result::ok).collect::<Vec<_>>());
        std::thread::sleep(Duration::from_micros(random.u64(20_000..80_000)));
        match round % 3 {
            0 => fs::rename(&other, &yard).unwrap(),
            1 => fs::remove_file(&yard).unwrap(),
            // Away and back again is no swap of the other kind: the deeds go on into the file that was moved.
            _ => {
                fs::rename(&yard, dir.join("moved")).unwrap();
                fs::rename(&other, &yard).unwrap();
            }
        }
        child.wait().unwrap();
        let said = writing.join().unwrap();
        named += usize::from(said.iter().any(|l| l.starts_with("! swapped")));
        let told: BTreeSet<u64> =
            said.iter().filter_map(|l| l.strip_suffix('.').and_then(|n| n.parse().ok())).collect();
        acknowledged += told.len();
        let mut kept: BTreeSet<u64> = BTreeSet::new();
        for file in fs::read_dir(&dir).unwrap().map(|f| f.unwrap().path()) {
            let name = file.file_name().unwrap().to_string_lossy().into_owned();
            if ["-wal", "-shm", "-open"].iter().any(|end| name.ends_with(end)) {
                continue;
            }
            let store = Store::open(&file).unwrap();
            findings += store.verify().unwrap().len();
            kept.extend(store.load_yard().unwrap().ticks.iter().map(|t| t.id.0.as_u128() as u64));
        }
        lost += told.difference(&kept).count();
        let _ = fs::remove_dir_all(&dir);
    }
    println!(
        "swaps: {times} swaps, {named} named, {acknowledged} deeds acknowledged, {lost} lost, {findings} findings"
    );
    lost == 0 && findings == 0 && named == times && acknowledged > 0
}
