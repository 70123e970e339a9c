//! Totes: pieces put in and taken out; the proposed packing taken.

use std::collections::BTreeSet;

use super::Desk;
use super::refused;
use crate::answers::problem::Problem;
use crate::answers::totes::pack::proposal;
use crate::answers::totes::page::{carried, over_weight};
use crate::answers::totes::whereabouts::{bench_tote, whereabouts};
use crate::domain::{
    Condition, Container, ContainerId, Fact, LookKind, Moment, Piece, PieceId, PieceLook, PieceLookId,
    RowChange, Value,
};

/// Pieces go into a tote, and live there from now on; a faulty one only into the bench tote, which is no home.
pub(super) fn put_into(desk: &mut dyn Desk, tote: &str, pieces: &[String]) -> Result<String, Problem> {
    let tote = tote_by_code(desk, tote)?;
    if tote.kind == "place" {
        return Err(refused("no-tote", format!("{} is where pieces stay up, no tote", tote.code)));
    }
    let pieces = pieces_by_code(desk, pieces)?;
    let facts = desk.outlook().facts();
    let bad = |p: &Piece| p.condition == Condition::Faulty || !facts.open_faults(p.id).is_empty();
    let faulty: Vec<&str> =
        pieces.iter().filter(|p| !tote.bench && bad(p)).map(|p| p.code.as_str()).collect();
    if !faulty.is_empty() {
        let bench = bench_tote(&desk.outlook()).map_or("the bench tote".to_owned(), |c| c.code.clone());
        return Err(refused(
            "faulty-piece",
            format!("{} is faulty: it goes into {bench}, never home", faulty.join(", ")),
        )
        .hint("mend and test it first, or put it on the bench; nothing was moved"));
    }
    if let Some(p) = pieces.iter().find(|p| p.condition == Condition::Scrapped) {
        return Err(refused("scrapped-piece", format!("{} was scrapped", p.code)).hint("see its page in Kit"));
    }
    let mut rows = Vec::new();
    for p in &pieces {
        rows.push(seen(desk, p.id, Some(tote.id), LookKind::Put).to_row());
        let mut set = Vec::new();
        if !tote.bench && p.home_id != Some(tote.id) {
            set.push(("home_id", Value::Text(tote.id.to_string())));
        }
        // What is in one's hand is neither lost nor lent.
        if matches!(p.condition, Condition::Lost | Condition::Lent) {
            set.push(("condition", Value::Text(Condition::Good.as_str().to_owned())));
        }
        if !set.is_empty() {
            rows.push(RowChange::new("piece", p.id.0, set));
        }
    }
    let codes: Vec<&str> = pieces.iter().map(|p| p.code.as_str()).collect();
    let said = format!("Into {} {}: {}", tote.code, tote.name, codes.join(", "));
    // In one's hand it is what it is; what was seen of it before is named.
    let located = whereabouts(&desk.outlook());
    let wet: Vec<&str> = pieces
        .iter()
        .filter(|p| located.get(&p.id).is_some_and(|l| l.wet))
        .map(|p| p.code.as_str())
        .collect();
    let wet = if wet.is_empty() {
        String::new()
    } else {
        format!("; came off wet and taken as dry now: {}", wet.join(", "))
    };
    desk.write("tote-put", &said, rows)?;
    Ok(format!("{said}{wet}{}", weighs(desk, &tote)))
}

pub(super) fn take_out(desk: &mut dyn Desk, pieces: &[String]) -> Result<String, Problem> {
    let pieces = pieces_by_code(desk, pieces)?;
    let rows = pieces.iter().map(|p| seen(desk, p.id, None, LookKind::Taken).to_row()).collect();
    let codes: Vec<&str> = pieces.iter().map(|p| p.code.as_str()).collect();
    let said = format!("Taken out: {}", codes.join(", "));
    desk.write("tote-take", &said, rows)?;
    Ok(said)
}

/// Lets every piece live where the packing proposes; totes that are still to be had are made.
pub(super) fn write_pack(desk: &mut dyn Desk) -> Result<String, Problem> {
    let pack = proposal(&desk.outlook())?;
    let mut rows = Vec::new();
    let (mut moved, mut made) = (0, Vec::new());
    for t in &pack.totes {
        let id = if let Some(id) = t.container {
            id
        } else {
            let like =
                desk.yard().containers.iter().find(|c| {
                    carried(c) && !c.bench && c.frost_free == t.frost_free && c.length_mm.is_some()
                });
            let like = like.or_else(|| desk.yard().containers.iter().find(|c| carried(c) && !c.bench));
            let Some(like) = like.cloned() else { continue };
            let new = Container {
                id: ContainerId(desk.id()),
                ended_at: None,
                code: t.code.clone(),
                name: t.name.clone(),
                parent_id: t.parent,
                frost_free: t.frost_free,
                bench: false,
                note: String::new(),
                ..like
            };
            rows.push(new.to_row());
            made.push(t.code.clone());
            new.id
        };
        for (piece, _) in &t.pieces {
            let lives = desk.yard().pieces.iter().find(|p| p.id == *piece).and_then(|p| p.home_id);
            if lives != Some(id) {
                let home = vec![("home_id", Value::Text(id.to_string()))];
                rows.push(RowChange::new("piece", piece.0, home));
                moved += 1;
            }
        }
    }
    if rows.is_empty() {
        return Err(refused("packed-already", "every piece lives where it would be packed")
            .hint("pack shows what comes down"));
    }
    let new = if made.is_empty() { String::new() } else { format!("; more totes: {}", made.join(", ")) };
    let said = format!("Packing taken: {moved} pieces live in another tote{new}");
    desk.write("pack", &said, rows)?;
    Ok(said)
}

/// "; over weight: …" once a tote is too heavy.
fn weighs(desk: &dyn Desk, tote: &Container) -> String {
    let inside: Vec<&Piece> = desk.yard().pieces.iter().filter(|p| p.home_id == Some(tote.id)).collect();
    over_weight(&desk.outlook(), tote, &inside).map_or_else(String::new, |w| format!("; {w}"))
}

pub(super) fn seen(
    desk: &mut dyn Desk,
    piece: PieceId,
    container: Option<ContainerId>,
    kind: LookKind,
) -> PieceLook {
    let now = desk.now();
    PieceLook {
        id: PieceLookId(desk.id()),
        ended_at: None,
        piece_id: piece,
        container_id: container,
        kind,
        at_ms: Moment(now.timestamp_millis()),
        why: String::new(),
    }
}

pub(super) fn tote_by_code(desk: &dyn Desk, code: &str) -> Result<Container, Problem> {
    let totes = &desk.yard().containers;
    let found: Vec<&Container> = totes.iter().filter(|c| c.code.eq_ignore_ascii_case(code.trim())).collect();
    match found.as_slice() {
        [one] => Ok((*one).clone()),
        [] => Err(refused("no-tote", format!("there is no tote {code:?}"))
            .hint("ladderday tote list; or type its code as Totes shows it")),
        _ => Err(refused("label-twice", format!("{code:?} is the label of {} totes", found.len()))
            .hint("give one of them another code")),
    }
}

/// Pieces by their labels, each once however often it was scanned.
pub(super) fn pieces_by_code(desk: &dyn Desk, codes: &[String]) -> Result<Vec<Piece>, Problem> {
    let mut scanned = BTreeSet::new();
    codes
        .iter()
        .filter(|code| scanned.insert(code.trim().to_uppercase()))
        .map(|code| {
            let same = |p: &&Piece| p.code.eq_ignore_ascii_case(code.trim());
            let found: Vec<&Piece> = desk.yard().pieces.iter().filter(same).collect();
            match found.as_slice() {
                [one] => Ok((*one).clone()),
                [] => Err(refused("no-piece", format!("no piece of this yard has the label {code:?}"))
                    .hint("find it in Kit; nothing was moved")),
                _ => Err(refused("label-twice", format!("{code:?} is the label of {} pieces", found.len()))
                    .hint("give one of them another code")),
            }
        })
        .collect()
}
