//! What Buy tries without touching facts: a budget, fewer vendors, a need dropped.

use super::{Flow, Part};
use crate::app::BuyChoice;
use crate::tui::effect::Effect;
use crate::tui::popup::{Answer, Flow as Any, Pick, Prompt};
use crate::tui::state::State;

/// One thing to try.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Try {
    Budget,
    /// Only vendors nearby, or all again.
    Local,
    /// The need with this title is dropped.
    Without(String),
    Close,
    Facts,
}

/// Offers what can be tried.
pub fn offer(state: &mut State) -> Vec<Effect> {
    let here = &state.buy;
    let nearby = if here.choice.local { "All vendors again" } else { "Only vendors nearby" };
    let mut tries = vec![
        (Try::Budget, "A budget".to_owned(), "least worth is left out first".to_owned()),
        (Try::Local, nearby.to_owned(), String::new()),
        (Try::Close, "A vendor is closed".to_owned(), String::new()),
    ];
    let marked = here.list.marked().and_then(|n| here.page.as_ref()?.needs.get(n));
    if let Some(need) = marked {
        let title = need.title.clone();
        tries.push((Try::Without(title), format!("Without: {}", need.title), "the marked need".to_owned()));
    }
    if !here.choice.is_plain() {
        tries.push((Try::Facts, "Back to the facts".to_owned(), "nothing is tried".to_owned()));
    }
    let (mut rows, mut what) = (Vec::new(), Vec::new());
    for (one, text, about) in tries {
        what.push(one);
        rows.push((text, about));
    }
    state.open(Pick::digits("What if? No fact is touched", rows, Any::Buy(Flow::Try { what })))
}

/// Takes which thing is tried.
pub fn tried(state: &mut State, what: &[Try], answer: &Answer) -> Vec<Effect> {
    let Some(one) = answer.row().and_then(|row| what.get(row)) else { return Vec::new() };
    let mut choice = state.buy.choice.clone();
    match one {
        Try::Budget => {
            let takes = "an amount like 150; nothing means no limit";
            return state.open(Prompt::ask("No more than how much in all?", takes, Any::Buy(Flow::Budget)));
        }
        Try::Close => {
            let open = state.buy.page.iter().flat_map(|p| &p.vendors);
            let vendors: Vec<_> = open.filter(|(code, _)| !choice.close.contains(code)).cloned().collect();
            if vendors.is_empty() {
                return state.refuse("No vendor is left that could be closed");
            }
            let rows = vendors.iter().map(|(code, name)| (name.clone(), code.clone())).collect();
            let codes = vendors.into_iter().map(|(code, _)| code).collect();
            let flow = Any::Buy(Flow::Shut { codes });
            return state.open(Pick::digits("Which vendor is closed?", rows, flow));
        }
        Try::Local => choice.local = !choice.local,
        Try::Without(title) => choice.without.push(title.clone()),
        Try::Facts => choice = BuyChoice::default(),
    }
    show(state, choice)
}

/// Takes a budget; nothing lifts it.
pub fn budget(state: &mut State, answer: Answer) -> Vec<Effect> {
    let limit = match answer.text().map(|text| BuyChoice::read_budget(&text)).transpose() {
        Ok(limit) => limit,
        Err(problem) => return state.ask_again(problem.what),
    };
    let choice = BuyChoice { budget: limit, ..state.buy.choice.clone() };
    show(state, choice)
}

/// Takes the vendor that is closed.
pub fn shut(state: &mut State, codes: &[String], answer: &Answer) -> Vec<Effect> {
    let Some(code) = answer.row().and_then(|row| codes.get(row)) else { return Vec::new() };
    let mut choice = state.buy.choice.clone();
    choice.close.push(code.clone());
    show(state, choice)
}

/// Computes the page with a choice and shows what it changes.
fn show(state: &mut State, choice: BuyChoice) -> Vec<Effect> {
    state.buy.part = if choice.is_plain() { Part::Needs } else { Part::Tried };
    state.buy.top = 0;
    if choice.is_plain() {
        state.say("As the facts are");
    }
    state.buy.choice = choice;
    vec![Effect::Load(state.screen)]
}
