//! Where there is no room: said with figures and a remedy, nothing lost, and on again once there is room.
//!
//! A limit on the size of a file, set by the shell, stands for the full disk.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use assert_cmd::cargo::cargo_bin;
use ladderday::store::Store;

use super::{file_in, raw};

/// Runs the program where no file may grow over so many blocks of 512 bytes.
fn run(blocks: Option<u32>, yard: &Path, args: &[&str]) -> Output {
    let mut command = Command::new("sh");
    let limit = blocks.map_or_else(String::new, |n| format!("ulimit -f {n}; "));
    command.args(["-c", &format!("trap '' XFSZ; {limit}exec \"$0\" \"$@\"")]);
    command.arg(cargo_bin("ladderday")).arg("--yard").arg(yard).args(args);
    command.env("HOME", yard.parent().unwrap()).output().unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

#[test]
fn a_migration_without_room_says_how_much_is_needed_and_leaves_the_file() {
    let folder = tempfile::tempdir().unwrap();
    let path = file_in(&folder, "old.ladderday");
    let filled = format!("{}/tests/fixtures/store/filled_0001.sql", env!("CARGO_MANIFEST_DIR"));
    raw(&path).execute_batch(&fs::read_to_string(filled).unwrap()).unwrap();
    let before = fs::read(&path).unwrap();
    let output = run(Some(256), &path, &["session", "list"]);
    let needed = format!("{:.1} MB are needed", before.len() as f64 * 2.0 / 1e6);
    assert_eq!(output.status.code(), Some(3), "{output:?}");
    let text = said(&output);
    assert!(text.contains(&needed) && text.contains("0.1 MB could be written"), "{text}");
    assert!(text.contains("make room"), "{text}");
    assert!(fs::read(&path).unwrap() == before, "the file is as it was");
    assert!(output.stdout.is_empty());
    assert!(run(None, &path, &["session", "list"]).status.success());
    let backups: Vec<_> = fs::read_dir(folder.path().join("backups")).unwrap().collect();
    assert_eq!(backups.len(), 1);
    assert_eq!(Store::open(&path).unwrap().verify().unwrap(), []);
}

#[test]
fn a_deed_without_room_is_refused_and_done_later() {
    let folder = tempfile::tempdir().unwrap();
    let path = file_in(&folder, "y.ladderday");
    assert!(run(None, &path, &["new"]).status.success());
    let table = file_in(&folder, "place.csv");
    let rows: Vec<_> = (0..400).map(|n| format!("PL-{n},Bed {n} along the path")).collect();
    fs::write(&table, format!("code,name\n{}\n", rows.join("\n"))).unwrap();
    let places = |expected: usize| {
        let store = Store::open(&path).unwrap();
        assert_eq!(store.verify().unwrap(), []);
        assert_eq!(store.load_yard().unwrap().places.len(), expected);
    };
    let file = table.display().to_string();
    let import = ["import", file.as_str()];
    // Room for the shared index of the log, not for the pages of this deed.
    let output = run(Some(66), &path, &import);
    assert_eq!(output.status.code(), Some(3), "{output:?}");
    assert!(output.stdout.is_empty(), "{output:?}");
    assert!(said(&output).contains("nothing that was saved is lost"), "{}", said(&output));
    places(0);
    let output = run(None, &path, &import);
    assert!(output.status.success(), "{output:?}");
    places(400);
}
