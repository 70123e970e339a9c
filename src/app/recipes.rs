//! A yard that was made before tests ran by themselves is told which of its recipes' do: one deed of its own, once.

use super::app::App;
use super::opening::texts;
use super::sample::{RECIPES, RUNS};
use crate::answers::problem::Problem;
use crate::domain::{Deed, RecipeStep, RowChange, Value};
use crate::exchange::csv::{CsvFile, Target, read_folder};
use crate::store::Mode;

/// What says how long a recipe step takes and what it does.
const TELLING: [&str; 6] = ["deed", "title", "fixed_s", "piece_s", "metre_s", "stake_s"];

impl App {
    /// Tells a yard of an earlier program how the tests of its recipes run. What its owner changed stays as it is, and is
    /// named in the journal.
    pub(super) fn tell_runs(&mut self) -> Result<(), Problem> {
        let yard = self.current.yard();
        if !matches!(self.store.mode(), Mode::Writable)
            || !yard.recipe_runs.is_empty()
            || yard.recipe_steps.is_empty()
        {
            return Ok(());
        }
        let whole = self.store.load_whole_yard()?;
        // An owner who took them out again is not told once more.
        if !whole.recipe_runs.is_empty() {
            return Ok(());
        }
        let target = Target { yard_id: self.store.yard_id(), existing: &whole };
        let shipped = rows(RECIPES, &target);
        let runs = rows(&[("recipe_run.csv", &known(&whole.recipe_steps))], &target);
        let (mut told, mut own) = (Vec::new(), Vec::new());
        for run in runs {
            let id = cell(&run, "recipe_step_id");
            let Some(step) = whole.recipe_steps.iter().find(|s| Some(&Value::Text(s.id.to_string())) == id)
            else {
                continue;
            };
            let as_shipped = shipped.iter().find(|r| r.table == "recipe_step" && r.id == step.id.0);
            let same = as_shipped.is_none_or(|r| same_minutes(step, r));
            if same && self.store.changes("recipe_step", &step.id.to_string(), &TELLING)?.is_empty() {
                told.push(run);
            } else if step.ended_at.is_none() {
                own.push(step.code.as_str());
            }
        }
        if told.is_empty() {
            return Ok(());
        }
        let mut what = format!("{} tests of the recipes run by themselves", told.len());
        if !own.is_empty() {
            what.push_str("; changed by you and left as they are: ");
            what.push_str(&own.join(", "));
        }
        let deed = Deed { verb: "recipes", what, at_ms: self.now().timestamp_millis(), rows: told };
        self.apply(&deed)?;
        Ok(())
    }
}

/// The lines of those recipe steps that the yard has.
fn known(steps: &[RecipeStep]) -> String {
    let of = |line: &&str| line.split(',').next().is_some_and(|code| steps.iter().any(|s| s.code == code));
    let lines = RUNS.lines().enumerate().filter(|(n, line)| *n == 0 || of(line)).map(|(_, line)| line);
    lines.collect::<Vec<_>>().join("\n")
}

fn rows(files: &[(&str, &str)], target: &Target<'_>) -> Vec<RowChange> {
    let files = texts(files);
    let files: Vec<CsvFile<'_>> = files.iter().map(|(name, bytes)| CsvFile { name, bytes }).collect();
    read_folder(&files, target).unwrap_or_default()
}

fn cell<'a>(row: &'a RowChange, column: &str) -> Option<&'a Value> {
    row.set.iter().find(|(c, _)| *c == column).map(|(_, v)| v)
}

/// Takes the step as long as the shipped one does, and is it the same deed?
fn same_minutes(step: &RecipeStep, shipped: &RowChange) -> bool {
    let seconds = [
        ("fixed_s", step.fixed_s),
        ("piece_s", step.piece_s),
        ("metre_s", step.metre_s),
        ("stake_s", step.stake_s),
    ];
    // What the shipped row does not say stays as it is.
    let as_told = |column: &str, own: Value| cell(shipped, column).is_none_or(|v| *v == own);
    seconds.iter().all(|(column, own)| as_told(column, Value::Int(own.s())))
        && as_told("deed", Value::Text(step.deed.as_str().to_owned()))
}
