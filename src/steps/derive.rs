//! All steps of one season and phase.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use chrono::{Datelike, NaiveDate};

use super::facts::Facts;
use super::key::StepKey;
use super::order::{Cycle, topological};
use super::progress::{Asked, AskedOf, Progress};
use super::step::Step;
use super::{boxes, cautions, mounts, placements, rules, running, season, tonight, yearly};
use crate::domain::{Phase, Season, SeasonId};

/// What is derived: which season, which phase.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Scope {
    pub season: SeasonId,
    pub phase: Phase,
    /// The local day whose night phase tonight is about; no other phase asks for it.
    pub day: NaiveDate,
}

/// The steps of a scope and what was assumed for them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Derived {
    /// In a topological order that groups placements as listed. Plans made from them share them.
    pub steps: Vec<Arc<Step>>,
    /// What the ticks say, of every step ever ticked.
    pub progress: Arc<BTreeMap<StepKey, Progress>>,
    /// One line a kind of thing that was assumed.
    pub assumed: Vec<String>,
    /// The steps whose progress decided which steps there are.
    asked: AskedOf,
}

impl Derived {
    /// What the ticks say of these steps alone.
    pub fn progress_of_steps(&self) -> BTreeMap<StepKey, Progress> {
        self.steps.iter().filter_map(|s| Some((s.key.clone(), self.progress.get(&s.key)?.clone()))).collect()
    }

    /// The same steps once those of `ticked` were ticked, with the progress that followed; nothing where they may be
    /// others now, or where somebody else still holds these.
    pub fn after(
        mut self: Arc<Self>,
        ticked: &BTreeSet<StepKey>,
        progress: &Arc<BTreeMap<StepKey, Progress>>,
    ) -> Option<Arc<Self>> {
        let alone = |of: &BTreeMap<StepKey, Progress>, key: &StepKey| of.get(key).is_some_and(|p| p.alone);
        let confirmed = |key: &StepKey| alone(&self.progress, key) != alone(progress, key);
        if self.asked.any(ticked) || ticked.iter().any(confirmed) {
            return None;
        }
        Arc::get_mut(&mut self)?.progress = Arc::clone(progress);
        Some(self)
    }
}

/// Why no steps can be derived.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum DeriveError {
    /// No season of that id.
    NoSeason,
    /// Steps wait for each other; told in words, one line a step.
    Cycle(Vec<String>),
}

/// Derives the steps of `scope`.
///
/// # Errors
/// [`DeriveError::Cycle`] where facts contradict each other, naming each step of the circle.
pub fn derive(facts: &Facts, scope: Scope) -> Result<Derived, DeriveError> {
    let season = facts.season(scope.season).ok_or(DeriveError::NoSeason)?;
    let progress = facts.progress();
    let asked = Asked::new(&progress);
    let mut steps = match scope.phase {
        Phase::Once | Phase::Bench => bench(facts, season, &asked),
        Phase::Up => up(facts, season, &asked),
        Phase::Tonight => tonight::night_steps(facts, season, scope.day, &asked),
        Phase::Down => down(facts, season),
        Phase::Change => change(facts, season, &asked),
    };
    for step in steps.iter_mut().filter(|s| s.not_alone && s.may_be_alone()) {
        step.not_alone = !asked.alone(&step.key);
    }
    let asked = asked.into_asked();
    running::take_apart(&mut steps);
    drop_unknown_edges(&mut steps);
    let generator = cautions::has_generator(facts);
    for step in &mut steps {
        cautions::settle(facts, step, generator);
    }
    let order = topological(&steps).map_err(|c| in_words(&steps, &c))?;
    let mut slots: Vec<Option<Step>> = steps.into_iter().map(Some).collect();
    let steps: Vec<Step> =
        order.into_iter().filter_map(|i| slots.get_mut(i).and_then(Option::take)).collect();
    let assumed = assumed(facts, season, scope.phase, &steps);
    let steps = steps.into_iter().map(Arc::new).collect();
    Ok(Derived { steps, progress, assumed, asked })
}

fn up(facts: &Facts, season: &Season, progress: &Asked) -> Vec<Step> {
    let year = season_year(season);
    let mut seen = BTreeSet::new();
    let mut steps: Vec<Step> = Vec::new();
    for placement in facts.placements_in(season.id) {
        let gates = mounts::mount_steps(facts, placement, &year, progress, &mut seen, &mut steps);
        steps.extend(placements::phase_steps(facts, placement, Phase::Bench));
        let mut own = placements::phase_steps(facts, placement, Phase::Up);
        mounts::gate(gates, &mut own);
        steps.extend(own);
    }
    rules::bench(facts, season.id, &mut steps);
    rules::faults(facts, season, progress, &mut steps);
    rules::deliveries(facts, season, progress, &mut steps);
    rules::outlets(facts, season, &mut steps);
    rules::carries_up(facts, season.id, &mut steps);
    rules::lays(facts, season.id, &mut steps);
    rules::above(facts, season.id, Phase::Up, &mut steps);
    rules::tied(facts, season.id, &mut steps);
    steps.extend(season::duty_steps(facts, season));
    season::buried_line_edges(facts, season, &mut steps);
    steps.extend(yearly::yearly_steps(facts, season, progress));
    rules::look_over(facts, season, &mut steps);
    boxes::add_rounds(facts, season.id, progress, &mut steps);
    rules::feeds_up(facts, season.id, &mut steps);
    let desk = season::desk_steps(facts, season, &steps);
    steps.extend(desk);
    rules::desk(facts, season, &mut steps);
    let rehearsal = season::rehearsal_steps(season, &steps);
    steps.extend(rehearsal);
    steps
}

fn bench(facts: &Facts, season: &Season, progress: &Asked) -> Vec<Step> {
    let year = season_year(season);
    let mut seen = BTreeSet::new();
    let mut steps: Vec<Step> = Vec::new();
    for placement in facts.placements_in(season.id) {
        let mut once = Vec::new();
        mounts::mount_steps(facts, placement, &year, progress, &mut seen, &mut once);
        steps.extend(once);
        steps.extend(placements::phase_steps(facts, placement, Phase::Bench));
    }
    rules::faults(facts, season, progress, &mut steps);
    rules::deliveries(facts, season, progress, &mut steps);
    steps
}

fn down(facts: &Facts, season: &Season) -> Vec<Step> {
    let mut steps = Vec::new();
    for placement in facts.placements_in(season.id) {
        steps.extend(placements::phase_steps(facts, placement, Phase::Down));
    }
    rules::carries_down(facts, season.id, &mut steps);
    rules::feeds_down(facts, season.id, &mut steps);
    rules::above(facts, season.id, Phase::Down, &mut steps);
    rules::pack_by_condition(facts, &mut steps);
    season::power_off(facts.yard.terms(), season, &mut steps);
    steps
}

/// Down of the show before, and up of this one, in one list.
fn change(facts: &Facts, season: &Season, progress: &Asked) -> Vec<Step> {
    let before = facts
        .yard
        .seasons
        .iter()
        .filter(|s| s.id != season.id && s.lights_on.is_some() && s.lights_on < season.lights_on)
        .max_by_key(|s| s.lights_on);
    let mut steps = before.map_or_else(Vec::new, |b| down(facts, b));
    let mut ups = up(facts, season, progress);
    if let Some(before) = before {
        rules::shared(facts, before.id, season.id, &mut steps, &mut ups);
    }
    steps.extend(ups);
    // What is looked over for this show comes down from the last one by the same ladders.
    rules::look_over(facts, season, &mut steps);
    steps
}

/// An edge to a step that does not show (done in another year, not for this placement) limits nothing.
fn drop_unknown_edges(steps: &mut [Step]) {
    let keys: BTreeSet<StepKey> = steps.iter().map(|s| s.key.clone()).collect();
    for step in steps {
        step.after.retain(|e| keys.contains(&e.key));
    }
}

/// The year a season's mounts are looked over in: that of its lights on, or the one in its code.
fn season_year(season: &Season) -> String {
    season
        .lights_on
        .map_or_else(|| season.code.chars().filter(char::is_ascii_digit).collect(), |t| t.year().to_string())
}

fn in_words(steps: &[Step], cycle: &Cycle) -> DeriveError {
    let name = |key: &StepKey| {
        steps.iter().find(|s| &s.key == key).map_or_else(
            || key.to_string(),
            |s| {
                format!("\"{}\" of {}", s.title, if s.subject.is_empty() { "the season" } else { &s.subject })
            },
        )
    };
    let lines = cycle
        .0
        .windows(2)
        .filter_map(|pair| {
            let [before, then] = pair else { return None };
            let why = steps
                .iter()
                .find(|s| &s.key == then)
                .and_then(|s| s.after.iter().find(|e| &e.key == before))
                .map_or("", |e| e.why.as_str());
            Some(format!("{} must come before {} ({why})", name(before), name(then)))
        })
        .collect();
    DeriveError::Cycle(lines)
}

fn assumed(facts: &Facts, season: &Season, phase: Phase, steps: &[Step]) -> Vec<String> {
    let mut lines = Vec::new();
    if phase == Phase::Down
        && season.down_from.is_none()
        && season.lights_off.is_none()
        && let Some(day) = season.down_day()
    {
        let day = day.format("%-d %b %Y");
        lines.push(format!(
            "last night not told: takedown from {day} on assumed, the day after the lights go on"
        ));
    }
    let units = facts.yard.sites.first().map(|s| s.units).unwrap_or_default();
    let guessed: BTreeSet<_> = steps.iter().filter(|s| s.assumed).filter_map(|s| s.placement).collect();
    if !guessed.is_empty() {
        lines.push(format!(
            "length or number of stakes not told for {}: {} or 2 stakes a piece assumed",
            placements(guessed.len()),
            crate::units::Length::from_mm(3000).show(units)
        ));
    }
    let unmounted = facts.placements_in(season.id).iter().filter(|p| p.method_id.is_none()).count();
    if unmounted > 0 {
        let placements = placements(unmounted);
        lines.push(format!("how it is mounted not told for {placements}: set out on the ground assumed"));
    }
    lines
}

fn placements(n: usize) -> String {
    if n == 1 { "1 placement".to_owned() } else { format!("{n} placements") }
}
