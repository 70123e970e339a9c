//! What to leave out for a wanted level of the odds, as text or a document.

use std::fmt::Write as _;

use super::answers::Form;
use super::odds::{chances, percent, runs_for};
use super::owner::App;
use super::problem::{Problem, ProblemKind};
use super::record::own_record;
use crate::domain::{Phase, PlacementId};
use crate::exchange::json::{DropDoc, DropListDoc, text};
use crate::planner::{DropList, drop_list};
use crate::units::Span;

impl App {
    /// The placements to leave out so that lights on in time reaches `wanted` percent.
    ///
    /// # Errors
    /// As [`App::plan`]; `no-odds` where there are no sessions, no date, or a phase without odds.
    pub fn drop_list(&mut self, phase: Phase, wanted: u8, schedules: u64) -> Result<DropList, Problem> {
        let plan = self.plan(phase, schedules)?;
        let runs = runs_for(plan.steps.len());
        let kept = self.kept_keys(phase)?;
        let list = self.with_request(phase, &kept, |request| {
            let chances = chances(&self.yard, &plan, request.now, &own_record(&self.yard, self.own_times));
            drop_list(request, &plan, &chances, runs, f64::from(wanted.min(100)) / 100.0)
        })?;
        list.filter(|_| matches!(phase, Phase::Up | Phase::Change)).ok_or_else(|| {
            Problem::new(ProblemKind::Data, "no-odds", "there are no odds to better")
                .hint("tell sessions and the season's lights on; odds are of the phases up and change")
        })
    }

    /// The drop list for people or scripts.
    ///
    /// # Errors
    /// As [`App::drop_list`].
    pub fn drop_answer(
        &mut self,
        phase: Phase,
        wanted: u8,
        schedules: u64,
        form: Form,
    ) -> Result<String, Problem> {
        let list = self.drop_list(phase, wanted, schedules)?;
        let name = |id: PlacementId| {
            let found = self.yard.placements.iter().find(|p| p.id == id);
            found.map_or_else(String::new, |p| format!("{} {}", p.code, p.name))
        };
        if form == Form::Json {
            return Ok(text(&DropListDoc {
                wanted: list.wanted,
                before: list.before,
                after: list.after,
                reached: list.reached,
                drops: list
                    .drops
                    .iter()
                    .map(|d| DropDoc {
                        placement: name(d.placement),
                        with: d.with.iter().map(|id| name(*id)).collect(),
                        worth: d.worth,
                        minutes: d.minutes,
                    })
                    .collect(),
            }));
        }
        let mut out = format!("in time as it is: {} %, wanted: {wanted} %\n", percent(list.before));
        if list.drops.is_empty() && list.reached {
            out.push_str("nothing need be left out\n");
        } else if !list.reached {
            let _ = writeln!(
                out,
                "leaving out everything that can be left out gives {} %: what is missing is not work; add a spare \
                 session before lights on, or see the risks in: ladderday plan {}",
                percent(list.after),
                phase.as_str()
            );
        }
        for d in &list.drops {
            let with: Vec<String> = d.with.iter().map(|id| name(*id)).collect();
            let with =
                if with.is_empty() { String::new() } else { format!(", and with it {}", with.join(", ")) };
            let _ = writeln!(
                out,
                "leave out {}{with}: worth {}, frees {}",
                name(d.placement),
                d.worth,
                Span::from_minutes(d.minutes).show()
            );
        }
        if list.reached && !list.drops.is_empty() {
            let _ = writeln!(out, "then in time: {} %", percent(list.after));
        }
        Ok(out)
    }
}
