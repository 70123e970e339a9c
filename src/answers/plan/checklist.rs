//! The checklist of a phase as a sheet: for the terminal and for paper.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::Outlook;
use crate::answers::outdoors::{cure_line, ladder_line};
use crate::answers::plan::left_out;
use crate::answers::problem::{Problem, ProblemKind};
use crate::answers::untold::not_told;
use crate::answers::view::{ChecklistGroup, ChecklistLine, ChecklistSheet, Pick};
use crate::answers::walk::connect::connect_lines;
use crate::answers::walk::page::tools;
use crate::answers::walk::states::states;
use crate::answers::walk::work::work;
use crate::answers::words::{caution, caution_text, place_name, title};
use crate::domain::PlaceId;
use crate::planner::{Plan, PlannedStep};
use crate::steps::{Facts, State};
use crate::units::Span;

/// The checklist of a plan, or the part of it that is wanted, numbered as it is printed.
///
/// # Errors
/// `no-session`, `no-person`, `no-place` for what the plan does not know.
pub(crate) fn sheet(outlook: &Outlook, plan: &Plan, pick: &Pick) -> Result<ChecklistSheet, Problem> {
    let season = outlook.yard.seasons.iter().find(|s| s.code == plan.season);
    let wanted = Wanted::of(outlook, plan, pick)?;
    let mut sources: BTreeMap<&str, String> = BTreeMap::new();
    let mut groups: Vec<ChecklistGroup> = Vec::new();
    let mut session = None;
    let mut explained: BTreeSet<&str> = BTreeSet::new();
    let facts = outlook.facts();
    let open = |p: &&PlannedStep| {
        !matches!(p.state, State::Done | State::Skipped | State::Held)
            && (!plan.told.sessions || p.from.is_some())
    };
    let mut number = 0;
    for p in plan.steps.iter().filter(open).filter(|p| wanted.has(p)) {
        let place = place_name(outlook, p);
        let new_session = groups.is_empty() || p.session != session;
        if new_session {
            // Each session's page is taken along by itself.
            explained.clear();
        }
        if new_session || groups.last().is_none_or(|g| g.place != place) {
            let said = if new_session { session_words(outlook, plan, p.session) } else { String::new() };
            session = p.session;
            groups.push(ChecklistGroup { session: said, place, lines: Vec::new() });
        }
        let cautions = p.step.cautions.iter().map(|code| {
            let told = caution(outlook, code);
            let source = || told.map_or_else(|| "source not told".to_owned(), |c| c.source.clone());
            sources.entry(code).or_insert_with(source);
            let words = explained.insert(code).then(|| caution_text(outlook, code));
            (code.replace('_', " "), words)
        });
        number += 1;
        let cautions = cautions.collect();
        let line = sheet_line(outlook, &facts, plan, p, number, cautions);
        if let Some(group) = groups.last_mut() {
            group.lines.push(line);
        }
    }
    let unplaced = plan.unplaced.iter().filter(|_| wanted.all()).map(|u| {
        let name = plan.step(&u.key).map_or_else(|| u.key.to_string(), title);
        format!("{name}: {} [{}]; {}", u.why, u.code, u.remedy)
    });
    Ok(ChecklistSheet {
        code: String::new(),
        title: format!("{}, {}", season.map_or(plan.season.as_str(), |s| &s.name), plan.phase.as_str()),
        head: if wanted.all() { sheet_head(outlook, plan, season) } else { wanted.said.clone() },
        groups,
        unplaced: unplaced.collect(),
        sources: sources.into_iter().map(|(code, source)| (code.replace('_', " "), source)).collect(),
    })
}

/// A pick found in the plan.
struct Wanted {
    session: Option<usize>,
    person: Option<String>,
    /// The place and what lies in it.
    places: Option<Vec<PlaceId>>,
    said: Vec<String>,
}

impl Wanted {
    fn of(outlook: &Outlook, plan: &Plan, pick: &Pick) -> Result<Self, Problem> {
        let refuse = |code, what: String, known: Vec<&str>| {
            Problem::new(ProblemKind::Data, code, what).hint(format!("there are: {}", known.join(", ")))
        };
        let is = |text: &str, wanted: &str| text.eq_ignore_ascii_case(wanted.trim());
        let mut said = Vec::new();
        let session = pick.session.as_deref().map(|wanted| {
            plan.sessions.iter().position(|s| is(&s.code, wanted)).ok_or_else(|| {
                let known = plan.sessions.iter().map(|s| s.code.as_str()).collect();
                refuse("no-session", format!("this plan has no session {wanted:?}"), known)
            })
        });
        let person = pick.person.as_deref().map(|wanted| {
            let found = outlook.yard.people.iter().find(|p| is(&p.code, wanted) || is(&p.name, wanted));
            found.map(|p| p.name.clone()).ok_or_else(|| {
                let known = outlook.yard.people.iter().map(|p| p.name.as_str()).collect();
                refuse("no-person", format!("there is nobody called {wanted:?}"), known)
            })
        });
        let places = pick.place.as_deref().map(|wanted| {
            let all = &outlook.yard.places;
            let found = all.iter().find(|p| is(&p.code, wanted) || is(&p.name, wanted)).ok_or_else(|| {
                let known = all.iter().map(|p| p.name.as_str()).collect();
                refuse("no-place", format!("there is no place {wanted:?}"), known)
            })?;
            said.push(format!("only at {}", found.name));
            let mut within = vec![found.id];
            let mut at = 0;
            while let Some(above) = within.get(at).copied() {
                let below = all.iter().filter(|p| p.parent_id == Some(above) && !within.contains(&p.id));
                let below: Vec<PlaceId> = below.map(|p| p.id).collect();
                within.extend(below);
                at += 1;
            }
            Ok::<_, Problem>(within)
        });
        let (session, person, places) = (session.transpose()?, person.transpose()?, places.transpose()?);
        said.extend(person.iter().map(|p| format!("only for {p}")));
        Ok(Self { session, person, places, said })
    }

    fn all(&self) -> bool {
        self.session.is_none() && self.person.is_none() && self.places.is_none()
    }

    fn has(&self, p: &PlannedStep) -> bool {
        self.session.is_none_or(|s| p.session == Some(s))
            && self.person.as_ref().is_none_or(|who| p.people.contains(who))
            && self.places.as_ref().is_none_or(|within| p.step.place.is_some_and(|id| within.contains(&id)))
    }
}

fn sheet_head(outlook: &Outlook, plan: &Plan, season: Option<&crate::domain::Season>) -> Vec<String> {
    let mut head = Vec::new();
    for (label, t) in
        [("lights on", plan.lights_on), ("rehearsal", plan.rehearsal), ("work ends", plan.finish)]
    {
        head.extend(t.map(|t| format!("{label}: {}", outlook.say_moment(t))));
    }
    let (work, season_asks) = work(plan, &states(outlook, plan));
    let moves = if plan.told.sessions {
        format!("; {} ladder set-ups, {} changes of place", plan.moves.ladder, plan.moves.place)
    } else {
        String::new()
    };
    let left = Span::from_minutes(work.minutes_left).show();
    head.push(format!("{} steps open of {}, {left}{moves}", work.open(), work.total));
    if season_asks.open() > 0 {
        let left = Span::from_minutes(season_asks.minutes_left).show();
        head.push(format!(
            "{} more of the season itself, rehearsal and lights on: {left}",
            season_asks.open()
        ));
    }
    head.extend(left_out(outlook, plan));
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

fn sheet_line(
    outlook: &Outlook,
    facts: &Facts,
    plan: &Plan,
    p: &PlannedStep,
    number: usize,
    cautions: Vec<(String, Option<String>)>,
) -> ChecklistLine {
    let connects = p
        .step
        .placement
        .and_then(|id| facts.placement(id))
        .filter(|_| p.step.deed == crate::domain::StepDeed::Connect)
        .map(|pl| connect_lines(outlook, facts, pl.season_id, pl))
        .unwrap_or_default();
    ChecklistLine {
        number,
        key: p.step.key.to_string(),
        when: p.from.map_or_else(
            || format!("{:>3}.", p.order),
            |t| t.with_timezone(&plan.zone).format("%H:%M").to_string(),
        ),
        title: title(p),
        count: p.step.of.map_or_else(String::new, |of| format!("{} of {of}", p.done)),
        minutes: Span::from_minutes(p.minutes).show(),
        of: p.step.of,
        people: p.people.clone(),
        with: tools(outlook, p).join(", "),
        cautions,
        notes: connects
            .iter()
            .map(|c| format!("{} -> {}: {} ({})", c.port, c.to, c.lead, c.check))
            .chain(p.late.then(|| "LATE: it ends after the rehearsal begins".to_owned()))
            .chain(ladder_line(outlook, &p.step))
            .chain(cure_line(outlook, facts, p.session.and_then(|s| plan.sessions.get(s)), &p.step))
            .collect(),
    }
}
