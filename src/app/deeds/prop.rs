//! A prop told in one line, as the short form of files has it: name, how many, where, how mounted.

use super::refused;
use crate::answers::problem::Problem;
use crate::app::app::App;
use crate::domain::{Deed, Phase};
use crate::exchange::csv::{CsvFile, Target};
use crate::exchange::sheet::read_list;

const HEAD: &str = "name,how many,where,how mounted";
/// Quoted cells may hold commas; more than these are no part of the line.
const CELLS: usize = 4;

impl App {
    pub(super) fn add_prop(&mut self, line: &str) -> Result<String, Problem> {
        let how = "write it like: Bridge arches, 6, drive edge, timber base";
        let line: String = line.chars().filter(|c| !c.is_control()).collect();
        let name = line.split(',').next().unwrap_or_default().trim().trim_matches('"').to_owned();
        if name.is_empty() {
            return Err(refused("no-name", "the prop has no name").hint(how));
        }
        let season = self.outlook().season_for(Phase::Up).map_err(|_| {
            refused("no-season", "the day of lights on is not told yet").hint("tell it first: key 0, then n")
        })?;
        let (id, season_name) = (season.id, season.name.clone());
        let head = season
            .lights_on
            .map_or_else(String::new, |t| format!("lights on,{}\n", t.format("%Y-%m-%dT%H:%M")));
        let file = format!("{head}{HEAD}\n{line}\n");
        let existing = self.store.load_whole_yard()?;
        // One line is no list: what it does not name is not missing, and it renames nothing.
        let mut seen = existing.clone();
        seen.placements.retain(|p| p.name.eq_ignore_ascii_case(&name));
        let target = Target { yard_id: self.store.yard_id(), existing: &seen };
        let csv = CsvFile { name: "this line", bytes: file.as_bytes() };
        let handful = read_list(&csv, &target, None).map_err(|faults| {
            let first = faults.first();
            let what = first.map_or_else(String::new, |f| {
                if f.column.is_empty() {
                    f.what.clone()
                } else {
                    format!("{} {:?}: {}", f.column, f.value, f.what)
                }
            });
            let more = if line.split(',').count() > CELLS { "four parts with three commas; " } else { "" };
            let remedy = first.map_or_else(String::new, |f| f.remedy.clone());
            refused("bad-prop", what).hint(format!("{more}{remedy}")).hint(how)
        })?;
        let taken = handful.rows.iter().find(|r| {
            r.table == "placement"
                && existing.placements.iter().any(|p| p.id.0 == r.id && p.ended_at.is_none())
        });
        if taken.is_some() {
            return Err(refused("prop-exists", format!("{season_name} has a prop {name:?} already"))
                .hint("change it in Kit (5, e), or give this one another name"));
        }
        let n = self.current.yard.placements.iter().filter(|p| p.season_id == id).count() + 1;
        let said = format!("Added {name} to {season_name}: {n} so far");
        self.apply(&Deed {
            verb: "prop-add",
            what: said.clone(),
            at_ms: self.now().timestamp_millis(),
            rows: handful.rows,
        })?;
        Ok(said)
    }
}
