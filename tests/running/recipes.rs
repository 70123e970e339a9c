//! A yard made before tests ran by themselves gets that told once, except where its owner changed the recipe.

use ladderday::app::{App, DEMO};
use ladderday::domain::{Deed, RowChange, Value};
use ladderday::exchange::csv::{CsvFile, Target, read_folder};
use ladderday::store::{NewYard, Store};

use super::at;

const OLD: [&str; 3] = ["caution.csv", "method.csv", "recipe_step.csv"];

/// The recipes as an earlier program brought them in.
fn old_yard(path: &std::path::Path) -> Store {
    let new = NewYard {
        yard_id: uuid::Uuid::from_u128(7),
        device: "home".to_owned(),
        clock_shift_ms: None,
        demo: false,
    };
    let mut store = Store::create(path, &new).unwrap();
    let files = DEMO.iter().filter(|(name, _)| OLD.contains(name));
    let files: Vec<CsvFile> = files.map(|(name, text)| CsvFile { name, bytes: text.as_bytes() }).collect();
    let existing = store.load_whole_yard().unwrap();
    let rows = read_folder(&files, &Target { yard_id: store.yard_id(), existing: &existing }).unwrap();
    apply(&mut store, "import", rows);
    store
}

fn apply(store: &mut Store, verb: &'static str, rows: Vec<RowChange>) {
    store.apply(&Deed { verb, what: verb.to_owned(), at_ms: 1, rows }).unwrap();
}

#[test]
fn an_older_yard_is_told_which_tests_run_and_what_its_owner_changed_stays() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("old.ladderday");
    let mut store = old_yard(&path);
    let yard = store.load_yard().unwrap();
    let id = |code: &str| yard.recipe_steps.iter().find(|s| s.code == code).unwrap().id.0;
    let edit =
        |code, column, value| RowChange { table: "recipe_step", id: id(code), set: vec![(column, value)] };
    apply(
        &mut store,
        "edit",
        vec![
            edit("stake.bench", "fixed_s", Value::Int(600)),
            edit("hook.bench", "title", Value::Text("Lit on the table overnight".to_owned())),
        ],
    );
    drop(store);
    let app = App::open(&path, &at("2026-09-01T12:00")).unwrap();
    let runs = |app: &App, code: &str| app.yard().recipe_runs.iter().any(|r| r.recipe_step_id.0 == id(code));
    assert!(app.yard().recipe_runs.len() > 20, "{}", app.yard().recipe_runs.len());
    assert!(runs(&app, "box.bench") && runs(&app, "clamp.bench"));
    assert!(!runs(&app, "stake.bench") && !runs(&app, "hook.bench"));
    let said = app.store().history(1).unwrap().remove(0).what;
    assert!(said.contains("stake.bench") && said.contains("hook.bench") && !said.contains("clamp"), "{said}");
    let clean = app.store().verify().unwrap();
    assert!(clean.is_empty(), "{clean:?}");
    // Told once: what is taken out again stays out.
    let (many, deeds) = (app.yard().recipe_runs.len(), app.store().history(9).unwrap().len());
    let ended: Vec<RowChange> =
        app.yard().recipe_runs.iter().map(|r| RowChange::end("recipe_run", r.id.0, 9)).collect();
    drop(app);
    apply(&mut Store::open(&path).unwrap(), "end", ended);
    let app = App::open(&path, &at("2026-09-02T12:00")).unwrap();
    assert_eq!((many > 0, app.yard().recipe_runs.len()), (true, 0));
    assert_eq!(app.store().history(9).unwrap().len(), deeds + 1);
}
