//! What Power asks for: something to try, a way of numbering.

use super::state::Part;
use crate::answers::power::WhatIf;
use crate::answers::view::Power;
use crate::app::Ask;
use crate::domain::Numbering;
use crate::tui::effect::Effect;
use crate::tui::popup::{Answer, Flow as Any, Pick, Prompt};
use crate::tui::state::State;

/// What Power asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Flow {
    What,
    /// The rest of a change that begins with this word.
    Change(&'static str),
    Way,
}

const CHANGES: [(&str, &str, &str); 3] = [
    ("level", "Another level", "the level in percent: 60"),
    ("gauge", "Another wire in a lead", "a lead, then its gauge or mm2"),
    ("feed", "One more feed into a prop", "a string, then the pixel"),
];

const WAYS: [(Numbering, &str, &str); 3] = [
    (Numbering::RunOn, "Numbers run on", "a pixel may lie in two universes"),
    (Numbering::NoSplit, "No pixel split", "left-over slots at a universe's end stay empty"),
    (Numbering::Fresh, "Each prop starts fresh", "a universe of its own for each"),
];

/// The way of numbering in words.
pub fn way_words(way: Option<Numbering>) -> &'static str {
    WAYS.iter().find(|(w, ..)| way.unwrap_or(Numbering::NoSplit) == *w).map_or("", |(_, words, _)| words)
}

/// Offers what can be tried.
pub fn try_change(state: &mut State) -> Vec<Effect> {
    let mut rows: Vec<_> =
        CHANGES.iter().map(|(_, what, takes)| ((*what).to_owned(), (*takes).to_owned())).collect();
    if !state.power.what_if.is_empty() {
        rows.push(("Back to the facts".to_owned(), state.power.what_if.show()));
    }
    state.open(Pick::digits("What if? No fact is touched", rows, Any::Power(Flow::What)))
}

/// Offers the ways of numbering.
pub fn propose(state: &mut State) -> Vec<Effect> {
    let rows = WAYS.iter().map(|(_, words, about)| ((*words).to_owned(), (*about).to_owned())).collect();
    state.open(Pick::digits("Propose numbers: how?", rows, Any::Power(Flow::Way)))
}

/// Writes what is proposed, once it was seen.
pub fn write(state: &mut State) -> Vec<Effect> {
    let Some(page) = &state.power.page else { return Vec::new() };
    if !page.numbers.iter().any(|n| n.proposed) {
        return state.refuse(if page.numbers.is_empty() {
            "No data lead to a prop with pixels is told: there is nothing to number"
        } else {
            "Every data lead has its numbers: nothing is proposed"
        });
    }
    if state.power.part != Part::Numbers {
        state.power.part = Part::Numbers;
        state.power.at = page.numbers.iter().position(|n| n.proposed).unwrap_or(0);
        return state
            .say("These are the numbers proposed; k once more writes them, n proposes in another way");
    }
    vec![Effect::Perform(Ask::WriteNumbers { way: page.numbering })]
}

/// Whether the page shows the lead, or the string and its pixel, that a trial names.
fn is_there(page: &Power, kind: &str, text: &str) -> Result<(), String> {
    let (name, rest) = text.split_once(' ').unwrap_or((text, ""));
    match kind {
        "gauge"
            if !page.nodes.iter().filter_map(|n| n.lead.as_ref()).any(|l| l.eq_ignore_ascii_case(name)) =>
        {
            Err(format!("there is no lead {name:?} with a load told"))
        }
        "feed" => match page.strings.iter().find(|s| s.code.eq_ignore_ascii_case(name)) {
            None => Err(format!("there is no string {name:?} with a voltage computed")),
            Some(s) if rest.trim().parse::<usize>().is_ok_and(|p| p > s.millivolts.len()) => {
                Err(format!("{name} has {} pixels", s.millivolts.len()))
            }
            Some(_) => Ok(()),
        },
        _ => Ok(()),
    }
}

/// Where one stands is what is most likely meant.
fn here(state: &State, kind: &str) -> Option<String> {
    let page = state.power.page.as_ref()?;
    match (state.power.part, kind) {
        (Part::Tree, "gauge") => page.nodes.get(state.power.at)?.lead.clone(),
        (Part::Voltage, "feed") => page.strings.get(state.power.at).map(|s| s.code.clone()),
        _ => None,
    }
}

/// Takes an answer.
pub fn answer(state: &mut State, flow: Flow, answer: Answer) -> Vec<Effect> {
    match flow {
        Flow::What => {
            if let Some((kind, what, takes)) = answer.row().and_then(|row| CHANGES.get(row)) {
                let text = here(state, kind).map_or_else(String::new, |h| format!("{h} "));
                return state.open(Prompt::with(*what, *takes, &text, Any::Power(Flow::Change(kind))));
            }
            state.power.what_if = WhatIf::default();
            state.say("As the facts are");
            vec![Effect::Load(state.screen)]
        }
        Flow::Change(kind) => {
            let Some(text) = answer.text() else {
                return state.say("Nothing tried");
            };
            let known = state.power.page.as_ref().map_or(Ok(()), |page| is_there(page, kind, &text));
            let tried = state.power.what_if.with(&format!("{kind} {text}")).map_err(|p| p.what);
            match known.and(tried) {
                Ok(tried) => {
                    state.power.what_if = tried;
                    state.power.part = Part::Tried;
                    state.power.at = 0;
                    vec![Effect::Load(state.screen)]
                }
                Err(why) => state.ask_again(why),
            }
        }
        Flow::Way => {
            let way = answer.row().and_then(|row| WAYS.get(row)).map(|(way, ..)| *way);
            state.power.numbering = way.or(state.power.numbering);
            state.power.part = Part::Numbers;
            state.power.at = 0;
            vec![Effect::Load(state.screen)]
        }
    }
}
