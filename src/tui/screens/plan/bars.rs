//! The bars of a day: steps of one prop at one place, one after the other.

use crate::answers::view::{PlanSession, PlanStep, StepState, WorkKind};
use crate::tui::screens::walk::view::tint;
use crate::tui::widgets::canvas::mark;

/// A bar below these columns has no room for a name.
const NARROW: usize = 7;
/// A bar below these is hardly seen.
const SLIVER: usize = 3;

/// The kinds of work with the sign that fills their bars.
pub(super) const KINDS: [(WorkKind, &str, &str); 5] = [
    (WorkKind::Bench, "bench", "·"),
    (WorkKind::Ground, "ground", "_"),
    (WorkKind::Mount, "mount", "="),
    (WorkKind::Wire, "wire, test", ":"),
    (WorkKind::Desk, "desk", "-"),
];

/// Steps one after the other that share a bar.
pub(super) struct Bar<'a> {
    pub(super) steps: Vec<&'a PlanStep>,
}

impl Bar<'_> {
    /// The kind of most of its minutes.
    pub(super) fn kind(&self) -> WorkKind {
        let spent = |kind: WorkKind| -> i64 {
            self.steps.iter().filter(|s| s.kind == kind).map(|s| s.to_min - s.from_min).sum()
        };
        KINDS.map(|(kind, ..)| kind).into_iter().rev().max_by_key(|k| spent(*k)).unwrap_or_default()
    }

    /// The prop: the marked one, else that which takes longest, and how many more; the place where several all stand.
    pub(super) fn name(&self, marked: Option<&PlanStep>) -> String {
        let mut spent: Vec<(&str, i64)> = Vec::new();
        for step in &self.steps {
            match spent.iter_mut().find(|(name, _)| *name == step.bar) {
                Some((_, min)) => *min += step.to_min - step.from_min,
                None => spent.push((&step.bar, step.to_min - step.from_min)),
            }
        }
        let here = marked.filter(|_| self.has(marked)).map(|step| step.bar.as_str());
        let longest = spent.iter().max_by_key(|(_, min)| *min).map_or("", |(name, _)| name);
        let place = self.steps.first().map_or("", |s| s.place.as_str());
        match spent.len() {
            0 | 1 => longest.to_owned(),
            many if here.is_none() && self.steps.iter().all(|s| s.place == place) => {
                format!("{place}, {many}")
            }
            many => format!("{} +{}", here.unwrap_or(longest), many - 1),
        }
    }

    pub(super) fn from(&self) -> i64 {
        self.steps.iter().map(|s| s.from_min).min().unwrap_or(0)
    }

    pub(super) fn to(&self) -> i64 {
        self.steps.iter().map(|s| s.to_min).max().unwrap_or(0)
    }

    pub(super) fn fill(&self) -> &'static str {
        KINDS.iter().find(|(kind, ..)| *kind == self.kind()).map_or(" ", |(.., fill)| fill)
    }

    /// What is done in a column: its kind and the sign that fills it.
    pub(super) fn at(&self, col: usize, column: &dyn Fn(i64) -> usize) -> (WorkKind, &'static str) {
        let here =
            |s: &&&PlanStep| column(s.from_min) <= col && col < column(s.to_min).max(column(s.from_min) + 1);
        let kind = self.steps.iter().find(here).map_or_else(|| self.kind(), |s| s.kind);
        (kind, KINDS.iter().find(|(k, ..)| *k == kind).map_or(" ", |(.., fill)| fill))
    }

    /// The state shows by a sign, never by a tint alone.
    pub(super) fn sign(&self) -> &'static str {
        let open = self.steps.iter().find(|s| matches!(s.state, StepState::Open | StepState::Doing));
        match open.or(self.steps.first()) {
            _ if self.steps.iter().any(|s| s.late && s.state == StepState::Open) => "✗",
            _ if self.steps.iter().any(|s| s.critical && s.state == StepState::Open) => "▲",
            Some(step) if step.state != StepState::Open => mark(tint(step.state)),
            _ => "│",
        }
    }

    pub(super) fn has(&self, key: Option<&PlanStep>) -> bool {
        key.is_some_and(|key| self.steps.iter().any(|s| s.key == key.key))
    }
}

/// The steps of a person, in lanes of steps that do not overlap.
pub(super) fn lanes<'a>(session: &'a PlanSession, who: &str) -> Vec<Vec<&'a PlanStep>> {
    let mine = |s: &&PlanStep| s.people.iter().any(|p| p == who);
    let mut steps: Vec<&PlanStep> = session.steps.iter().filter(mine).collect();
    steps.sort_by_key(|s| (s.from_min, s.to_min));
    let mut out: Vec<Vec<&PlanStep>> = Vec::new();
    for step in steps {
        let free = |l: &[&PlanStep]| l.last().is_none_or(|s| s.to_min <= step.from_min);
        let same = |l: &[&PlanStep]| l.last().is_some_and(|s| s.bar == step.bar);
        let at = out.iter().position(|l| free(l) && same(l)).or_else(|| out.iter().position(|l| free(l)));
        match at.and_then(|at| out.get_mut(at)) {
            Some(lane) => lane.push(step),
            None => out.push(vec![step]),
        }
    }
    out
}

/// Bars by prop; those too narrow for a name join what stands beside them at the same place, slivers any: where somebody
/// is shows.
pub(super) fn bars<'a>(steps: Vec<&'a PlanStep>, at: &dyn Fn(i64) -> usize) -> Vec<Bar<'a>> {
    let mut out: Vec<Bar> = Vec::new();
    for step in steps {
        let same = |s: &&PlanStep| s.bar == step.bar && s.place == step.place;
        match out.last_mut().filter(|b| b.steps.last().is_some_and(same)) {
            Some(last) => last.steps.push(step),
            None => out.push(Bar { steps: vec![step] }),
        }
    }
    let mut wide: Vec<Bar> = Vec::new();
    for bar in out {
        let below = |b: &Bar, most: usize| at(b.to()) < at(b.from()) + most;
        let joins = |last: &Bar| {
            let place = |b: &Bar| b.steps.last().map(|s| s.place.clone());
            let most = if place(last) == place(&bar) { NARROW } else { SLIVER };
            at(bar.from()) <= at(last.to()) + 1 && (below(last, most) || below(&bar, most))
        };
        match wide.last_mut() {
            Some(last) if joins(last) => {
                last.steps.extend(bar.steps);
            }
            _ => wide.push(bar),
        }
    }
    wide
}

/// The work of a session by prop, in the order of the plan.
pub(super) fn in_order(session: &PlanSession) -> Vec<Bar<'_>> {
    let mut out: Vec<Bar> = Vec::new();
    for step in &session.steps {
        match out.iter_mut().find(|b| b.steps.first().is_some_and(|s| s.bar == step.bar)) {
            Some(bar) => bar.steps.push(step),
            None => out.push(Bar { steps: vec![step] }),
        }
    }
    out
}
