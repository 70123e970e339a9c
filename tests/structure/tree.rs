//! Sizes of files, head comments, and the one test binary.

use std::fs;

use super::{files, root};

const MOST_LINES: usize = 400;

/// What is wrong with a file's length, told with the figures.
fn too_long(file: &str, lines: usize) -> Option<String> {
    (lines > MOST_LINES).then(|| format!("{file} has {lines} lines, at most {MOST_LINES}: part it"))
}

/// What a head comment lacks: a sentence on what is here, and what is not.
fn head_fault(file: &str, source: &str) -> Option<String> {
    // A file that holds no code yet has nothing to tell.
    if source.lines().all(|l| l.trim().is_empty() || l.starts_with("//")) {
        return None;
    }
    let head: Vec<&str> = source.lines().take_while(|l| l.starts_with("//!")).collect();
    if head.is_empty() {
        return Some(format!("{file} has no head comment"));
    }
    let says = head.iter().any(|l| l.contains("Not here: "));
    (file.ends_with("mod.rs") && !says).then(|| format!("{file} does not say what is \"Not here: …\""))
}

#[test]
fn no_file_is_too_long() {
    let all: Vec<String> =
        files("src").iter().filter_map(|(file, text)| too_long(file, text.lines().count())).collect();
    assert!(all.is_empty(), "{}", all.join("\n"));
    assert!(too_long("steps/a.rs", 401).is_some() && too_long("steps/a.rs", 400).is_none());
}

#[test]
fn every_file_says_what_is_here_and_every_folder_what_is_not() {
    let all: Vec<String> = files("src").iter().filter_map(|(file, text)| head_fault(file, text)).collect();
    assert!(all.is_empty(), "{}", all.join("\n"));
    assert!(head_fault("a/mod.rs", "//! Things.\nmod b;").is_some());
    assert!(head_fault("a/b.rs", "mod c;").is_some());
    assert!(head_fault("a/mod.rs", "//! Things. Not here: others.\n").is_none());
}

/// Each folder of tests is a part of the one binary, and the other way round.
#[test]
fn the_test_binary_names_every_folder() {
    let main = fs::read_to_string(root().join("tests/main.rs")).unwrap();
    let mut named: Vec<&str> =
        main.lines().filter_map(|l| l.strip_prefix("mod ")).filter_map(|l| l.strip_suffix(';')).collect();
    let sorted = named.is_sorted();
    named.sort_unstable();
    let mut folders: Vec<String> = fs::read_dir(root().join("tests"))
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.join("mod.rs").is_file())
        .map(|p| p.file_name().unwrap().to_string_lossy().into_owned())
        .collect();
    // The reference programs share this with the test binary, under its own path.
    folders.push("reference".to_owned());
    folders.sort_unstable();
    folders.dedup();
    assert_eq!(named, folders);
    assert!(sorted, "the parts are in the order of the alphabet");
}

/// The top level holds what DEVELOPERS.md says and nothing else.
#[test]
fn the_top_level_is_small() {
    const KNOWN: &[&str] = &[
        "Cargo.lock",
        "Cargo.toml",
        "DEVELOPERS.md",
        "LICENSE",
        "README.md",
        "migrations",
        "sample-data",
        "src",
        "target",
        "tests",
    ];
    let more: Vec<String> = fs::read_dir(root())
        .unwrap()
        .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
        .filter(|n| !n.starts_with('.') && !KNOWN.contains(&n.as_str()))
        .collect();
    assert_eq!(more, Vec::<String>::new());
}

/// One search: nothing else of the engine goes through schedules side by side, by chance or against a clock.
#[test]
fn only_the_search_of_the_engine_searches() {
    let found = |what: &str| -> Vec<String> {
        let engine = files("src/planner/engine").into_iter();
        engine.filter(|(_, text)| text.contains(what)).map(|(name, _)| name).collect()
    };
    for what in ["rayon", "Rng::with_seed", "control.stop"] {
        let all = found(what);
        assert!(!all.is_empty(), "{what} is nowhere");
        let other: Vec<&String> = all.iter().filter(|f| !f.starts_with("search/")).collect();
        assert!(other.is_empty(), "{what} in {other:?}");
    }
}
