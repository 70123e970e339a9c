//! What the engine answered, told in the yard's terms: times, people, ladders, cures in force, refusals.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};

use super::calendar::SessionSpan;
use super::cure::wait_in;
use super::engine::{Activity, Placed, Solution};
use super::map::{Item, Mapped};
use super::plan::{Plan, PlannedStep};
use super::refusal::{Refusal, Wording};
use crate::steps::{State, Step, StepKey};
use crate::units::System;

/// Begun work shows the ladder it is taken to stand on.
pub(super) fn begun_with(p: &mut PlannedStep, activity: &Activity, ladders: &[&str]) {
    let units = activity.fixed.iter().flat_map(|f| &f.units);
    let names = units.filter_map(|u| ladders.get(*u)).map(|n| ((*n).to_owned(), 1));
    p.equipment.splice(0..0, names);
}

pub(super) fn place(
    p: &mut PlannedStep,
    placed: Option<&Placed>,
    mapped: &Mapped,
    ladders: &[&str],
    moment: impl Fn(i32) -> DateTime<Utc>,
) {
    let Some(placed) = placed else { return };
    p.from = Some(moment(placed.start));
    p.to = Some(moment(placed.end));
    p.setup_minutes = i64::from(placed.setup);
    p.session = placed.session.map(|s| s as usize);
    p.people = placed.workers.iter().filter_map(|w| mapped.worker_names.get(*w)).cloned().collect();
    let units = placed.units.iter().filter_map(|u| ladders.get(*u)).map(|n| ((*n).to_owned(), 1));
    p.equipment.splice(0..0, units);
}

/// Each cure with the wait in force in the session in which it begins; one line where no temperature is told for some.
pub(super) fn print_cures(plan: &mut Plan) {
    let begins: BTreeMap<StepKey, usize> =
        plan.steps.iter().filter_map(|p| Some((p.step.key.clone(), p.session?))).collect();
    let mut untold = 0;
    for p in &mut plan.steps {
        for (edge, after) in p.step.after.iter().zip(&mut p.after) {
            let Some(rule) = edge.cure.filter(|_| edge.wait_min > 0) else { continue };
            let session = begins.get(&edge.key).and_then(|s| plan.sessions.get(*s));
            if let Some(session) = session {
                after.wait_min = wait_in(rule, edge.wait_min, session);
                untold += usize::from(session.forecast.is_none_or(|f| f.low.is_none()));
            }
        }
    }
    if untold > 0 {
        plan.assumed
            .push(format!(
                "lowest temperature not told where cures begin ({untold} of them): the usual nights of the month assumed (common practice)"
            ));
    }
}

/// Steps of which only a part is planned.
pub(super) fn tell_parts(plan: &mut Plan) {
    for p in plan.steps.iter().filter(|p| p.from.is_some()) {
        let (Some(part), Some(of)) = (p.part, p.step.of) else { continue };
        plan.assumed.push(format!(
            "\"{}\" is too long for one session: {part} of the {} left are planned, the rest once they are counted",
            words(p), of - p.done
        ));
    }
}

fn words(p: &PlannedStep) -> String {
    if p.step.subject.is_empty() {
        p.step.title.clone()
    } else {
        format!("{}: {}", p.step.subject, p.step.title)
    }
}

pub(super) fn tell_unplaced(
    plan: &mut Plan,
    items: &[Item],
    mapped: &Mapped,
    solution: &Solution,
    units: System,
) {
    let title = |i: usize| {
        items.get(i).map_or_else(String::new, |item| {
            if item.step.subject.is_empty() {
                item.step.title.clone()
            } else {
                format!("{}: {}", item.step.subject, item.step.title)
            }
        })
    };
    let sessions = plan.sessions.clone();
    let wording = Wording {
        title: &title,
        length: &|l| l.show(units),
        skill: &|bit| mapped.skills.get(bit as usize).cloned().unwrap_or_default(),
        resource: &|r| mapped.resources.get(r).cloned().unwrap_or_default(),
        rest: &|a| {
            let whole = mapped.rests.get(&a).copied()?;
            let item = items.get(whole)?;
            Some(format!(
                "the rest of \"{}\" comes first: {} of the {} left fit one session",
                title(whole),
                item.part.unwrap_or(0),
                item.step.of.unwrap_or(0) - item.done
            ))
        },
        cut_by: &|a| mapped.cut_by.get(a).cloned().flatten(),
        lacks: &|step| lacks(&sessions, step),
        lit_by: &|a| mapped.lit_by.get(a).cloned().flatten(),
    };
    for unplaced in &solution.unplaced {
        let Some(item) = items.get(unplaced.activity) else { continue };
        if matches!(item.state, State::Done | State::Skipped | State::Doing) {
            continue;
        }
        let refusal = if let Some(before) = &item.time_unknown {
            Refusal {
                key: item.step.key.clone(),
                code: "time_unknown",
                why: format!(
                    "it waits after \"{}\", which was done at no known time",
                    at_title(items, before)
                ),
                remedy: "reopen that step and tick it with its time".to_owned(),
            }
        } else {
            let mut r = wording.refusal(item.step, *unplaced);
            if r.code == "held" && item.left_out {
                r.code = "left_out";
                "left out: the whole of it would not be done in time, and others would wait for it"
                    .clone_into(&mut r.why);
                "begin it earlier, or add a session before the rehearsal; or hold it yourself"
                    .clone_into(&mut r.remedy);
            }
            if r.code == "held" && !item.why.is_empty() {
                r.why.clone_from(&item.why);
            }
            r
        };
        plan.unplaced.push(refusal);
    }
}

fn at_title(items: &[Item], key: &StepKey) -> String {
    items.iter().find(|i| &i.step.key == key).map_or_else(String::new, |i| i.step.title.clone())
}

/// Of everyone who ever comes, what each lacks for the hand that asks for most.
fn lacks(sessions: &[SessionSpan], step: &Step) -> String {
    let most = step.needs().into_iter().max_by_key(Vec::len).unwrap_or_default();
    let people: BTreeMap<&str, &[String]> =
        sessions.iter().flat_map(|s| &s.people).map(|a| (a.name.as_str(), a.skills.as_slice())).collect();
    let lines = people.into_iter().map(|(name, has)| {
        let lacks: Vec<&str> = most.iter().filter(|s| !has.contains(s)).map(String::as_str).collect();
        if lacks.is_empty() { format!("{name} can") } else { format!("{name} lacks {}", lacks.join(" and ")) }
    });
    lines.collect::<Vec<_>>().join(", ")
}
