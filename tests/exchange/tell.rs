//! Facts told one by one: every table, every column, as people type them; what is wrong is told at its column.

use ladderday::domain::{CellKind, Deed, TABLES, Value, Yard};
use ladderday::exchange::csv::{CsvFault, write_folder};
use ladderday::exchange::tell::{Telling, Told, Was, Which, end, tell};
use ladderday::store::Store;
use ladderday::units::Length;

use super::small_yard::FILES;
use super::{YARD, import, store};

struct Book {
    _folder: tempfile::TempDir,
    store: Store,
}

impl Book {
    fn new() -> Self {
        let (folder, store) = store();
        Self { _folder: folder, store }
    }

    fn small() -> Self {
        let mut book = Self::new();
        import(&mut book.store, FILES);
        book
    }

    fn yard(&self) -> Yard {
        self.store.load_whole_yard().unwrap()
    }

    fn read(&self, kind: &str, code: &str, cells: &[(&str, &str)]) -> Result<Told, Vec<CsvFault>> {
        let yard = self.yard();
        let season = yard.seasons.first().map(|s| s.id.0);
        let on = Telling { yard_id: YARD, existing: &yard, season, mark: "", now_ms: 1_000_000 };
        let cells: Vec<_> = cells.iter().map(|(c, t)| ((*c).to_owned(), (*t).to_owned())).collect();
        tell(kind, Which::Called(Some(code)), &cells, &on)
    }

    fn tell(&mut self, kind: &str, code: &str, cells: &[(&str, &str)]) -> Told {
        let told = self.read(kind, code, cells).unwrap_or_else(|faults| {
            panic!("{kind} {code}: {}", faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))
        });
        let deed = Deed { verb: "tell", what: String::new(), at_ms: 1_000_000, rows: vec![told.row.clone()] };
        self.store.apply(&deed).unwrap();
        told
    }

    /// Code, column and remedy of each fault.
    fn refused(&self, kind: &str, code: &str, cells: &[(&str, &str)]) -> Vec<(&'static str, String, String)> {
        let faults = self.read(kind, code, cells).expect_err("it is refused");
        faults.into_iter().map(|f| (f.code, f.column, f.remedy)).collect()
    }

    fn end(&mut self, kind: &str, code: &str) -> Result<Vec<(&'static str, usize)>, Vec<CsvFault>> {
        let yard = self.yard();
        let on = Telling { yard_id: YARD, existing: &yard, season: None, mark: "", now_ms: 2_000_000 };
        let ended = end(kind, code, &on)?;
        self.store
            .apply(&Deed { verb: "end", what: String::new(), at_ms: 2_000_000, rows: ended.rows })
            .unwrap();
        Ok(ended.with)
    }
}

/// Whatever a file can tell, can be told: each row of a yard with a row in every table, one after another.
#[test]
fn every_column_of_every_table_can_be_told_by_itself() {
    let files = write_folder(&Book::small().yard());
    let mut book = Book::new();
    let mut left: Vec<(String, Vec<(String, String)>)> = Vec::new();
    for (name, text) in &files {
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let heads = reader.headers().unwrap().clone();
        for record in reader.records() {
            let record = record.unwrap();
            let cells = heads.iter().zip(&record).filter(|(h, c)| !c.is_empty() && *h != "ended");
            let cells =
                cells.map(|(h, c)| (h.to_owned(), c.strip_prefix('\'').unwrap_or(c).to_owned())).collect();
            left.push((name.trim_end_matches(".csv").to_owned(), cells));
        }
    }
    assert!(files.len() > 30, "{} tables", files.len());
    // What refers to something told later waits for it.
    for _ in 0..4 {
        left.retain(|(table, cells)| {
            let code = cells.iter().find(|(h, _)| h == "code").map_or("", |(_, c)| c.as_str()).to_owned();
            let cells: Vec<(&str, &str)> = cells.iter().map(|(h, c)| (h.as_str(), c.as_str())).collect();
            match book.read(table, &code, &cells) {
                Ok(_) => {
                    book.tell(table, &code, &cells);
                    false
                }
                Err(_) => true,
            }
        });
    }
    let refused = |(table, cells): &(String, Vec<(String, String)>)| {
        let cells: Vec<(&str, &str)> = cells.iter().map(|(h, c)| (h.as_str(), c.as_str())).collect();
        book.read(table, "", &cells).err().map(|faults| format!("{table}: {}", faults[0]))
    };
    assert_eq!(left.iter().find_map(refused), None);
    for ((name, before), (_, after)) in files.iter().zip(&write_folder(&book.yard())) {
        assert_eq!(before, after, "{name}");
    }
}

/// Units that people tell a quantity in, each with what one of it is in the unit that is kept, and how far rounding to that
/// may go: lengths, masses and volumes are told in inches and ounces too, and currents are never made smaller.
fn units(kind: CellKind) -> (&'static [(&'static str, f64)], f64) {
    match kind {
        CellKind::Length => (&[("mm", 1.0), ("cm", 10.0), ("m", 1e3), ("in", 25.4), ("ft", 304.8)], 0.05),
        CellKind::Mass => (&[("g", 1.0), ("kg", 1e3), ("lb", 453.592_37), ("oz", 28.349_523_125)], 0.05),
        CellKind::Volume => (&[("mL", 1.0), ("L", 1e3), ("gal", 3_785.411_784)], 0.05),
        CellKind::Voltage => (&[("mV", 1.0), ("V", 1e3)], 0.011),
        CellKind::Current => (&[("mA", 1.0), ("A", 1e3)], 0.05),
        CellKind::Power => (&[("mW", 1.0), ("W", 1e3), ("kW", 1e6)], 0.011),
        CellKind::Force => (&[("N", 1e3), ("lbf", 4_448.221_615_260_5)], 0.011),
        CellKind::Speed => (&[("m/s", 1e3), ("mph", 447.04), ("km/h", 1e3 / 3.6)], 0.011),
        CellKind::Span => (&[("s", 1.0), ("min", 60.0), ("h", 3600.0)], 0.011),
        _ => (&[], 0.0),
    }
}

/// What is told with decimals is kept within a few hundredths, or refused with what could be kept.
#[test]
fn no_column_rounds_what_it_is_told_without_a_word() {
    let book = Book::small();
    let (mut taken, mut refused) = (0, 0);
    for (name, text) in write_folder(&book.yard()) {
        let table = name.trim_end_matches(".csv");
        let columns = TABLES.iter().find(|t| t.name == table).unwrap().columns;
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let code = reader.headers().unwrap().iter().position(|h| h == "code" || h == "name");
        let called = reader.records().next().zip(code).map(|(row, at)| row.unwrap()[at].to_owned());
        let Some(called) = called else { continue };
        for column in columns {
            let (units, slack) = units(column.kind);
            for (unit, factor) in units {
                for number in ["0.0004", "0.3", "0.6", "1.49", "2.5", "12.35", "31.7", "97.5", "433.21"] {
                    let typed = number.parse::<f64>().unwrap() * factor;
                    let cell = format!("{number} {unit}");
                    match book.read(table, &called, &[(column.header(), &cell)]) {
                        Ok(told) => {
                            let kept = told.row.set.iter().find(|(c, _)| *c == column.name);
                            let Some((_, Value::Int(kept))) = kept else {
                                panic!("{table}.{cell}: {kept:?}")
                            };
                            let off = (*kept as f64 - typed).abs() / typed;
                            assert!(off <= slack, "{table}.{}: {cell} is kept as {kept}", column.name);
                            let less = (*kept as f64) < typed * (1.0 - 1e-9);
                            assert!(column.kind != CellKind::Current || !less, "{cell} is kept as {kept}");
                            taken += 1;
                        }
                        Err(faults) if faults.iter().any(|f| f.code == "too-fine") => {
                            assert!(faults[0].remedy.starts_with("write "), "{}", faults[0]);
                            let kept =
                                if column.kind == CellKind::Current { typed.ceil() } else { typed.round() };
                            assert!((kept - typed).abs() / typed > slack, "{table}.{cell} is refused");
                            refused += 1;
                        }
                        Err(_) => {}
                    }
                }
            }
        }
    }
    assert!(taken > 500 && refused > 200, "{taken} taken, {refused} refused");
}

#[test]
fn units_names_and_dates_are_taken_as_people_type_them() {
    let mut book = Book::small();
    let told =
        book.tell("place", "lawn, left", &[("height", "2.3 m"), ("access", "step ladder"), ("in", "gable")]);
    assert_eq!((told.was, told.code.as_str(), told.changes.len()), (Was::There, "LAWN", 3));
    let yard = book.yard();
    let lawn = yard.places.iter().find(|p| p.code == "LAWN").unwrap();
    assert_eq!(lawn.height_mm.map(Length::mm), Some(2300));
    // The site's units where no unit is told, the column's where it is called by its unit.
    book.tell("place", "LAWN", &[("height", "10")]);
    assert_eq!(
        book.yard().places.iter().find(|p| p.code == "LAWN").unwrap().height_mm.map(Length::mm),
        Some(3048)
    );
    book.tell("place", "LAWN", &[("height_mm", "10")]);
    assert_eq!(
        book.yard().places.iter().find(|p| p.code == "LAWN").unwrap().height_mm.map(Length::mm),
        Some(10)
    );
    book.tell("place", "LAWN", &[("height", "")]);
    assert_eq!(book.yard().places.iter().find(|p| p.code == "LAWN").unwrap().height_mm, None);

    let told =
        book.tell("season", "frost-2026", &[("lights_on", "Fri 27 Nov 2026"), ("nightly_to", "10 pm")]);
    assert_eq!(told.said, ["lights on at 17:00 assumed"]);
    book.tell("season", "frost-2026", &[("lights_on", "6:30 pm")]);
    let season = book.yard().seasons.first().unwrap().clone();
    assert_eq!(season.lights_on.unwrap().to_string(), "2026-11-27 18:30:00");
    assert_eq!(season.nightly_to.as_deref(), Some("22:00"));

    let told = book.tell("people", "Bo Reed", &[("skills", "roof, solder")]);
    assert_eq!((told.was, told.code.as_str()), (Was::New, "BO-REED"));
    let told = book.tell("prop", "Moon", &[("where", "Gable"), ("how", "on hooks"), ("qty", "2")]);
    assert_eq!(told.was, Was::New);
    assert!(told.said.iter().any(|s| s.contains("Hang from hooks")), "{:?}", told.said);
    let moon = book.yard().placements.iter().find(|p| p.name == "Moon").unwrap().clone();
    assert_eq!((moon.count, moon.season_id), (2, season.id));
    let told = book.tell("session", "", &[("starts", "14 Nov 2026 9:00"), ("ends", "16:30")]);
    assert_eq!(told.code, "S-1114-0900");
    let told = book.tell("session_person", "", &[("session", "S-1114-0900"), ("person", "bo reed")]);
    assert_eq!((told.was, told.code.as_str()), (Was::New, "S-1114-0900:BO-REED"));
    let told = book.tell("session_person", "S-1114-0900:BO-REED", &[("comes", "11:00")]);
    assert_eq!(told.was, Was::There);
    let told = book.tell("site", "", &[("latitude", "43.07 N"), ("level_limit", "35 %")]);
    assert_eq!(told.was, Was::There);
}

#[test]
fn every_fault_is_told_at_its_column_with_the_nearest_right_thing() {
    let book = Book::small();
    let faults = book.refused(
        "placement",
        "Comet",
        &[
            ("place", "Lawnn"),
            ("heigth", "2"),
            ("count", "many"),
            ("worth", "9"),
            ("length", "long"),
            ("season", "frost"),
        ],
    );
    let at = |column: &str| {
        faults.iter().find(|f| f.1 == column).unwrap_or_else(|| panic!("{column}: {faults:?}"))
    };
    assert_eq!(faults.len(), 6, "{faults:?}");
    assert!(at("place").2.contains("Lawn, left"), "{faults:?}");
    assert!(at("heigth").2.contains("height"), "{faults:?}");
    assert_eq!(at("count").0, "not-a-number");
    assert_eq!(at("worth").0, "out-of-range");
    assert_eq!(at("length_mm").0, "not-a-quantity");
    assert!(at("season").2.contains("frost-2026"), "{faults:?}");

    assert!(book.refused("plase", "LAWN", &[])[0].2.contains("place"));
    let access = book.refused("place", "LAWN", &[("access", "rof")]);
    assert!(access[0].2.contains("nearest is roof"), "{access:?}");
    assert_eq!(book.refused("place", "LAWN", &[("code", "MEADOW")])[0].0, "stays");
    assert_eq!(book.refused("place", "MEADOW", &[("code", "lawn")])[0].0, "code-taken");
    assert_eq!(book.refused("place", "LAWN", &[("name", "")])[0].0, "missing-value");
    assert_eq!(book.refused("place", "LAWN", &[("height", "1 m"), ("height_mm", "2")])[0].0, "column-twice");
    assert_eq!(book.refused("season", "frost-2026", &[("lights_on", "11/12/2026")])[0].0, "ambiguous-date");
}

#[test]
fn what_would_lie_in_itself_is_refused_as_in_a_file() {
    let mut book = Book::small();
    book.tell("place", "YARD", &[("note", "all of it")]);
    let faults = book.refused("place", "YARD", &[("parent", "LAWN")]);
    assert_eq!(faults[0].0, "ring");
    let faults = book.refused("session", "", &[("starts", "14 Nov 2026 9:00"), ("ends", "8:00")]);
    assert_eq!(faults[0].0, "ends-before-start");
}

#[test]
fn an_end_takes_its_parts_and_is_refused_where_something_goes_by_it() {
    let mut book = Book::small();
    let place = book.end("place", "lawn, left").unwrap_err();
    assert_eq!(place[0].code, "in-use");
    assert!(place[0].what.contains("placement"), "{}", place[0]);
    book.tell("session", "", &[("starts", "14 Nov 2026 9:00"), ("ends", "16:30")]);
    book.tell("session_person", "", &[("session", "S-1114-0900"), ("person", "Ann")]);
    assert_eq!(book.end("session", "S-1114-0900"), Ok(vec![("session_person", 1)]));
    assert_eq!(book.end("session", "S-1114-0900").unwrap_err()[0].what, "it has ended already");
    assert!(book.end("person", "Anne").unwrap_err()[0].remedy.contains("ANN"));
    // Told again it is the same row, as it was.
    let before = book.yard().sessions.iter().find(|s| s.code == "S-1114-0900").unwrap().clone();
    let told = book.tell("session", "S-1114-0900", &[]);
    assert_eq!(told.was, Was::Ended);
    let after = book.yard().sessions.iter().find(|s| s.code == "S-1114-0900").unwrap().clone();
    assert_eq!((after.id, after.starts, after.ended_at), (before.id, before.starts, None));
}

#[test]
fn a_session_moved_to_another_day_loses_the_forecast_of_its_day() {
    let mut book = Book::small();
    book.tell("session", "", &[("starts", "14 Nov 2026 9:00"), ("ends", "16:30")]);
    book.tell("session", "S-1114-0900", &[("rain", "yes"), ("forecast_on", "2026-11-12")]);
    let told =
        book.tell("session", "S-1114-0900", &[("starts", "15 Nov 2026 9:00"), ("ends", "15 Nov 2026 12:00")]);
    assert_eq!(told.said, ["its forecast was of the other day and is gone"]);
    assert_eq!(book.yard().sessions.iter().find(|s| s.code == "S-1114-0900").unwrap().rain, None);
}
