//! Shipped recipes and cautions brought to yards that were made before them.

use std::collections::{BTreeMap, BTreeSet};

use uuid::Uuid;

use super::app::App;
use super::opening::texts;
use super::sample::RECIPES;
use crate::answers::problem::Problem;
use crate::domain::{RowChange, Value};
use crate::exchange::csv::{CsvFile, Target, read_folder};

/// Columns that are words: what to do, what with, what to look out for.
const WORDS: [(&str, &[&str]); 2] =
    [("caution", &["text", "source"]), ("recipe_step", &["title", "equipment", "cautions"])];

fn shipped(target: &Target<'_>) -> Vec<RowChange> {
    let files = texts(RECIPES);
    let files: Vec<CsvFile<'_>> = files.iter().map(|(name, bytes)| CsvFile { name, bytes }).collect();
    read_folder(&files, target).unwrap_or_default()
}

impl App {
    /// Shipped cautions and steps whose words are others now, where nobody changed them here since they came.
    ///
    /// # Errors
    /// Where the file can't be read.
    pub(super) fn newer_words(&self, target: &Target<'_>) -> Result<Vec<RowChange>, Problem> {
        let rows = target.existing.rows();
        let there: BTreeMap<(&str, Uuid), &RowChange> = rows.iter().map(|r| ((r.table, r.id), r)).collect();
        let mut newer = Vec::new();
        for row in shipped(target) {
            let columns = WORDS.iter().find(|(table, _)| *table == row.table).map_or(&[][..], |(_, c)| c);
            let Some(old) = there.get(&(row.table, row.id)) else { continue };
            let is = |column: &str| old.set.iter().find(|(c, _)| *c == column).map(|(_, v)| v);
            if is("ended_at").is_some_and(|at| *at != Value::Null) {
                continue;
            }
            let other = |(c, v): &(&'static str, Value)| columns.contains(c) && is(c) != Some(v);
            let set: Vec<_> = row.set.into_iter().filter(other).collect();
            let names: Vec<&str> = set.iter().map(|(c, _)| *c).collect();
            let id = row.id.hyphenated().to_string();
            if !set.is_empty() && self.store.changes(row.table, &id, &names)?.is_empty() {
                newer.push(RowChange::new(row.table, row.id, set));
            }
        }
        Ok(newer)
    }
}

/// Shipped methods that the yard never had, with their steps and cautions.
pub(super) fn missing_recipes(target: &Target<'_>) -> Vec<RowChange> {
    let yard = target.existing;
    let there: BTreeSet<(&str, &str)> = (yard.methods.iter().map(|m| ("method", m.code.as_str())))
        .chain(yard.recipe_steps.iter().map(|r| ("recipe_step", r.code.as_str())))
        .chain(yard.cautions.iter().map(|c| ("caution", c.code.as_str())))
        .collect();
    let new = |row: &RowChange| text(row, "code").is_none_or(|code| !there.contains(&(row.table, code)));
    let rows: Vec<RowChange> = shipped(target).into_iter().filter(new).collect();
    let methods: BTreeSet<String> =
        rows.iter().filter(|r| r.table == "method").map(|r| r.id.hyphenated().to_string()).collect();
    // A step that an owner took out of a recipe stays out, with all that is told of it.
    let of_a_new_method = |r: &RowChange| text(r, "method_id").is_some_and(|m| methods.contains(m));
    let steps: BTreeSet<String> = (rows.iter().filter(|r| r.table == "recipe_step" && of_a_new_method(r)))
        .map(|r| r.id.hyphenated().to_string())
        .collect();
    let wanted = |r: &RowChange| match r.table {
        "recipe_step" => of_a_new_method(r),
        "recipe_run" => text(r, "recipe_step_id").is_some_and(|s| steps.contains(s)),
        // What is said at a step by how it is reached and what is done must be there in words.
        "caution" => true,
        _ => !methods.is_empty(),
    };
    rows.into_iter().filter(wanted).collect()
}

pub(super) fn text<'a>(row: &'a RowChange, column: &str) -> Option<&'a str> {
    match row.set.iter().find(|(c, _)| *c == column) {
        Some((_, Value::Text(text))) => Some(text),
        _ => None,
    }
}
