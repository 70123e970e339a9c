//! The page about documents names every field that a document has, with its type, and no other.

use std::collections::BTreeMap;

/// Fields with their types, by document.
type Documents = BTreeMap<String, Vec<(String, String)>>;

/// The type of a field as the page says it.
fn words(ty: &str) -> String {
    let inside = |begin: &str| ty.strip_prefix(begin).and_then(|t| t.strip_suffix('>'));
    if let Some(inner) = inside("Option<") {
        return format!("{} or null", words(inner));
    }
    if let Some(inner) = inside("Vec<") {
        return format!("list of {}", words(inner));
    }
    match ty {
        "String" | "&'static str" => "text".to_owned(),
        "bool" => "true or false".to_owned(),
        "i64" | "u64" | "usize" | "u32" => "whole number".to_owned(),
        "f64" => "number".to_owned(),
        other => other.trim_start_matches("super::").trim_end_matches("Doc").to_owned(),
    }
}

fn of_code() -> Documents {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/src/exchange/json");
    let mut out = Documents::new();
    for file in std::fs::read_dir(folder).unwrap() {
        let mut at = None;
        for line in std::fs::read_to_string(file.unwrap().path()).unwrap().lines() {
            let line = line.trim();
            if let Some(rest) = line.strip_prefix("pub struct ") {
                let name = rest.split([' ', '<']).next().unwrap().trim_end_matches("Doc").to_owned();
                out.insert(name.clone(), Vec::new());
                at = Some(name);
            } else if let (Some(name), Some(field)) = (&at, line.strip_prefix("pub "))
                && let Some((field, ty)) = field.trim_end_matches(',').split_once(": ")
            {
                let field = field.trim_start_matches("r#").to_owned();
                out.get_mut(name).unwrap().push((field, words(ty)));
            } else if line == "}" {
                at = None;
            }
        }
    }
    out
}

fn of_page(text: &str) -> Documents {
    let mut out = Documents::new();
    let mut at = String::new();
    for line in text.lines() {
        if let Some(head) = line.strip_prefix("## ") {
            head.split(':').next().unwrap().clone_into(&mut at);
            out.insert(at.clone(), Vec::new());
        } else if let Some(row) = line.strip_prefix("| `") {
            let mut cells = row.split('|');
            let field = cells.next().unwrap().trim().trim_end_matches('`').to_owned();
            out.get_mut(&at).unwrap().push((field, cells.next().unwrap().trim().to_owned()));
        }
    }
    out
}

#[test]
fn the_page_about_documents_names_every_field() {
    let text = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/sample-data/JSON.md")).unwrap();
    let (code, page) = (of_code(), of_page(&text));
    assert!(code.len() > 60);
    for (name, fields) in &code {
        assert_eq!(page.get(name), Some(fields), "{name}: sample-data/JSON.md says otherwise");
    }
    assert_eq!(page.len(), code.len(), "the page names what no command prints");
    let forgotten = text.replacen("| `said` | text |  |\n", "", 1);
    assert_ne!(of_page(&forgotten), code, "a forgotten field is seen");
}
