//! Whether the date holds: chances learned from the yard's record, odds of a plan, and their words.

use std::collections::BTreeSet;

use chrono::{DateTime, Utc};

use crate::answers::Outlook;
use crate::answers::record::Learned;
use crate::domain::{Phase, PlacementId, SessionId, Yard};
use crate::planner::{Chances, Guess, Odds, OddsRequest, Plan, RUNS, Request, odds, runs_in_time};
use crate::units::figure;

/// Steps times runs that a screen waits for at most; larger yards are run less often.
const MOST_WORK: usize = 1_000_000;
const FEWEST_RUNS: u32 = 100;

/// The odds of a plan made from `request`, with what the yard's own `record` says of durations; nothing where they make no sense: no sessions, no date, or a phase that
/// does not lead to lights on.
pub(crate) fn odds_of(request: &Request, plan: &Plan, record: &Learned) -> Option<Odds> {
    odds_following(request, plan, plan, record)
}

/// The odds of a plan where people follow the order of another one, without what that one leaves out.
pub(crate) fn odds_following(
    request: &Request,
    plan: &Plan,
    followed: &Plan,
    record: &Learned,
) -> Option<Odds> {
    if !matches!(plan.phase, Phase::Up | Phase::Change) {
        return None;
    }
    let chances = chances(request.facts.yard, plan, request.now, record);
    let runs = runs_for(plan.steps.len());
    odds(&OddsRequest { request, plan, followed, chances: &chances, runs, without: &followed.left_out })
}

/// Which of half the runs are in time where people follow each of these plans.
pub(crate) fn runs_following(
    request: &Request,
    plan: &Plan,
    others: &[Plan],
    without: &BTreeSet<PlacementId>,
    record: &Learned,
) -> Vec<Vec<bool>> {
    let chances = chances(request.facts.yard, plan, request.now, record);
    let runs = runs_for(plan.steps.len()) / 2;
    let ask = OddsRequest { request, plan, followed: plan, chances: &chances, runs, without };
    others.iter().filter_map(|followed| runs_in_time(&OddsRequest { followed, ..ask })).collect()
}

/// How many runs a plan of so many steps gets.
pub(crate) fn runs_for(steps: usize) -> u32 {
    let most = u32::try_from(MOST_WORK / steps.max(1)).unwrap_or(RUNS);
    most.clamp(FEWEST_RUNS, RUNS)
}

/// What may go otherwise, learned from this yard where its record says something and is used.
pub(crate) fn chances(yard: &Yard, plan: &Plan, now: DateTime<Utc>, record: &Learned) -> Chances {
    let mut chances = Chances::common();
    let people: BTreeSet<SessionId> = yard.session_people.iter().map(|p| p.session_id).collect();
    // A visitor's appointment says nothing of the weather.
    let own = yard.sessions.iter().filter(|s| s.visitor.is_empty() || people.contains(&s.id));
    chances.learn_lost(own, now);
    let mut learned = BTreeSet::new();
    for step in plan.steps.iter().map(|p| &p.step) {
        if let Some((code, known)) = record.by.get_key_value(step.recipe_step.as_str()) {
            // The plan's minutes are the record's already: only how far they scatter is added.
            chances.durations.insert(step.key.clone(), Guess { factor: 1.0, spread: known.estimate.spread });
            learned.insert(code.as_str());
        }
    }
    if !learned.is_empty() {
        chances
            .basis
            .push(format!("durations of {} kinds of step learned from your own times", learned.len()));
    }
    chances
}

/// Odds as `93 %`; never 100 or 0 where some run said otherwise.
pub(crate) fn percent(share: f64) -> u8 {
    let whole = (share * 100.0).round() as u8;
    if share < 1.0 && whole == 100 {
        99
    } else if share > 0.0 && whole == 0 {
        1
    } else {
        whole.min(100)
    }
}

/// "50 % by 12 Nov, 80 % by 14 Nov, 95 % not by the last session".
pub(crate) fn finish_odds(outlook: &Outlook, odds: &Odds) -> String {
    let by = |percent: &str, t: Option<DateTime<Utc>>| match t {
        Some(t) => format!("{percent} % by {}", outlook.say_moment(t)),
        None => format!("{percent} % not by the last session"),
    };
    [by("50", odds.p50), by("80", odds.p80), by("95", odds.p95)].join(", ")
}

/// The odds in lines, for people.
pub(crate) fn odds_lines(outlook: &Outlook, odds: &Odds) -> Vec<String> {
    let mut out = vec![
        format!(
            "lights on in time: {} % of {} runs (standard error {})",
            percent(odds.in_time),
            odds.runs,
            figure(odds.standard_error * 100.0, 1)
        ),
        format!("work ends: {}", finish_odds(outlook, odds)),
    ];
    if odds.not_counted > 0 {
        out.push(format!("{} steps are held back or left out and not counted", odds.not_counted));
    }
    out.extend(odds.risks.iter().map(|r| format!("risk: {}", r.words)));
    out.extend(odds.basis.iter().map(|b| format!("assumed: {b}")));
    out
}
