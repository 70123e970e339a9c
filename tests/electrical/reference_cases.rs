//! All reference cases are met, and a wrong answer in any of them is refused.

use crate::reference::check;
use serde_json::Value;

const FILES: [(&str, &str); 4] = [
    ("network", include_str!("../fixtures/electrical/cases.json")),
    ("injection", include_str!("../fixtures/electrical/injection.json")),
    ("signal", include_str!("../fixtures/electrical/data_net.json")),
    ("mains", include_str!("../fixtures/electrical/mains.json")),
];

#[test]
fn all_reference_cases_are_met() {
    for (kind, text) in FILES {
        assert_eq!(check(kind, text), Some(Vec::new()), "{kind}");
    }
}

/// Numbers below `expected`, or in a row of a section, that are not what the answer is computed from.
const ANSWERS: [&str; 4] = ["v_neg_max", "best_min_v", "max_fps", "drop_v"];

fn spoil(value: &mut Value, changed: &mut usize) {
    match value {
        Value::Object(fields) => {
            for (name, field) in fields {
                if ANSWERS.contains(&name.as_str()) {
                    *field = Value::from(field.as_f64().unwrap() * 1.001 + 0.001);
                    *changed += 1;
                } else {
                    spoil(field, changed);
                }
            }
        }
        Value::Array(items) => items.iter_mut().for_each(|item| spoil(item, changed)),
        _ => {}
    }
}

#[test]
fn each_wrong_answer_is_refused() {
    for (kind, text) in FILES {
        let mut file: Value = serde_json::from_str(text).unwrap();
        let mut changed = 0;
        spoil(&mut file, &mut changed);
        let told = check(kind, &file.to_string()).unwrap().len();
        assert!(changed > 0 && told >= changed, "{kind}: {told} of {changed} told");
    }
}

#[test]
fn unknown_fields_are_refused_case_by_case() {
    let mut file: Value = serde_json::from_str(FILES[0].1).unwrap();
    file["cases"][3]["surprise"] = Value::from(1);
    let told = check("network", &file.to_string()).unwrap();
    assert!(told.len() == 1 && told[0].starts_with("E04: ") && told[0].contains("surprise"), "{told:?}");

    let mut file: Value = serde_json::from_str(FILES[3].1).unwrap();
    file["fuse"][0]["surprise"] = Value::from(1);
    file["surprises"] = Value::from(Vec::<Value>::new());
    let told = check("mains", &file.to_string()).unwrap();
    assert_eq!(told.len(), 2, "{told:?}");
    assert!(
        told.iter().any(|line| line.starts_with("fuse[0]"))
            && told.iter().any(|line| line.starts_with("surprises"))
    );
}

#[test]
fn text_that_is_no_case_file_is_a_difference() {
    for (kind, _) in FILES {
        assert_eq!(check(kind, "{").unwrap().len(), 1);
        assert!(!check(kind, "[]").unwrap().is_empty());
    }
    assert_eq!(check("unheard-of", "{}"), None);
}
