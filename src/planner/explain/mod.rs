//! Why a step lies where it lies, what would move it earlier, and the chain that decides the finish.
//!
//! Read from the finished plan alone: whatever ends (or opens) at the very minute a step begins is what binds it.
//! `earlier` says of each session before it why it is not there.
//!
//! Not here: why a step has no place at all (`refusal`, from the engine).

mod earlier;

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, Duration, Utc};

use super::map::work_from;
use super::plan::{Plan, PlannedStep};
use crate::steps::{Facts, Reason, Role, State, StepKey};
use crate::units::hours_and_minutes;

/// One thing that keeps a step from being earlier.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bound {
    /// Stable: `edge`, `person`, `ladder`, `tool`, `box_mode`, `light`, `session`, `arrival`, `release`, `now`,
    /// `no_force`; `done`, `doing`, `unplaced` where it is not to be placed.
    pub code: &'static str,
    pub text: String,
    /// What would move it earlier; empty where nothing would.
    pub remedy: String,
    /// The step that binds it, if one does.
    pub by: Option<StepKey>,
}

/// Why a step is where it is.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Why {
    pub bounds: Vec<Bound>,
    /// Of sessions before it: why it is not there, a line each.
    pub earlier: Vec<String>,
}

/// Reads one plan; made once for many steps.
pub struct Explainer<'a> {
    plan: &'a Plan,
    facts: &'a Facts<'a>,
    steps: BTreeMap<&'a StepKey, &'a PlannedStep>,
    by_person: BTreeMap<&'a str, Vec<&'a PlannedStep>>,
    by_tool: BTreeMap<&'a str, Vec<&'a PlannedStep>>,
    by_box: BTreeMap<crate::domain::PieceId, Vec<&'a PlannedStep>>,
}

/// Marks the steps on the chain that decides the finish.
pub(super) fn mark_critical(plan: &mut Plan, facts: &Facts) {
    let chain = Explainer::new(plan, facts).critical_chain();
    for p in &mut plan.steps {
        p.critical = chain.contains(&p.step.key);
    }
}

impl<'a> Explainer<'a> {
    pub fn new(plan: &'a Plan, facts: &'a Facts<'a>) -> Self {
        let mut made = Self {
            plan,
            facts,
            steps: plan.steps.iter().map(|p| (&p.step.key, p)).collect(),
            by_person: BTreeMap::new(),
            by_tool: BTreeMap::new(),
            by_box: BTreeMap::new(),
        };
        for p in plan.steps.iter().filter(|p| matches!(p.state, State::Open | State::Doing)) {
            if p.from.is_none() {
                continue;
            }
            for name in &p.people {
                made.by_person.entry(name).or_default().push(p);
            }
            for (name, _) in &p.equipment {
                made.by_tool.entry(name).or_default().push(p);
            }
            if let Some((piece, _)) = p.box_mode {
                made.by_box.entry(piece).or_default().push(p);
            }
        }
        made
    }

    /// Why the step of that key is where it is; nothing where the plan has no such step.
    pub fn why(&self, key: &StepKey) -> Option<Why> {
        let p = self.steps.get(key).copied()?;
        let one = |code, text: String| Why {
            bounds: vec![Bound { code, text, remedy: String::new(), by: None }],
            earlier: Vec::new(),
        };
        match (p.state, p.from) {
            (State::Done, _) => return Some(one("done", "it is done".to_owned())),
            (State::Skipped, _) => return Some(one("done", "it is skipped this time".to_owned())),
            (State::Doing, _) => return Some(one("doing", "it is begun, and goes on".to_owned())),
            (_, None) if self.plan.told.sessions => {
                let refusal = self.plan.unplaced.iter().find(|u| &u.key == key);
                let mut why = one("unplaced", refusal.map_or_else(String::new, |u| u.why.clone()));
                if let (Some(b), Some(u)) = (why.bounds.first_mut(), refusal) {
                    b.remedy.clone_from(&u.remedy);
                }
                return Some(why);
            }
            (_, None) => return Some(self.undated(p)),
            _ => {}
        }
        let mut bounds = self.bounds(p);
        let opened = |b: &Bound| matches!(b.code, "light" | "session" | "arrival");
        let earlier = if bounds.is_empty() || bounds.iter().any(opened) {
            earlier::lines(self, p, self.allowed(p))
        } else {
            Vec::new()
        };
        if bounds.is_empty() {
            bounds.push(Bound {
                code: "no_force",
                text: format!(
                    "nothing forces it: it may begin from {}, and stands here because the order saves moving",
                    self.say(self.allowed(p))
                ),
                remedy: String::new(),
                by: None,
            });
        }
        Some(Why { bounds, earlier })
    }

    /// No sessions told: what it comes after, in the order of the list.
    fn undated(&self, p: &PlannedStep) -> Why {
        let last = p
            .after
            .iter()
            .filter_map(|e| self.steps.get(&e.key).map(|b| (b.order, e, *b)))
            .max_by_key(|(order, ..)| *order);
        let bounds = last.map(|(_, e, b)| Bound {
            code: "edge",
            text: format!("{}; after \"{}\"", e.why, title(b)),
            remedy: String::new(),
            by: Some(e.key.clone()),
        });
        Why { bounds: bounds.into_iter().collect(), earlier: Vec::new() }
    }

    /// Everything that ends or opens at the minute the step (or its moving) begins.
    fn bounds(&self, p: &PlannedStep) -> Vec<Bound> {
        let Some(from) = p.from else { return Vec::new() };
        let lead = from - Duration::minutes(p.setup_minutes);
        let mut all = Vec::new();
        for e in &p.after {
            let Some(before) = self.steps.get(&e.key).copied().filter(|b| b.state != State::Skipped) else {
                continue;
            };
            if before.to.is_some_and(|to| to + Duration::minutes(e.wait_min) == from) {
                let wait = e.wait_min > 0;
                // A reason that only names the step before says nothing more.
                let why = if e.why.starts_with("after \"") { String::new() } else { format!(": {}", e.why) };
                let name = title(before);
                let text = if wait {
                    format!("{} after \"{name}\"{why}", hours_and_minutes(e.wait_min))
                } else {
                    format!("\"{name}\" ends then{why}")
                };
                let remedy = match (wait, e.reason) {
                    (true, Reason::Cures) => format!("do \"{}\" earlier or on a warmer day", title(before)),
                    _ => format!("do \"{}\" earlier", title(before)),
                };
                all.push(Bound { code: "edge", text, remedy, by: Some(e.key.clone()) });
            }
        }
        self.taken(p, lead, from, &mut all);
        if self.release(p).is_some_and(|r| whole(r) == from) {
            all.push(Bound {
                code: "release",
                text: format!("it may not begin before {}", self.say(from)),
                remedy: "an earlier date in the season, if there is a choice".to_owned(),
                by: None,
            });
        }
        if whole(self.plan.now) == lead {
            all.push(Bound {
                code: "now",
                text: "it begins as early as can be: now".to_owned(),
                remedy: String::new(),
                by: None,
            });
        }
        earlier::opened(self, p, lead, from, &mut all);
        all
    }

    /// People, ladders, tools and boxes that another step gives up at that minute.
    fn taken(&self, p: &PlannedStep, lead: DateTime<Utc>, from: DateTime<Utc>, all: &mut Vec<Bound>) {
        let ends = |list: Option<&Vec<&'a PlannedStep>>, at: DateTime<Utc>| {
            list.and_then(|l| l.iter().copied().find(|q| q.to == Some(at) && q.step.key != p.step.key))
        };
        for name in &p.people {
            if let Some(q) = ends(self.by_person.get(name.as_str()), lead) {
                let skills = if p.step.skills.is_empty() {
                    String::new()
                } else {
                    format!(" who can do {}", p.step.skills.join(", "))
                };
                all.push(Bound {
                    code: "person",
                    text: format!("{name} is at \"{}\" until then", title(q)),
                    remedy: format!("one more helper in this session{skills}"),
                    by: Some(q.step.key.clone()),
                });
            }
        }
        for (name, _) in &p.equipment {
            let unit = self.plan.equipment.iter().find(|u| &u.name == name);
            let Some(unit) = unit else { continue };
            let users = self.by_tool.get(name.as_str());
            let Some(q) = ends(users, lead) else { continue };
            let before = lead - Duration::minutes(1);
            let using = users.into_iter().flatten().filter(|u| {
                let begins = u.from.map(|f| f - Duration::minutes(u.setup_minutes));
                begins.is_some_and(|b| b <= before) && u.to.is_some_and(|t| t > before)
            });
            if using.count() as i64 >= unit.count {
                let word = unit.serves.replace('_', " ");
                all.push(Bound {
                    code: if unit.ladder { "ladder" } else { "tool" },
                    text: format!("{name} is at \"{}\" until then", title(q)),
                    remedy: format!("one more {word}"),
                    by: Some(q.step.key.clone()),
                });
            }
        }
        if let Some((piece, mode)) = p.box_mode {
            let other = self.by_box.get(&piece).and_then(|l| {
                l.iter().find(|q| q.to == Some(from) && q.box_mode.is_some_and(|(_, m)| m != mode))
            });
            if let Some(q) = other {
                all.push(Bound {
                    code: "box_mode",
                    text: format!("its box is {} until \"{}\" is over", off_or_on(q), title(q)),
                    remedy: "nothing: work on one box is done off together, then on together".to_owned(),
                    by: Some(q.step.key.clone()),
                });
            }
        }
    }

    /// The earliest moment that order, waits, season and now allow.
    fn allowed(&self, p: &PlannedStep) -> DateTime<Utc> {
        let edges = p.after.iter().filter_map(|e| {
            let before = self.steps.get(&e.key).filter(|b| b.state != State::Skipped)?;
            Some(before.to? + Duration::minutes(e.wait_min))
        });
        edges.chain(self.release(p)).chain([self.plan.now]).max().unwrap_or(self.plan.now)
    }

    fn release(&self, p: &PlannedStep) -> Option<DateTime<Utc>> {
        let zone = self.plan.zone;
        let own = p.step.not_before.map(|l| super::calendar::lenient_moment(zone, l));
        own.into_iter().chain(work_from(self.facts, &p.step, zone)).max()
    }

    /// From the finish back through what binds: edges, people, ladders; where a session's beginning binds, through
    /// what kept the step out of the session before.
    pub fn critical_chain(&self) -> BTreeSet<StepKey> {
        let mut chain = BTreeSet::new();
        let Some(finish) = self.plan.finish else { return chain };
        let last = |p: &&&PlannedStep| p.step.role == Role::Work && p.to == Some(finish);
        let mut todo: Vec<&PlannedStep> =
            self.steps.values().filter(last).copied().filter(|p| p.state != State::Done).collect();
        while let Some(p) = todo.pop() {
            if !chain.insert(p.step.key.clone()) || p.state != State::Open {
                continue;
            }
            let mut by: Vec<StepKey> = self.bounds(p).into_iter().filter_map(|b| b.by).collect();
            if by.is_empty() {
                by.extend(earlier::kept_out(self, p, self.allowed(p)));
            }
            let open = by.iter().filter_map(|k| self.steps.get(k).copied());
            todo.extend(open.filter(|q| matches!(q.state, State::Open | State::Doing)));
        }
        chain
    }

    fn say(&self, t: DateTime<Utc>) -> String {
        t.with_timezone(&self.plan.zone).format("%a %-d %b %H:%M").to_string()
    }
}

/// A begun minute counts whole, as in the plan.
fn whole(t: DateTime<Utc>) -> DateTime<Utc> {
    let over = t.timestamp_millis().rem_euclid(60_000);
    if over == 0 { t } else { t + Duration::milliseconds(60_000 - over) }
}

fn title(p: &PlannedStep) -> String {
    if p.step.subject.is_empty() {
        p.step.title.clone()
    } else {
        format!("{}: {}", p.step.subject, p.step.title)
    }
}

fn off_or_on(p: &PlannedStep) -> &'static str {
    match p.box_mode {
        Some((_, crate::domain::BoxMode::On)) => "on",
        _ => "off",
    }
}
