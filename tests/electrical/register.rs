//! Every formula file stands in the register.

use std::collections::BTreeSet;
use std::path::Path;

use ladderday::calc::register::FORMULAS;

/// `field/file` of every formula below `calc`: a file beside a field's `mod.rs`, or a folder of its own.
fn formulas(calc: &Path) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for field in
        std::fs::read_dir(calc).unwrap().map(|entry| entry.unwrap().path()).filter(|path| path.is_dir())
    {
        for formula in std::fs::read_dir(&field).unwrap().map(|entry| entry.unwrap().path()) {
            let text = |path: &Path| std::fs::read_to_string(path).unwrap();
            let holds_source = if formula.is_dir() {
                text(&formula.join("mod.rs")).contains("pub const SOURCE: Source")
            } else {
                text(&formula).contains("pub const SOURCE: Source")
            };
            let stem = formula.file_stem().unwrap().to_string_lossy().into_owned();
            if holds_source && stem != "mod" {
                found.insert(format!("{}/{stem}", field.file_name().unwrap().to_string_lossy()));
            }
        }
    }
    found
}

#[test]
fn every_formula_file_is_registered_once() {
    let calc = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/calc");
    let registered: BTreeSet<String> = FORMULAS.iter().map(|(name, _)| (*name).to_owned()).collect();
    assert_eq!(registered.len(), FORMULAS.len(), "a formula stands twice");
    assert_eq!(registered, formulas(&calc));
}

#[test]
fn a_file_missing_from_the_register_is_found() {
    let calc = tempfile::tempdir().unwrap();
    let field = calc.path().join("electrical");
    std::fs::create_dir_all(field.join("grid")).unwrap();
    std::fs::write(field.join("mod.rs"), "pub mod new;").unwrap();
    std::fs::write(field.join("new.rs"), "pub const SOURCE: Source = Source {};").unwrap();
    std::fs::write(field.join("grid/mod.rs"), "pub const SOURCE: Source = Source {};").unwrap();
    std::fs::write(field.join("helper.rs"), "pub fn helper() {}").unwrap();
    assert_eq!(formulas(calc.path()).into_iter().collect::<Vec<_>>(), ["electrical/grid", "electrical/new"]);
}

#[test]
fn every_source_names_its_document() {
    for (name, source) in FORMULAS {
        assert!(source.title.len() > 5, "{name}");
    }
}
