//! What is looked over or copied once a year and hangs on no prop: ladders, harness, straps, anchors, settings files.

use chrono::{Datelike, NaiveDate};

use super::boxes::plain_step;
use super::facts::Facts;
use super::key::StepKey;

use super::progress::Asked;
use super::step::{Light, Step};
use crate::domain::{Piece, Product, Role, Season, StepDeed};

/// A look-over holds so many days (common practice: once a year, and the maker's own sheet decides).
const HOLDS_DAYS: i64 = 365;
const LOOK_OVER_S: i64 = 600;
const SETTINGS_S: i64 = 600;

/// The look-overs due before a season is lit, and the settings files it begins with.
///
/// A piece whose last look-over was not told asks for nothing: that is said in one line elsewhere.
/// One that was ticked for this season stays in its list, done or opened again.
pub(super) fn yearly_steps(facts: &Facts, season: &Season, progress: &Asked) -> Vec<Step> {
    let Some(lit) = season.lights_on.map(|t| t.date()) else { return Vec::new() };
    let year = lit.year().to_string();
    let mut steps = Vec::new();
    for piece in &facts.yard.pieces {
        let Some(product) = facts.product(piece.product_id) else { continue };
        if gone(piece) {
            continue;
        }
        let name = if piece.name.is_empty() { &product.name } else { &piece.name };
        let key = StepKey::new("piece", piece.id, "look_over", &year);
        let asked = piece.looked_over_on.is_some_and(|on| due(on, lit)) || progress.contains_key(&key);
        if looked_over_yearly(product) && asked {
            let title = format!(
                "Yearly look-over of {} (last {})",
                piece.code,
                piece.looked_over_on.map_or_else(String::new, |d| d.format("%-d %b %Y").to_string())
            );
            let mut step = plain_step(key, StepDeed::LookOver, &title, LOOK_OVER_S);
            step.light = Light::Indoors;
            step.subject.clone_from(name);
            step.cautions = Vec::new();
            steps.push(step);
        }
        if matches!(product.role, Role::Controller | Role::Player) {
            let key = StepKey::new("piece", piece.id, "settings", &year);
            let title = format!("Settings of {} copied to a file, with date and firmware", piece.code);
            let mut step = plain_step(key, StepDeed::Desk, &title, SETTINGS_S);
            step.light = Light::Indoors;
            step.subject.clone_from(name);
            step.cautions = Vec::new();
            steps.push(step);
        }
    }
    steps
}

fn gone(piece: &Piece) -> bool {
    use crate::domain::Condition::{Lost, Scrapped};
    matches!(piece.condition, Lost | Scrapped)
}

/// Ladders and what holds a person or a mast; mounts with a recipe of their own are looked over by it.
fn looked_over_yearly(product: &Product) -> bool {
    let words = [Some(product.kind.as_str()), product.serves_as.as_deref()];
    product.role == Role::Ladder
        || (product.role != Role::Mount
            && words.into_iter().flatten().any(|w| {
                let w = w.to_lowercase();
                ["harness", "anchor", "strap", "lanyard"].iter().any(|k| w.contains(k))
            }))
}

fn due(last: NaiveDate, lit: NaiveDate) -> bool {
    (lit - last).num_days() > HOLDS_DAYS
}
