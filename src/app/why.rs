//! Why a step is where it is: one answer for the Plan screen and for `plan why`.

use std::fmt::Write as _;

use super::answers::Form;
use super::owner::App;
use super::pages::title;
use super::planning::QUICK;
use super::problem::{Problem, ProblemKind};
use crate::domain::Phase;
use crate::exchange::json::{BoundDoc, WhyDoc, text};
use crate::planner::Explainer;
use crate::steps::StepKey;

/// What binds a step, what would move it, and why it is in no session before, a line each.
pub(super) fn why_lines(explainer: &Explainer, key: &StepKey) -> Vec<String> {
    let Some(why) = explainer.why(key) else { return Vec::new() };
    let mut lines: Vec<String> = Vec::new();
    for b in &why.bounds {
        lines.push(if b.remedy.is_empty() {
            b.text.clone()
        } else {
            format!("{}; earlier with: {}", b.text, b.remedy)
        });
    }
    lines.extend(why.earlier);
    lines
}

impl App {
    /// Why a step of a phase is where it is.
    ///
    /// # Errors
    /// As [`App::plan`]; `no-step` where that phase has no such step.
    pub fn why_answer(&mut self, phase: Phase, key: &str, form: Form) -> Result<String, Problem> {
        let plan = self.plan(phase, QUICK)?;
        let found = plan.steps.iter().find(|p| p.step.key.as_str() == key || self.code_key(&p.step) == key);
        let step = found.ok_or_else(|| {
            Problem::new(ProblemKind::Data, "no-step", format!("{} has no step {key:?}", phase.as_str()))
                .hint("ladderday step list shows the keys")
        })?;
        let facts = self.facts();
        let explainer = Explainer::new(&plan, &facts);
        let why = explainer.why(&step.step.key).unwrap_or_default();
        Ok(match form {
            Form::Json => text(&WhyDoc {
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
            }),
            Form::Text => {
                let at = step.from.map_or_else(|| "not placed".to_owned(), |t| self.say_moment(t));
                let mut out = format!("{}, {at}\n", title(step));
                if step.critical {
                    out.push_str("  no slack: a delay here moves the end\n");
                }
                for line in why_lines(&explainer, &step.step.key) {
                    let _ = writeln!(out, "  {line}");
                }
                out
            }
        })
    }
}
