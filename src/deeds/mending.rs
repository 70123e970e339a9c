//! Mending as it follows from other deeds: a spare put out in a piece's place, a bench step ticked.

use super::Desk;
use super::fault::condition;
use super::fault::entry;
use super::refused;
use crate::answers::problem::Problem;
use crate::domain::{
    Condition, Fact, Fault, Phase, Piece, PlacementPiece, PlacementPieceId, RepairDeed, RowChange, Value,
};
use crate::steps::Step;

/// Puts a spare out where the faulty piece was meant to go; the fault stays with the piece on the bench.
pub(super) fn replace_by_spare(
    desk: &mut dyn Desk,
    fault: &str,
    spare: &str,
    note: &str,
) -> Result<String, Problem> {
    let fault = fault_by_code(desk, fault)?;
    let Some(piece) = fault.piece_id.and_then(|id| desk.yard().pieces.iter().find(|p| p.id == id)).cloned()
    else {
        return Err(refused("no-piece", format!("{} names no piece that a spare could replace", fault.code))
            .hint("log it on the piece's own code"));
    };
    let spare = good_spare(desk, &piece, spare)?;
    let facts = desk.outlook().facts();
    let season = desk.outlook().season_for(Phase::Up)?.id;
    let placement = facts.placement_of_piece(season, piece.id).cloned();
    let old: Vec<PlacementPieceId> = desk
        .yard()
        .placement_pieces
        .iter()
        .filter(|x| Some(x.placement_id) == placement.as_ref().map(|p| p.id) && x.piece_id == piece.id)
        .map(|x| x.id)
        .collect();
    let now = desk.now();
    let mut entry = entry(desk, fault.id, RepairDeed::Replaced);
    entry.spare_id = Some(spare.id);
    note.clone_into(&mut entry.note);
    let mut rows = vec![entry.to_row()];
    rows.extend(old.into_iter().map(|id| RowChange::end("placement_piece", id.0, now.timestamp_millis())));
    if let Some(p) = &placement {
        if p.piece_id == Some(piece.id) {
            rows.push(RowChange::new(
                "placement",
                p.id.0,
                vec![("piece_id", Value::Text(spare.id.to_string()))],
            ));
        } else {
            rows.push(
                PlacementPiece {
                    id: PlacementPieceId(desk.id()),
                    ended_at: None,
                    placement_id: p.id,
                    piece_id: spare.id,
                }
                .to_row(),
            );
        }
    }
    let at = placement.map_or_else(String::new, |p| format!(" at {}", p.name));
    let said = format!("{}: {} goes out instead of {}{at}", fault.code, spare.code, piece.code);
    desk.write("fault-replace", &said, rows)?;
    Ok(said)
}

/// A spare that may go out: of the same product, good, and not out already.
fn good_spare(desk: &dyn Desk, piece: &Piece, code: &str) -> Result<Piece, Problem> {
    let spare =
        desk.yard().pieces.iter().find(|p| p.code.eq_ignore_ascii_case(code.trim())).ok_or_else(|| {
            refused("no-piece", format!("there is no piece {code:?}")).hint("find it in Kit")
        })?;
    let facts = desk.outlook().facts();
    let season = desk.outlook().season_for(Phase::Up)?.id;
    let no = |what: String| Err(refused("no-spare", what).hint("choose a good piece that stays at home"));
    if spare.condition != Condition::Good || !facts.open_faults(spare.id).is_empty() {
        return no(format!("{} is {}", spare.code, spare.condition.as_str()));
    }
    if spare.product_id != piece.product_id {
        return no(format!("{} is not of the same product as {}", spare.code, piece.code));
    }
    if let Some(p) = facts.placement_of_piece(season, spare.id) {
        return no(format!("{} goes out already: {}", spare.code, p.name));
    }
    Ok(spare.clone())
}

pub fn fault_by_code(desk: &dyn Desk, code: &str) -> Result<Fault, Problem> {
    desk.yard().faults.iter().find(|f| f.code == code).cloned().ok_or_else(|| {
        refused("no-fault", format!("there is no fault {code:?}")).hint("ladderday fault list")
    })
}

/// A bench step "mend and test" that is ticked done ends its fault: mended means tested. Once its test runs it is
/// mended, and no more.
pub(super) fn mended_by(desk: &mut dyn Desk, step: &Step) -> Vec<RowChange> {
    let id = step.key.parts().filter(|k| k.kind == "fault").and_then(|k| k.owner_id());
    let of = |f: &&Fault| Some(f.id.0) == id;
    let Some(fault) = desk.yard().faults.iter().find(of).cloned() else { return Vec::new() };
    let facts = desk.outlook().facts();
    if facts.fault_over(&fault) {
        return Vec::new();
    }
    let mended = facts.fault_stands(fault.id) == Some(RepairDeed::Mended);
    let runs = crate::steps::starts(&step.key);
    let deeds = [RepairDeed::Mended, RepairDeed::Tested].into_iter().take(if runs { 1 } else { 2 });
    let mut rows: Vec<RowChange> =
        deeds.skip(usize::from(mended)).map(|d| entry(desk, fault.id, d).to_row()).collect();
    rows.extend(fault.piece_id.filter(|_| !runs).map(|p| condition(p, Condition::Good)));
    rows
}
