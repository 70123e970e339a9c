//! Places of the yard by what people call them, and new ones for words that are none yet.

use std::collections::{BTreeMap, BTreeSet};

use uuid::Uuid;

use super::known::plain;
use crate::domain::{Fact, Place, RowChange, Value};
use crate::exchange::csv::{Target, identity};

/// Places known and made, by the text of `where`.
pub(super) struct Places {
    by_text: BTreeMap<String, Uuid>,
    codes: BTreeSet<String>,
    pub(super) new: Vec<RowChange>,
}

impl Places {
    pub(super) fn of(target: &Target<'_>) -> Self {
        let mut places = Self { by_text: BTreeMap::new(), codes: BTreeSet::new(), new: Vec::new() };
        for place in target.existing.places.iter().filter(|p| p.ended_at.is_none()) {
            places.codes.insert(place.code.clone());
            places.by_text.entry(plain(&place.code)).or_insert(place.id.0);
            places.by_text.entry(plain(&place.name)).or_insert(place.id.0);
        }
        places
    }

    pub(super) fn find_or_make(&mut self, text: &str, yard: Uuid) -> Uuid {
        if let Some(id) = self.by_text.get(&plain(text)) {
            return *id;
        }
        let code = free(&slug(text, "PLACE"), "", &mut self.codes);
        let id = identity::id_of(yard, Place::TABLE.name, &code);
        self.by_text.insert(plain(text), id);
        let set = vec![
            ("ended_at", Value::Null),
            ("code", Value::Text(code)),
            ("name", Value::Text(text.to_owned())),
        ];
        self.new.push(RowChange::new(Place::TABLE.name, id, set));
        id
    }
}

/// A code made from a name: `FRONT-LAWN`.
pub(in crate::exchange) fn slug(text: &str, none: &str) -> String {
    let parts: Vec<String> =
        text.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).map(str::to_uppercase).collect();
    let slug: String = parts.join("-").chars().take(40).collect();
    if slug.is_empty() { none.to_owned() } else { slug }
}

/// `base` with `end`, counted up until no one has it.
pub(in crate::exchange) fn free(base: &str, end: &str, taken: &mut BTreeSet<String>) -> String {
    let dash = if end.is_empty() { "" } else { "-" };
    let mut code = format!("{base}{dash}{end}");
    let mut n = 2;
    while !taken.insert(code.clone()) {
        code = format!("{base}-{n}{dash}{end}");
        n += 1;
    }
    code
}
