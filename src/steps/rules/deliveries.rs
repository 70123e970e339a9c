//! What is on order and not here yet: the steps that need it wait for the day it is expected.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::first_handling;
use crate::domain::{Condition, Phase, ProductId, Season};
use crate::steps::facts::Facts;
use crate::steps::progress::{Asked, State};
use crate::steps::step::Step;
use crate::steps::stock::on_hand;

/// Sets the day before which steps can't be: the bench test and first handling of a placement whose pieces are still
/// to come, and each step that uses up more of something than is on hand. Told later, they move later.
pub(in crate::steps) fn deliveries(facts: &Facts, season: &Season, progress: &Asked, steps: &mut [Step]) {
    let coming = coming(facts);
    if coming.is_empty() {
        return;
    }
    for placement in facts.placements_in(season.id) {
        let Some(product) = placement.product_id.filter(|_| placement.piece_id.is_none()) else { continue };
        let Some(day) = coming.get(&product) else { continue };
        let told = facts.pieces_of(placement.id).len() as i64;
        let good = |p: &&crate::domain::Piece| p.product_id == product && p.condition == Condition::Good;
        let free = facts
            .yard
            .pieces
            .iter()
            .filter(good)
            .filter(|p| facts.placement_of_piece(season.id, p.id).is_none())
            .count() as i64;
        if told + free + stock_of(facts, product) >= placement.count {
            continue;
        }
        let first = first_handling(steps, placement.id).map(|s| s.key.clone());
        for step in steps.iter_mut().filter(|s| s.placement == Some(placement.id)) {
            if step.phase == Phase::Bench || Some(&step.key) == first.as_ref() {
                wait(step, *day);
            }
        }
    }
    let mut left: BTreeMap<ProductId, i64> = coming.keys().map(|p| (*p, stock_of(facts, *p))).collect();
    let over = |s: &Step| {
        progress.get(&s.key).is_some_and(|p| matches!(p.state_for(s.of), State::Done | State::Skipped))
    };
    for step in steps.iter_mut().filter(|s| !over(s)) {
        let Some(placement) = step.placement.and_then(|p| facts.placement(p)) else { continue };
        for (product, quantity) in facts.used_up(placement, &step.recipe_step) {
            let Some((day, have)) = coming.get(&product).zip(left.get_mut(&product)) else {
                continue;
            };
            *have = have.saturating_sub(quantity);
            if *have < 0 {
                wait(step, *day);
            }
        }
    }
}

fn wait(step: &mut Step, day: NaiveDate) {
    let at = day.and_hms_opt(0, 0, 0);
    step.not_before = step.not_before.max(at);
}

fn stock_of(facts: &Facts, product: ProductId) -> i64 {
    let lots = facts.yard.stock.iter().filter(|s| s.product_id == product && !s.frozen);
    lots.map(|s| on_hand(facts.yard, s.id)).sum()
}

/// What is ordered and not all here, with the soonest day it is expected.
fn coming(facts: &Facts) -> BTreeMap<ProductId, NaiveDate> {
    let mut days: BTreeMap<ProductId, NaiveDate> = BTreeMap::new();
    for line in facts.yard.order_lines.iter().filter(|l| l.received < l.packs * l.pack) {
        let order = facts.yard.purchase_orders.iter().find(|o| o.id == line.order_id);
        if let Some(day) = order.and_then(|o| o.expected_on) {
            let soonest = days.entry(line.product_id).or_insert(day);
            *soonest = (*soonest).min(day);
        }
    }
    days
}
