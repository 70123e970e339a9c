//! What a choice is in words, and what it changes against the plain answer.

use std::collections::BTreeMap;

use crate::answers::Outlook;
use crate::answers::problem::{Problem, ProblemKind};
use crate::answers::shopping::sheet::vendor_baskets;
use crate::answers::shopping::{BuyChoice, Shopping};
use crate::units::Money;

impl BuyChoice {
    /// Reads a budget.
    ///
    /// # Errors
    /// `bad-budget` where it is no amount, or below zero.
    pub fn read_budget(text: &str) -> Result<Money, Problem> {
        let refuse = |what: String| Problem::new(ProblemKind::Use, "bad-budget", what).hint("150 or 150.00");
        match Money::parse(text) {
            Ok(amount) if amount.cents() >= 0 => Ok(amount),
            Ok(_) => Err(refuse("a budget is not below zero".to_owned())),
            Err(error) => Err(refuse(error.to_string())),
        }
    }

    /// Nothing is tried.
    pub fn is_plain(&self) -> bool {
        *self == Self::default()
    }
}

/// "no more than $150.00, only vendors nearby": nothing where nothing is tried.
pub(crate) fn choice_words(outlook: &Outlook, choice: &BuyChoice) -> Option<String> {
    let mut parts = Vec::new();
    if let Some(budget) = choice.budget {
        parts.push(format!("no more than {}", budget.show(&outlook.currency())));
    }
    if choice.local {
        parts.push("only vendors nearby".to_owned());
    }
    parts.extend(choice.without.iter().map(|item| format!("without {item}")));
    parts.extend(choice.close.iter().map(|code| {
        let known = outlook.yard.vendors.iter().find(|v| v.code.eq_ignore_ascii_case(code));
        format!("{} closed", known.map_or(code.as_str(), |v| v.name.as_str()))
    }));
    (!parts.is_empty()).then(|| parts.join(", "))
}

/// What differs, one line each: totals by vendor, then needs met no longer, then those met only now.
pub(crate) fn changes(outlook: &Outlook, plain: &Shopping, now: &Shopping) -> Vec<String> {
    let currency = outlook.currency();
    let mut totals: BTreeMap<String, [i64; 2]> = BTreeMap::new();
    for (side, shopping) in [plain, now].into_iter().enumerate() {
        for b in vendor_baskets(outlook, shopping) {
            if let Some(cents) = totals.entry(b.vendor_name).or_default().get_mut(side) {
                *cents += b.goods.cents() + b.shipping.cents();
            }
        }
    }
    let say = |cents: i64| match cents {
        0 => "nothing".to_owned(),
        c => Money::from_cents(c).show(&currency),
    };
    let mut out: Vec<String> = totals
        .iter()
        .filter(|(_, [before, after])| before != after)
        .map(|(vendor, [before, after])| format!("{vendor}: {} instead of {}", say(*after), say(*before)))
        .collect();
    let (before, after) = (met(plain), met(now));
    let wanted_now: Vec<&str> = now.wanted.iter().map(|w| w.title.as_str()).collect();
    for title in before.iter().filter(|t| !after.contains(t)) {
        let how = if wanted_now.contains(title) { "not bought" } else { "done without" };
        out.push(format!("{title}: {how}"));
    }
    out.extend(after.iter().filter(|t| !before.contains(t)).map(|t| format!("{t}: bought only this way")));
    out
}

/// Titles of what a basket brings, in the order of the list.
fn met(shopping: &Shopping) -> Vec<&str> {
    let Some(basket) = &shopping.basket else { return Vec::new() };
    let missing: Vec<usize> =
        basket.missing.iter().filter_map(|m| shopping.of_need.get(m.need).copied()).collect();
    shopping
        .of_need
        .iter()
        .filter(|at| !shopping.left_out.contains(at) && !missing.contains(at))
        .filter_map(|at| shopping.wanted.get(*at))
        .map(|w| w.title.as_str())
        .collect()
}
