//! Where one stands in Walk.

use std::collections::BTreeSet;

use crate::answers::view::{StepState, Walk, WalkStep};

/// The checklist and the marked step.
#[derive(Debug, Clone, Default)]
pub struct WalkState {
    pub page: Option<Walk>,
    /// The session asked for; nothing takes the one that is due.
    pub session: Option<usize>,
    /// Whose steps show; nothing shows all.
    pub whose: Option<String>,
    /// The marked step, among those that show.
    pub at: usize,
    /// Whether the mark was put somewhere: until then it stands at the first open step, whatever a better plan moves.
    pub touched: bool,
    /// The key of the step to mark on the next page.
    pub want: Option<String>,
    /// The step to go to, whatever session it stands in.
    pub aim: Option<String>,
    /// Walk was entered for one step: nothing opens over it.
    pub led: bool,
    /// The step that it was too early for when it was to be ticked: once more ticks it.
    pub insisted: Option<String>,
    /// One step in big letters instead of the list.
    pub big: bool,
    /// Ticks whose long pause was asked about, by step and time.
    pub asked: BTreeSet<(String, i64)>,
    /// Keys of the steps ticked, latest last.
    pub ticked: Vec<String>,
    /// What happens once the deed is on disk.
    pub pending: Option<Pending>,
}

/// What happens once a deed is on disk.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Pending {
    /// The step that the deed was about.
    pub key: String,
    /// The step to mark then.
    pub next: Option<String>,
    /// Where to go, where a place is done.
    pub say: Option<String>,
}

/// Steps at one place, one after the other.
#[derive(Debug, Clone)]
pub struct Visit<'a> {
    pub place: &'a str,
    /// The first of them, among those that show.
    pub first: usize,
    pub steps: Vec<&'a WalkStep>,
}

impl WalkState {
    /// Takes in a page; the mark goes to the wanted step, or stays on its own, or goes to the first open one.
    pub fn set(&mut self, page: Walk) {
        let before = self.step().filter(|_| self.touched).map(|s| s.key.clone());
        let aimed = self.aim.take();
        self.led = aimed.is_some();
        if aimed.is_some() {
            self.session = Some(page.session_at);
            if let Some(whose) = &self.whose
                && page.places.iter().flat_map(|p| &p.steps).any(|s| {
                    Some(&s.key) == aimed.as_ref()
                        && !s.people.is_empty()
                        && !s.people.iter().any(|p| is(whose, p))
                })
            {
                self.whose = None;
            }
        }
        self.page = Some(page);
        let wanted = aimed.or(self.want.take());
        self.touched |= wanted.is_some();
        self.mark(wanted.or(before));
    }

    /// What another page of the same session changes in the list, in one line; nothing where it stays as it is.
    pub fn changes(&self, page: &Walk) -> Option<String> {
        let before = self.page.as_ref().filter(|p| p.session == page.session)?;
        let keys = |p: &Walk| -> Vec<String> {
            p.places.iter().flat_map(|p| p.steps.iter().map(|s| s.key.clone())).collect()
        };
        let (was, is) = (keys(before), keys(page));
        let sets: [BTreeSet<&String>; 2] = [was.iter().collect(), is.iter().collect()];
        let [old, new] = &sets;
        let (came, went) = (new.difference(old).count(), old.difference(new).count());
        match (came, went) {
            (0, 0) if was == is => None,
            (0, 0) => Some("Planned again: the same steps here, in another order".to_owned()),
            (came, 0) => Some(format!("Planned again: {came} more at the end of this list")),
            (0, went) => Some(format!("Planned again: {went} went to another session")),
            _ => Some(format!("Planned again: {came} came into this list, {went} left it")),
        }
    }

    /// Marks the step of a key, else the first open one.
    fn mark(&mut self, key: Option<String>) {
        let found = key.and_then(|key| self.steps().position(|s| s.key == key));
        self.at = match found {
            // What the deed itself left out is not the next to do.
            Some(at) if self.steps().nth(at).is_some_and(|s| s.state == StepState::Skipped) => {
                (at..self.steps().count()).find(|n| self.steps().nth(*n).is_some_and(is_open)).unwrap_or(at)
            }
            Some(at) => at,
            None if self.touched => self.at.min(self.steps().count().saturating_sub(1)),
            None => {
                let ready = self.steps().position(|s| is_open(s) && s.ready);
                ready.or_else(|| self.steps().position(is_open)).unwrap_or(0)
            }
        };
    }

    /// Goes to a step with the next page, whatever session it stands in.
    pub fn aim(&mut self, key: String) {
        (self.aim, self.session) = (Some(key), None);
    }

    /// Those who have steps in this session, as they stand in it.
    pub fn people(&self) -> Vec<String> {
        let mut out: Vec<String> = Vec::new();
        for name in self.all().flat_map(|s| s.people.iter()) {
            if !out.contains(name) {
                out.push(name.clone());
            }
        }
        out.sort();
        out
    }

    /// Whose steps show here: nothing where that person has none.
    pub fn shown_whose(&self) -> Option<&str> {
        let name = self.whose.as_deref()?;
        // A login is written in small letters.
        self.all().flat_map(|s| &s.people).find(|p| is(name, p)).map(String::as_str)
    }

    /// Shows the steps of the next person, after the last one all; says whose.
    pub fn turn_whose(&mut self) -> Option<String> {
        let people = self.people();
        let key = self.step().map(|s| s.key.clone());
        self.whose = match self.shown_whose().and_then(|w| people.iter().position(|p| p == w)) {
            Some(at) => people.get(at + 1).cloned(),
            None => people.first().cloned(),
        };
        let mine = |s: &&WalkStep| Some(&s.key) == key.as_ref();
        let kept = self.steps().any(|s| mine(&s) && is_open(s));
        self.touched &= kept;
        self.mark(key.filter(|_| kept));
        self.whose.clone()
    }

    fn all(&self) -> impl Iterator<Item = &WalkStep> {
        self.page.iter().flat_map(|p| p.places.iter().flat_map(|place| place.steps.iter()))
    }

    /// The steps of the session that show, in order; what nobody is told for is everybody's.
    pub fn steps(&self) -> impl Iterator<Item = &WalkStep> {
        let whose = self.shown_whose();
        let mine =
            move |s: &&WalkStep| whose.is_none_or(|w| s.people.is_empty() || s.people.iter().any(|p| p == w));
        self.all().filter(mine)
    }

    /// The steps that show, place after place.
    pub fn visits(&self) -> Vec<Visit<'_>> {
        let mut out: Vec<Visit> = Vec::new();
        for (first, step) in self.steps().enumerate() {
            match out.last_mut().filter(|v| v.place == step.place) {
                Some(last) => last.steps.push(step),
                None => out.push(Visit { place: &step.place, first, steps: vec![step] }),
            }
        }
        out
    }

    /// The marked step.
    pub fn step(&self) -> Option<&WalkStep> {
        self.steps().nth(self.at)
    }

    /// The visit of the marked step, and which one it is.
    pub fn visit(&self) -> Option<(usize, Visit<'_>)> {
        self.visits().into_iter().enumerate().rfind(|(_, v)| v.first <= self.at)
    }

    /// The next step after the marked one that can be done, else the first one before; where none can, the next open
    /// one. Never one of `done`, which what waits for them alone needs wait for no more.
    pub fn next_open(&self, done: &[String]) -> Option<&WalkStep> {
        let open = |s: &&WalkStep| is_open(s) && !done.contains(&s.key);
        let freed = |s: &WalkStep| !s.after.is_empty() && s.after.iter().all(|k| done.contains(k));
        let ready = |s: &&WalkStep| open(s) && (s.ready || freed(s));
        let turned = || self.steps().skip(self.at + 1).chain(self.steps().take(self.at));
        turned().find(ready).or_else(|| turned().find(open))
    }
}

/// Whether a person is meant by a name.
fn is(name: &str, person: &str) -> bool {
    name.to_lowercase() == person.to_lowercase()
}

/// Whether a step is still to do now.
pub fn is_open(step: &WalkStep) -> bool {
    matches!(step.state, StepState::Open | StepState::Doing)
}
