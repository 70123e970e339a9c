//! From facts and derived steps to a finished plan.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use chrono::{DateTime, Duration, Utc};

use super::ask::{AHEAD_DAYS, BENCH_TESTS, Effort, Expected, Prefer, Request, key_of};
use super::calendar::{Calendar, lenient_moment};
use super::engine::{
    Control, Goal, Limits as EngineLimits, Solution, StoppedBy, from_numbers, spans, to_numbers,
};
use super::expected::{Pin, solve_expected};
use super::explain::mark_critical;
use super::items::Prepared;
use super::leave::{bridge, without_hopeless};
use super::map::{Binding, Item, Mapped, map, minutes};
use super::moves::count_moves;
use super::order::{positions, walk_order};
use super::plan::{AfterEdge, GoalRow, Lookup, Moves, Plan, PlannedStep, Told};
use super::resources::Equipment;
use super::steady::soon_enough;
use super::telling::{begun_with, place, print_cures, tell_parts, tell_unplaced};
use crate::domain::Phase;
use crate::steps::{Role, State, StepKey, looks};

/// Plans one phase of one season. The same request and effort in schedules give the same plan. With the smallest disturbance
/// of the session that runs: what still fits it of `walked`, its steps in the order in which they are walked, stays in it,
/// in that order; and what was kept with its times stands while it holds.
pub fn make_plan(request: &Request, walked: &[StepKey], expected: &[Expected], effort: Effort) -> Plan {
    let yard = request.facts.yard;
    let Prepared { calendar, equipment, items, bound, to_come } = Prepared::new(request);
    let told = Told {
        // A round of the night is no work of a session, and sessions that are all past hold no work: order and
        // minutes, no dates.
        sessions: to_come && request.phase != Phase::Tonight,
        people: !yard.people.is_empty(),
        equipment: equipment.told,
    };
    let frame = Frame { request, calendar: &calendar, equipment: &equipment, told, expected };
    if !told.sessions {
        return frame.undated(&items, &bound);
    }
    let (running, session) = frame.running(&items, walked);
    let kept: Vec<StepKey> = walked.iter().chain(request.kept).cloned().collect();
    let request = &Request { kept: &kept, ..*request };
    let frame = Frame { request, ..frame };
    let first = frame.dated(&items, &bound, effort, (&running, session));
    let make = |items: &[Item], bound: &[Vec<Binding>], effort: Effort| {
        frame.dated(items, bound, effort, (&running, session))
    };
    let mut plan = without_hopeless(request, &items, effort, first, make);
    mark_critical(&mut plan, request.facts);
    plan
}

/// What both kinds of plan are made from.
pub(super) struct Frame<'a> {
    pub(super) request: &'a Request<'a>,
    pub(super) calendar: &'a Calendar,
    pub(super) equipment: &'a Equipment,
    pub(super) told: Told,
    pub(super) expected: &'a [Expected],
}

impl Frame<'_> {
    pub(super) fn empty_plan(&self) -> Plan {
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
        let runs = |s: &Arc<crate::steps::Step>| looks(s).is_some();
        if self.told.sessions
            && site.is_none_or(|s| s.bench_tests.is_none())
            && self.request.derived.steps.iter().any(runs)
        {
            assumed.push(format!("tests side by side at the bench not told: {BENCH_TESTS} assumed"));
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
            left_out: BTreeSet::new(),
            assumed,
            faults: self.calendar.faults.clone(),
            lookup: Lookup::default(),
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
                within_min: e.within_min.filter(|_| item.state != State::Skipped),
                same_day: e.same_day && item.state != State::Skipped,
                watched: e.watched,
                reason: e.reason,
                why: e.why.clone(),
            })
            .collect();
        PlannedStep {
            step: Arc::clone(step),
            state: item.state,
            done: item.done,
            why: item.why.clone(),
            after,
            minutes: item.minutes,
            part: item.part,
            setup_minutes: 0,
            session: None,
            from: None,
            to: None,
            earliest: None,
            latest: None,
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
        // A round of the night keeps its order over ticks: nothing else keeps it.
        let round = self.request.phase == Phase::Tonight;
        let open = |i: &Item| round || matches!(i.state, State::Open | State::Doing | State::Held);
        let list: Vec<usize> = items.iter().enumerate().filter(|(_, i)| open(i)).map(|(n, _)| n).collect();
        let back: BTreeMap<usize, usize> = list.iter().enumerate().map(|(p, n)| (*n, p)).collect();
        let steps: Vec<_> = list.iter().filter_map(|n| items.get(*n)).map(|i| &**i.step).collect();
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

    /// With what is walked in the session that runs, which stays there.
    fn dated(
        &self,
        items: &[Item],
        bound: &[Vec<Binding>],
        effort: Effort,
        (running, session): (&[usize], u32),
    ) -> Plan {
        let mut mapped = map(self.request, self.calendar, self.equipment, items, bound);
        if mapped.problem.comfort.is_none() {
            mapped.problem.comfort = soon_enough(&mapped.problem, self.request.seed);
        }
        let comfort = mapped.problem.comfort;
        mapped.problem.finish_first = effort.prefer == Prefer::Early;
        if effort.prefer == Prefer::Ahead {
            mapped.problem.comfort = comfort.map(|c| c - AHEAD_DAYS * 1440);
        }
        let at = positions(items.iter().map(|i| &i.step.key));
        let kept: Vec<usize> = self.request.kept.iter().filter_map(|k| at.get(k).copied()).collect();
        let control = Control {
            stop: effort.stop,
            progress: &|p| (effort.progress)(p.schedules),
            kept: (!kept.is_empty()).then_some(kept.as_slice()),
            bound: None,
        };
        let limits = EngineLimits { schedules: effort.schedules, seed: self.request.seed };
        let mut plan = self.empty_plan();
        let pins = self.pins(items, &mapped, running);
        let key = key_of(&(&mapped.problem, limits, control.kept, &pins, running, session));
        let known = effort.known.and_then(|k| from_numbers(&k.get(key)?));
        let solved = match known.filter(|s| s.placed.len() == mapped.problem.activities.len()) {
            Some(solution) => Ok(solution),
            None => solve_expected(&mapped.problem, &limits, &control, &pins, (running, session)),
        };
        if let (Some(store), Ok(solution)) = (effort.known, &solved)
            && solution.stopped_by != StoppedBy::Stop
        {
            store.put(key, to_numbers(solution));
        }
        let solved = solved.map(|mut s| {
            if effort.prefer == Prefer::Ahead {
                // Said of the days that were asked for; what no plan can better is not known of those.
                mapped.problem.comfort = comfort;
                let value = mapped.problem.days_over(s.goals.finish.value as i32);
                s.goals.days_over = Goal { value, bound: 0 };
                s.goals.given.bound = 0;
            }
            s
        });
        match solved {
            Ok(solution) => self.fill(&mut plan, items, &mapped, &solution),
            Err(error) => {
                // A problem the engine refuses is a fault of this program's mapping: said, never guessed around.
                plan.faults.push(format!("the plan could not be computed: {error} [{}]", error.code()));
                plan.steps = items.iter().map(|i| self.planned(i)).collect();
            }
        }
        plan
    }

    /// Where what was kept is expected; the session that runs keeps its order, whatever the hour.
    fn pins(&self, items: &[Item], mapped: &Mapped, running: &[usize]) -> Vec<Pin> {
        let at = positions(items.iter().map(|i| &i.step.key));
        let pin = |e: &Expected| {
            let activity = at.get(&e.key).copied().filter(|i| !running.contains(i))?;
            let open = items.get(activity)?.state == State::Open;
            let name = |n: &String| mapped.worker_names.iter().position(|w| w == n);
            let workers = e.people.iter().filter_map(name).collect();
            open.then(|| Pin { activity, start: minutes(mapped.origin, e.from, false), workers })
        };
        self.expected.iter().filter_map(pin).collect()
    }

    fn fill(&self, plan: &mut Plan, items: &[Item], mapped: &Mapped, solution: &Solution) {
        let moment = |t: i32| mapped.origin + Duration::minutes(i64::from(t));
        let ladders: Vec<&str> =
            self.equipment.units.iter().filter(|u| u.ladder).map(|u| u.name.as_str()).collect();
        // Begun work holds what there is, and no more: what was borrowed is not told.
        let mut free: BTreeMap<String, i64> = BTreeMap::new();
        let activities = &mapped.problem.activities;
        let spans = spans(&mapped.problem, solution);
        for (((item, placed), activity), span) in
            items.iter().zip(&solution.placed).zip(activities).zip(spans)
        {
            let mut p = self.planned(item);
            if placed.is_some() && item.state == State::Open {
                (p.earliest, p.latest) = (span.0.map(moment), span.1.map(moment));
            }
            match item.state {
                State::Open => place(&mut p, placed.as_ref(), mapped, &ladders, moment),
                State::Doing => {
                    let from = item.from.unwrap_or(plan.now);
                    p.from = Some(from);
                    p.to = Some((from + Duration::minutes(item.minutes)).max(plan.now));
                    p.session = self.session_at(from);
                    p.people = self.name_of(item);
                    begun_with(&mut p, activity, &ladders);
                    p.equipment.retain(|(name, many)| {
                        let left = free.entry(name.clone()).or_insert_with(|| self.count_of(name));
                        *left -= many;
                        *left >= 0
                    });
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
        let left_out = items.iter().filter(|i| i.left_out).map(|i| i.step.key.clone()).collect();
        bridge(&mut plan.steps, &left_out);
        tell_parts(plan);
        // Where no rehearsal is told, what ends after the lights are on is late.
        let lit = plan.lights_on.filter(|_| plan.phase != Phase::Down);
        let work = plan.rehearsal.filter(|_| plan.phase != Phase::Down).or(lit);
        for p in &mut plan.steps {
            // A rehearsal that has no date of its own is one only before the lights go on.
            let due = match p.step.role {
                Role::Work => work,
                Role::Rehearsal => lit.filter(|_| plan.rehearsal.is_none()),
                _ => None,
            };
            p.late = p.state == State::Open && p.to.zip(due).is_some_and(|(to, due)| to > due);
        }
        plan.finish = plan
            .steps
            .iter()
            .filter(|p| p.step.role == Role::Work && matches!(p.state, State::Open | State::Doing))
            .filter_map(|p| p.to)
            .max();
        let units = self.request.facts.yard.sites.first().map(|s| s.units).unwrap_or_default();
        tell_unplaced(plan, items, mapped, solution, units);
        let goals = solution.goals;
        plan.goals = vec![
            GoalRow { name: "worth_ready", value: goals.worth.value, bound: goals.worth.bound },
            GoalRow { name: "unplaced", value: goals.unplaced.value, bound: goals.unplaced.bound },
            GoalRow { name: "days_over", value: goals.days_over.value, bound: goals.days_over.bound },
            GoalRow { name: "given_minutes", value: goals.given.value, bound: goals.given.bound },
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

    fn count_of(&self, name: &str) -> i64 {
        self.equipment.units.iter().find(|u| u.name == name).map_or(0, |u| u.count)
    }

    fn session_at(&self, t: DateTime<Utc>) -> Option<usize> {
        self.calendar.sessions.iter().position(|s| s.from <= t && t <= s.to)
    }

    fn name_of(&self, item: &Item) -> Vec<String> {
        let people = &self.request.facts.yard.people;
        people.iter().filter(|p| Some(p.id) == item.person).map(|p| p.name.clone()).collect()
    }
}
