//! The form of any kind of fact: a line a column, what is wrong at its line, and nothing typed lost.
//!
//! Not here: what a column takes and who is referred to (`answers::told`), reading what is typed (`exchange::tell`).

use super::action::Action;
use super::effect::Effect;
use super::listing::moved;
use super::popup::{Answer, Flow as Any, Pick, Popup, Prompt};
use super::state::State;
use super::widgets::Field;
use crate::answers::column_words::kind_said;
use crate::answers::told::{FormField, FormPage};
use crate::app::{Ask, Problem};

/// What telling asks for, with what was answered before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Flow {
    /// The picked row is one of these kinds.
    Kind(Vec<&'static str>),
    /// The picked row is a new one, or one of these.
    Row { kind: &'static str, ids: Vec<Option<String>> },
    /// What the marked field of the form below is to tell.
    Choice(Vec<String>),
    /// Why a row ends.
    Why { kind: String, code: String },
}

/// What is asked of the facts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Want {
    Kinds,
    Rows(&'static str),
    /// By its code or id; a new one where none is named.
    Form(&'static str, Option<String>),
}

/// The form of a row.
pub fn of(kind: &'static str, called: impl ToString) -> Vec<Effect> {
    vec![Effect::Tell(Want::Form(kind, Some(called.to_string())))]
}

/// One line of a form.
#[derive(Debug, Clone)]
pub struct Line {
    pub of: FormField,
    pub field: Field,
    /// Why it was refused.
    pub fault: Option<String>,
}

impl Line {
    fn changed(&self) -> bool {
        self.field.text().trim() != self.of.text.trim()
    }
}

/// A form that is open, or was closed with something typed.
#[derive(Debug, Clone)]
pub struct Form {
    pub kind: &'static str,
    pub id: Option<String>,
    pub title: String,
    pub lines: Vec<Line>,
    pub at: usize,
    /// What is wrong with it as a whole.
    pub refusal: Option<String>,
}

impl Form {
    fn of(page: FormPage) -> Self {
        let line = |of: FormField| Line { field: Field::marked(&of.text), of, fault: None };
        Self {
            kind: page.kind,
            id: page.id,
            title: page.title,
            lines: page.fields.into_iter().map(line).collect(),
            at: 0,
            refusal: None,
        }
    }

    pub fn line(&self) -> Option<&Line> {
        self.lines.get(self.at)
    }

    /// Whether something was typed that is not told yet.
    pub fn changed(&self) -> bool {
        self.lines.iter().any(Line::changed)
    }

    /// Line by line: a text is the marked line's and goes on, nothing goes on, `-` empties it, `save` and `end` act.
    pub fn typed(&mut self, typed: &str) -> Option<Action> {
        match typed {
            "save" => return Some(Action::SaveForm),
            "end" => return Some(Action::EndFact),
            "list" => return Some(Action::AcceptText),
            _ => {}
        }
        let line = self.lines.get_mut(self.at)?;
        if !typed.is_empty() {
            line.field = Field::new(if typed == "-" { "" } else { typed });
            line.fault = None;
        }
        (self.at + 1 < self.lines.len()).then_some(Action::MoveDown).or(Some(Action::SaveForm))
    }

    /// The marked line as it is read aloud.
    pub fn spoken(&self) -> Vec<String> {
        let Some(line) = self.line() else { return Vec::new() };
        let mut out: Vec<String> = self.refusal.iter().map(|why| format!("Not taken: {why}")).collect();
        out.extend(line.fault.iter().map(|why| format!("Not taken: {why}")));
        let now = line.field.text();
        let now = if now.is_empty() { String::new() } else { format!(" Now: {now}.") };
        let (title, label, takes) = (&self.title, &line.of.label, &line.of.takes);
        let list = if line.of.choices.is_empty() { "" } else { ", list" };
        let n = self.at + 1;
        out.push(format!(
            "{title}, line {n} of {}, {label}: takes {takes}.{now} Else: -, save, end, esc{list}",
            self.lines.len()
        ));
        out
    }

    /// What it tells.
    fn ask(&self) -> Ask {
        let told = self.lines.iter().filter(|l| l.changed());
        let cells = told.map(|l| (l.of.column.to_owned(), l.field.text().trim().to_owned())).collect();
        Ask::Tell { kind: self.kind.to_owned(), code: self.id.clone(), cells }
    }

    /// Puts what was refused at its lines, and marks the first.
    fn refused(&mut self, problem: &Problem) {
        for line in &mut self.lines {
            let of = |(column, _): &&(String, String)| *column == line.of.header || *column == line.of.column;
            line.fault = problem.at.iter().find(of).map(|(_, text)| text.clone());
        }
        if let Some(at) = self.lines.iter().position(|l| l.fault.is_some()) {
            self.at = at;
        }
        let elsewhere = self.lines.iter().all(|l| l.fault.is_none());
        let hints = problem.hints.iter().fold(String::new(), |all, h| format!("{all}. {h}"));
        self.refusal = elsewhere.then(|| format!("{}{hints}", problem.what.replace('\n', "; ")));
    }
}

/// Every kind, to tell one of.
pub fn ask_kind(state: &mut State, kinds: Vec<(&'static str, String, usize)>) {
    let rows = kinds.iter().map(|(kind, about, n)| (format!("{}  {about}", kind_said(kind)), n.to_string()));
    let flow = Any::Tell(Flow::Kind(kinds.iter().map(|k| k.0).collect()));
    state.popups.push(Pick::letters("Tell what? Letters find it", rows.collect(), flow));
}

/// The rows of a kind: a new one, or one to change.
pub fn ask_row(state: &mut State, kind: &'static str, rows: Vec<(String, String, String)>) -> Vec<Effect> {
    if kind == "site" {
        let id = rows.first().map(|r| r.0.clone());
        return vec![Effect::Tell(Want::Form(kind, id))];
    }
    if rows.is_empty() {
        return vec![Effect::Tell(Want::Form(kind, None))];
    }
    let word = kind_said(kind);
    let mut lines = vec![(format!("a new {word}"), String::new())];
    lines.extend(rows.iter().map(|(_, name, code)| (name.clone(), code.clone())));
    let ids = std::iter::once(None).chain(rows.iter().map(|r| Some(r.0.clone()))).collect();
    let flow = Any::Tell(Flow::Row { kind, ids });
    state.open(Pick::letters(format!("Which {word}?"), lines, flow))
}

/// Opens a form; as it was left where something typed in it is not told yet.
pub fn open(state: &mut State, page: FormPage) {
    let left = state.left.take().filter(|f| f.kind == page.kind && f.id == page.id);
    if left.is_some() {
        state.say("As it was left; Ctrl-U empties a line");
    }
    state.popups.push(Popup::Form(left.unwrap_or_else(|| Form::of(page))));
}

/// An action while a form is open on top.
pub fn update(state: &mut State, action: Action) -> Vec<Effect> {
    let Some(Popup::Form(form)) = state.popups.last_mut() else { return Vec::new() };
    if let Some(at) = moved(form.at, form.lines.len(), action) {
        form.at = at;
        return Vec::new();
    }
    let last = form.lines.len().saturating_sub(1);
    match action {
        Action::SaveForm => {
            let ask = form.ask();
            if !form.changed() && form.id.is_some() {
                return state.refuse("Nothing was changed; Esc closes");
            }
            state.asked = state.popups.pop();
            return vec![Effect::Perform(ask)];
        }
        Action::EndFact => {
            let (kind, id, title) = (form.kind.to_owned(), form.id.clone(), form.title.clone());
            let Some(id) = id else {
                return state.refuse("It is not told yet; Esc closes");
            };
            let flow = Any::Tell(Flow::Why { kind, code: id });
            let ask = format!("{title} ends: why? Its history stays");
            state.popups.push(Prompt::ask(ask, "a reason; empty is fine", flow));
        }
        Action::AcceptText => {
            let choices = form.line().map(|l| l.of.choices.clone()).unwrap_or_default();
            if choices.is_empty() {
                form.at = (form.at + 1).min(last);
                return Vec::new();
            }
            let label = form.line().map_or_else(String::new, |l| l.of.label.clone());
            let mut rows = vec![("not told".to_owned(), String::new())];
            rows.extend(choices.iter().cloned());
            let texts = std::iter::once(String::new()).chain(choices.into_iter().map(|c| c.0)).collect();
            state.popups.push(Pick::letters(label, rows, Any::Tell(Flow::Choice(texts))));
        }
        _ => {
            if let Some(line) = form.lines.get_mut(form.at)
                && line.field.edit(action)
            {
                line.fault = None;
            }
        }
    }
    Vec::new()
}

/// Closed without saving: what was typed is kept for the next time.
pub fn left(state: &mut State, form: Form) {
    if form.changed() {
        state.say("What was typed is kept: open it again to go on");
        state.left = Some(form);
    }
}

/// Takes an answer to what telling asked.
pub fn answer(state: &mut State, flow: Flow, answer: Answer) -> Vec<Effect> {
    match flow {
        Flow::Kind(kinds) => {
            let kind = answer.row().and_then(|row| kinds.get(row).copied());
            kind.map_or_else(Vec::new, |kind| vec![Effect::Tell(Want::Rows(kind))])
        }
        Flow::Row { kind, ids } => {
            let id = answer.row().and_then(|row| ids.get(row).cloned());
            id.map_or_else(Vec::new, |id| vec![Effect::Tell(Want::Form(kind, id))])
        }
        Flow::Choice(texts) => {
            state.asked = None;
            if let (Some(text), Some(Popup::Form(form))) =
                (answer.row().and_then(|row| texts.get(row)), state.popups.last_mut())
            {
                let last = form.lines.len().saturating_sub(1);
                if let Some(line) = form.lines.get_mut(form.at) {
                    line.field = Field::marked(text);
                    line.fault = None;
                }
                form.at = (form.at + 1).min(last);
            }
            Vec::new()
        }
        Flow::Why { kind, code } => {
            let why = answer.text();
            // The form of what ends goes with it.
            if matches!(state.popups.last(), Some(Popup::Form(form)) if form.id.as_ref() == Some(&code)) {
                state.popups.pop();
            }
            vec![Effect::Perform(Ask::End { kind, code, why })]
        }
    }
}

/// What a form asked for was refused: it comes back with why, at its lines.
pub fn refused(state: &mut State, mut form: Form, problem: &Problem) {
    form.refused(problem);
    let faults = form.lines.iter().filter(|l| l.fault.is_some()).count();
    state.refuse(match faults {
        0 => problem.what.replace('\n', "; "),
        1 => "One line is not right; what is meant stands there".to_owned(),
        n => format!("{n} lines are not right; what is meant stands there"),
    });
    state.popups.push(Popup::Form(form));
}
