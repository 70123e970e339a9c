//! Buy: what next year needs, where from, by when.
//!
//! Not here: needs and baskets (`buying`).

pub mod state;
pub mod trial;
pub mod view;

pub use state::{BuyState, Part};

use super::no_use;
use crate::answers::words::say_date;
use crate::app::{Ask, NewOffer};
use crate::tui::action::Action;
use crate::tui::effect::Effect;
use crate::tui::listing::{moved, turned};
use crate::tui::popup::{Answer, Flow as Any, Pick, Popup, Prompt};
use crate::tui::state::State;

/// What Buy asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Flow {
    Title,
    Quantity {
        title: String,
    },
    NeedBy {
        title: String,
        quantity: i64,
    },
    Vendor {
        product: String,
    },
    Price {
        product: String,
        vendor: String,
    },
    LeadDays {
        product: String,
        vendor: String,
        price: String,
        pack: i64,
    },
    Place {
        vendors: Vec<String>,
    },
    /// Shown with all its lines: placed or not.
    Placed {
        vendor: String,
    },
    Receive {
        orders: Vec<String>,
    },
    Into {
        order: String,
    },
    Expect {
        orders: Vec<String>,
    },
    ExpectOn {
        order: String,
    },
    Try {
        what: Vec<trial::Try>,
    },
    Budget,
    Shut {
        codes: Vec<String>,
    },
}

/// An action on Buy.
pub fn update(state: &mut State, action: Action) -> Vec<Effect> {
    match action {
        Action::NextSection | Action::MoveRight | Action::PrevSection | Action::MoveLeft => {
            let on = matches!(action, Action::NextSection | Action::MoveRight);
            state.buy.part = turned(&Part::ALL, state.buy.part, on);
            state.buy.top = 0;
            return Vec::new();
        }
        Action::TryChange => return trial::offer(state),
        Action::PlaceOrder if !state.buy.choice.is_plain() => {
            return state.refuse("This is only tried: w goes back to the facts, then order");
        }
        Action::AddNeed => {
            let popup = Prompt::ask(
                "What is needed?",
                "a name: spare lead 12 ft; or improve: what to do better",
                Any::Buy(Flow::Title),
            );
            return state.open(popup);
        }
        _ => {}
    }
    if let Some(effects) = orders(state, action) {
        return effects;
    }
    if state.buy.part != Part::Needs {
        let page = state.buy.page.as_ref();
        let lines = page.map_or(0, |page| view::rows(&view::part(&state.buy, page, usize::MAX).1));
        return match moved(state.buy.top, lines, action) {
            Some(top) => {
                state.buy.top = top;
                Vec::new()
            }
            None => no_use(state, action),
        };
    }
    if state.buy.list.step(action) {
        return Vec::new();
    }
    let need = state.buy.list.marked().and_then(|n| state.buy.page.as_ref()?.needs.get(n).cloned());
    match (action, need) {
        (Action::OpenRow, Some(need)) => {
            let mut lines = vec![
                ("quantity".to_owned(), need.quantity.to_string()),
                ("need by".to_owned(), need.need_by.map_or_else(|| "not told".to_owned(), say_date)),
                ("order by".to_owned(), need.order_by.map_or_else(|| "not known".to_owned(), say_date)),
                ("from".to_owned(), need.vendor.unwrap_or_else(|| "no offer told".to_owned())),
            ];
            lines.extend(need.reasons.into_iter().map(|r| ("because".to_owned(), r)));
            state.open(Popup::read(need.title, lines))
        }
        (Action::AddOffer, Some(need)) => {
            let title = format!("{}: at which vendor?", need.title);
            let flow = Any::Buy(Flow::Vendor { product: need.title });
            state.open(Prompt::ask(title, "its name or code", flow))
        }
        (Action::AddOffer, None) => state.refuse("Mark a need first; n adds one"),
        (Action::OpenRow, None) => state.refuse("There is no need to open; n adds one"),
        _ => no_use(state, action),
    }
}

/// Orders: written, received, told to come later.
fn orders(state: &mut State, action: Action) -> Option<Vec<Effect>> {
    let page = state.buy.page.as_ref()?;
    let rows_of = || -> Vec<(String, String)> {
        page.to_come()
            .map(|o| (format!("{}  {}", o.code, o.vendor), format!("expected {}", o.expected)))
            .collect()
    };
    let codes = || page.to_come().map(|o| o.code.clone()).collect::<Vec<_>>();
    let (title, rows, flow, none) = match action {
        Action::PlaceOrder => {
            let vendors: Vec<String> = page.baskets.iter().map(|b| b.vendor.clone()).collect();
            let rows = page.baskets.iter().map(|b| {
                (b.vendor.clone(), format!("{}, {}", b.total.show(&page.currency), view::order_by(b)))
            });
            ("Order at which vendor?", rows.collect(), Flow::Place { vendors }, "The basket is empty")
        }
        Action::ReceiveOrder => {
            ("What arrived?", rows_of(), Flow::Receive { orders: codes() }, "Nothing is on order")
        }
        Action::ExpectOrder => (
            "Which order comes another day?",
            rows_of(),
            Flow::Expect { orders: codes() },
            "Nothing is on order",
        ),
        _ => return None,
    };
    if rows.is_empty() {
        state.refuse(none);
    } else {
        state.popups.push(Pick::digits(title, rows, Any::Buy(flow)));
    }
    Some(Vec::new())
}

/// A product with how many of it; nothing means all that is to come.
type Arrived = (String, Option<i64>);

/// "C-TIE=200 C-PEG into T-07": products with how many, and the tote; nothing means all of it.
fn arrived(text: &str) -> Option<(Vec<Arrived>, Option<String>)> {
    let (what, into) = match text.split_once("into ") {
        Some((what, tote)) => (what, Some(tote.trim().to_owned())),
        None => (text, None),
    };
    let lines = what.split_whitespace().map(|word| match word.split_once('=') {
        Some((code, n)) => n.parse().ok().map(|n| (code.to_owned(), Some(n))),
        None => Some((word.to_owned(), None)),
    });
    Some((lines.collect::<Option<_>>()?, into))
}

/// "12.50" or "12.50 for 10".
fn price_and_pack(text: &str) -> Option<(String, i64)> {
    match text.split_once(" for ") {
        Some((price, pack)) => Some((price.trim().to_owned(), pack.trim().parse().ok()?)),
        None => Some((text.to_owned(), 1)),
    }
}

/// Takes an answer to what Buy asked.
pub fn answer(state: &mut State, flow: Flow, answer: Answer) -> Vec<Effect> {
    match flow {
        Flow::Title => {
            match answer.text() {
                Some(title) => {
                    let flow = Any::Buy(Flow::Quantity { title });
                    state.popups.push(Prompt::ask("How many?", "a number; nothing means 1", flow));
                }
                None => {
                    state.say("No need added");
                }
            }
            Vec::new()
        }
        Flow::Quantity { title } => {
            let text = answer.text().unwrap_or_else(|| "1".to_owned());
            match text.parse::<i64>() {
                Ok(quantity) if quantity > 0 => {
                    let flow = Any::Buy(Flow::NeedBy { title, quantity });
                    state.popups.push(Prompt::ask(
                        "Needed by when?",
                        "a date like 2026-10-12, or nothing",
                        flow,
                    ));
                }
                _ => {
                    state.ask_again(format!("\"{text}\": a whole number from 1 on is taken"));
                }
            }
            Vec::new()
        }
        Flow::Vendor { product } => {
            if let Some(vendor) = answer.text() {
                let flow = Any::Buy(Flow::Price { product, vendor });
                state.popups.push(Prompt::ask("What does it cost there?", "12.50, or 12.50 for 10", flow));
            } else {
                state.say("No price added");
            }
            Vec::new()
        }
        Flow::Price { product, vendor } => {
            let text = answer.text().unwrap_or_default();
            let Some((price, pack)) = price_and_pack(&text) else {
                return state.ask_again(format!("\"{text}\": 12.50, or 12.50 for 10, is taken"));
            };
            let flow = Any::Buy(Flow::LeadDays { product, vendor, price, pack });
            state.open(Prompt::ask("Days until it is sent?", "a number; nothing means at once", flow))
        }
        Flow::LeadDays { product, vendor, price, pack } => {
            let text = answer.text().unwrap_or_else(|| "0".to_owned());
            let Ok(lead_days) = text.parse() else {
                return state.ask_again(format!("\"{text}\": a whole number is taken"));
            };
            let new =
                NewOffer { vendor, product, price, pack, min_packs: 1, lead_days, ..NewOffer::default() };
            vec![Effect::Perform(Ask::AddOffer(new))]
        }
        Flow::Place { vendors } => {
            let vendor = answer.row().and_then(|row| vendors.get(row).cloned());
            let page = state.buy.page.as_ref();
            let found =
                vendor.zip(page).and_then(|(v, p)| Some((p.baskets.iter().find(|b| b.vendor == v)?, p)));
            if let Some((basket, page)) = found {
                let lines = basket
                    .lines
                    .iter()
                    .map(|l| (format!("{} x {} {}", l.packs, l.pack, l.item), l.price.show(&page.currency)));
                let total = format!("{} with shipping", basket.total.show(&page.currency));
                let rows: Vec<_> =
                    std::iter::once(("Place this order".to_owned(), total)).chain(lines).collect();
                let flow = Any::Buy(Flow::Placed { vendor: basket.vendor.clone() });
                state.popups.push(Pick::digits(
                    format!("Order at {}? Esc leaves it", basket.vendor),
                    rows,
                    flow,
                ));
            }
            Vec::new()
        }
        Flow::Placed { vendor } if answer.row() == Some(0) => vec![Effect::Perform(Ask::Order { vendor })],
        Flow::Placed { .. } => state.say("Nothing was ordered"),
        Flow::Receive { orders } => {
            if let Some(order) = answer.row().and_then(|row| orders.get(row).cloned()) {
                let takes = "nothing means all of it; else C-TIE=200 C-PEG into T-07";
                state.popups.push(Prompt::ask(
                    "What of it, and into which tote?",
                    takes,
                    Any::Buy(Flow::Into { order }),
                ));
            }
            Vec::new()
        }
        Flow::Into { order } => {
            let text = answer.text().unwrap_or_default();
            match arrived(&text) {
                Some((lines, into)) => vec![Effect::Perform(Ask::Receive { order, lines, into })],
                None => state.ask_again(format!("\"{text}\": C-TIE=200 C-PEG into T-07 is taken")),
            }
        }
        Flow::Expect { orders } => {
            if let Some(order) = answer.row().and_then(|row| orders.get(row).cloned()) {
                let flow = Any::Buy(Flow::ExpectOn { order });
                state.popups.push(Prompt::ask("On which day?", "a date like 2026-10-12", flow));
            }
            Vec::new()
        }
        Flow::ExpectOn { order } => match answer.text() {
            Some(on) => vec![Effect::Perform(Ask::ExpectOrder { order, on })],
            None => Vec::new(),
        },
        Flow::Try { what } => trial::tried(state, &what, &answer),
        Flow::Budget => trial::budget(state, answer),
        Flow::Shut { codes } => trial::shut(state, &codes, &answer),
        Flow::NeedBy { title, quantity } => {
            vec![Effect::Perform(Ask::AddNeed { title, quantity, need_by: answer.text() })]
        }
    }
}
