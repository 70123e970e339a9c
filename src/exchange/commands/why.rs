//! `plan why`: what binds a step.

use std::fmt::Write as _;

use crate::answers::Outlook;
use crate::answers::words::title;
use crate::exchange::json::{BoundDoc, WhyDoc};
use crate::planner::{Plan, PlannedStep, Why};

pub(crate) fn document(plan: &Plan, step: &PlannedStep, why: Why) -> WhyDoc {
    WhyDoc {
        key: step.step.key.to_string(),
        title: title(step),
        from: step.from.map(|t| t.with_timezone(&plan.zone).to_rfc3339()),
        critical: step.critical,
        bounds: why
            .bounds
            .into_iter()
            .map(|b| BoundDoc {
                code: b.code.to_owned(),
                text: b.text,
                remedy: b.remedy,
                by: b.by.map(|k| k.to_string()),
            })
            .collect(),
        earlier: why.earlier,
    }
}

pub(crate) fn text(outlook: &Outlook, step: &PlannedStep, lines: &[String]) -> String {
    let at = step.from.map_or_else(|| "not placed".to_owned(), |t| outlook.say_moment(t));
    let mut out = format!("{}, {at}\n", title(step));
    if step.critical {
        out.push_str("  no slack: a delay here moves the end\n");
    }
    for line in lines {
        let _ = writeln!(out, "  {line}");
    }
    out
}
