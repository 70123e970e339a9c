//! Row images: columns and values as JSON text in the journal.

use std::collections::BTreeMap;

use rusqlite::ToSql;
use rusqlite::types::{ToSqlOutput, ValueRef};
use serde_json::{Map, Number, Value as Json};

use crate::domain::Value;

/// Columns of one row with their values.
pub(super) type Image = BTreeMap<String, Value>;

impl ToSql for Value {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        Ok(ToSqlOutput::Borrowed(match self {
            Self::Null => ValueRef::Null,
            Self::Int(n) => ValueRef::Integer(*n),
            Self::Text(t) => ValueRef::Text(t.as_bytes()),
        }))
    }
}

/// A column's value; nothing for what a yard never holds (a fraction, bytes, text that is not UTF-8).
pub(super) fn value_of(value: ValueRef<'_>) -> Option<Value> {
    match value {
        ValueRef::Null => Some(Value::Null),
        ValueRef::Integer(n) => Some(Value::Int(n)),
        ValueRef::Text(bytes) => std::str::from_utf8(bytes).ok().map(|t| Value::Text(t.to_owned())),
        ValueRef::Real(_) | ValueRef::Blob(_) => None,
    }
}

pub(super) fn to_json(image: &Image) -> String {
    let map: Map<String, Json> = image
        .iter()
        .map(|(column, value)| {
            let json = match value {
                Value::Null => Json::Null,
                Value::Int(n) => Json::Number(Number::from(*n)),
                Value::Text(t) => Json::String(t.clone()),
            };
            (column.clone(), json)
        })
        .collect();
    Json::Object(map).to_string()
}

/// Nothing where the text is no image.
pub(super) fn from_json(text: &str) -> Option<Image> {
    let Json::Object(map) = serde_json::from_str(text).ok()? else { return None };
    map.into_iter()
        .map(|(column, json)| {
            let value = match json {
                Json::Null => Value::Null,
                Json::Number(n) => Value::Int(n.as_i64()?),
                Json::String(t) => Value::Text(t),
                _ => return None,
            };
            Some((column, value))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_image_comes_back_as_it_was() {
        let image: Image = [
            ("count".to_owned(), Value::Int(i64::MIN)),
            ("note".to_owned(), Value::Text("7'6\" \u{0} ✓".to_owned())),
            ("place_id".to_owned(), Value::Null),
        ]
        .into();
        assert_eq!(from_json(&to_json(&image)), Some(image));
        for broken in ["", "[]", "{\"a\":1.5}", "{\"a\":[]}", "{\"a\":"] {
            assert_eq!(from_json(broken), None, "{broken}");
        }
    }
}
