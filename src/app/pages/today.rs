//! Today: will it be ready, what can be done now, what is in the way.

use std::collections::BTreeMap;

use super::states::States;
use crate::app::odds::percent;
use crate::app::owner::App;
use crate::app::planning::QUICK;
use crate::app::problem::Problem;
use crate::app::view::{HeldRow, ReadyPlace, Today};
use crate::domain::Phase;
use crate::planner::{Plan, PlannedStep};
use crate::steps::{Role, State};

impl App {
    pub(super) fn today_page(&mut self, phase: Phase) -> Result<Today, Problem> {
        let Ok(season) = self.season_for(phase).cloned() else {
            return Ok(Today { not_told: self.not_told(None), ..Today::default() });
        };
        self.refresh_plan(phase)?;
        let plan = self.plan(phase, QUICK)?;
        let states = self.states(&plan);
        let now = self.now();
        let today = now.with_timezone(&self.zone()).date_naive();
        let work: Vec<&PlannedStep> = plan.steps.iter().filter(|p| p.step.role == Role::Work).collect();
        let left: Vec<&&PlannedStep> = work.iter().filter(|p| !states.over(&p.step.key)).collect();
        let ahead: Vec<_> = plan.sessions.iter().filter(|s| s.to > now).collect();
        let horizon = plan.rehearsal.filter(|_| phase != Phase::Down);
        let counted: Vec<_> = ahead.iter().filter(|s| horizon.is_none_or(|h| s.from < h)).collect();
        let minutes_there = |s: &&&crate::planner::SessionSpan| -> i64 {
            if s.people.is_empty() {
                (s.to - s.from.max(now)).num_minutes()
            } else {
                s.people.iter().map(|a| (a.to - a.from.max(now)).num_minutes().max(0)).sum()
            }
        };
        Ok(Today {
            days_to_lights_on: season.lights_on.map(|t| (t.date() - today).num_days()),
            lights_on: season.lights_on.map(Self::say_local),
            rehearsal: season.rehearsal.map(Self::say_local),
            finish: plan.finish.map(|t| self.say_moment(t)),
            odds_pct: self.known_odds(phase).map(|o| percent(o.in_time)),
            steps_done: work.len() - left.len(),
            steps_total: work.len(),
            work_left_min: left.iter().map(|p| p.minutes_left() * p.step.hands).sum(),
            sessions_left_min: plan.told.sessions.then(|| counted.iter().map(minutes_there).sum()),
            sessions_left: counted.len(),
            next_session: ahead.first().map(|s| {
                let who: Vec<&str> = s.people.iter().map(|a| a.name.as_str()).collect();
                let to = s.to.with_timezone(&self.zone()).format("%H:%M");
                let who = if who.is_empty() { String::new() } else { format!(", {}", who.join(", ")) };
                format!("{} to {to}{who}", self.say_moment(s.from))
            }),
            ready: self.ready(&plan, &states),
            held: plan
                .steps
                .iter()
                .filter(|p| states.of(p) == State::Held)
                .map(|p| HeldRow { title: title(p), why: p.why.clone() })
                .collect(),
            alarms: self.alarms(&season, phase, &plan),
            not_told: self.not_told(Some(&season)),
            assumed: plan.assumed.clone(),
        })
    }

    /// Steps whose every predecessor is over, by place.
    fn ready(&self, plan: &Plan, states: &States) -> Vec<ReadyPlace> {
        let now = self.now();
        let mut by_place: BTreeMap<String, ReadyPlace> = BTreeMap::new();
        for p in plan.steps.iter().filter(|p| p.step.role == Role::Work && states.of(p) == State::Open) {
            let free = p.after.iter().all(|e| {
                states.over(&e.key)
                    && states.step(&e.key).is_none_or(|b| {
                        b.to.is_none_or(|to| to + chrono::Duration::minutes(e.wait_min) <= now)
                    })
            });
            if !free {
                continue;
            }
            let place = self.place_name(p);
            let row = by_place.entry(place.clone()).or_insert_with(|| ReadyPlace {
                place,
                steps: 0,
                minutes: 0,
                first: Vec::new(),
            });
            row.steps += 1;
            row.minutes += p.minutes;
            if row.first.len() < 3 {
                row.first.push(title(p));
            }
        }
        let mut rows: Vec<ReadyPlace> = by_place.into_values().collect();
        rows.sort_by_key(|r| (std::cmp::Reverse(r.steps), r.place.clone()));
        rows
    }

    /// Where a step is done, in words.
    pub(in crate::app) fn place_name(&self, p: &PlannedStep) -> String {
        match p.step.place {
            Some(id) => self
                .yard
                .places
                .iter()
                .find(|x| x.id == id)
                .map_or_else(|| "somewhere".to_owned(), |x| x.name.clone()),
            None if p.step.deed == crate::domain::StepDeed::Desk => "desk".to_owned(),
            None if p.step.phase == Phase::Bench || p.step.deed == crate::domain::StepDeed::Pack => {
                "bench".to_owned()
            }
            None => "anywhere".to_owned(),
        }
    }

    /// Has plans of another hour made again, so that Today speaks of now.
    fn refresh_plan(&mut self, phase: Phase) -> Result<(), Problem> {
        let id = self.season_for(phase)?.id;
        let now = self.now();
        if self.plans.get(&(id, phase)).is_some_and(|p| (now - p.now).num_minutes() > 30) {
            self.made_from.remove(&(id, phase));
        }
        Ok(())
    }
}

/// "boat cut-outs, 8: drive stakes".
pub(in crate::app) fn title(p: &PlannedStep) -> String {
    if p.step.subject.is_empty() {
        p.step.title.clone()
    } else {
        format!("{}: {}", p.step.subject, p.step.title)
    }
}
