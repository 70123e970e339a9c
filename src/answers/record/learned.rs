//! Durations from the owner's own ticks, by recipe step.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::domain::{Moment, PersonId, SessionId, Tick, TickKind, TimeCorrection, Yard, local_time};
use crate::stats;
use crate::stats::{Estimate, Observation, share_out};
use crate::steps::Derived;
use crate::units::Span;

/// A doing that took more than ten times its estimate, or less than a tenth, is a pause or a slip, not work.
const MOST_RATIO: f64 = 10.0;

/// What is known of one recipe step.
#[derive(Debug, Clone)]
pub(crate) struct LearnedStep {
    pub observations: Vec<Observation>,
    /// For an estimate of one minute: the factor on every estimate, and its spread.
    pub estimate: Estimate,
}

/// Recipe steps by their code, those done at least once at a known time.
#[derive(Debug, Clone, Default)]
pub(crate) struct Learned {
    pub by: BTreeMap<String, LearnedStep>,
    /// Doings left out as pauses or slips.
    pub left_out: usize,
}

/// What plans take of the record: all of it, or nothing where the owner has switched that off.
pub(crate) fn own_record(yard: &Yard, own_times: bool) -> Learned {
    if own_times { learned(yard) } else { Learned::default() }
}

/// Reads the ticks of a yard.
///
/// Ticks of one person (or of nobody named) in one session follow each other; so two people side by side are two
/// rows, and what nobody is named for is one row, never added up.
pub(crate) fn learned(yard: &Yard) -> Learned {
    let zone = yard
        .sites
        .first()
        .and_then(|s| s.time_zone.as_deref())
        .and_then(crate::domain::time_zone)
        .unwrap_or(chrono_tz::Tz::UTC);
    let counted: BTreeSet<&str> =
        yard.ticks.iter().filter(|t| t.kind == TickKind::Count).map(|t| &*t.step_key).collect();
    let mut rows: BTreeMap<(Option<SessionId>, Option<PersonId>), Vec<&Tick>> = BTreeMap::new();
    for tick in yard.ticks.iter().filter(|t| {
        t.kind == TickKind::Done
            && t.at_ms.is_some()
            && t.planned_s.is_some_and(|p| p.s() > 0)
            && !t.recipe_step.is_empty()
            // Done in parts: its last tick is not the whole of it.
            && !counted.contains(&*t.step_key)
    }) {
        rows.entry((tick.session_id, tick.person_id)).or_default().push(tick);
    }
    let mut found: BTreeMap<String, Vec<Observation>> = BTreeMap::new();
    let mut left_out = 0;
    let corrections = corrections(yard);
    for ((session, _), mut ticks) in rows {
        ticks.sort_by_key(|t| (t.at_ms, t.id));
        let start = session
            .and_then(|id| yard.sessions.iter().find(|s| s.id == id))
            .and_then(|s| local_time(zone, s.starts).ok())
            .map(|t| t.timestamp_millis());
        for (tick, o) in ticks.iter().zip(observe(&ticks, start)) {
            let Some(o) = corrected(&corrections, tick, o) else { continue };
            let ratio = o.taken_minutes / o.planned_minutes;
            if o.weight > 0.0 && (1.0 / MOST_RATIO..=MOST_RATIO).contains(&ratio) {
                found.entry(tick.recipe_step.clone()).or_default().push(o);
            } else {
                left_out += 1;
            }
        }
    }
    let by = found
        .into_iter()
        .filter_map(|(code, observations)| {
            let estimate = stats::learn(1.0, &observations).ok()?;
            Some((code, LearnedStep { observations, estimate }))
        })
        .collect();
    Learned { by, left_out }
}

pub(crate) type Corrections<'a> = BTreeMap<(&'a str, Moment), Option<Span>>;

/// What was told afterwards of ticked steps; of several corrections of one tick the last holds.
pub(crate) fn corrections(yard: &Yard) -> Corrections<'_> {
    let mut sorted: Vec<&TimeCorrection> = yard.time_corrections.iter().collect();
    sorted.sort_by_key(|c| (c.at_ms, c.id));
    sorted.into_iter().map(|c| ((c.step_key.as_str(), c.ticked_ms), c.taken_s)).collect()
}

/// The observation of a tick as it was put right; nothing where no time is known of it.
fn corrected(told: &Corrections, tick: &Tick, seen: Option<Observation>) -> Option<Observation> {
    let Some(taken) = tick.at_ms.and_then(|at| told.get(&(&*tick.step_key, at))) else { return seen };
    let planned_minutes = tick.planned_s?.s() as f64 / 60.0;
    taken.map(|t| Observation { planned_minutes, taken_minutes: t.s() as f64 / 60.0, weight: 1.0 })
}

/// One observation a tick, nothing where no time can be told.
fn observe(ticks: &[&Tick], session_start: Option<i64>) -> Vec<Option<Observation>> {
    let planned = |t: &Tick| t.planned_s.map_or(0.0, |p| p.s() as f64 / 60.0);
    let shared: Option<Vec<Observation>> = session_start.and_then(|start| {
        let row: Vec<stats::Tick> = ticks
            .iter()
            .filter_map(|t| {
                let at = (t.at_ms?.0 - start) as f64 / 60_000.0;
                Some(stats::Tick { at_minutes: at.max(0.0), planned_minutes: planned(t) })
            })
            .collect();
        share_out(&row).ok().filter(|o| o.len() == ticks.len())
    });
    ticks
        .iter()
        .enumerate()
        .map(|(at, t)| {
            let shared = shared.as_ref().and_then(|s| s.get(at)).copied();
            let alone = shared.is_some_and(|o| o.weight > 0.99);
            let begun = t.began_ms.zip(t.at_ms).map(|(a, b)| (b.0 - a.0) as f64 / 60_000.0);
            let told = t.taken_s.map(|s| s.s() as f64 / 60.0);
            // A recorded duration is better than the time since the last tick, and so is a recorded beginning.
            let taken = told
                .or(begun.filter(|m| alone && *m > 0.0))
                .or(shared.map(|o| o.taken_minutes))
                .or(begun.filter(|m| *m > 0.0 && shared.is_none()))?;
            let weight = match shared {
                Some(o) if o.weight > 0.0 => o.weight,
                // Ticked the minute its session began: only a recorded duration says anything.
                Some(_) if told.is_none() => 0.0,
                _ if t.bunched => 0.5,
                _ => 1.0,
            };
            Some(Observation { planned_minutes: planned(t), taken_minutes: taken, weight })
        })
        .collect()
}

impl Learned {
    /// Draws the estimates of derived steps towards the record, and says so in one line.
    pub(crate) fn apply(&self, derived: &mut Derived) {
        let mut used: BTreeSet<&str> = BTreeSet::new();
        for step in &mut derived.steps {
            let Some((code, known)) = self.by.get_key_value(&step.recipe_step) else { continue };
            used.insert(code);
            let step = Arc::make_mut(step);
            step.seconds = (step.seconds as f64 * known.estimate.minutes).round().max(1.0) as i64;
        }
        if !used.is_empty() {
            derived.assumed.push(format!(
                "durations of {} recipe steps are your own record's, blended with the recipe's",
                used.len()
            ));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::{TickId, Words};
    use uuid::Uuid;

    fn tick(n: u128, code: &str, at_min: i64, planned_min: i64) -> Tick {
        Tick {
            id: TickId(Uuid::from_u128(n)),
            ended_at: None,
            step_key: format!("placement:{n}/{code}/up").into(),
            kind: TickKind::Done,
            at_ms: Some(Moment(at_min * 60_000)),
            began_ms: None,
            person_id: None,
            session_id: None,
            season_id: None,
            placement_id: None,
            recipe_step: code.to_owned(),
            done_count: None,
            of_count: None,
            title: String::new(),
            planned_s: Some(Span::from_minutes(planned_min)),
            taken_s: None,
            bunched: false,
            cautions: Words::of(""),
            why: String::new(),
        }
    }

    #[test]
    fn six_ticked_at_once_share_the_time_and_weigh_a_sixth() {
        let ticks: Vec<Tick> = (0..6).map(|n| tick(n, "a", 60, if n == 0 { 20 } else { 8 })).collect();
        let row: Vec<&Tick> = ticks.iter().collect();
        let got: Vec<Observation> = observe(&row, Some(0)).into_iter().flatten().collect();
        // An hour for 20 + 5 × 8 planned minutes: each takes just its estimate.
        assert!((got[0].taken_minutes - 20.0).abs() < 1e-9 && (got[5].taken_minutes - 8.0).abs() < 1e-9);
        assert!(got.iter().all(|o| (o.weight - 1.0 / 6.0).abs() < 1e-9));
    }

    #[test]
    fn a_recorded_duration_wins_and_no_time_tells_nothing() {
        let mut told = tick(1, "a", 60, 10);
        told.taken_s = Some(Span::from_minutes(15));
        let got = observe(&[&told], Some(0));
        assert!((got[0].unwrap().taken_minutes - 15.0).abs() < 1e-9);
        assert!(observe(&[&tick(2, "a", 60, 10)], None)[0].is_none());
    }

    /// By hand: three doings at twice the plan, the recipe worth three: ratio exp(3 ln 2 / 6) = 1.41421.
    #[test]
    fn three_doings_at_twice_the_plan_go_half_the_way() {
        let mut yard = Yard::default();
        for n in 0..3 {
            let mut t = tick(n, "a", 60 * (n as i64 + 1), 10);
            t.taken_s = Some(Span::from_minutes(20));
            yard.ticks.push(t);
        }
        let mut long = tick(9, "a", 900, 10);
        long.taken_s = Some(Span::from_minutes(500));
        yard.ticks.push(long);
        let got = learned(&yard);
        assert!((got.by["a"].estimate.minutes - 2.0_f64.sqrt()).abs() < 1e-9);
        assert_eq!(got.left_out, 1, "eight hours over a ten-minute step are a pause");
    }
}
