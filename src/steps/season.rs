//! Steps that belong to the season as a whole: duties, desk work, rehearsal, lights on, power off.

use super::boxes::plain_step;
use super::facts::Facts;
use super::key::StepKey;
use super::step::{Edge, Light, Reason, Role, Step};
use crate::domain::{DutyKind, Phase, Season, StepDeed, Terms};

/// Duties of the season that are steps before it is lit.
pub(super) fn duty_steps(facts: &Facts, season: &Season) -> Vec<Step> {
    let mut duties: Vec<_> = facts.yard.duties.iter().filter(|d| d.season_id == season.id).collect();
    duties.sort_by(|a, b| (a.due_on, &a.code).cmp(&(b.due_on, &b.code)));
    duties
        .into_iter()
        .map(|d| {
            let key = StepKey::of("duty", d.id, "do", Phase::Up);
            let mut step = plain_step(key, StepDeed::Desk, &d.title, d.minutes_s.s());
            step.light = Light::Indoors;
            step.cautions = match d.kind {
                DutyKind::BuriedLines => vec!["buried".to_owned()],
                _ => Vec::new(),
            };
            step.not_before = d.opens_on.and_then(|o| o.and_hms_opt(0, 0, 0));
            step
        })
        .collect()
}

/// A stake, peg or anchor goes into the ground only after the buried-line request is answered, and before its marks
/// expire.
pub(super) fn buried_line_edges(facts: &Facts, season: &Season, steps: &mut [Step]) {
    let duties =
        facts.yard.duties.iter().filter(|d| d.season_id == season.id && d.kind == DutyKind::BuriedLines);
    for duty in duties {
        let key = StepKey::of("duty", duty.id, "do", Phase::Up);
        // The day the marks expire on still counts.
        let last = duty.expires_on.and_then(|d| d.succ_opt()).and_then(|d| d.and_hms_opt(0, 0, 0));
        for step in steps.iter_mut().filter(|s| opens_ground(s)) {
            step.not_after = match (step.not_after, last) {
                // Several requests, each for its part of the yard: the latest marks stand.
                (Some(a), Some(b)) => Some(a.max(b)),
                (a, b) => a.or(b),
            };
            let mut edge = Edge::after(
                key.clone(),
                Reason::Sequence,
                "buried lines are marked before the ground is opened",
            );
            edge.wait_min = duty.lead_days.unwrap_or(0) * 1440;
            step.add_edge(edge);
        }
    }
}

/// Stakes, pegs, posts and anchors go into the ground.
fn opens_ground(step: &Step) -> bool {
    step.phase == Phase::Up && step.deed == StepDeed::Drive
}

/// Desk work of the season: indoors, any hour, after its placement is tested where it says so.
pub(super) fn desk_steps(facts: &Facts, season: &Season, steps: &[Step]) -> Vec<Step> {
    let mut tasks: Vec<_> = facts.yard.desk_tasks.iter().filter(|t| t.season_id == season.id).collect();
    tasks.sort_by(|a, b| (a.due_on, &a.code).cmp(&(b.due_on, &b.code)));
    tasks
        .into_iter()
        .map(|t| {
            let key = StepKey::of("desk", t.id, "do", Phase::Up);
            let mut step = plain_step(key, StepDeed::Desk, &t.title, t.minutes_s.s());
            step.light = Light::Indoors;
            step.cautions = Vec::new();
            step.placement = t.placement_id;
            step.set_skills(t.skills.iter());
            if t.after_placement {
                let last = steps.iter().rfind(|s| {
                    s.placement == t.placement_id && s.phase == Phase::Up && s.deed != StepDeed::Desk
                });
                if let Some(last) = last {
                    step.add_edge(Edge::after(
                        last.key.clone(),
                        Reason::Sequence,
                        "it is done on the placed prop",
                    ));
                }
            }
            step
        })
        .collect()
}

/// The rehearsal in two parts, then lights on: after everything else of the season.
pub(super) fn rehearsal_steps(season: &Season, steps: &[Step]) -> Vec<Step> {
    let key = |deed: &str| StepKey::of("season", season.id, deed, Phase::Up);
    // Three things are looked at in a quarter of the time that a yard takes: so much for the round, so much a prop,
    // up to what a yard of boxes takes (common practice, no published source).
    let props: std::collections::BTreeSet<_> = steps.iter().filter_map(|s| s.placement).collect();
    let minutes = |round: i64, a_prop: i64, most: i64| (round + a_prop * props.len() as i64).min(most);
    let mut load = plain_step(
        key("rehearsal_load"),
        StepDeed::Test,
        "Rehearsal under load: box by box, white at the show's level limit, ten minutes; read supply and circuit \
         currents; power off, feel the plugs for warmth",
        60 * minutes(10, 5, 90),
    );
    load.role = Role::Rehearsal;
    load.not_before = season.rehearsal;
    load.not_alone = true;
    for step in ends(steps) {
        load.add_edge(Edge::after(
            step.key.clone(),
            Reason::Tested,
            "everything is tested before the rehearsal",
        ));
    }
    let mut show = plain_step(
        key("rehearsal_show"),
        StepDeed::Test,
        "Rehearsal of the show: one full run after dark, sound, radio, schedule starting by itself",
        60 * minutes(10, 5, 60),
    );
    show.role = Role::Rehearsal;
    show.light = Light::Dark;
    show.not_before = season.rehearsal_dark.or(season.rehearsal);
    show.add_edge(Edge::after(load.key.clone(), Reason::Tested, "the load part comes first"));
    let mut on = plain_step(key("lights_on"), StepDeed::Power, "Lights on", 600);
    on.role = Role::LightsOn;
    on.not_before = season.lights_on;
    on.add_edge(Edge::after(show.key.clone(), Reason::Tested, "the rehearsal comes first"));
    show.cautions.extend(["traffic", "path"].map(str::to_owned));
    on.cautions.push("temporary".to_owned());
    let mut all = vec![load, show, on];
    for step in &mut all {
        step.subject.clone_from(&season.name);
    }
    if season.lights_on.is_none() && season.rehearsal.is_none() {
        for step in &mut all {
            step.not_before = None;
        }
    }
    all
}

/// Steps that no other step waits for.
pub(super) fn ends(steps: &[Step]) -> impl Iterator<Item = &Step> {
    let waited: std::collections::BTreeSet<&StepKey> =
        steps.iter().flat_map(|s| s.after.iter().map(|e| &e.key)).collect();
    steps.iter().filter(move |s| !waited.contains(&s.key))
}

/// Takedown begins with everything off and unplugged.
pub(super) fn power_off(terms: Terms, season: &Season, steps: &mut Vec<Step>) {
    let key = StepKey::of("season", season.id, "power_off", Phase::Down);
    for step in steps.iter_mut() {
        let first = !step.after.iter().any(|e| e.reason != Reason::Carries && e.reason != Reason::Above);
        if first || step.deed == StepDeed::Disconnect {
            step.add_edge(Edge::after(
                key.clone(),
                Reason::Unpowered,
                "the power is off and unplugged first",
            ));
        }
    }
    let mut step = plain_step(
        key,
        StepDeed::Power,
        &format!(
            "Power off: every box at its switch, every {} out of its {}, tagged",
            terms.cord(),
            terms.outlet()
        ),
        900,
    );
    step.phase = Phase::Down;
    step.subject.clone_from(&season.name);
    // The last night is lit to its end.
    step.not_before = season.down_day().and_then(|d| d.and_hms_opt(0, 0, 0));
    steps.insert(0, step);
}
