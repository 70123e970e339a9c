//! From facts and derived steps to a finished plan.

use std::collections::BTreeMap;

use chrono::{DateTime, Duration, Utc};

use super::calendar::{Calendar, lenient_moment};
use super::cure::wait_in;
use super::engine::{
    Control, Limits as EngineLimits, Placed, Problem, ProblemError, Solution, StoppedBy, solve,
};
use super::explain::mark_critical;
use super::items::Prepared;
use super::map::{Binding, Item, Mapped, map};
use super::order::{positions, walk_order};
use super::plan::{AfterEdge, GoalRow, Moves, Plan, PlannedStep, SetUpMinutes, Told};
use super::refusal::{Refusal, Wording};
use super::resources::Equipment;
use crate::domain::{Phase, Season};
use crate::steps::{Derived, Facts, Role, State, StepKey};

/// Minutes to go to another place where the site does not tell.
const ASSUMED_PLACE_MINUTES: i64 = 5;
/// Minutes to set up a ladder where the site does not tell.
const ASSUMED_LADDER_MINUTES: i64 = 10;

/// How far the search goes.
#[derive(Clone, Copy)]
pub struct Effort<'a> {
    /// Forward and backward passes.
    pub schedules: u64,
    /// Asked now and then; true ends the search with the best so far, and the plan says `time`.
    pub stop: &'a (dyn Fn() -> bool + Sync),
    /// Told the schedules made so far.
    pub progress: &'a (dyn Fn(u64) + Sync),
}

/// What is planned.
pub struct Request<'a> {
    pub facts: &'a Facts<'a>,
    pub derived: &'a Derived,
    pub season: &'a Season,
    pub phase: Phase,
    pub now: DateTime<Utc>,
    pub seed: u64,
    /// Keys in the order that people expect, where a plan was kept.
    pub kept: &'a [StepKey],
}

impl Request<'_> {
    pub(super) fn setup(&self) -> SetUpMinutes {
        let site = self.facts.yard.sites.first();
        SetUpMinutes {
            place: site.and_then(|s| s.place_minutes).unwrap_or(ASSUMED_PLACE_MINUTES),
            ladder: site.and_then(|s| s.ladder_minutes).unwrap_or(ASSUMED_LADDER_MINUTES),
        }
    }
}

/// Plans one phase of one season. The same request and effort in schedules give the same plan.
pub fn make_plan(request: &Request, effort: Effort) -> Plan {
    let yard = request.facts.yard;
    let Prepared { calendar, equipment, items, bound } = Prepared::new(request);
    let told = Told {
        // A round of the night is no work of a session: order and minutes, no dates.
        sessions: !yard.sessions.is_empty() && request.phase != Phase::Tonight,
        people: !yard.people.is_empty(),
        equipment: equipment.told,
    };
    let frame = Frame { request, calendar: &calendar, equipment: &equipment, told };
    if !told.sessions {
        return frame.undated(&items, &bound);
    }
    let mut plan = frame.dated(&items, &bound, effort);
    mark_critical(&mut plan, request.facts);
    plan
}

/// From what people expect, and afresh: what they expect stands unless a fresh plan is better in the goals, so that
/// keeping a plan never makes the next one worse.
fn solve_kept(problem: &Problem, limits: &EngineLimits, control: &Control) -> Result<Solution, ProblemError> {
    let kept = solve(problem, limits, control)?;
    if control.kept.is_none() {
        return Ok(kept);
    }
    let fresh = solve(problem, limits, &Control { kept: None, ..*control })?;
    Ok(if fresh.goals.row() < kept.goals.row() { fresh } else { kept })
}

/// What both kinds of plan are made from.
struct Frame<'a> {
    request: &'a Request<'a>,
    calendar: &'a Calendar,
    equipment: &'a Equipment,
    told: Told,
}

impl Frame<'_> {
    fn empty_plan(&self) -> Plan {
        let season = self.request.season;
        let moment = |l: Option<chrono::NaiveDateTime>| l.map(|l| lenient_moment(self.calendar.zone, l));
        let mut assumed = self.request.derived.assumed.clone();
        let site = self.request.facts.yard.sites.first();
        if self.told.sessions && site.is_none_or(|s| s.place_minutes.is_none() || s.ladder_minutes.is_none())
        {
            let s = self.request.setup();
            assumed.push(format!(
                "minutes to change place and ladder not told: {} and {} assumed",
                s.place, s.ladder
            ));
        }
        if self.told.sessions && site.is_none_or(|s| s.latitude_udeg.is_none() || s.longitude_udeg.is_none())
        {
            assumed.push("position not told: daylight not checked".to_owned());
        }
        Plan {
            season: season.code.clone(),
            phase: self.request.phase,
            zone: self.calendar.zone,
            now: self.request.now,
            lights_on: moment(season.lights_on),
            // On the way down nothing has to be ready by the rehearsal.
            rehearsal: moment(season.rehearsal).filter(|_| self.request.phase != Phase::Down),
            finish: None,
            finish_lower_bound: None,
            seed: self.request.seed,
            stopped_by: "bound",
            schedules: 0,
            told: self.told,
            goals: Vec::new(),
            proven: false,
            moves: Moves::default(),
            setup: self.request.setup(),
            sessions: if self.told.sessions { self.calendar.sessions.clone() } else { Vec::new() },
            equipment: self.equipment.units.clone(),
            steps: Vec::new(),
            unplaced: Vec::new(),
            assumed,
            faults: self.calendar.faults.clone(),
        }
    }

    fn planned(&self, item: &Item) -> PlannedStep {
        let step = item.step;
        let equipment: Vec<(String, i64)> = step
            .equipment
            .iter()
            .filter_map(|w| self.equipment.tool_for(w))
            .filter_map(|i| self.equipment.units.get(i))
            .map(|u| (u.name.clone(), 1))
            .collect();
        let after = step
            .after
            .iter()
            .map(|e| AfterEdge {
                key: e.key.clone(),
                wait_min: e.wait_min,
                within_min: e.within_min,
                same_day: e.same_day,
                reason: e.reason,
                why: e.why.clone(),
            })
            .collect();
        PlannedStep {
            step: step.clone(),
            state: item.state,
            done: item.done,
            why: item.why.clone(),
            after,
            minutes: item.minutes,
            setup_minutes: 0,
            session: None,
            from: None,
            to: None,
            people: Vec::new(),
            equipment,
            box_mode: step.box_mode,
            order: 0,
            late: false,
            critical: false,
        }
    }

    /// Order and hours, no dates.
    fn undated(&self, items: &[Item], bound: &[Vec<Binding>]) -> Plan {
        let mut plan = self.empty_plan();
        let open = |i: &Item| matches!(i.state, State::Open | State::Doing | State::Held);
        let list: Vec<usize> = items.iter().enumerate().filter(|(_, i)| open(i)).map(|(n, _)| n).collect();
        let back: BTreeMap<usize, usize> = list.iter().enumerate().map(|(p, n)| (*n, p)).collect();
        let steps: Vec<_> = list.iter().filter_map(|n| items.get(*n)).map(|i| i.step).collect();
        let before: Vec<Vec<usize>> = list
            .iter()
            .map(|n| {
                bound.get(*n).into_iter().flatten().filter_map(|b| back.get(&b.before).copied()).collect()
            })
            .collect();
        let order = walk_order(&steps, &before);
        let rank: BTreeMap<usize, usize> =
            order.iter().enumerate().filter_map(|(r, p)| list.get(*p).map(|n| (*n, r + 1))).collect();
        plan.steps = items
            .iter()
            .enumerate()
            .map(|(n, item)| {
                let mut p = self.planned(item);
                p.order = rank.get(&n).copied().unwrap_or(0);
                p
            })
            .collect();
        plan.steps.sort_by_key(|s| s.order);
        plan
    }

    fn dated(&self, items: &[Item], bound: &[Vec<Binding>], effort: Effort) -> Plan {
        let mapped = map(self.request, self.calendar, self.equipment, items, bound);
        let at = positions(items.iter().map(|i| &i.step.key));
        let kept: Vec<usize> = self.request.kept.iter().filter_map(|k| at.get(k).copied()).collect();
        let control = Control {
            stop: effort.stop,
            progress: &|p| (effort.progress)(p.schedules),
            kept: (!kept.is_empty()).then_some(kept.as_slice()),
        };
        let limits = EngineLimits { schedules: effort.schedules, seed: self.request.seed };
        let mut plan = self.empty_plan();
        match solve_kept(&mapped.problem, &limits, &control) {
            Ok(solution) => self.fill(&mut plan, items, &mapped, &solution),
            Err(error) => {
                // A problem the engine refuses is a fault of this program's mapping: said, never guessed around.
                plan.faults.push(format!("the plan could not be computed: {error} [{}]", error.code()));
                plan.steps = items.iter().map(|i| self.planned(i)).collect();
            }
        }
        plan
    }

    fn fill(&self, plan: &mut Plan, items: &[Item], mapped: &Mapped, solution: &Solution) {
        let moment = |t: i32| mapped.origin + Duration::minutes(i64::from(t));
        let ladders: Vec<&str> =
            self.equipment.units.iter().filter(|u| u.ladder).map(|u| u.name.as_str()).collect();
        for (item, placed) in items.iter().zip(&solution.placed) {
            let mut p = self.planned(item);
            match item.state {
                State::Open => place(&mut p, placed.as_ref(), mapped, &ladders, moment),
                State::Doing => {
                    let from = item.from.unwrap_or(plan.now);
                    p.from = Some(from);
                    p.to = Some((from + Duration::minutes(item.minutes)).max(plan.now));
                    p.session = self.session_at(from);
                    p.people = self.name_of(item);
                    p.equipment.clear();
                }
                State::Done => {
                    p.from = item.from.or(item.to);
                    p.to = item.to;
                    p.session = item.from.or(item.to).and_then(|t| self.session_at(t));
                    p.people = self.name_of(item);
                    p.equipment.clear();
                }
                State::Held | State::Skipped => {}
            }
            plan.steps.push(p);
        }
        print_cures(plan);
        let rehearsal = plan.rehearsal;
        for p in &mut plan.steps {
            let over = p.to.zip(rehearsal).is_some_and(|(to, r)| to > r);
            p.late = p.state == State::Open && p.step.role == Role::Work && over;
        }
        plan.finish = plan
            .steps
            .iter()
            .filter(|p| p.step.role == Role::Work && matches!(p.state, State::Open | State::Doing))
            .filter_map(|p| p.to)
            .max();
        tell_unplaced(plan, items, mapped, solution);
        let goals = solution.goals;
        plan.goals = vec![
            GoalRow { name: "worth_ready", value: goals.worth.value, bound: goals.worth.bound },
            GoalRow { name: "unplaced", value: goals.unplaced.value, bound: goals.unplaced.bound },
            GoalRow { name: "days_over", value: goals.days_over.value, bound: goals.days_over.bound },
            GoalRow { name: "setup_minutes", value: goals.setup.value, bound: goals.setup.bound },
            GoalRow { name: "finish_minutes", value: goals.finish.value, bound: goals.finish.bound },
        ];
        plan.finish_lower_bound = plan.finish.map(|f| moment(goals.finish.bound as i32).min(f));
        plan.proven = goals.proven();
        plan.schedules = solution.schedules;
        plan.stopped_by = match solution.stopped_by {
            StoppedBy::Schedules => "schedules",
            StoppedBy::Bound => "bound",
            StoppedBy::Stop => "time",
        };
        let mut order: Vec<usize> = (0..plan.steps.len()).collect();
        order.sort_by_key(|i| plan.steps.get(*i).map(|p| (p.from.is_none(), p.from, p.to, *i)));
        for (rank, i) in order.into_iter().enumerate() {
            if let Some(p) = plan.steps.get_mut(i) {
                p.order = rank + 1;
            }
        }
        plan.moves = count_moves(plan);
        plan.steps.sort_by_key(|p| p.order);
    }

    fn session_at(&self, t: DateTime<Utc>) -> Option<usize> {
        self.calendar.sessions.iter().position(|s| s.from <= t && t <= s.to)
    }

    fn name_of(&self, item: &Item) -> Vec<String> {
        let people = &self.request.facts.yard.people;
        people.iter().filter(|p| Some(p.id) == item.person).map(|p| p.name.clone()).collect()
    }
}

fn place(
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
fn print_cures(plan: &mut Plan) {
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
            .push(format!("lowest temperature not told where {untold} cures begin: taken as at 20 °C"));
    }
}

fn tell_unplaced(plan: &mut Plan, items: &[Item], mapped: &Mapped, solution: &Solution) {
    let title = |i: usize| {
        items.get(i).map_or_else(String::new, |item| {
            if item.step.subject.is_empty() {
                item.step.title.clone()
            } else {
                format!("{}: {}", item.step.subject, item.step.title)
            }
        })
    };
    let wording = Wording {
        title: &title,
        skill: &|bit| mapped.skills.get(bit as usize).cloned().unwrap_or_default(),
        resource: &|r| mapped.resources.get(r).cloned().unwrap_or_default(),
        cut_by: &|a| mapped.cut_by.get(a).cloned().flatten(),
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

/// Persons changing place within a session (the first step not counted), and every ladder set-up, of open steps.
fn count_moves(plan: &Plan) -> Moves {
    let mut moves = Moves::default();
    let mut rows: BTreeMap<(bool, &str), Vec<&PlannedStep>> = BTreeMap::new();
    for p in plan.steps.iter().filter(|p| p.from.is_some() && p.step.place.is_some()) {
        let over = p.state == State::Done && p.to.is_some_and(|t| t <= plan.now - Duration::days(1));
        if over || p.state == State::Skipped {
            continue;
        }
        for name in &p.people {
            rows.entry((false, name)).or_default().push(p);
        }
        for (name, _) in &p.equipment {
            if plan.equipment.iter().any(|e| e.ladder && &e.name == name) {
                rows.entry((true, name)).or_default().push(p);
            }
        }
    }
    for ((ladder, _), list) in &mut rows {
        list.sort_by_key(|p| (p.from, p.to));
        let mut last: BTreeMap<Option<usize>, Option<crate::domain::PlaceId>> = BTreeMap::new();
        for p in list {
            let before = last.insert(p.session, p.step.place);
            let moved = before.is_none_or(|b| b != p.step.place);
            if moved && p.state == State::Open {
                if *ladder {
                    moves.ladder += 1;
                } else if before.is_some() {
                    moves.place += 1;
                }
            }
        }
    }
    moves
}
