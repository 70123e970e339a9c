//! What to leave out where the money does not reach.

use super::request::{Basket, Request, RequestError};
use super::search::cheapest;
use crate::units::Money;

/// A basket within the budget, and what it leaves out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BudgetAnswer {
    /// The places in `lines` of the basket refer to the offers of the whole request.
    pub basket: Basket,
    /// Places of the needs left out, the last one given up first.
    pub left_out: Vec<usize>,
    /// Worth of the needs met.
    pub worth: u64,
    /// All subsets of needs were weighed, so no other choice is worth more. False: needs were given up by worth for
    /// money, one by one, and put back where there was room.
    pub exact: bool,
}

/// Most needs for which every subset is weighed.
const MOST_SUBSETS: usize = 6;

/// The needs worth most in sum that `budget` can pay, cheapest basket of those; `worth` is by need, in their order.
///
/// Nothing left out where the whole basket fits.
pub fn within_budget(request: &Request, worth: &[u32], budget: Money) -> Result<BudgetAnswer, RequestError> {
    let whole: Vec<usize> = (0..request.needs.len()).collect();
    let basket = cheapest(request)?;
    let sum =
        |kept: &[usize]| kept.iter().map(|n| u64::from(worth.get(*n).copied().unwrap_or(0))).sum::<u64>();
    if basket.total <= budget {
        return Ok(BudgetAnswer { basket, left_out: Vec::new(), worth: sum(&whole), exact: true });
    }
    let exact = whole.len() <= MOST_SUBSETS;
    let mut best: Option<(u64, Basket, Vec<usize>)> = None;
    let mut weigh = |kept: Vec<usize>| -> Result<Option<Money>, RequestError> {
        let basket = part(request, &kept)?;
        let total = basket.total;
        if total > budget {
            return Ok(None);
        }
        let value = sum(&kept);
        if best.as_ref().is_none_or(|(w, b, _)| (value, -total.cents()) > (*w, -b.total.cents())) {
            best = Some((value, basket, kept));
        }
        Ok(Some(total))
    };
    let mut given_up = Vec::new();
    if exact {
        for subset in 0..1_u32 << whole.len() {
            weigh(whole.iter().copied().filter(|n| subset & (1 << n) != 0).collect())?;
        }
    } else {
        let mut kept = whole.clone();
        let mut spent = basket.total;
        while weigh(kept.clone())?.is_none() {
            // Give up the need that saves most money for its worth.
            let mut choice: Option<(f64, usize, Money)> = None;
            for &need in &kept {
                let rest: Vec<usize> = kept.iter().copied().filter(|n| *n != need).collect();
                let total = part(request, &rest)?.total;
                let saved = (spent.cents() - total.cents()) as f64;
                let score = saved / f64::from(worth.get(need).copied().unwrap_or(0).max(1));
                if choice.is_none_or(|(s, ..)| score > s) {
                    choice = Some((score, need, total));
                }
            }
            let Some((_, need, total)) = choice else { break };
            kept.retain(|n| *n != need);
            given_up.push(need);
            spent = total;
        }
        let mut back: Vec<usize> = given_up.clone();
        back.sort_by_key(|n| (std::cmp::Reverse(worth.get(*n).copied()), *n));
        for need in back {
            let mut more = kept.clone();
            more.push(need);
            more.sort_unstable();
            if weigh(more.clone())?.is_some() {
                kept = more;
            }
        }
    }
    let (worth, basket, kept) = match best {
        Some(best) => best,
        None => (0, part(request, &[])?, Vec::new()),
    };
    let mut left_out: Vec<usize> = given_up.iter().rev().copied().filter(|n| !kept.contains(n)).collect();
    left_out.extend(whole.iter().filter(|n| !kept.contains(n) && !given_up.contains(n)));
    Ok(BudgetAnswer { basket, left_out, worth, exact })
}

/// The basket of some of the needs; places of missing needs are those of the whole request.
fn part(request: &Request, kept: &[usize]) -> Result<Basket, RequestError> {
    let needs = kept.iter().filter_map(|n| request.needs.get(*n).cloned()).collect();
    let mut basket = cheapest(&Request { needs, ..request.clone() })?;
    for missing in &mut basket.missing {
        missing.need = kept.get(missing.need).copied().unwrap_or(missing.need);
    }
    Ok(basket)
}
