//! What the late runs have in common: lost sessions and long steps that go with being late.

use super::chances::Draw;
use super::frame::Frame;
use super::run::{Outcome, Run};
use crate::planner::plan::Plan;
use crate::steps::StepKey;
use crate::units::figure;

/// How many are told.
const MOST: usize = 5;
/// Late and timely runs needed on either side before lateness itself is looked at.
const ENOUGH: usize = 10;

/// One thing that drives the risk.
#[derive(Debug, Clone, PartialEq)]
pub struct Risk {
    /// The step, or nothing where it is a session.
    pub step: Option<StepKey>,
    /// The session's code, or nothing where it is a step.
    pub session: Option<String>,
    /// Correlation with being late (or with the finish, where nearly all or no runs are late), -1 to 1.
    pub weight: f64,
    pub words: String,
}

/// Sums for a correlation.
#[derive(Clone, Copy, Default)]
struct Sums {
    x: f64,
    xx: f64,
    xy: f64,
}

/// The strongest, at most five; nothing where every run ended alike.
pub(super) fn risks(frame: &Frame, plan: &Plan, seed: u64, outcomes: &[Outcome]) -> Vec<Risk> {
    let late = outcomes.iter().filter(|o| !o.in_time).count();
    let by_late = late >= ENOUGH && outcomes.len() - late >= ENOUGH;
    let worst = outcomes.iter().filter_map(|o| o.finish).max().unwrap_or(0).saturating_add(7 * 1440);
    let y: Vec<f64> = outcomes
        .iter()
        .map(|o| if by_late { f64::from(u8::from(!o.in_time)) } else { f64::from(o.finish.unwrap_or(worst)) })
        .collect();
    let n = y.len() as f64;
    let mean = y.iter().sum::<f64>() / n.max(1.0);
    let spread: f64 = y.iter().map(|v| (v - mean).powi(2)).sum();
    if y.is_empty() || spread <= 0.0 {
        return stuck(frame, plan, outcomes);
    }
    let mut run = Run::new(frame);
    let mut steps = vec![Sums::default(); frame.steps.len()];
    // Beside the sums: how often the session was lost, and lost and late.
    let mut sessions = vec![(Sums::default(), 0_u32, 0_u32); frame.lost.len()];
    for ((r, v), o) in (0_u64..).zip(&y).zip(outcomes) {
        run.draw(Draw { seed, run: r });
        for (s, minutes) in steps.iter_mut().zip(&run.minutes) {
            s.add(f64::from(*minutes), v - mean);
        }
        for ((s, lost, both), is) in sessions.iter_mut().zip(&run.lost) {
            s.add(f64::from(u8::from(*is)), v - mean);
            *lost += u32::from(*is);
            *both += u32::from(*is && !o.in_time);
        }
    }
    let mut found: Vec<Risk> = Vec::new();
    for (i, sums) in steps.iter().enumerate().filter(|(i, _)| frame.part.get(*i) == Some(&true)) {
        let Some(step) = frame.steps.get(i) else { continue };
        let title = if step.subject.is_empty() {
            step.title.clone()
        } else {
            format!("{}: {}", step.subject, step.title)
        };
        let minutes = frame.problem.activities.get(i).map_or(0, |a| a.duration);
        found.push(Risk {
            step: Some(step.key.clone()),
            session: None,
            weight: sums.correlation(n, spread),
            words: format!("\"{title}\" takes longer than its {minutes} min"),
        });
    }
    for (s, (sums, lost, both)) in sessions.iter().enumerate() {
        let Some(span) = plan.sessions.get(s) else { continue };
        let kept = outcomes.len() as f64 - f64::from(*lost);
        let if_lost = f64::from(lost - both) / f64::from((*lost).max(1)) * 100.0;
        let if_kept = (outcomes.len() - late) as f64 - f64::from(lost - both);
        found.push(Risk {
            step: None,
            session: Some(span.code.clone()),
            weight: sums.correlation(n, spread),
            words: format!(
                "the session of {} lost to weather: in time {} % of the runs with it lost, {} % with it held",
                span.from.with_timezone(&plan.zone).format("%a %-d %b %H:%M"),
                figure(if_lost, 0),
                figure(if_kept / kept.max(1.0) * 100.0, 0)
            ),
        });
    }
    // Below twice its own standard error a correlation says nothing.
    found.retain(|r| r.weight > 2.0 / n.sqrt());
    found.sort_by(|a, b| b.weight.total_cmp(&a.weight).then_with(|| a.words.cmp(&b.words)));
    found.truncate(MOST);
    found
}

/// No run differs from another: where none is in time, what the plan itself can't place says why.
fn stuck(frame: &Frame, plan: &Plan, outcomes: &[Outcome]) -> Vec<Risk> {
    if outcomes.iter().any(|o| o.in_time) {
        return Vec::new();
    }
    let counts = |key: &StepKey| frame.steps.iter().zip(&frame.due).any(|(s, due)| *due && &s.key == key);
    plan.unplaced
        .iter()
        .filter(|u| u.code != "waits_for_unplaced" && counts(&u.key))
        .take(MOST)
        .map(|u| {
            let title = plan.step(&u.key).map_or_else(String::new, |p| match p.step.subject.as_str() {
                "" => p.step.title.clone(),
                subject => format!("{subject}: {}", p.step.title),
            });
            Risk {
                step: Some(u.key.clone()),
                session: None,
                weight: 1.0,
                words: format!("\"{title}\" has no place in any run: {}; {}", u.why, u.remedy),
            }
        })
        .collect()
}

impl Sums {
    /// `y` less its mean.
    fn add(&mut self, x: f64, y: f64) {
        self.x += x;
        self.xx += x * x;
        self.xy += x * y;
    }

    fn correlation(self, n: f64, spread: f64) -> f64 {
        let own = self.xx - self.x * self.x / n;
        if own <= 1e-9 { 0.0 } else { self.xy / (own * spread).sqrt() }
    }
}
