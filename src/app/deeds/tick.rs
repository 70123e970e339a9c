//! Ticks: what happened to a step, as an event that is added and never changed.

use std::sync::Arc;

use uuid::Uuid;

use crate::app::owner::App;
use crate::app::problem::Problem;
use crate::domain::{
    Deed, Fact, Moment, Phase, RowChange, SeasonId, SessionId, Tick, TickId, TickKind, Value, local_time,
};
use crate::steps::{Derived, Scope, State, Step};

use super::refused;

/// A step found by its key, with the season it was derived for.
pub(in crate::app) struct Found {
    pub(in crate::app) season: SeasonId,
    pub(in crate::app) step: Arc<Step>,
    pub(in crate::app) derived: Arc<Derived>,
}

impl App {
    /// Finds a step by its key, with ids or with codes in it: in the season of the day first, then in every other.
    ///
    /// # Errors
    /// `no-step` names the nearest keys.
    pub(in crate::app) fn find_step(&self, key: &str) -> Result<Found, Problem> {
        let phase = key.rsplit('/').next().and_then(Phase::from_text);
        // A key of a night ends with its day.
        let day = key.rsplit('/').next().and_then(|d| d.parse::<chrono::NaiveDate>().ok());
        let phases: Vec<Phase> = match phase {
            None if day.is_some() => vec![Phase::Tonight],
            // Building up has every step of the bench, and is what shows most.
            Some(Phase::Once | Phase::Bench) => vec![Phase::Up, Phase::Bench],
            Some(p) => vec![p, Phase::Up],
            None => vec![Phase::Up, Phase::Down],
        };
        let mut seasons: Vec<SeasonId> =
            phases.iter().filter_map(|p| self.season_for(*p).ok()).map(|s| s.id).collect();
        seasons.extend(self.yard.seasons.iter().rev().map(|s| s.id));
        let mut tried: Vec<(SeasonId, Phase, chrono::NaiveDate)> = Vec::new();
        // What is put back tomorrow is listed the evening before.
        let days: Vec<chrono::NaiveDate> = match day {
            Some(d) => [Some(d), d.pred_opt()].into_iter().flatten().collect(),
            None => vec![self.tonight()],
        };
        for (season, day) in seasons.into_iter().flat_map(|s| days.iter().map(move |d| (s, *d))) {
            for phase in &phases {
                if tried.contains(&(season, *phase, day)) {
                    continue;
                }
                tried.push((season, *phase, day));
                let Ok(derived) = self.derived(Scope { season, phase: *phase, day }) else { continue };
                let by_id = derived.steps.iter().find(|s| s.key.as_str() == key);
                let hit = by_id.or_else(|| derived.steps.iter().find(|s| self.code_key(s) == key));
                if let Some(step) = hit.cloned() {
                    return Ok(Found { season, step, derived });
                }
            }
        }
        Err(refused("no-step", format!("there is no step {key:?}"))
            .hint("ladderday step list shows the keys"))
    }

    /// The key with codes instead of ids, as people can type it.
    pub fn code_key(&self, step: &Step) -> String {
        let mut text = String::new();
        for part in step.key.as_str().split_inclusive([':', '/']) {
            let word = part.trim_end_matches([':', '/']);
            match Uuid::try_parse(word).ok().and_then(|id| self.step_word(id)) {
                Some(code) => text.extend([code, part.get(word.len()..).unwrap_or_default()]),
                None => text.push_str(part),
            }
        }
        text
    }

    /// The code of anything that a step can be about.
    fn step_word(&self, id: Uuid) -> Option<&str> {
        let yard = &self.yard;
        let placement = || yard.placements.iter().find(|p| p.id.0 == id).map(|p| &p.code);
        let place = || yard.places.iter().find(|p| p.id.0 == id).map(|p| &p.code);
        let piece = || yard.pieces.iter().find(|p| p.id.0 == id).map(|p| &p.code);
        let season = || yard.seasons.iter().find(|s| s.id.0 == id).map(|s| &s.code);
        let task = || yard.desk_tasks.iter().find(|t| t.id.0 == id).map(|t| &t.code);
        let duty = || yard.duties.iter().find(|d| d.id.0 == id).map(|d| &d.code);
        let fault = || yard.faults.iter().find(|f| f.id.0 == id).map(|f| &f.code);
        let code = placement().or_else(place).or_else(piece).or_else(season);
        code.or_else(task).or_else(duty).or_else(fault).map(String::as_str)
    }

    pub(super) fn tick(
        &mut self,
        key: &str,
        kind: TickKind,
        count: Option<i64>,
        why: Option<&str>,
    ) -> Result<String, Problem> {
        let found = self.find_step(key)?;
        check_count(&found.step, kind, count)?;
        let row = self.tick_row(&found, kind, count, why);
        let said = say(&found.step, kind, count, why);
        let note = notes(&found, kind);
        let mut rows = vec![row.to_row()];
        if kind == TickKind::Done {
            rows.extend(self.mended_by(&found.step));
            rows.extend(self.looked_over(&found.step));
        }
        // Held by nobody else, the steps are kept over the tick.
        drop(found);
        let deed = Deed { verb: verb(kind), what: said.clone(), at_ms: self.now_ms(), rows };
        self.apply_kept(&deed)?;
        Ok(if note.is_empty() { said } else { format!("{said} ({note})") })
    }

    pub(super) fn tick_all(&mut self, keys: &[String]) -> Result<String, Problem> {
        let mut rows = Vec::new();
        let mut titles = Vec::new();
        for key in keys {
            let found = self.find_step(key)?;
            titles.push(found.step.title.clone());
            rows.push(self.tick_row(&found, TickKind::Done, None, None).to_row());
            rows.extend(self.mended_by(&found.step));
            rows.extend(self.looked_over(&found.step));
        }
        if rows.is_empty() {
            return Err(refused("nothing-open", "nothing here is open"));
        }
        let what = format!("Ticked {} steps: {}", titles.len(), titles.join("; "));
        let deed = Deed { verb: "step-done", what, at_ms: self.now_ms(), rows };
        self.apply_kept(&deed)?;
        Ok(format!("ticked {} steps", titles.len()))
    }

    /// Applies a tick; the plans in memory stay, so that the walk does not shift under one's hands.
    pub(super) fn apply_kept(&mut self, deed: &Deed) -> Result<(), Problem> {
        let plans = std::mem::take(&mut self.plans);
        let done = self.apply(deed);
        self.plans = plans;
        done.map(|_| ())
    }

    pub(super) fn tick_row(
        &mut self,
        found: &Found,
        kind: TickKind,
        count: Option<i64>,
        why: Option<&str>,
    ) -> Tick {
        let now = self.now();
        let session = self.session_now();
        let step = &found.step;
        let began = self.began(session);
        let done_count = match kind {
            TickKind::Done => step.of,
            TickKind::Count => count,
            _ => None,
        };
        let ticked_before = found.derived.progress.get(&step.key).and_then(|p| p.from);
        Tick {
            id: TickId(self.ids.make(now)),
            ended_at: None,
            step_key: step.key.as_str().into(),
            kind,
            at_ms: Some(Moment(now.timestamp_millis())),
            began_ms: match kind {
                TickKind::Done | TickKind::Count => ticked_before.or(began),
                _ => None,
            },
            person_id: None,
            session_id: session,
            season_id: Some(found.season),
            placement_id: step.placement,
            recipe_step: step.recipe_step.clone(),
            done_count,
            of_count: step.of,
            title: full_title(step),
            planned_s: Some(crate::units::Span::from_s(step.seconds)),
            taken_s: None,
            bunched: false,
            cautions: crate::domain::Words::of(&step.cautions.join(" ")),
            why: why.unwrap_or_default().to_owned(),
        }
    }

    /// A yearly look-over is remembered by the piece itself.
    fn looked_over(&self, step: &Step) -> Option<RowChange> {
        let owner = step.key.as_str().strip_prefix("piece:")?.split_once("/look_over/")?.0;
        let piece = self.yard.pieces.iter().find(|p| p.id.to_string() == owner)?;
        let today = self.now().with_timezone(&self.zone()).date_naive().to_string();
        Some(RowChange::new("piece", piece.id.0, vec![("looked_over_on", Value::Text(today))]))
    }

    /// The session going on now.
    pub(in crate::app) fn session_now(&self) -> Option<SessionId> {
        let (zone, now) = (self.zone(), self.now());
        self.yard
            .sessions
            .iter()
            .find(|s| {
                let span = local_time(zone, s.starts).ok().zip(local_time(zone, s.ends).ok());
                span.is_some_and(|(a, b)| a <= now && now <= b)
            })
            .map(|s| s.id)
    }

    /// When the work ticked now began: at the last tick of this session, or at its start.
    pub(in crate::app) fn began(&self, session: Option<SessionId>) -> Option<Moment> {
        let session = session?;
        let last =
            self.yard.ticks.iter().filter(|t| t.session_id == Some(session)).filter_map(|t| t.at_ms).max();
        let start = self
            .yard
            .sessions
            .iter()
            .find(|s| s.id == session)
            .and_then(|s| local_time(self.zone(), s.starts).ok())
            .map(|t| Moment(t.timestamp_millis()));
        last.or(start)
    }
}

/// "Boat cut-outs, 8: drive stakes".
pub(super) fn full_title(step: &Step) -> String {
    if step.subject.is_empty() { step.title.clone() } else { format!("{}: {}", step.subject, step.title) }
}

fn check_count(step: &Step, kind: TickKind, count: Option<i64>) -> Result<(), Problem> {
    if kind != TickKind::Count {
        return Ok(());
    }
    let Some(of) = step.of else {
        return Err(refused("no-count", format!("\"{}\" is one deed, not several", step.title))
            .hint("tick it done, or hold it with a reason"));
    };
    match count {
        Some(n) if (0..=of).contains(&n) => Ok(()),
        Some(n) => {
            Err(refused("bad-count", format!("{n} of {of} is not possible")).hint(format!("0 to {of}")))
        }
        None => Err(refused("bad-count", "how many are done is not told").hint(format!("0 to {of}"))),
    }
}

const fn verb(kind: TickKind) -> &'static str {
    match kind {
        TickKind::Start => "step-start",
        TickKind::Done => "step-done",
        TickKind::Count => "step-count",
        TickKind::Hold => "step-hold",
        TickKind::Skip => "step-skip",
        TickKind::Reopen => "step-reopen",
        TickKind::Note => "step-note",
    }
}

fn say(step: &Step, kind: TickKind, count: Option<i64>, why: Option<&str>) -> String {
    let name = if step.subject.is_empty() {
        step.title.clone()
    } else {
        format!("{}: {}", step.subject, step.title)
    };
    let because = why.filter(|w| !w.is_empty()).map_or_else(String::new, |w| format!(" ({w})"));
    match kind {
        TickKind::Start => format!("Begun: {name}{because}"),
        TickKind::Done => format!("Ticked: {name}{because}"),
        TickKind::Count => {
            format!("Counted {} of {}: {name}{because}", count.unwrap_or(0), step.of.unwrap_or(0))
        }
        TickKind::Hold => format!("Held: {name}{because}"),
        TickKind::Skip => format!("Skipped: {name}{because}"),
        TickKind::Reopen => format!("Opened again: {name}{because}"),
        TickKind::Note => format!("Noted: {name}{because}"),
    }
}

/// A tick is a fact and is taken out of order too; what is odd about it is said.
fn notes(found: &Found, kind: TickKind) -> String {
    if !matches!(kind, TickKind::Done | TickKind::Start) {
        return String::new();
    }
    let open = found.step.after.iter().find_map(|e| {
        let before = found.derived.steps.iter().find(|s| s.key == e.key)?;
        let state = found.derived.progress.get(&e.key).map_or(State::Open, |p| p.state_for(before.of));
        (!matches!(state, State::Done | State::Skipped)).then(|| before.title.clone())
    });
    open.map_or_else(String::new, |t| format!("before it, not ticked yet: {t}"))
}
