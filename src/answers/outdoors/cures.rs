//! Waits for what cures or sets, where a session is cold.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::outdoors::weather::{finding, named};
use crate::answers::view::{Amount, Finding, Level};
use crate::planner::{Forecast, cold_wait};
use crate::steps::{Step, StepKey};
use crate::units::{Span, System};

type Said = (Vec<StepKey>, i64, Finding);

/// Waits for a cure that the cold of this session would lengthen: whose, how many minutes, and in words.
pub(super) fn look(at: &str, steps: &[&Step], forecast: &Forecast, units: System) -> Vec<Said> {
    let Some(low) = forecast.low else { return Vec::new() };
    let here: BTreeSet<_> = steps.iter().map(|s| &s.key).collect();
    let mut longer: BTreeMap<(i64, i64), Vec<&Step>> = BTreeMap::new();
    for step in steps {
        for edge in step.after.iter().filter(|e| here.contains(&e.key)) {
            let Some(rule) = edge.cure else { continue };
            let wait = cold_wait(rule, edge.wait_min, low);
            if wait > edge.wait_min {
                longer.entry((edge.wait_min, wait)).or_default().push(step);
            }
        }
    }
    longer
        .into_iter()
        .map(|((usual, wait), steps)| {
            let show = |min| Span::from_minutes(min).show();
            let span = |text: String, min: i64| Amount::figure(text, "s", min as f64 * 60.0);
            let never = wait >= crate::planner::NEVER_MIN;
            let (value, more) = if never {
                ("does not cure".into(), "not before it is warmer".to_owned())
            } else {
                let shown = format!("{} at {}", show(wait), low.show(units));
                (span(shown, wait), format!("{} longer", show(wait - usual)))
            };
            let said = finding(
                at,
                // The plan counts the longer wait.
                if never { Level::Mend } else { Level::Note },
                "cure_longer",
                format!("begun here, the wait before {} is {more}", named(&steps)),
                (value, span(format!("{} in mild weather", show(usual)), usual)),
                "begin it in a warmer session, cure it indoors, or wait: the plan counts the longer wait",
            );
            (steps.iter().map(|s| s.key.clone()).collect(), wait, said)
        })
        .collect()
}
