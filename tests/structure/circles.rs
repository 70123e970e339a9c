//! No circle among the folders of `answers` and of `app`: their arrows point down only.

use std::collections::{BTreeMap, BTreeSet};

use super::files;
use super::read::names;

/// The folder of a file within its layer; a file beside the folders stands for itself.
fn folder(file: &str) -> String {
    let rest = file.split_once('/').map_or(file, |(_, rest)| rest);
    rest.split('/').next().unwrap().trim_end_matches(".rs").to_owned()
}

/// Folders with the folders that they import, and by which file.
fn arrows(layer: &str, all: &[(String, String)]) -> BTreeMap<String, BTreeMap<String, String>> {
    let mine: Vec<_> = all.iter().filter(|(file, _)| file.starts_with(&format!("{layer}/"))).collect();
    let folders: BTreeSet<String> = mine.iter().map(|(file, _)| folder(file)).collect();
    let mut out: BTreeMap<String, BTreeMap<String, String>> = BTreeMap::new();
    for (file, text) in mine {
        let from = folder(file);
        // The head of the layer gathers what is below it.
        if from == "mod" {
            continue;
        }
        for name in names(text.split("#[cfg(test)]").next().unwrap()) {
            let mut parts = name.split("::");
            if (parts.next(), parts.next()) != (Some("crate"), Some(layer)) {
                continue;
            }
            let to = parts.next().unwrap_or_default().to_owned();
            if to != from && folders.contains(&to) {
                out.entry(from.clone()).or_default().insert(to, format!("{file}: {name}"));
            }
        }
    }
    out
}

/// Folders that lead back to themselves, with one import each.
fn circles(layer: &str, all: &[(String, String)]) -> Vec<String> {
    let arrows = arrows(layer, all);
    let mut found = Vec::new();
    for start in arrows.keys() {
        let mut seen: BTreeSet<&String> = BTreeSet::new();
        let mut open: Vec<&String> = vec![start];
        while let Some(at) = open.pop() {
            for (to, by) in arrows.get(at).into_iter().flatten() {
                if to == start {
                    found.push(format!("{start} leads back to itself by {by}"));
                }
                if seen.insert(to) {
                    open.push(to);
                }
            }
        }
    }
    found
}

#[test]
fn folders_of_a_layer_make_no_circle() {
    let all = files("src");
    {
        let layer = "answers";
        let found = circles(layer, &all);
        assert!(found.is_empty(), "{}", found.join("\n"));
    }
}

#[test]
fn a_planted_circle_is_found() {
    let file = |name: &str, text: &str| (name.to_owned(), text.to_owned());
    let planted = [
        file("answers/walk/a.rs", "use crate::answers::power::page::Power;"),
        file("answers/power/b.rs", "use crate::answers::{words::title, wind::look};"),
        file("answers/wind/c.rs", "fn f() { crate::answers::walk::page(); }"),
        file("answers/words.rs", ""),
    ];
    assert_eq!(circles("answers", &planted).len(), 3);
    assert!(circles("answers", &planted[1..]).is_empty());
}
