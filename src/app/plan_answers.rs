//! What the commands about a plan answer, as text or as a document.

use std::fmt::Write as _;

use super::app::App;
use super::commands::Form;
use super::planning::THOROUGH;
use crate::answers::Outlook;
use crate::answers::plan::checklist::sheet;
use crate::answers::plan::choices::{Wish, calmest};
use crate::answers::plan::helps::{ask, helps};
use crate::answers::plan::odds::odds_lines;
use crate::answers::plan::what_if::{Change, Side, both, weigh};
use crate::answers::plan::why::why;
use crate::answers::problem::Problem;
use crate::answers::view::Pick;
use crate::domain::Phase;
use crate::exchange::commands as say;
use crate::exchange::json::text;
use crate::exchange::print::checklist_text;
use crate::planner::{Effort, Odds, Plan};

fn plan_text(outlook: &Outlook, plan: &Plan, odds: Option<&Odds>) -> Result<String, Problem> {
    let mut out = checklist_text(&sheet(outlook, plan, &Pick::default())?);
    for line in odds.into_iter().flat_map(|o| odds_lines(outlook, o)) {
        let _ = writeln!(out, "{line}");
    }
    Ok(out)
}

impl App {
    /// The plan of a phase.
    ///
    /// # Errors
    /// As [`App::plan`].
    pub fn plan_answer(&mut self, phase: Phase, schedules: u64, form: Form) -> Result<String, Problem> {
        let plan = self.plan(phase, schedules)?;
        if cfg!(debug_assertions) {
            self.judge(&plan)?;
        }
        let odds = self.odds(phase, schedules)?;
        let outlook = self.outlook();
        Ok(match form {
            Form::Json => text(&say::plan::document(&outlook, &plan, odds.as_ref())),
            Form::Text => plan_text(&outlook, &plan, odds.as_ref())?,
        })
    }

    /// The steps of a phase with their keys and states.
    ///
    /// # Errors
    /// As [`App::plan`].
    pub fn steps_answer(&mut self, phase: Phase, form: Form) -> Result<String, Problem> {
        let plan = self.plan(phase, THOROUGH)?;
        Ok(match form {
            Form::Json => text(&say::steps::document(&self.outlook(), &plan)),
            Form::Text => say::steps::text(&self.outlook(), &plan),
        })
    }

    /// Why a step of a phase is where it is.
    ///
    /// # Errors
    /// As [`App::plan`]; `no-step` where that phase has no such step.
    pub fn why_answer(&mut self, phase: Phase, key: &str, form: Form) -> Result<String, Problem> {
        let plan = self.plan(phase, THOROUGH)?;
        let outlook = self.outlook();
        let (step, bound, lines) = why(&outlook, &plan, key)?;
        Ok(match form {
            Form::Json => text(&say::why::document(&plan, step, bound)),
            Form::Text => say::why::text(&outlook, step, &lines),
        })
    }

    /// What to leave out for a wanted level of the odds.
    ///
    /// # Errors
    /// As [`App::drop_list`].
    pub fn drop_answer(
        &mut self,
        phase: Phase,
        wanted: u8,
        schedules: u64,
        form: Form,
    ) -> Result<String, Problem> {
        let list = self.drop_list(phase, wanted, schedules)?;
        Ok(match form {
            Form::Json => text(&say::drops::document(&self.outlook(), &list)),
            Form::Text => say::drops::text(&self.outlook(), phase, wanted, &list),
        })
    }

    /// Plans and weighs a phase as it is, and with the changes; no fact is touched.
    ///
    /// # Errors
    /// As [`App::plan`]; `bad-what-if`, `no-such` for changes that make no sense here.
    pub fn what_if(
        &mut self,
        phase: Phase,
        changes: &[Change],
        schedules: u64,
    ) -> Result<(Side, Side), Problem> {
        let base = self.plan(phase, schedules)?;
        let of = (self.current.shared(), self.plan_now(), base);
        let both = both(&self.outlook(), of, phase, changes)?;
        weigh(&both, Effort::of(schedules))
    }

    /// Plans to choose from.
    ///
    /// # Errors
    /// As [`App::plan`].
    pub fn choices_answer(&mut self, phase: Phase, schedules: u64, form: Form) -> Result<String, Problem> {
        let all = self.choices(phase, schedules)?;
        let calm = calmest(&all);
        Ok(match form {
            Form::Json => text(&say::choices::document(&all, calm)),
            Form::Text => say::choices::text(&self.outlook(), &all, calm),
        })
    }

    /// The plan of a wish; kept where asked for.
    ///
    /// # Errors
    /// As [`App::plan`] and [`App::keep_plan`].
    pub fn wished_answer(
        &mut self,
        phase: Phase,
        schedules: u64,
        (wish, keep): (Wish, bool),
        form: Form,
    ) -> Result<String, Problem> {
        let chosen = self.wished(phase, schedules, wish)?;
        if cfg!(debug_assertions) {
            self.judge(&chosen.plan)?;
        }
        let said = if keep { Some(self.keep_this(phase, &chosen.plan)?) } else { None };
        let outlook = self.outlook();
        Ok(match (form, said) {
            (Form::Json, _) => text(&say::plan::document(&outlook, &chosen.plan, chosen.odds.as_ref())),
            (Form::Text, Some(said)) => said + "\n",
            (Form::Text, None) => plan_text(&outlook, &chosen.plan, chosen.odds.as_ref())?,
        })
    }

    /// What would help most to be in time.
    ///
    /// # Errors
    /// As [`App::plan`].
    pub fn helps_answer(&mut self, phase: Phase, schedules: u64, form: Form) -> Result<String, Problem> {
        let base = self.plan(phase, schedules)?;
        let yard = self.current.shared();
        let asked = ask(&self.outlook(), &base, self.plan_now(), &yard)?;
        let (before, all) = helps(asked, Effort::of(schedules))?;
        Ok(match form {
            Form::Json => text(&say::helps::document(&before, &all)),
            Form::Text => say::helps::text(&before, &all),
        })
    }

    /// Finish and odds as they are, and as they would be.
    ///
    /// # Errors
    /// As [`App::what_if`].
    pub fn what_if_answer(
        &mut self,
        phase: Phase,
        changes: &[String],
        schedules: u64,
        form: Form,
    ) -> Result<String, Problem> {
        let changes = changes.iter().map(|c| Change::parse(c)).collect::<Result<Vec<_>, _>>()?;
        let (before, after) = self.what_if(phase, &changes, schedules)?;
        Ok(match form {
            Form::Json => text(&say::what_if::document(&changes, &before, &after)),
            Form::Text => say::what_if::text(&self.outlook(), &changes, &before, &after),
        })
    }
}
