//! Lists of strangers: columns in unknown words told once, lines without titles, fields by the names people give them.

use ladderday::app::{ImportChoices, edit_of};

use super::again::Home;

/// What a column is was told once: this file is read so again, whatever it holds next time; another file is not.
#[test]
fn columns_that_were_told_are_known_again_in_that_file() {
    let home = Home::new();
    let mut app = home.app();
    let path = |name: &str, lines: &str| {
        let path = home.folder.path().join(name);
        std::fs::write(&path, format!("lights on,2026-11-27\n{lines}\n")).unwrap();
        vec![path]
    };
    let titles = "Zeug,Anz,Ort,Halt";
    let first = path("Liste.csv", &format!("{titles}\nStern,2,Giebel,hooks\nElch,1,Rasen,ground stakes"));
    let refused = app.import(&first).unwrap_err();
    assert!(refused.what.contains("--column"), "{}", refused.what);
    let told = |columns: &[&str]| ImportChoices {
        columns: columns.iter().map(|c| (*c).to_owned()).collect(),
        ..ImportChoices::default()
    };
    let all = told(&["zeug=name", "Anz=qty", "Ort=where", "Halt=how mounted"]);
    for (columns, code) in [(told(&["Zeug=colour"]), "bad-column"), (told(&["Zeug"]), "bad-column")] {
        assert_eq!(app.import_as(&first, &columns).unwrap_err().code, code);
    }
    let nowhere = app.import_as(&first, &told(&["Zeug=name", "Farbe=note"])).unwrap_err();
    assert!(nowhere.what.contains("no column has this title"), "{}", nowhere.what);
    // Only looked at, nothing is remembered.
    app.import_as(&first, &ImportChoices { try_only: true, ..all.clone() }).unwrap();
    app.import(&first).unwrap_err();
    app.import_as(&first, &all).unwrap();
    let again = path("liste.csv", &format!("{titles}\nStern,2,Giebel,hooks\nElch,3,Rasen,ground stakes"));
    let said = app.import(&again).unwrap();
    assert!(said.contains("as this file was read before: Zeug, Anz, Ort, Halt"), "{said}");
    let elk = app.yard().placements.iter().find(|p| p.name == "Elch").unwrap();
    assert_eq!((elk.count, app.yard().placements.len()), (3, 2));
    app.import(&path("other.csv", &format!("{titles}\nMond,1,Dach,hooks"))).unwrap_err();
}

/// Lines as they come to mind, without titles: each is a prop with all it says, or the file is refused; never a row of
/// cells that stand for something else.
#[test]
fn a_list_without_titles_is_read_line_by_line() {
    let home = Home::new();
    let mut app = home.app();
    let path = |text: &str| {
        let path = home.folder.path().join("list.txt");
        std::fs::write(&path, text).unwrap();
        vec![path]
    };
    let said = app
        .import(&path(
            "Our yard\nlights on,2026-11-27\n2 reindeer - front lawn - ground stakes\nWreath on the front door (suction cup)\n\
             icicles x4, eaves, hooks\n8 boat cut-outs, 50 pixels, 5 V, path left, zip-tied\n5 candles in windows\n",
        ))
        .unwrap();
    assert!(
        said.contains("line 3 read as: reindeer | 2 | where \"front lawn\" | mounted \"ground stakes\""),
        "{said}"
    );
    let yard = app.yard();
    let of = |name: &str| {
        let p = yard.placements.iter().find(|p| p.name == name).unwrap_or_else(|| panic!("{name}: {said}"));
        let place = p.place_id.and_then(|id| yard.places.iter().find(|x| x.id == id)).map(|x| x.name.clone());
        let method =
            p.method_id.and_then(|id| yard.methods.iter().find(|x| x.id == id)).map(|x| x.code.clone());
        (p.count, place.unwrap_or_default(), method.unwrap_or_default())
    };
    let is = |count: i64, place: &str, method: &str| (count, place.to_owned(), method.to_owned());
    assert_eq!(of("reindeer"), is(2, "front lawn", "stake"));
    assert_eq!(of("icicles"), is(4, "eaves", "hook"));
    assert_eq!(of("boat cut-outs"), is(8, "path left", "tie"));
    assert_eq!(of("Wreath on the front door"), is(1, "", "suction"));
    assert_eq!(of("candles in windows"), is(5, "", "set_out"));
    assert!(yard.placements.iter().any(|p| p.note.contains("50 pixels") && p.note.contains("5 v")), "{said}");
    // Numbers of lines are not how many; bare ones may be either.
    let home = Home::new();
    let mut other = home.app();
    let numbered = "lights on,2026-11-27\n1. Star, gable, hooks\n2. Elf, porch\n3. Snowman, lawn, sandbags\n";
    other.import(&path(numbered)).unwrap();
    let counts: Vec<i64> = other.yard().placements.iter().map(|p| p.count).collect();
    assert_eq!(counts, [1, 1, 1]);
    assert_eq!(other.import(&path(&numbered.replace(". ", " "))).unwrap_err().code, "bad-data");
    // Titles in unknown words are no prop, nor is a letter to somebody.
    for text in [
        "lights on,2026-11-27\nGegenstand,Anzahl,Ort\nStern,1,Giebel\nRentier,3\n",
        "lights on,2026-11-27\nAnzahl,Gegenstand,Ort\n1,Stern,Giebel\n3,Rentier\n",
        "lights on,2026-11-27\nDear neighbour, we would like to tell you of our plans this year\nand hope that you like them as much, yours\n",
    ] {
        assert_eq!(app.import(&path(text)).unwrap_err().code, "bad-data", "{text}");
    }
}

/// A field is named as the form, the files, or a list names it.
#[test]
fn a_field_is_changed_by_the_name_people_give_it() {
    let home = Home::new();
    let mut app = home.app();
    let path = home.folder.path().join("list.csv");
    std::fs::write(
        &path,
        "lights on,2026-11-27\nCode,Item,Qty,Location,Mount\nS-1,Star,1,Gable,clips\nE-1,Elf,1,Porch,hooks\n",
    )
    .unwrap();
    app.import(&[path]).unwrap();
    for (field, text) in [
        ("where", "Porch"),
        ("place", "Gable"),
        ("Qty", "3"),
        ("how mounted", "hook"),
        ("length", "2 m"),
        ("length_mm", "3 m"),
    ] {
        let ask = edit_of(&app, "S-1", field, text).unwrap_or_else(|p| panic!("{field}: {p:?}"));
        app.perform(&ask).unwrap_or_else(|p| panic!("{field}: {p:?}"));
    }
    let refused = edit_of(&app, "S-1", "colour", "red").unwrap_err();
    let hint = refused.hints.concat();
    assert!(
        hint.contains("season, ")
            && hint.contains("length, ")
            && !hint.contains(" id")
            && !hint.contains(" mm"),
        "{hint}"
    );
}

/// A part of the yard over its props is a heading, in whatever column; a sheet in other words and separators is refused
/// for its titles, not for its quotes.
#[test]
fn headings_in_other_columns_and_foreign_titles_are_named() {
    let home = Home::new();
    let mut app = home.app();
    let path = |text: &str| {
        let path = home.folder.path().join("list.csv");
        std::fs::write(&path, text).unwrap();
        vec![path]
    };
    let said = app
        .import(&path(
            "lights on,2026-11-27\nSection,Item,Qty,Mount\nFRONT YARD,,,\n,Elf,2,stakes\nRoof,,,\n,Star,1,bracket\n",
        ))
        .unwrap();
    assert!(
        said.contains("line 3 \"FRONT YARD\" is a heading") && said.contains("line 5 \"Roof\" is a heading"),
        "{said}"
    );
    assert_eq!(app.yard().placements.len(), 2);
    let foreign =
        "Gegenstand;Anz;Bereich;Montage\n\"Stern, gro\u{df}\";1;Giebel;hooks\nElch;2;Rasen;stakes\n";
    let refused = app
        .import_as(
            &path(foreign),
            &ImportChoices { lights_on: Some("2026-11-27".into()), ..ImportChoices::default() },
        )
        .unwrap_err();
    assert!(refused.what.contains("--column") && !refused.what.contains("quote"), "{}", refused.what);
}

/// The day of lights on stands where its owner put it; a prop may be called so.
#[test]
fn the_day_may_be_told_under_the_props() {
    let home = Home::new();
    let mut app = home.app();
    let path = home.folder.path().join("list.csv");
    let list = |end: &str| {
        std::fs::write(&path, format!("Item,Qty,Mount\nStar,1,hooks\nLights on the fir,3,netted\n{end}"))
            .unwrap();
        vec![path.clone()]
    };
    let said = app.import(&list(",,\nLights on: 27 Nov 2026,,\n")).unwrap();
    assert!(said.contains("line 5 tells the day of lights on"), "{said}");
    let mut names: Vec<String> = app.yard().placements.iter().map(|p| p.name.clone()).collect();
    names.sort();
    assert_eq!(names, ["Lights on the fir", "Star"]);
    assert_eq!(app.yard().seasons[0].code, "lights-2026");
    let refused = app.import(&list("lights on,5/12/2026,\n")).unwrap_err().what;
    assert!(refused.contains("5 December 2026 or 12 May 2026"), "{refused}");
}
