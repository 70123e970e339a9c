//! At the desk: a song is chosen before it is programmed, and programmed before settings are copied; field strength is
//! measured once the antenna is up and checked. Titles are the owner's own words: these are looked for in them.

use super::carries::add;
use crate::domain::{Phase, Season, StepDeed};
use crate::steps::facts::Facts;
use crate::steps::key::StepKey;
use crate::steps::step::{Edge, Reason, Step};

const CHOOSES: [&str; 4] = ["choose", "chosen", "pick ", "select"];
const SONGS: [&str; 3] = ["song", "music", "track"];
const PROGRAMS: [&str; 2] = ["programm", "sequenc"];
const COPIES: [&str; 4] = ["copied", "copy", "saved", "backed up"];

fn has(title: &str, words: &[&str]) -> bool {
    words.iter().any(|w| title.contains(w))
}

/// Orders the desk tasks and duties of the season.
pub(in crate::steps) fn desk(facts: &Facts, season: &Season, steps: &mut [Step]) {
    let tasks = facts.yard.desk_tasks.iter().filter(|t| t.season_id == season.id);
    let tasks = tasks.map(|t| (StepKey::of("desk", t.id, "do", Phase::Up), t.title.to_lowercase()));
    let (mut choose, mut program, mut copy) = (Vec::new(), Vec::new(), Vec::new());
    for (key, title) in tasks {
        if has(&title, &PROGRAMS) {
            program.push(key);
        } else if has(&title, &CHOOSES) && has(&title, &SONGS) {
            choose.push(key);
        } else if title.contains("settings") && has(&title, &COPIES) {
            copy.push(key);
        }
    }
    let mut edges: Vec<(StepKey, Edge)> = Vec::new();
    let mut order = |first: &[StepKey], then: &[StepKey], why: &str| {
        for t in then {
            edges.extend(first.iter().map(|f| (t.clone(), Edge::after(f.clone(), Reason::Sequence, why))));
        }
    };
    order(&choose, &program, "a song is chosen before it is programmed");
    order(&program, &copy, "settings are copied once the programming is done");
    let on_air: Vec<StepKey> = facts
        .placements_in(season.id)
        .into_iter()
        .filter_map(|p| {
            let ups = || super::of(steps, p.id).filter(|s| s.phase == Phase::Up && s.deed != StepDeed::Desk);
            let radio = ups().any(|s| s.cautions.iter().any(|c| c == "radio"));
            ups().next_back().filter(|_| radio).map(|s| s.key.clone())
        })
        .collect();
    let measured = facts.yard.duties.iter().filter(|d| d.season_id == season.id);
    let measured: Vec<StepKey> = measured
        .filter(|d| d.title.to_lowercase().contains("field strength"))
        .map(|d| StepKey::of("duty", d.id, "do", Phase::Up))
        .collect();
    order(&on_air, &measured, "the antenna is up and checked before its field strength is measured");
    add(steps, edges);
}
