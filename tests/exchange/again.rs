//! The same list again, sorted, changed, a year later: known by name and place, never by the number of the line.

use std::collections::BTreeMap;
use std::path::PathBuf;

use ladderday::app::{App, Ask, Choices, ImportChoices};
use ladderday::exchange::sheet::Was;
use ladderday::store::{Applied, Store};
use proptest::prelude::*;
use uuid::Uuid;

use super::lists::{apply, list, yard};

const HEAD: &str = "lights on,2026-11-27\nItem,Qty,Location,Mount,Notes\n";
const LINES: [&str; 5] = [
    "Mini tree,8,Gate,stakes,",
    "Mini tree,4,Porch,sandbags,tall ones",
    "Star,1,Gable,gutter clips,",
    "Candy cane,10,Path,stakes,",
    "Wreath,2,Door,suction cups,",
];

fn text(lines: &[&str]) -> Vec<u8> {
    format!("{HEAD}{}\n", lines.join("\n")).into_bytes()
}

/// Ids by name and place.
fn ids(store: &Store) -> BTreeMap<(String, String), Uuid> {
    let yard = store.load_yard().unwrap();
    let place = |id| yard.places.iter().find(|p| Some(p.id) == id).map_or(String::new(), |p| p.name.clone());
    yard.placements.iter().map(|p| ((p.name.clone(), place(p.place_id)), p.id.0)).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    /// Sorted in any way, with lines put in between: every prop keeps its row, and two yards agree.
    #[test]
    fn sorting_the_sheet_moves_nothing(order in Just((0..5_usize).collect::<Vec<_>>()).prop_shuffle(), first in 0..5_usize) {
        let (_folder, mut store) = yard();
        apply(&mut store, &text(&LINES));
        let before = ids(&store);
        let mut lines: Vec<&str> = order.iter().map(|at| LINES[*at]).collect();
        let (_other, mut fresh) = yard();
        apply(&mut fresh, &text(&lines));
        prop_assert_eq!(&ids(&fresh), &before, "another order at first gives the same rows");
        lines.insert(first, "Elf,1,Lawn,sandbags,");
        let read = apply(&mut store, &text(&lines));
        prop_assert_eq!(read.props.iter().filter(|p| p.was == Was::New).count(), 1);
        prop_assert!(read.props.iter().all(|p| p.different.is_empty()));
        let mut after = ids(&store);
        after.remove(&("Elf".to_owned(), "Lawn".to_owned()));
        prop_assert_eq!(after, before);
    }
}

#[test]
fn moved_renamed_gone_and_empty_cells_are_told_apart() {
    let (_folder, mut store) = yard();
    apply(&mut store, &text(&LINES));
    let before = ids(&store);
    let of = |name: &str, place: &str| before[&(name.to_owned(), place.to_owned())];
    let again = text(&[
        "mini  TREE,,Gate,,",
        "Mini tree,4,Porch,sandbags,tall ones",
        "Star,2,Front wall,gutter clips,",
        "Candy canes,10,Path,stakes,",
    ]);
    let read = list(&again, &store.load_whole_yard().unwrap()).unwrap();
    let was: Vec<_> = read.props.iter().map(|p| (p.id, p.was.clone())).collect();
    assert_eq!(
        was,
        [
            (of("Mini tree", "Gate"), Was::Same),
            (of("Mini tree", "Porch"), Was::Same),
            (of("Star", "Gable"), Was::Moved),
            (of("Candy cane", "Path"), Was::Renamed("Candy cane".to_owned())),
        ]
    );
    // An empty cell changes nothing; only the spelling of the name does.
    let columns: Vec<_> = read.props[0].different.iter().map(|d| d.column).collect();
    assert_eq!(columns, ["name"]);
    let star: Vec<_> =
        read.props[2].different.iter().map(|d| (d.column, d.before.as_str(), d.after.as_str())).collect();
    assert_eq!(star, [("count", "1", "2"), ("place_id", "Gable", "Front wall")]);
    assert_eq!(read.missing.iter().map(|m| m.name.as_str()).collect::<Vec<_>>(), ["Wreath"]);
}

#[test]
fn a_code_goes_before_name_and_place() {
    let (_folder, mut store) = yard();
    let head = "lights on,2026-11-27\nCode,Item,Qty,Location,Mount\n";
    apply(&mut store, format!("{head}A/1,Star,1,Gable,clips\nA/2,Star,1,Gable,clips\n").as_bytes());
    let read = apply(&mut store, format!("{head}A/2,Moon,1,Gate,clips\nA/1,Star,1,Gable,clips\n").as_bytes());
    assert!(read.props.iter().all(|p| p.was == Was::Same), "{:?}", read.props);
    let twice = list(
        format!("{head}A/1,Star,1,Gable,clips\nA/1,Elf,1,Gable,clips\n").as_bytes(),
        &store.load_whole_yard().unwrap(),
    );
    assert_eq!(twice.unwrap_err()[0].code, "code-twice");
}

pub(super) struct Home {
    pub(super) folder: tempfile::TempDir,
}

impl Home {
    pub(super) fn new() -> Self {
        Self { folder: tempfile::tempdir().unwrap() }
    }

    fn file(&self, lines: &[&str]) -> Vec<PathBuf> {
        let path = self.folder.path().join("props.csv");
        std::fs::write(&path, text(lines)).unwrap();
        vec![path]
    }

    fn yard(&self) -> PathBuf {
        self.folder.path().join("y.ladderday")
    }

    pub(super) fn app(&self) -> App {
        App::create(&self.yard(), &Self::choices()).unwrap()
    }

    fn choices() -> Choices {
        Choices { now: Some("2026-10-01T12:00".to_owned()), ..Choices::default() }
    }
}

fn count(app: &App, name: &str) -> i64 {
    app.yard().placements.iter().find(|p| p.name == name).unwrap().count
}

/// What was changed in the program since is asked about, never put back without a word.
#[test]
fn a_change_made_since_is_not_put_back_in_silence() {
    let home = Home::new();
    let mut app = home.app();
    let files = home.file(&LINES);
    app.import(&files).unwrap();
    let star = app.yard().placements.iter().find(|p| p.name == "Star").unwrap().id.0;
    let edit = Ask::Edit { table: "placement", id: star, column: "count".to_owned(), text: "3".to_owned() };
    app.perform(&edit).unwrap();
    let refused = app.import(&files).unwrap_err();
    assert_eq!((refused.code, refused.kind.exit_code()), ("changed-since", 4));
    assert!(refused.what.contains("Star: count is 3 since, the list tells 1"), "{}", refused.what);
    assert_eq!(count(&app, "Star"), 3);
    let tried =
        app.import_as(&files, &ImportChoices { try_only: true, ..ImportChoices::default() }).unwrap().said;
    assert!(tried.contains("in conflict: Star") && tried.contains("the same: 4"), "{tried}");
    assert_eq!(count(&app, "Star"), 3);
    app.import_as(&files, &ImportChoices { yes: true, ..ImportChoices::default() }).unwrap();
    assert_eq!(count(&app, "Star"), 1);
    // What only the list changed is taken at once.
    let files = home.file(&["Star,5,Gable,gutter clips,"]);
    app.import(&files).unwrap();
    assert_eq!(count(&app, "Star"), 5);
}

#[test]
fn what_the_list_no_longer_tells_is_named_and_may_be_ended() {
    let home = Home::new();
    let mut app = home.app();
    app.import(&home.file(&LINES)).unwrap();
    let files = home.file(&LINES[..4]);
    let said = app.import(&files).unwrap();
    assert!(said.contains("no longer in the list, kept") && said.contains("Wreath"), "{said}");
    assert_eq!(app.yard().placements.len(), 5);
    app.import_as(&files, &ImportChoices { end_missing: true, ..ImportChoices::default() }).unwrap();
    assert_eq!(app.yard().placements.len(), 4);
    // Once it is in the list again it is that prop again; but it was ended by an import, so nothing is asked.
    let said = app.import(&home.file(&LINES)).unwrap();
    assert!(said.contains("here again: 1 (Wreath)"), "{said}");
    assert_eq!(app.yard().placements.len(), 5);
}

#[test]
fn a_likely_rename_is_asked_and_makes_no_twin() {
    let home = Home::new();
    let mut app = home.app();
    app.import(&home.file(&LINES)).unwrap();
    let mut lines = LINES.to_vec();
    lines[3] = "Candy canes,10,Path,stakes,";
    let files = home.file(&lines);
    let refused = app.import(&files).unwrap_err();
    assert!(refused.what.contains("seems to be \"Candy cane\""), "{}", refused.what);
    app.import_as(&files, &ImportChoices { yes: true, ..ImportChoices::default() }).unwrap();
    assert_eq!(app.yard().placements.len(), 5);
    assert_eq!(count(&app, "Candy canes"), 10);
}

/// A yard made before a method was shipped gets it with the list; a method that was ended stays ended.
#[test]
fn an_older_yard_learns_the_new_methods() {
    let home = Home::new();
    let mut app = home.app();
    app.import(&home.file(&["Star,1,Gable,zip ties,"])).unwrap();
    let path = home.yard();
    let yard = app.yard().clone();
    drop(app);
    // As if they had never been there.
    let mut old = Store::create(
        &path.with_extension("old"),
        &ladderday::store::NewYard {
            yard_id: super::YARD,
            device: "A".to_owned(),
            clock_shift_ms: None,
            demo: false,
        },
    )
    .unwrap();
    let set_out: Vec<_> = yard
        .rows()
        .into_iter()
        .filter(|r| {
            r.table == "method"
                && r.set.iter().any(|(_, v)| *v == ladderday::domain::Value::Text("set_out".into()))
        })
        .collect();
    assert_eq!(set_out.len(), 1);
    let deed = ladderday::domain::Deed { verb: "import", what: "Old".into(), at_ms: 1, rows: set_out };
    assert_ne!(old.apply(&deed).unwrap(), Applied::Nothing);
    drop(old);
    let mut app = App::open(&path.with_extension("old"), &Home::choices()).unwrap();
    app.import(&home.file(&["Star,1,Gable,zip ties,"])).unwrap();
    let tie = app.yard().methods.iter().find(|m| m.code == "tie").unwrap().id;
    assert!(app.yard().recipe_steps.iter().any(|r| r.method_id == tie));
    assert_eq!(app.yard().placements[0].method_id, Some(tie));
}

/// Words of shipped steps and cautions that nobody changed are brought up to date; an owner's own words stay.
#[test]
fn an_older_yard_learns_the_new_words() {
    use ladderday::domain::{Deed, RowChange, Value};
    let home = Home::new();
    let yard = home.app().yard().clone();
    let new = ladderday::store::NewYard {
        yard_id: super::YARD,
        device: "A".to_owned(),
        clock_shift_ms: None,
        demo: false,
    };
    let path = home.yard().with_extension("old");
    let mut old = Store::create(&path, &new).unwrap();
    let text = |t: &str| Value::Text(t.to_owned());
    let shipped = ["method", "recipe_step", "caution"];
    let mut rows: Vec<RowChange> = yard.rows().into_iter().filter(|r| shipped.contains(&r.table)).collect();
    let code = |r: &RowChange, code: &str| r.set.contains(&("code", Value::Text(code.to_owned())));
    let mut was = |name: &str, column: &str, words: &str| {
        let row = rows.iter_mut().find(|r| code(r, name)).unwrap();
        row.set.iter_mut().find(|(c, _)| *c == column).unwrap().1 = text(words);
        row.id
    };
    was("mains", "text", "Old words");
    was("hook.fit", "title", "Old title");
    let roof = was("roof", "text", "Old roof");
    old.apply(&Deed { verb: "import", what: "Old".into(), at_ms: 1, rows }).unwrap();
    let own = vec![RowChange::new("caution", roof, vec![("text", text("My own words"))])];
    old.apply(&Deed { verb: "import", what: "Mine".into(), at_ms: 2, rows: own }).unwrap();
    drop(old);
    let mut app = App::open(&path, &Home::choices()).unwrap();
    app.import(&home.file(&["Star,1,Gable,zip ties,"])).unwrap();
    let caution = |code: &str| app.yard().cautions.iter().find(|c| c.code == code).unwrap().text.clone();
    assert!(caution("mains").starts_with("Unplug before"), "{}", caution("mains"));
    assert_eq!(caution("roof"), "My own words");
    let fit = app.yard().recipe_steps.iter().find(|r| r.code == "hook.fit").unwrap();
    assert!(fit.title.starts_with("Fit the hooks"), "{}", fit.title);
}

/// A place with a name much like the old one, to which all that stood there went, is asked about as a rename.
#[test]
fn a_renamed_place_keeps_its_row() {
    let home = Home::new();
    let mut app = home.app();
    app.import(&home.file(&LINES)).unwrap();
    let path = app.yard().places.iter().find(|p| p.name == "Path").unwrap().id;
    let mut lines = LINES.to_vec();
    lines[3] = "Candy cane,10,Paths,stakes,";
    let files = home.file(&lines);
    let refused = app.import(&files).unwrap_err();
    assert!(refused.what.contains("where \"Paths\" seems to be \"Path\""), "{}", refused.what);
    app.import_as(&files, &ImportChoices { yes: true, ..ImportChoices::default() }).unwrap();
    let place = app.yard().places.iter().find(|p| p.id == path).unwrap();
    assert_eq!((place.name.as_str(), app.yard().places.len()), ("Paths", 5));
    // Another name is another place: that is a move, and no question.
    lines[3] = "Candy cane,10,Gravel drive,stakes,";
    app.import(&home.file(&lines)).unwrap();
    assert_eq!(app.yard().places.len(), 6);
}

/// The next year's list after a new season: the placements it took along are those of the list, and last year's stay.
#[test]
fn next_years_list_makes_no_twins() {
    let home = Home::new();
    let mut app = home.app();
    let list = |year: i32, code: &str| {
        let path = home.folder.path().join("list.csv");
        let text = format!(
            "lights on,{year}-11-26\nCode,Item,Qty,Location,Mount\n{code},Star,1,Gable,clips\n,Elf,2,Porch,sandbags\n"
        );
        std::fs::write(&path, text).unwrap();
        vec![path]
    };
    app.import(&list(2026, "S-1")).unwrap();
    let new = Ask::NewSeason {
        code: "lights-2027".into(),
        name: String::new(),
        lights_on: Some("2027-11-26".into()),
    };
    app.perform(&new).unwrap();
    let before: Vec<_> = app.yard().placements.iter().map(|p| (p.id, p.season_id)).collect();
    assert_eq!(before.len(), 4);
    // Last year's code in this year's list is this year's prop.
    let said = app.import(&list(2027, "S-1")).unwrap();
    let after: Vec<_> = app.yard().placements.iter().map(|p| (p.id, p.season_id)).collect();
    assert_eq!(after, before, "{said}");
    app.import(&list(2028, "S-1")).unwrap();
    let seasons: std::collections::BTreeSet<_> = app.yard().placements.iter().map(|p| p.season_id).collect();
    assert_eq!((app.yard().placements.len(), seasons.len()), (6, 3), "a list for a year of its own");
}

/// A day told by a list is that of the season it is about; whose it is is asked where that is not clear.
#[test]
fn a_list_dates_its_own_season_only() {
    let list = |home: &Home| {
        let path = home.folder.path().join("list.csv");
        std::fs::write(&path, "lights on,2026-11-27\nItem,Qty,Location,Mount\nStar,1,Gable,clips\n").unwrap();
        vec![path]
    };
    let season = |app: &mut App, code: &str| {
        let new = Ask::NewSeason { code: code.into(), name: String::new(), lights_on: None };
        app.perform(&new).unwrap();
    };
    let prop = |name: &str| Ask::Tell {
        kind: "placement".into(),
        code: None,
        cells: vec![("name".into(), name.into())],
    };
    let dated = |app: &App| -> Vec<String> {
        let with = app.yard().seasons.iter().filter(|s| s.lights_on.is_some());
        with.map(|s| s.code.clone()).collect()
    };
    // The only season, and nothing in it.
    let home = Home::new();
    let mut app = home.app();
    season(&mut app, "tide-2026");
    app.import(&list(&home)).unwrap();
    assert_eq!(dated(&app), ["tide-2026"]);
    // Another show's with props of its own, or two of them: asked, and nothing is written.
    for more in ["A tree", "none"] {
        let home = Home::new();
        let mut app = home.app();
        season(&mut app, "tide-2026");
        if more == "none" {
            season(&mut app, "autumn-2026");
        } else {
            app.perform(&prop(more)).unwrap();
        }
        let before = app.yard().clone();
        let refused = app.import(&list(&home)).unwrap_err();
        assert!(refused.what.contains("it is not clear whether that is the day of"), "{refused:?}");
        assert_eq!(app.yard(), &before);
    }
    // The one that holds its props, of two.
    let home = Home::new();
    let mut app = home.app();
    season(&mut app, "autumn-2026");
    app.perform(&prop("star")).unwrap();
    season(&mut app, "tide-2026");
    app.import(&list(&home)).unwrap();
    assert_eq!(dated(&app), ["autumn-2026"]);
}
