//! A tote is counted: expected against found, in whole or in part.

use std::collections::BTreeSet;

use super::Desk;
use super::tote::{pieces_by_code, seen, tote_by_code};
use super::{mistyped, refused};
use crate::answers::problem::Problem;
use crate::answers::seasons::{last_over, seen_since};
use crate::answers::totes::whereabouts::{Whereabouts, whereabouts};
use crate::answers::words::some;
use crate::domain::{
    Condition, Container, Fact, LookKind, Moment, MoveKind, Piece, PieceId, RowChange, Stock, StockId,
    StockMove, StockMoveId, Value,
};
use crate::steps::on_hand;

/// What is missing is lost until it is found; what is found is no longer lost, and lives here. Of a part only what is
/// named is counted; the rest stays not counted.
pub(super) fn count_tote(
    desk: &mut dyn Desk,
    tote: &str,
    missing: &[String],
    found: &[String],
    (part, lots): (bool, &[(String, i64)]),
) -> Result<String, Problem> {
    let tote = tote_by_code(desk, tote)?;
    let missing = pieces_by_code(desk, missing)?;
    let found = pieces_by_code(desk, found)?;
    // The bench tote holds what was put there to be mended; all others what lives there.
    let located = whereabouts(&desk.outlook());
    let lies = |p: &Piece| located.get(&p.id).is_some_and(|l| l.at == Whereabouts::In(tote.id));
    let mine = |p: &Piece| if tote.bench { lies(p) } else { p.home_id == Some(tote.id) };
    if let Some(p) = missing.iter().find(|p| !mine(p)) {
        return Err(refused("not-here", format!("{} does not live in {}", p.code, tote.code))
            .hint("only what lives there can be missing from it"));
    }
    let both = missing.iter().find(|m| found.iter().any(|f| f.id == m.id));
    if let Some(p) = both {
        return Err(refused("both-ways", format!("{} can't be missing and found", p.code)));
    }
    let named: BTreeSet<PieceId> = missing.iter().chain(&found).map(|p| p.id).collect();
    let sound = |p: &Piece| p.condition == Condition::Good || tote.bench;
    let pieces = desk.yard().pieces.iter();
    let rest: Vec<Piece> =
        pieces.filter(|p| mine(p) && sound(p) && !named.contains(&p.id)).cloned().collect();
    let there: &[Piece] = if part { &[] } else { &rest };
    let mut rows: Vec<RowChange> =
        there.iter().map(|p| seen(desk, p.id, Some(tote.id), LookKind::Counted).to_row()).collect();
    for p in &missing {
        rows.push(seen(desk, p.id, None, LookKind::Missing).to_row());
        rows.push(super::fault::condition(p.id, Condition::Lost));
    }
    for p in &found {
        rows.push(seen(desk, p.id, Some(tote.id), LookKind::Counted).to_row());
        let mut set = Vec::new();
        if p.home_id != Some(tote.id) && !tote.bench {
            set.push(("home_id", Value::Text(tote.id.to_string())));
        }
        if matches!(p.condition, Condition::Lost | Condition::Lent) {
            set.push(("condition", Value::Text(Condition::Good.as_str().to_owned())));
        }
        if !set.is_empty() {
            rows.push(RowChange::new("piece", p.id.0, set));
        }
    }
    let mut words = vec![format!("{} there", there.len() + found.len())];
    let codes = |pieces: &[Piece]| pieces.iter().map(|p| p.code.clone()).collect::<Vec<_>>().join(", ");
    // One that lives here and was not lost is no find.
    let came: Vec<Piece> = found.iter().filter(|p| !part || !mine(p) || !sound(p)).cloned().collect();
    for (word, pieces) in [("missing", &missing), ("found", &came)] {
        if !pieces.is_empty() {
            words.push(format!("{word}: {}", codes(pieces)));
        }
    }
    for (code, n) in lots {
        let (lot, said) = count_lot(desk, &tote, code, *n)?;
        rows.extend(lot);
        words.push(said);
    }
    if rows.is_empty() {
        return Err(if part {
            mistyped("nothing-counted", "a count in part names what was counted")
                .hint("+LABEL for what is there, LABEL for what is missing")
        } else {
            refused("nothing-here", format!("no labelled piece lives in {}", tote.code))
                .hint("put pieces in first; a lot is counted by its number: CODE=NUMBER")
        });
    }
    let mut left: Vec<String> = if part { counted_not(desk, &rest) } else { Vec::new() };
    left.extend(
        lots_of(desk, &tote).filter(|s| !lots.iter().any(|(c, _)| same(s, c))).map(|s| s.code.clone()),
    );
    if !left.is_empty() {
        words.push(format!("not counted: {}", some(left)));
    }
    let whole = if part { "Counted in part, " } else { "Counted " };
    let said = format!("{whole}{}: {}", tote.code, words.join("; "));
    desk.write("tote-count", &said, rows)?;
    Ok(said)
}

/// Which of these nobody has seen since the last show went off; with no show over, all of them.
fn counted_not(desk: &dyn Desk, pieces: &[Piece]) -> Vec<String> {
    let outlook = desk.outlook();
    let seen = last_over(&outlook).map(|s| seen_since(&outlook, s)).unwrap_or_default();
    pieces.iter().filter(|p| !seen.contains(&p.id)).map(|p| p.code.clone()).collect()
}

fn lots_of<'a>(desk: &'a dyn Desk, tote: &Container) -> impl Iterator<Item = &'a Stock> + use<'a> {
    let id = tote.id;
    desk.yard().stock.iter().filter(move |s| s.home_id == Some(id))
}

/// A lot by number: the difference to the record is a loss or a find.
fn count_lot(
    desk: &mut dyn Desk,
    tote: &Container,
    code: &str,
    n: i64,
) -> Result<(Vec<RowChange>, String), Problem> {
    let lot = lots_of(desk, tote).find(|s| same(s, code)).cloned();
    let Some(lot) = lot else {
        let known: Vec<String> = lots_of(desk, tote).map(|s| s.code.clone()).collect();
        return Err(refused("no-lot", format!("no lot {code:?} lives in {}", tote.code)).hint(
            if known.is_empty() { "it holds labelled pieces only".to_owned() } else { known.join(", ") },
        ));
    };
    if n < 0 {
        return Err(mistyped("bad-count", format!("{n} of {} is not possible", lot.code))
            .hint("how many there are, from 0 on"));
    }
    let known = desk.yard().stock_moves.iter().any(|m| m.stock_id == lot.id);
    let have = on_hand(desk.yard(), lot.id);
    let (code, why) = (&lot.code, format!("count of {}", tote.code));
    let mut rows = Vec::new();
    let said = match n - have {
        _ if !known => format!("{code}: {n}, not counted before"),
        0 => format!("{code}: {n}, as expected"),
        more if more > 0 => {
            rows.push(moved(desk, lot.id, MoveKind::Found, more, &why));
            format!("{code}: {n} of {have} expected, {more} found")
        }
        less => {
            rows.push(moved(desk, lot.id, MoveKind::Lost, -less, &why));
            format!("{code}: {n} of {have} expected, {} lost", -less)
        }
    };
    rows.push(moved(desk, lot.id, MoveKind::Counted, n, &why));
    Ok((rows, said))
}

fn moved(desk: &mut dyn Desk, lot: StockId, kind: MoveKind, quantity: i64, why: &str) -> RowChange {
    let now = desk.now();
    StockMove {
        id: StockMoveId(desk.id()),
        ended_at: None,
        stock_id: lot,
        kind,
        quantity,
        at_ms: Moment(now.timestamp_millis()),
        season_id: None,
        why: why.to_owned(),
    }
    .to_row()
}

fn same(lot: &Stock, code: &str) -> bool {
    lot.code.eq_ignore_ascii_case(code.trim())
}
