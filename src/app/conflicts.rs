//! What copies told apart of one column: shown with who told what, decided by the owner.

use std::fmt::Write as _;

use uuid::Uuid;

use super::app::App;
use super::commands::Form;
use crate::answers::problem::{Problem, ProblemKind};
use crate::answers::view::ToldApart;
use crate::domain::{CellKind, Column, TABLES, Value};
use crate::exchange::csv::show_cell;
use crate::exchange::json::{ConflictDoc, RivalDoc, text};
use crate::store::Conflict;

impl App {
    /// The contradictions that wait for a decision: every value, with the copy that told it and when.
    ///
    /// # Errors
    /// Where the file can't be read.
    pub fn conflicts_answer(&self, form: Form) -> Result<String, Problem> {
        let list = self.store.conflicts()?;
        if form == Form::Json {
            return Ok(text(&list.iter().map(|c| self.conflict_doc(c)).collect::<Vec<_>>()));
        }
        let mut out = String::new();
        for conflict in &list {
            let doc = self.conflict_doc(conflict);
            let _ = writeln!(out, "{}  {} of {} {}", doc.code, doc.column, doc.kind, doc.of);
            for (n, rival) in doc.rivals.iter().enumerate() {
                let stands = if n == 0 { "  stands now" } else { "" };
                let _ = writeln!(
                    out,
                    "    {:?}  copy {}, {}{stands}",
                    rival.value,
                    rival.copy,
                    rival.when.as_deref().unwrap_or("time not known")
                );
            }
        }
        if list.is_empty() {
            out.push_str("nothing to decide\n");
        } else {
            out.push_str("decide with: ladderday conflict decide CODE VALUE\n");
        }
        Ok(out)
    }

    /// Decides one for one of its values, as `conflict list` shows it: `no-conflict`, `not-a-rival`.
    pub(super) fn decide_conflict(&mut self, code: &str, value: &str) -> Result<String, Problem> {
        let list = self.store.conflicts()?;
        let Some(conflict) = list.iter().find(|c| c.code.eq_ignore_ascii_case(code)) else {
            let codes: Vec<&str> = list.iter().map(|c| c.code.as_str()).collect();
            let known = if codes.is_empty() { "there is none".to_owned() } else { codes.join(", ") };
            let what = format!("there is no conflict {code:?} to decide");
            return Err(
                Problem::new(ProblemKind::Data, "no-conflict", what).hint(format!("to decide: {known}"))
            );
        };
        let doc = self.conflict_doc(conflict);
        let typed = value.trim();
        let chosen = conflict.rivals.iter().zip(&doc.rivals).find(|(_, shown)| shown.value.trim() == typed);
        let Some((rival, shown)) = chosen else {
            let values: Vec<String> = doc.rivals.iter().map(|r| format!("{:?}", r.value)).collect();
            let what = format!("{value:?} is none of the values of {}", doc.code);
            return Err(Problem::new(ProblemKind::Data, "not-a-rival", what)
                .hint(format!("choose one of {}, then change it as any other", values.join(", "))));
        };
        let now = self.now().timestamp_millis();
        let (entry, row) = self.store.decide(conflict, &rival.value, now)?;
        self.follow(&[row])?;
        self.written.entry(Some(&entry));
        Ok(format!("decided {}: {} of {} {} is {:?}", doc.code, doc.column, doc.kind, doc.of, shown.value))
    }

    /// The same, to pick from.
    pub(super) fn told_apart(&self) -> Result<Vec<ToldApart>, Problem> {
        let list = self.store.conflicts()?;
        Ok(list
            .iter()
            .map(|conflict| {
                let doc = self.conflict_doc(conflict);
                let told =
                    doc.rivals.into_iter().zip(&conflict.rivals).enumerate().map(|(n, (shown, rival))| {
                        let who = match rival.copy.as_str() {
                            "" => "not known who told it".to_owned(),
                            copy => format!("copy {copy}, {}", self.outlook().say_ms(rival.at_ms)),
                        };
                        (shown.value, if n == 0 { format!("{who}; stands now") } else { who })
                    });
                let what =
                    format!("{} of {} {}", doc.column.replace('_', " "), doc.kind.replace('_', " "), doc.of);
                ToldApart { code: doc.code, what, values: told.collect() }
            })
            .collect())
    }

    fn conflict_doc(&self, conflict: &Conflict) -> ConflictDoc {
        let column =
            TABLES.iter().find(|t| t.name == conflict.table).and_then(|t| t.column(&conflict.column));
        let rivals = conflict.rivals.iter().map(|r| RivalDoc {
            value: self.rival_text(column, &r.value),
            copy: r.copy.clone(),
            // The journal tells the copy, not who sat at it.
            who: None,
            when: (!r.copy.is_empty()).then(|| self.outlook().rfc3339(r.at_ms)),
        });
        ConflictDoc {
            code: conflict.code.clone(),
            kind: conflict.table.clone(),
            of: self.code_of_row(&conflict.table, &conflict.row_id),
            column: conflict.column.clone(),
            rivals: rivals.collect(),
        }
    }

    fn rival_text(&self, column: Option<&Column>, value: &Value) -> String {
        match (column, value) {
            (Some(Column { kind: CellKind::Refers(to), .. }), Value::Text(id)) => self.code_of_row(to, id),
            (Some(column), _) => show_cell(column, value, Some(self.zone())),
            // When a row ended.
            (None, Value::Int(ms)) => self.outlook().say_ms(*ms),
            (None, Value::Text(text)) => text.clone(),
            (None, Value::Null) => String::new(),
        }
    }

    /// The code of a row that holds, or its id.
    fn code_of_row(&self, table: &str, id: &str) -> String {
        let named = Uuid::parse_str(id).ok().and_then(|id| self.yard().names(&[(table, id)]).remove(&id));
        named.unwrap_or_else(|| id.to_owned())
    }
}
