//! The connect-and-test round of one box at one place: off and tagged, connect all that hangs, look at plugs, on and
//! light-test the group. One unbroken stretch for the box: nothing of it is on in between.
//!
//! The group is fixed by facts (which box feeds what, at which place), never by what a schedule joined, so its steps
//! keep their keys.

use std::collections::{BTreeMap, BTreeSet};

use super::facts::Facts;
use super::key::StepKey;
use super::progress::Asked;
use super::rounds::{OFF_S, before_connects, plugs_s, rounds, stuck, test_s};
use super::step::{Edge, Light, Limits, Reason, Role, Step};
use crate::domain::{Access, BoxMode, LinkKind, Phase, PieceId, PlaceId, PlacementId, SeasonId, StepDeed};

/// Adds the rounds of every box, and binds connects, tests and boxes to them. `steps` holds the season's up steps with
/// all that must come before a connect.
pub(super) fn add_rounds(facts: &Facts, season: SeasonId, progress: &Asked, steps: &mut Vec<Step>) {
    let fed = facts.fed_by(season);
    let stuck = stuck(steps, progress);
    let mut groups: BTreeMap<(PieceId, Option<PlaceId>), Vec<PlacementId>> = BTreeMap::new();
    for placement in facts.placements_in(season) {
        if let Some(piece) = fed.get(&placement.id).filter(|_| !stuck.contains(&placement.id)) {
            let connects =
                steps.iter().any(|s| s.placement == Some(placement.id) && s.deed == StepDeed::Connect);
            if connects {
                groups.entry((*piece, placement.place_id)).or_default().push(placement.id);
            }
        }
    }
    let mut tests_of: BTreeMap<PieceId, Vec<StepKey>> = BTreeMap::new();
    let members: Vec<Vec<PlacementId>> = groups.values().cloned().collect();
    let split = rounds(facts, season, &members, steps);
    for ((piece, place), of_group) in groups.keys().zip(&split) {
        for (nth, members) in of_group.iter().enumerate() {
            let round = Round::new(facts, season, (*piece, *place), nth + 1, members);
            let before = before_connects(steps, members);
            round.bind(facts, steps);
            tests_of.entry(*piece).or_default().push(round.test.clone());
            steps.extend(round.steps(steps, before));
        }
    }
    for (piece, tests) in tests_of {
        add_data_test(facts, season, piece, tests, steps);
    }
}

struct Round<'a> {
    piece: PieceId,
    place: Option<PlaceId>,
    members: &'a [PlacementId],
    name: String,
    at: String,
    off: StepKey,
    plugs: StepKey,
    test: StepKey,
}

impl<'a> Round<'a> {
    fn new(
        facts: &Facts,
        season: SeasonId,
        (piece, place): (PieceId, Option<PlaceId>),
        nth: usize,
        members: &'a [PlacementId],
    ) -> Self {
        let owner = match place {
            Some(p) => format!("{piece}:{p}:{season}"),
            None => format!("{piece}:nowhere:{season}"),
        };
        // The first keeps the key it has where one round does.
        let nth = if nth == 1 { String::new() } else { nth.to_string() };
        let key = |deed: &str| StepKey::of("box", &owner, &format!("{deed}{nth}"), Phase::Up);
        let name = facts
            .piece(piece)
            .map_or_else(String::new, |p| if p.name.is_empty() { p.code.clone() } else { p.name.clone() });
        let at = place.and_then(|p| facts.place(p)).map_or_else(String::new, |p| p.name.clone());
        Self { piece, place, members, name, at, off: key("off"), plugs: key("plugs"), test: key("test") }
    }

    /// Binds the members' connects between "off" and "plugs", and puts the round's test in place of their own.
    fn bind(&self, facts: &Facts, steps: &mut Vec<Step>) {
        let members: BTreeSet<PlacementId> = self.members.iter().copied().collect();
        let mine = |s: &Step| s.placement.is_some_and(|p| members.contains(&p));
        let replaced: BTreeSet<StepKey> =
            steps.iter().filter(|s| mine(s) && s.deed == StepDeed::Test).map(|s| s.key.clone()).collect();
        steps.retain(|s| !replaced.contains(&s.key));
        for step in steps.iter_mut().filter(|s| mine(s)) {
            if step.deed == StepDeed::Connect {
                step.box_mode = Some((self.piece, BoxMode::Off));
                step.stretch = Some(self.off.clone());
                step.add_edge(Edge::after(
                    self.off.clone(),
                    Reason::Unpowered,
                    format!("{} is off before anything is plugged in", self.name),
                ));
            } else if step.phase == Phase::Up && asks_for_on(facts, step) {
                step.box_mode = Some((self.piece, BoxMode::On));
            }
        }
        for step in steps.iter_mut() {
            let (own, kept): (Vec<Edge>, Vec<Edge>) =
                std::mem::take(&mut step.after).into_iter().partition(|e| replaced.contains(&e.key));
            step.after = kept;
            for mut edge in own {
                // What the recipe waits for after its own test, as a first windy night, it waits for after this one.
                edge.key = self.test.clone();
                edge.reason = Reason::Tested;
                edge.why = format!("after the light test of {} at {}", self.name, self.at);
                step.add_edge(edge);
            }
        }
    }

    /// `before`: what the members' connects wait for.
    fn steps(&self, steps: &[Step], before: Vec<Edge>) -> Vec<Step> {
        let connects: Vec<&Step> = steps
            .iter()
            .filter(|s| s.deed == StepDeed::Connect && s.placement.is_some_and(|p| self.members.contains(&p)))
            .collect();
        let n = self.members.len() as i64;
        let subject = format!("{} at {}", self.name, self.at);
        let mut off = self.step(
            self.off.clone(),
            StepDeed::Power,
            "Box off at its switch; say so; tag it",
            OFF_S,
            &subject,
        );
        off.box_mode = Some((self.piece, BoxMode::Off));
        for edge in before {
            let why = format!("all that is connected to {} at {} is there first", self.name, self.at);
            off.add_edge(Edge {
                within_min: None,
                same_day: false,
                watched: false,
                reason: Reason::Unpowered,
                why,
                ..edge
            });
        }
        let mut plugs = self.step(
            self.plugs.clone(),
            StepDeed::Check,
            "Look at every plug: seated, locked, drip loop",
            plugs_s(n),
            &subject,
        );
        plugs.box_mode = Some((self.piece, BoxMode::Off));
        plugs.cautions = vec!["supply_off".to_owned()];
        for c in connects {
            plugs.add_edge(Edge::after(c.key.clone(), Reason::Sequence, format!("after \"{}\"", c.subject)));
        }
        let mut test = self.step(
            self.test.clone(),
            StepDeed::Test,
            "On, light-test the group with the controller's own pattern, off again",
            test_s(n),
            &subject,
        );
        test.box_mode = Some((self.piece, BoxMode::On));
        test.of = (n > 1).then_some(n);
        test.add_edge(Edge::after(
            self.plugs.clone(),
            Reason::Unpowered,
            "plugs are looked at before power is on",
        ));
        let mut all = vec![off, plugs, test];
        for step in &mut all {
            step.stretch = Some(self.off.clone());
        }
        all
    }

    fn step(&self, key: StepKey, deed: StepDeed, title: &str, seconds: i64, subject: &str) -> Step {
        Step { place: self.place, subject: subject.to_owned(), ..plain_step(key, deed, title, seconds) }
    }
}

/// What is aimed or looked at lit, in its place; on the ground a hand tester lights it.
fn asks_for_on(facts: &Facts, step: &Step) -> bool {
    let recipe = step.method.into_iter().flat_map(|m| facts.recipe(m));
    step.deed != StepDeed::GroundLight
        && recipe.into_iter().any(|r| r.code == step.recipe_step && r.box_mode == Some(BoxMode::On))
}

/// A work step by lamp on the ground with nothing else asked.
pub(super) fn plain_step(key: StepKey, deed: StepDeed, title: &str, seconds: i64) -> Step {
    Step {
        key,
        role: Role::Work,
        phase: Phase::Up,
        deed,
        title: title.to_owned(),
        subject: String::new(),
        recipe_step: String::new(),
        method: None,
        placement: None,
        place: None,
        access: Access::Ground,
        height: None,
        seconds,
        assumed: false,
        of: None,
        hands: 1,
        skills: Vec::new(),
        by_hand: Vec::new(),
        equipment: Vec::new(),
        light: Light::Lamp,
        not_alone: false,
        limits: Limits::default(),
        cautions: vec!["mains".to_owned()],
        box_mode: None,
        stretch: None,
        run: None,
        drying_min: None,
        not_before: None,
        not_after: None,
        held: None,
        after: Vec::new(),
    }
}

/// The data test from the player, once the network reaches the box and all its rounds are tested.
fn add_data_test(
    facts: &Facts,
    season: SeasonId,
    piece: PieceId,
    tests: Vec<StepKey>,
    steps: &mut Vec<Step>,
) {
    let network: Vec<_> = facts
        .yard
        .links
        .iter()
        .filter(|l| l.kind == LinkKind::Network && l.season_id.is_none_or(|s| s == season))
        .filter(|l| l.to_piece_id == Some(piece))
        .collect();
    if network.is_empty() {
        return;
    }
    let place = facts.placement_of_piece(season, piece).and_then(|p| p.place_id);
    let name = facts.piece(piece).map_or_else(String::new, |p| p.code.clone());
    let key = StepKey::of("box", format!("{piece}:{season}"), "data", Phase::Up);
    let mut step = plain_step(key, StepDeed::Test, "Data test from the player: every port, every prop", 600);
    step.place = place;
    step.subject = name;
    step.box_mode = Some((piece, BoxMode::On));
    for test in tests {
        step.add_edge(Edge::after(test, Reason::Tested, "the box's own pattern lit it first"));
    }
    for lead in network.iter().filter_map(|l| l.lead_id) {
        if let Some(run) = facts.placement_of_piece(season, lead)
            && let Some(last) = steps.iter().rfind(|s| s.placement == Some(run.id))
        {
            step.add_edge(Edge::after(last.key.clone(), Reason::Feeds, "the network lead lies first"));
        }
    }
    steps.push(step);
}
