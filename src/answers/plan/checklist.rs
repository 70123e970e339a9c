//! The checklist of a phase as a sheet: for the terminal and for paper.

use std::collections::BTreeSet;

use crate::answers::Outlook;
use crate::answers::untold::not_told;
use crate::answers::view::{ChecklistGroup, ChecklistLine, ChecklistSheet};
use crate::answers::walk::connect::connect_lines;
use crate::answers::walk::page::tools;
use crate::answers::words::{caution_text, place_name, title};
use crate::planner::{Plan, PlannedStep};
use crate::steps::{Facts, State};
use crate::units::Span;

/// The checklist of a plan, for the terminal and for paper.
pub(crate) fn sheet(outlook: &Outlook, plan: &Plan) -> ChecklistSheet {
    let season = outlook.yard.seasons.iter().find(|s| s.code == plan.season);
    let mut used: BTreeSet<&str> = BTreeSet::new();
    let mut groups: Vec<ChecklistGroup> = Vec::new();
    let mut session = None;
    let facts = outlook.facts();
    let open = |p: &&PlannedStep| {
        !matches!(p.state, State::Done | State::Skipped | State::Held)
            && (!plan.told.sessions || p.from.is_some())
    };
    for p in plan.steps.iter().filter(open) {
        let place = place_name(outlook, p);
        let new_session = groups.is_empty() || p.session != session;
        if new_session || groups.last().is_none_or(|g| g.place != place) {
            let said = if new_session { session_words(outlook, plan, p.session) } else { String::new() };
            session = p.session;
            groups.push(ChecklistGroup { session: said, place, lines: Vec::new() });
        }
        used.extend(p.step.cautions.iter().map(String::as_str));
        if let Some(group) = groups.last_mut() {
            group.lines.push(sheet_line(outlook, &facts, plan, p));
        }
    }
    let cautions = used
        .into_iter()
        .map(|code| {
            let told = outlook.yard.cautions.iter().find(|c| c.code == code);
            (
                code.replace('_', " "),
                caution_text(outlook, code),
                told.map_or_else(|| "source not told".to_owned(), |c| c.source.clone()),
            )
        })
        .collect();
    ChecklistSheet {
        title: format!("{}, {}", season.map_or(plan.season.as_str(), |s| &s.name), plan.phase.as_str()),
        head: sheet_head(outlook, plan, season),
        groups,
        unplaced: plan
            .unplaced
            .iter()
            .map(|u| {
                let name = plan.step(&u.key).map_or_else(|| u.key.to_string(), title);
                format!("{name}: {} [{}]; {}", u.why, u.code, u.remedy)
            })
            .collect(),
        cautions,
    }
}

fn sheet_head(outlook: &Outlook, plan: &Plan, season: Option<&crate::domain::Season>) -> Vec<String> {
    let mut head = Vec::new();
    for (label, t) in
        [("lights on", plan.lights_on), ("rehearsal", plan.rehearsal), ("work ends", plan.finish)]
    {
        head.extend(t.map(|t| format!("{label}: {}", outlook.say_moment(t))));
    }
    let open = plan.steps.iter().filter(|p| matches!(p.state, State::Open | State::Doing)).count();
    let minutes: i64 = plan
        .steps
        .iter()
        .filter(|p| p.state == State::Open)
        .map(crate::planner::PlannedStep::minutes_left)
        .sum();
    let moves = if plan.told.sessions {
        format!("; {} ladder set-ups, {} changes of place", plan.moves.ladder, plan.moves.place)
    } else {
        String::new()
    };
    head.push(format!(
        "{open} steps open of {}, {}{moves}",
        plan.steps.len(),
        Span::from_minutes(minutes).show()
    ));
    head.extend(plan.assumed.iter().map(|l| format!("assumed: {l}")));
    head.extend(plan.faults.iter().cloned());
    head.extend(not_told(outlook, season).into_iter().map(|l| format!("not told: {l}")));
    head
}

fn session_words(outlook: &Outlook, plan: &Plan, session: Option<usize>) -> String {
    session.and_then(|s| plan.sessions.get(s)).map_or_else(String::new, |s| {
        let who: Vec<&str> = s.people.iter().map(|a| a.name.as_str()).collect();
        let to = s.to.with_timezone(&plan.zone).format("%H:%M");
        format!("{} to {to}  {}", outlook.say_moment(s.from), who.join(", "))
    })
}

fn sheet_line(outlook: &Outlook, facts: &Facts, plan: &Plan, p: &PlannedStep) -> ChecklistLine {
    let mut with = p.people.clone();
    with.extend(tools(outlook, p));
    let connects = p
        .step
        .placement
        .and_then(|id| facts.placement(id))
        .filter(|_| p.step.deed == crate::domain::StepDeed::Connect)
        .map(|pl| connect_lines(outlook, facts, pl.season_id, pl))
        .unwrap_or_default();
    ChecklistLine {
        when: p.from.map_or_else(
            || format!("{:>3}.", p.order),
            |t| t.with_timezone(&plan.zone).format("%H:%M").to_string(),
        ),
        title: title(p),
        count: p.step.of.map_or_else(String::new, |of| format!("{} of {of}", p.done)),
        minutes: Span::from_minutes(p.minutes).show(),
        with: with.join(", "),
        cautions: p.step.cautions.iter().map(|c| c.replace('_', " ")).collect(),
        notes: connects.iter().map(|c| format!("{} -> {}: {} ({})", c.port, c.to, c.lead, c.check)).collect(),
    }
}
