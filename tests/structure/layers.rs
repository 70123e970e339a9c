//! Every file under `src` imports only what the table lets its folder import.

use super::read::names;
use super::table::{ALONE, LAYERS, Layer, POWERS};
use super::{files, root};

/// Names of outside crates as code writes them, from `Cargo.toml`.
fn outside() -> Vec<String> {
    let text = std::fs::read_to_string(root().join("Cargo.toml")).unwrap();
    let file: toml::Table = text.parse().unwrap();
    let listed = ["dependencies", "dev-dependencies"];
    let mut all: Vec<String> = listed
        .iter()
        .filter_map(|t| file.get(*t).and_then(toml::Value::as_table))
        .flat_map(|t| t.keys().map(|k| k.replace('-', "_")))
        .collect();
    all.push("ladderday".to_owned());
    all
}

/// The rows that hold for a file: its layer, its folder, itself.
fn rows(file: &str) -> Vec<&'static Layer> {
    let on = |l: &&Layer| file == l.folder || file.starts_with(&format!("{}/", l.folder));
    let all: Vec<&Layer> = LAYERS.iter().filter(on).collect();
    match all.iter().find(|l| ALONE.contains(&l.folder)) {
        Some(alone) => vec![alone],
        None => all,
    }
}

/// What a file imports and may not, one line each.
fn faults(file: &str, source: &str, outside: &[String]) -> Vec<String> {
    let rows = rows(file);
    let layer = file.split('/').next().unwrap();
    if rows.is_empty() {
        return vec![format!("{file}: no row of the table is about this folder")];
    }
    let depth = file.split('/').count() - usize::from(file.ends_with("mod.rs"));
    // Unit tests may use what tests use; their `super` is one deeper.
    let code = source.split("#[cfg(test)]").next().unwrap();
    let mut found = Vec::new();
    for name in names(code) {
        let segments: Vec<&str> = name.split("::").collect();
        let supers = segments.iter().take_while(|s| **s == "super").count();
        let into = match segments[0] {
            "crate" => segments.get(1),
            "super" if supers == depth => segments.get(supers),
            "ladderday" if file == "main.rs" => segments.get(1),
            _ => None,
        };
        if let Some(into) = into
            && LAYERS.iter().any(|l| l.folder == *into)
            && *into != layer
            && !rows.iter().any(|r| r.layers.contains(into))
        {
            found.push(format!("{file}: {name}: {layer} may not import {into}"));
        }
        let engine = ALONE.iter().find(|a| file.starts_with(&format!("{a}/")));
        if let Some(alone) = engine
            && into == Some(&layer)
            && segments.get(2) != alone.split('/').nth(1).as_ref()
        {
            found.push(format!("{file}: {name}: {alone} stands alone"));
        }
        let first = segments[0];
        if outside.iter().any(|c| c == first)
            && first != "thiserror"
            && !rows.iter().any(|r| r.crates.contains(&first))
        {
            found.push(format!("{file}: {name}: {layer} may not use {first}"));
        }
        for (power, paths) in POWERS {
            let held = rows.iter().any(|r| r.powers.contains(power));
            let reached = |p: &&str| {
                // `use std::time;` hides what is reached through it.
                name == **p
                    || name.starts_with(&format!("{p}::"))
                    || (name == "std::time" && p.starts_with("std::time"))
            };
            if !held && paths.iter().any(&reached) {
                found.push(format!("{file}: {name}: {layer} has no {power}"));
            }
        }
    }
    found
}

#[test]
fn every_file_keeps_to_its_layer() {
    let outside = outside();
    let all: Vec<String> = files("src")
        .iter()
        // Unit tests in a file of their own may use what tests use.
        .filter(|(file, _)| !file.ends_with("_tests.rs"))
        .flat_map(|(file, text)| faults(file, text, &outside))
        .collect();
    assert!(all.is_empty(), "{}", all.join("\n"));
}

/// The reader finds what is planted, one kind of fault each, and leaves alone what only looks like one.
#[test]
fn planted_faults_are_found() {
    let outside = outside();
    let planted = [
        ("units/a.rs", "use crate::domain::Yard;", "units may not import domain"),
        ("domain/a.rs", "fn f() { crate::store::open(); }", "domain may not import store"),
        ("calc/wind/a.rs", "use crate::{units::Speed, domain::{Place, Site}};", "calc may not import domain"),
        ("steps/a.rs", "use super::super::planner::Plan;", "steps may not import planner"),
        ("steps/mod.rs", "use super::app;", "steps may not import app"),
        ("steps/rules/a.rs", "use super::super::super::tui::run;", "steps may not import tui"),
        ("stats/a.rs", "type P = crate::planner::Plan;", "stats may not import planner"),
        ("store/a.rs", "use crate::exchange::json;", "store may not import exchange"),
        ("answers/walk/a.rs", "use crate::store::Store;", "answers may not import store"),
        ("answers/a.rs", "use crate::app::App;", "answers may not import app"),
        ("answers/power/a.rs", "let t = std::fs::read(p);", "answers has no files"),
        ("answers/a.rs", "use std::time::Instant;", "answers has no clock"),
        ("answers/a.rs", "std::thread::spawn(f);", "answers has no threads"),
        ("answers/a.rs", "use crate::exchange::print;", "answers may not import exchange"),
        ("tui/a.rs", "use crate::store::Store;", "tui may not import store"),
        ("cli/a.rs", "use crate::planner::make_plan;", "cli may not import planner"),
        ("planner/engine/a.rs", "use crate::steps::Step;", "planner may not import steps"),
        ("planner/engine/a.rs", "use crate::planner::plan::Plan;", "planner/engine stands alone"),
        ("planner/engine/a.rs", "use chrono::Utc;", "planner may not use chrono"),
        ("domain/a.rs", "#[derive(serde::Serialize)] struct S;", "domain may not use serde"),
        ("units/a.rs", "use chrono::NaiveDate;", "units may not use chrono"),
        ("app/a.rs", "use rusqlite::Connection;", "app may not use rusqlite"),
        ("tui/a.rs", "use signal_hook::consts;", "tui may not use signal_hook"),
        ("planner/a.rs", "use std::{collections::BTreeMap, fs};", "planner has no files"),
        ("exchange/csv/a.rs", "let t = std::fs::read_to_string(p);", "exchange has no files"),
        ("steps/a.rs", "use std::env::var as v;", "steps has no environment"),
        ("planner/a.rs", "use std::time::{Duration, Instant};", "planner has no clock"),
        ("store/a.rs", "let t = std::time::SystemTime::now();", "store has no clock"),
        ("calc/a.rs", "use std::time;", "calc has no clock"),
        ("planner/a.rs", "std::thread::spawn(f);", "planner has no threads"),
        ("tui/a.rs", "std::thread::spawn(f);", "tui has no threads"),
        ("app/a.rs", "println!(\"x\");", "app has no printing"),
        ("steps/a.rs", "dbg!(x);", "steps has no printing"),
        ("app/a.rs", "use std::io::stdout;", "app has no terminal"),
        ("store/a.rs", "std::process::exit(1);", "store has no processes"),
        ("buying/a.rs", "use std::net::TcpStream;", "buying has no network"),
        ("extras/a.rs", "", "no row of the table"),
    ];
    for (file, source, wanted) in planted {
        let found = faults(file, source, &outside);
        assert!(found.iter().any(|f| f.contains(wanted)), "{file}: {source}: {wanted}: {found:?}");
    }
    let innocent = [
        ("units/a.rs", "// use crate::domain::Yard;\n/* std::fs */ const A: &str = \"crate::store::x\";"),
        (
            "units/a.rs",
            "const A: &str = r#\"use \"std::env\"; \"#; const C: char = '\"'; use crate::units::Length;",
        ),
        ("steps/rules/a.rs", "use super::super::step::Step; use super::store; use std::time::Duration;"),
        ("planner/engine/yard/a.rs", "use crate::planner::engine::problem::Time; fn f<'a>(x: &'a str) {}"),
        ("store/a.rs", "use std::fs::File;\n#[cfg(test)]\nmod tests { use tempfile::tempdir; }"),
        ("tui/run.rs", "use std::time::Instant; use signal_hook::flag;"),
        ("cli/a.rs", "println!(\"x\");"),
        ("calc/a.rs", "#[derive(thiserror::Error)] enum E {}"),
    ];
    for (file, source) in innocent {
        assert_eq!(faults(file, source, &outside), Vec::<String>::new(), "{file}");
    }
}

#[test]
fn the_table_names_what_there_is() {
    let folders: Vec<String> = std::fs::read_dir(root().join("src"))
        .unwrap()
        .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    for layer in LAYERS.iter().filter(|l| !l.folder.contains('/')) {
        assert!(folders.iter().any(|f| f == layer.folder), "{} is no part of src", layer.folder);
    }
    let outside = outside();
    for name in LAYERS.iter().flat_map(|l| l.crates) {
        assert!(outside.iter().any(|c| c == name), "{name} is no dependency");
    }
    for power in LAYERS.iter().flat_map(|l| l.powers) {
        assert!(POWERS.iter().any(|(p, _)| p == power), "{power} is no power");
    }
}
