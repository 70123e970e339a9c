//! Why a step is not placed, and what would help.

use super::engine::{Reason, Unplaced};
use crate::steps::{Step, StepKey};

/// One step that is not placed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    pub key: StepKey,
    /// Stable: `held`, `circle`, `waits_for_unplaced`, `no_session`, `too_long`, `no_time_left`, `too_few_people`,
    /// `no_skill`, `alone`, `no_equipment`, `capacity`, `taken`, `time_unknown`, `too_late_after`, `left_out`.
    pub code: &'static str,
    pub why: String,
    pub remedy: String,
}

/// Says the engine's reason in the yard's words. `titles` names an activity, `skill` a skill bit, `tool` a tool
/// need of this step, `limit` the forecast limits that cut its windows away.
pub(super) struct Wording<'a> {
    pub(super) title: &'a dyn Fn(usize) -> String,
    pub(super) skill: &'a dyn Fn(u32) -> String,
    pub(super) resource: &'a dyn Fn(usize) -> String,
    /// What is said where the rest of a divided step is what is waited for.
    pub(super) rest: &'a dyn Fn(usize) -> Option<String>,
    /// Who lacks what of what the hands of a step need.
    /// A length in the units of the site.
    pub(super) length: &'a dyn Fn(crate::units::Length) -> String,
    pub(super) lacks: &'a dyn Fn(&Step) -> String,
    pub(super) cut_by: &'a dyn Fn(usize) -> Option<String>,
    /// The other show that keeps the step's pieces or place while it is lit.
    pub(super) lit_by: &'a dyn Fn(usize) -> Option<String>,
}

impl Wording<'_> {
    pub(super) fn refusal(&self, step: &Step, unplaced: Unplaced) -> Refusal {
        let (code, why, remedy) = match unplaced.reason {
            Reason::Held => (
                "held",
                step.held.clone().unwrap_or_else(|| "held back".to_owned()),
                "let it go on when what holds it is settled".to_owned(),
            ),
            Reason::Circle => (
                "circle",
                "it and other steps wait for each other".to_owned(),
                "change what carries what, or the order of the recipe".to_owned(),
            ),
            Reason::PredecessorUnplaced(p) if (self.rest)(p).is_some() => (
                "waits_for_unplaced",
                (self.rest)(p).unwrap_or_default(),
                "count what is done of it: the rest is planned then".to_owned(),
            ),
            Reason::PredecessorUnplaced(p) => (
                "waits_for_unplaced",
                format!("it comes after \"{}\", which is not placed", (self.title)(p)),
                "settle that step first".to_owned(),
            ),
            Reason::NoWindow if (self.lit_by)(unplaced.activity).is_some() => {
                let show = (self.lit_by)(unplaced.activity).unwrap_or_default();
                (
                    "no_session",
                    format!("{show} is lit: no session left lies after its last night, or outside its hours"),
                    format!("add a session after the last night of {show}"),
                )
            }
            Reason::NoWindow => match (self.cut_by)(unplaced.activity) {
                Some(limit) => (
                    "no_session",
                    format!("every session's forecast breaks its limits or its light: {limit}"),
                    "add a session in better weather or light, or correct the forecast".to_owned(),
                ),
                None => (
                    "no_session",
                    format!("no session has the light it needs ({})", step.light.as_str()),
                    "add a session in that light, or work lights".to_owned(),
                ),
            },
            Reason::NoWindowLongEnough { longest, needed } => (
                "too_long",
                format!("it takes {needed} minutes with moving, the longest time it fits in has {longest}"),
                "add a longer session, or tell it in smaller parts".to_owned(),
            ),
            Reason::TooLate { .. } => (
                "no_time_left",
                "no session is left after what it waits for".to_owned(),
                "add a session, or begin what it waits for earlier".to_owned(),
            ),
            Reason::Deadline { .. } if step.not_after.is_some() => (
                "no_time_left",
                format!(
                    "the buried-line marks expire before it can be done ({})",
                    step.not_after.map_or_else(String::new, |t| t.date().to_string())
                ),
                "ask for new marks and tell their date, or add an earlier session".to_owned(),
            ),
            Reason::Deadline { .. } => (
                "no_time_left",
                "its latest time passes before it can be done".to_owned(),
                "add an earlier session".to_owned(),
            ),
            Reason::Within(p) => (
                "too_late_after",
                format!("it must follow \"{}\" in time, and can't", (self.title)(p)),
                "add a session right after that step, on the same day where it asks for it".to_owned(),
            ),
            Reason::Hands { needed, most } => (
                "too_few_people",
                format!("it takes {needed} people, at most {most} ever come at once"),
                "ask one more to a session".to_owned(),
            ),
            Reason::Skill { bit } => (
                "no_skill",
                format!("nobody who comes can do \"{}\"", (self.skill)(bit)),
                "ask someone who can, or enter the skill".to_owned(),
            ),
            Reason::Needs => (
                "no_skill",
                format!("its hands are never filled at once ({}): {}", hands(step), (self.lacks)(step)),
                "ask someone who can, or enter the skill".to_owned(),
            ),
            Reason::Alone => (
                "alone",
                "it is not done alone, and nobody else is there".to_owned(),
                if step.may_be_alone() {
                    "a second person; or confirm it is done alone: step alone, key j in Walk".to_owned()
                } else {
                    "a second person: this is never done alone".to_owned()
                },
            ),
            Reason::NoTool { need } => {
                let word = step.ladder().filter(|_| need == 0).unwrap_or("ladder").replace('_', " ");
                let word = match step.ladder_size() {
                    Some(size) => format!("{word} of {} or longer", (self.length)(size)),
                    None => word,
                };
                let article = if word.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
                (
                    "no_equipment",
                    format!("no {word} is owned in good order"),
                    format!("borrow or enter {article} {word}"),
                )
            }
            Reason::Capacity { resource, needed, most } => (
                "capacity",
                format!("{} has {most}, it takes {needed}", (self.resource)(resource)),
                "make room, or enter more".to_owned(),
            ),
            Reason::Taken => (
                "taken",
                "people or equipment are at other work in every session left".to_owned(),
                "add a session or a helper".to_owned(),
            ),
        };
        Refusal { key: step.key.clone(), code, why, remedy }
    }
}

/// As `roof + any`.
fn hands(step: &Step) -> String {
    let hand = |h: &Vec<String>| if h.is_empty() { "any".to_owned() } else { h.join(" ") };
    step.needs().iter().map(hand).collect::<Vec<_>>().join(" + ")
}
