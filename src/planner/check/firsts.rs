//! What comes first by its nature: looked over before it is used, chosen before it is programmed, up before measured.

use chrono::Duration;

use super::order::{Steps, is_mount, must, step_of};
use super::{Found, View};
use crate::domain::{Access, DutyKind, Phase, Role, StepDeed};
use crate::planner::PlannedStep;
use crate::steps::State;

const NONE: Duration = Duration::zero();

pub(super) fn look(view: &View, steps: &Steps, found: &mut Found) {
    tools(view, found);
    mounts(view, steps, found);
    desk(view, found);
    on_air(view, steps, found);
}

fn on(p: &PlannedStep, ladder: &str) -> bool {
    match ladder {
        "step_ladder" => p.step.access == Access::StepLadder,
        "extension_ladder" => matches!(p.step.access, Access::ExtensionLadder | Access::Roof),
        _ => p.step.equipment.iter().any(|w| w == ladder),
    }
}

/// Ladders, harness, anchors and straps, each by its own look-over or by a duty that names them.
fn tools(view: &View, found: &mut Found) {
    let yard = view.facts.yard;
    let users = |uses: &dyn Fn(&PlannedStep) -> bool, first: &PlannedStep, found: &mut Found| {
        for p in view.plan.steps.iter().filter(|p| p.step.deed != StepDeed::Desk && uses(p)) {
            must(view, found, "not_looked_over", (first, p), NONE);
        }
    };
    for piece in &yard.pieces {
        let Some(first) = step_of(view, &format!("piece:{}/look_over", piece.id)) else { continue };
        let Some(product) = yard.products.iter().find(|p| p.id == piece.product_id) else { continue };
        let word = product.serves_as.as_deref().unwrap_or("");
        let word = if product.kind.to_lowercase().contains("harness") { "harness" } else { word };
        // A ladder is named in the plan; of tools there is the word alone.
        let named = |p: &PlannedStep| match product.role {
            Role::Ladder if view.plan.told.equipment && view.plan.told.sessions => {
                p.equipment.iter().any(|(name, _)| name.split(' ').next() == Some(piece.code.as_str()))
            }
            _ => !word.is_empty() && on(p, word),
        };
        users(&named, first, found);
        let out = |p: &PlannedStep| {
            p.step.phase == Phase::Up
                && p.step.placement.is_some_and(|id| view.facts.pieces_of(id).contains(&piece.id))
        };
        users(&out, first, found);
        let nowhere = !yard.placement_pieces.iter().any(|pp| pp.piece_id == piece.id)
            && !yard.placements.iter().any(|p| p.piece_id == Some(piece.id));
        if product.role != Role::Ladder && nowhere {
            users(&|p: &PlannedStep| p.step.access == Access::Roof, first, found);
        }
    }
    let duties = yard.duties.iter().filter(|d| d.kind == DutyKind::LookOver);
    for duty in duties.filter(|d| d.season_id == view.season.id) {
        let Some(first) = step_of(view, &format!("duty:{}/", duty.id)) else { continue };
        let title = duty.title.to_lowercase();
        let ladders = title.contains("ladder");
        let holds = ["harness", "strap", "anchor", "lanyard"].into_iter().any(|w| title.contains(w));
        if ladders || !holds {
            users(&|p: &PlannedStep| p.step.access != Access::Ground, first, found);
        }
        if holds || !ladders {
            users(&|p: &PlannedStep| p.step.access == Access::Roof || on(p, "harness"), first, found);
        }
    }
}

/// A mount is looked over before anything is hung on it.
fn mounts(view: &View, steps: &Steps, found: &mut Found) {
    for (id, list) in &steps.of {
        let uses = || steps.ups(*id).filter(|p| p.step.deed != StepDeed::GroundLight);
        if uses().any(|p| matches!(p.state, State::Done | State::Doing)) {
            continue;
        }
        for first in list.iter().filter(|p| is_mount(p) && p.step.deed == StepDeed::LookOver) {
            for then in uses() {
                must(view, found, "not_looked_over", (first, then), NONE);
            }
        }
    }
}

/// By the words of the titles, which are the owner's own.
fn desk(view: &View, found: &mut Found) {
    let named = |has: &dyn Fn(&str) -> bool| -> Vec<&PlannedStep> {
        let tasks = view.facts.yard.desk_tasks.iter().filter(|t| t.season_id == view.season.id);
        let tasks = tasks.filter(|t| has(&t.title.to_lowercase()));
        tasks.filter_map(|t| step_of(view, &format!("desk:{}/", t.id))).collect()
    };
    let programs = |t: &str| t.contains("programm") || t.contains("sequenc");
    let chosen = |t: &str| {
        !programs(t)
            && ["choose", "chosen", "pick ", "select"].iter().any(|w| t.contains(w))
            && ["song", "music", "track"].iter().any(|w| t.contains(w))
    };
    let copied = |t: &str| {
        t.contains("settings") && ["copied", "copy", "saved", "backed up"].iter().any(|w| t.contains(w))
    };
    let programmed = named(&programs);
    for then in &programmed {
        for first in named(&chosen) {
            must(view, found, "not_chosen", (first, then), NONE);
        }
    }
    for then in named(&|t: &str| copied(t) && !programs(t)) {
        for first in &programmed {
            must(view, found, "not_programmed", (first, then), NONE);
        }
    }
}

/// Field strength is measured on what is up.
fn on_air(view: &View, steps: &Steps, found: &mut Found) {
    let duties = view.facts.yard.duties.iter().filter(|d| d.season_id == view.season.id);
    for duty in duties.filter(|d| d.title.to_lowercase().contains("field strength")) {
        let Some(then) = step_of(view, &format!("duty:{}/", duty.id)) else { continue };
        for id in steps.of.keys() {
            let radio = steps.ups(*id).any(|p| p.step.cautions.iter().any(|c| c == "radio"));
            if let Some(first) = steps.ups(*id).next_back().filter(|_| radio) {
                must(view, found, "not_on_air", (first, then), NONE);
            }
        }
    }
}
