//! What commands answer: an answer is asked for and written as text or as a JSON document.

use super::app::App;
use super::done::{Done, Named};
use super::planning::THOROUGH;
use crate::answers::faults::bench;
use crate::answers::faults::detail::fault_detail;
use crate::answers::faults::page::faults_page;
use crate::answers::kit::page::kit_page;
use crate::answers::page::{Detail, DetailOf};
use crate::answers::plan::checklist::sheet;
use crate::answers::power::{CheckAnswer, CheckKind, Checked, WhatIf, check_answer};
use crate::answers::problem::{Problem, ProblemKind};
use crate::answers::record::history::history;
use crate::answers::record::spares_by_need;
use crate::answers::seasons::{differences, seasons_page};
use crate::answers::sessions::sessions;
use crate::answers::shopping::BuyChoice;
use crate::answers::shopping::page::buy_page;
use crate::answers::told::rows;
use crate::answers::view::Pick;
use crate::domain::Numbering;
use crate::exchange::commands as say;
use crate::exchange::json::{DeedDoc, EntryDoc, ErrorDoc, NamedDoc, OverviewDoc, ProblemDoc, TextDoc, text};
use crate::exchange::print::checklist_text;
use crate::exchange::tell::table_called;

/// How an answer is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    Text,
    Json,
}

/// What a deed did.
pub fn deed_answer(done: &Done, form: Form) -> String {
    let named = |list: &[Named]| {
        list.iter().map(|n| NamedDoc { kind: n.kind.to_owned(), code: n.code.clone() }).collect()
    };
    match form {
        Form::Text => format!("{}\n", done.said),
        Form::Json => text(&DeedDoc {
            said: done.said.clone(),
            entry: done.entry.as_ref().map(|e| EntryDoc { device: e.device.clone(), number: e.number }),
            made: named(&done.made),
            changed: named(&done.changed),
        }),
    }
}

/// A text that has no fields of its own: a manual page, a sheet.
pub fn text_answer(of: String, form: Form) -> String {
    match form {
        Form::Text => of,
        Form::Json => text(&TextDoc { text: of }),
    }
}

/// A problem as a document.
pub fn problem_document(problem: &Problem) -> String {
    text(&ErrorDoc {
        error: ProblemDoc {
            code: problem.code.to_owned(),
            what: problem.what.clone(),
            hints: problem.hints.clone(),
        },
    })
}

impl App {
    /// What numbers of a printed checklist come to; nothing is taken.
    ///
    /// # Errors
    /// As [`App::paper_ticks`].
    pub fn paper_answer(&self, sheet: &str, numbers: &[String], form: Form) -> Result<String, Problem> {
        let ticks = self.paper_ticks(sheet, numbers)?;
        Ok(match form {
            Form::Json => text(&super::sheets::paper_document(&ticks)),
            Form::Text => super::sheets::paper_text(&ticks),
        })
    }

    /// Faults: open ones, or all.
    ///
    /// # Errors
    /// What the store says of the file.
    pub fn faults_answer(&mut self, all: bool, form: Form) -> Result<String, Problem> {
        self.catch_up()?;
        let plan = self.build_plan();
        let outlook = self.outlook();
        let mut rows = faults_page(&outlook, plan.as_deref()).rows;
        rows.retain(|r| all || !r.ended);
        Ok(match form {
            Form::Json => text(&say::faults::document(&outlook, rows)),
            Form::Text => say::faults::text(&outlook, &rows),
        })
    }

    /// What to try for a fault's symptom, in order, with the words that `fault guide` takes.
    ///
    /// # Errors
    /// `no-fault`.
    pub fn guide_answer(&mut self, fault: &str, form: Form) -> Result<String, Problem> {
        self.catch_up()?;
        let fault = crate::deeds::fault_by_code(self, fault)?;
        let outlook = self.outlook();
        let detail = fault_detail(&outlook, fault.id, &[]).unwrap_or_default();
        Ok(match form {
            Form::Json => text(&say::faults::guide_document(&outlook, &fault, detail)),
            Form::Text => say::faults::guide_text(&outlook, &fault, &detail),
        })
    }

    /// The bench list in the order of its dates, with days from the plan.
    ///
    /// # Errors
    /// What the store says of the file.
    pub fn bench_answer(&mut self, form: Form) -> Result<String, Problem> {
        self.catch_up()?;
        let plan = self.build_plan();
        let rows = bench(&self.outlook(), plan.as_deref());
        Ok(match form {
            Form::Json => text(&say::bench::document(rows)),
            Form::Text => say::bench::text(&rows),
        })
    }

    /// What to buy, where, by when; with something tried where `choice` says so.
    ///
    /// # Errors
    /// `no-item`, `no-vendor` where the choice names something that is not there.
    pub fn buy_answer(&mut self, choice: &BuyChoice, form: Form) -> Result<String, Problem> {
        self.catch_up()?;
        let plan = self.build_plan();
        let buy = buy_page(&self.outlook(), plan.as_deref(), choice)?;
        Ok(match form {
            Form::Json => text(&say::buy::document(buy)),
            Form::Text => say::buy::text(&buy),
        })
    }

    /// What is owned or placed, as far as `find` names its lines, in that order.
    ///
    /// # Errors
    /// What the store says of the file.
    pub fn kit_answer(
        &mut self,
        find: impl FnOnce(&[String]) -> Vec<usize>,
        form: Form,
    ) -> Result<String, Problem> {
        let rows = kit_page(&self.look()?).rows;
        let lines: Vec<String> = rows.iter().map(say::kit::line).collect();
        let found: Vec<_> = find(&lines).into_iter().filter_map(|n| rows.get(n).cloned()).collect();
        Ok(match form {
            Form::Json => text(&say::kit::document(found)),
            Form::Text => say::kit::text(&found),
        })
    }

    /// All about one thing that is owned or placed, by its code.
    ///
    /// # Errors
    /// `no-code` where nothing has it.
    pub fn kit_detail_answer(&mut self, code: &str, form: Form) -> Result<String, Problem> {
        let rows = kit_page(&self.look()?).rows;
        let row = rows.iter().find(|r| r.code.eq_ignore_ascii_case(code.trim()));
        let found = row.and_then(|r| Some((r, self.detail(DetailOf::Kit(r.kind, r.id))?)));
        let Some((row, Detail::Kit(detail))) = found else {
            return Err(Problem::new(ProblemKind::Data, "no-code", format!("nothing has the code {code:?}"))
                .hint("ladderday kit list WORDS finds it"));
        };
        Ok(match form {
            Form::Json => text(&say::kit::detail_document(row, detail)),
            Form::Text => say::kit::detail_text(row, &detail),
        })
    }

    /// Every kind of fact with how many of it are told, or the rows of one kind.
    ///
    /// # Errors
    /// `unknown-kind` with the nearest.
    pub fn told_answer(&mut self, kind: Option<&str>, form: Form) -> Result<String, Problem> {
        let outlook = self.look()?;
        let Some(kind) = kind else {
            return Ok(match form {
                Form::Json => text(&say::told::kinds_document(&outlook)),
                Form::Text => say::told::kinds_text(&outlook),
            });
        };
        let table = table_called(kind).map_err(|f| {
            Problem::new(ProblemKind::Use, f.code, format!("{kind:?}: {}", f.what)).hint(f.remedy.clone())
        })?;
        let rows = rows(&outlook, table);
        Ok(match form {
            Form::Json => text(&say::told::document(&outlook, table, rows)),
            Form::Text => say::told::text(&outlook, table, &rows),
        })
    }

    /// Spares to carry at a service level in percent, else at the usual one.
    ///
    /// # Errors
    /// `bad-service` outside 50 to 99.9 %.
    pub fn spares_answer(&mut self, service_pct: Option<f64>, form: Form) -> Result<String, Problem> {
        let outlook = self.look()?;
        let (service, list) = spares_by_need(&outlook, service_pct)?;
        Ok(match form {
            Form::Json => text(&say::spares::document(&outlook, service, &list)),
            Form::Text => say::spares::text(&outlook, service, &list),
        })
    }

    /// Failure rates, comparisons, survival, durations, and what they say.
    ///
    /// # Errors
    /// What the store says of the file.
    pub fn history_answer(&mut self, form: Form) -> Result<String, Problem> {
        let history = history(&self.look()?);
        Ok(match form {
            Form::Json => text(&say::history::document(&history)),
            Form::Text => say::history::text(&history),
        })
    }

    /// Seasons, newest first.
    ///
    /// # Errors
    /// What the store says of the file.
    pub fn seasons_answer(&mut self, form: Form) -> Result<String, Problem> {
        let rows = seasons_page(&self.look()?).rows;
        Ok(match form {
            Form::Json => text(&say::seasons::document(rows)),
            Form::Text => say::seasons::text(&rows),
        })
    }

    /// What was done differently in a season and is not decided on, one line each.
    ///
    /// # Errors
    /// What the store says of the file.
    pub fn differences(&mut self, season: &str) -> Result<Vec<String>, Problem> {
        Ok(differences(&self.look()?, season))
    }

    /// Sessions from today on, or all.
    ///
    /// # Errors
    /// What the store says of the file.
    pub fn sessions_answer(&mut self, all: bool, form: Form) -> Result<String, Problem> {
        let outlook = self.look()?;
        let list = sessions(&outlook, all);
        Ok(match form {
            Form::Json => text(&say::sessions::document(&outlook, &list)),
            Form::Text => say::sessions::text(&outlook, &list),
        })
    }

    /// Checks power, signal, stock, or all of them; with changes tried, as it would be then.
    ///
    /// # Errors
    /// `no-season` where there is none; what the trial names and is not there.
    pub fn check(&mut self, kinds: &[CheckKind], what_if: &WhatIf) -> Result<Checked, Problem> {
        Ok(check_answer(&self.look()?, kinds, what_if, None)?.checked)
    }

    /// The answer of `check`; true where nothing must stop the work. With changes tried, what they change and what would
    /// then be found. Numbers are proposed in the way asked for, else in the season's.
    ///
    /// # Errors
    /// As [`App::check`].
    pub fn check_answer(
        &mut self,
        kinds: &[CheckKind],
        what_if: &WhatIf,
        numbering: Option<Numbering>,
        form: Form,
    ) -> Result<(bool, String), Problem> {
        let answer: CheckAnswer = check_answer(&self.look()?, kinds, what_if, numbering)?;
        let fine = !answer.checked.must_stop();
        Ok((
            fine,
            match form {
                Form::Json => text(&say::check::document(answer)),
                Form::Text => say::check::text(&answer),
            },
        ))
    }

    /// What `demo` prints without a terminal: today's plan, open faults, the buying list.
    ///
    /// # Errors
    /// As [`App::plan`].
    pub fn overview(&mut self, form: Form) -> Result<String, Problem> {
        self.catch_up()?;
        let plan = self.plan(self.outlook().phase_now(), THOROUGH)?;
        let build = self.build_plan();
        let outlook = self.outlook();
        let mut open = faults_page(&outlook, build.as_deref()).rows;
        open.retain(|r| !r.ended);
        let buy = buy_page(&outlook, build.as_deref(), &BuyChoice::default())?;
        Ok(match form {
            Form::Json => text(&OverviewDoc {
                plan: say::plan::document(&outlook, &plan, None),
                faults: say::faults::document(&outlook, open).faults,
                buy: say::buy::document(buy),
            }),
            Form::Text => format!(
                "{}\nOpen faults\n{}\nTo buy\n{}",
                checklist_text(&sheet(&outlook, &plan, &Pick::default())?),
                say::faults::text(&outlook, &open),
                say::buy::text(&buy)
            ),
        })
    }
}
