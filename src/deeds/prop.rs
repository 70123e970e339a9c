//! A prop told in one line: the prop where it goes, and, where the line says what it is, its product and pieces.

use super::Desk;
use super::refused;
use super::tell::telling;
use crate::answers::problem::Problem;
use crate::domain::{
    Cell as _, Condition, Fact as _, Phase, Piece, PieceId, Placement, PlacementPiece, PlacementPieceId,
    ProductId, RowChange, Yard, is_hidden,
};
use crate::exchange::csv::{CsvFile, Target};
use crate::exchange::sheet::{Quick, ToldColumns, quick, read_list};
use crate::exchange::tell::{Which, tell};

/// Pieces of one line that get a label each.
const MOST_PIECES: i64 = 200;

pub(super) fn add_prop(desk: &mut dyn Desk, line: &str) -> Result<String, Problem> {
    let how = "write it like: 8 boat cut-outs, 50 pixels, 5 V, path left, zip-tied";
    let line: String = line.chars().filter(|c| !is_hidden(*c)).collect();
    let existing = desk.whole_yard()?;
    let holding = |ended: Option<i64>| ended.is_none();
    let places: Vec<_> = existing.places.iter().filter(|p| holding(p.ended_at)).cloned().collect();
    let methods: Vec<_> = existing.methods.iter().filter(|m| holding(m.ended_at)).cloned().collect();
    let told = quick(&line, &places, &methods);
    if told.name.trim().is_empty() {
        return Err(refused("no-name", "the prop has no name").hint(how));
    }
    let season = desk.outlook().season_for(Phase::Up).ok();
    // Without a season the first prop begins one, whose day is told later.
    let season_name = season.map_or_else(|| "Lights".to_owned(), |s| s.name.clone());
    let of_season = |p: &&Placement| season.is_some_and(|s| s.id == p.season_id);
    let n = desk.yard().placements.iter().filter(of_season).count() + 1;
    let head = season
        .and_then(|s| s.lights_on)
        .map_or_else(String::new, |t| format!("lights on,{}\n", t.format("%Y-%m-%dT%H:%M")));
    let file = format!("{head}{}", as_list(&told));
    // One line is no list: what it does not name is not missing, and it renames nothing.
    let mut seen = existing.clone();
    seen.placements.retain(|p| p.name.eq_ignore_ascii_case(&told.name));
    let target = Target { yard_id: desk.yard_id(), existing: &seen };
    let csv = CsvFile { name: "this line", bytes: file.as_bytes() };
    let mut list = read_list(&csv, &target, None, &ToldColumns::default()).map_err(|faults| {
        let first = faults.first();
        let what = first.map_or_else(String::new, |f| {
            if f.column.is_empty() {
                f.what.clone()
            } else {
                format!("{} {:?}: {}", f.column, f.value, f.what)
            }
        });
        let remedy = first.map_or_else(String::new, |f| f.remedy.clone());
        refused("prop-refused", what).hint(remedy).hint(how)
    })?;
    let taken = list.rows.iter().any(|r| {
        r.table == Placement::TABLE.name
            && existing.placements.iter().any(|p| p.id.0 == r.id && p.ended_at.is_none())
    });
    if taken {
        return Err(refused("prop-exists", format!("{season_name} has a prop {:?} already", told.name))
            .hint("change it in Kit (5, e), or give this one another name"));
    }
    let mut rows = std::mem::take(&mut list.rows);
    let things =
        if told.product.is_empty() { String::new() } else { things(desk, &told, &existing, &mut rows)? };
    let where_to = told.place.as_ref().map_or(String::new(), |p| format!(" at {p}"));
    let count = told.count.filter(|n| *n > 1).map_or(String::new(), |n| format!(", {n}"));
    let mut said = format!("Added {}{count}{where_to}{things} to {season_name}: {n} so far", told.name);
    desk.write("prop-add", &said, rows)?;
    // What was understood and assumed is read back.
    for line in list.said.iter().filter(|l| !l.starts_with("columns:")) {
        said = format!("{said}. {line}");
    }
    Ok(said)
}

/// The product that a line tells of, and a piece for each: those of last year that stand nowhere yet come first.
fn things(
    desk: &mut dyn Desk,
    told: &Quick,
    existing: &Yard,
    rows: &mut Vec<RowChange>,
) -> Result<String, Problem> {
    let mark = desk.mark();
    let telling = telling(desk, existing, &mark);
    let name = singular(&told.name, told.count.unwrap_or(1));
    let product = tell("product", Which::Called(Some(&name)), &told.product, &telling)
        .map_err(|faults| super::tell::refusal(&faults))?;
    let product_id = ProductId(product.row.id);
    let Some(placement) = rows.iter_mut().rev().find(|r| r.table == Placement::TABLE.name) else {
        return Ok(String::new());
    };
    let (placement_id, season) =
        (placement.id, placement.set.iter().find(|(c, _)| *c == "season_id").cloned());
    placement.set.retain(|(c, _)| *c != "product_id");
    placement.set.push(("product_id", product_id.to_value()));
    let placed: Vec<PieceId> = (existing.placement_pieces.iter())
        .filter(|p| p.ended_at.is_none())
        .filter(|p| {
            existing.placements.iter().any(|x| {
                x.id == p.placement_id && Some(x.season_id.to_value()) == season.as_ref().map(|s| s.1.clone())
            })
        })
        .map(|p| p.piece_id)
        .collect();
    let free = existing.pieces.iter().filter(|p| {
        p.product_id == product_id
            && p.ended_at.is_none()
            && p.condition == Condition::Good
            && !placed.contains(&p.id)
    });
    let count = told.count.unwrap_or(1).min(MOST_PIECES);
    let mut pieces: Vec<PieceId> = free.map(|p| p.id).take(count as usize).collect();
    let here = pieces.len();
    let mut made = Vec::new();
    let mut n = 0;
    while (pieces.len() as i64) < count {
        n += 1;
        let code = format!("{}-{}{n}", product.code, mark);
        if existing.pieces.iter().any(|p| p.code == code) {
            continue;
        }
        let piece = plain_piece(desk, code, product_id);
        pieces.push(piece.id);
        made.push(piece.to_row());
    }
    // Parents before children: the product and its pieces before the placement.
    rows.insert(0, product.row);
    rows.splice(1..1, made);
    for piece_id in pieces {
        let row = PlacementPiece {
            id: PlacementPieceId(desk.id()),
            ended_at: None,
            placement_id: crate::domain::PlacementId(placement_id),
            piece_id,
        };
        rows.push(row.to_row());
    }
    let what: Vec<String> = (product.changes.iter())
        .filter(|c| told.product.iter().any(|p| p.0 == c.column.name))
        .map(|c| {
            let outlook = desk.outlook();
            let text = crate::answers::told::words(&outlook, c.column.kind, &c.after);
            if c.column.name == "pixels" { format!("{text} pixels") } else { text }
        })
        .collect();
    let again = if here > 0 { format!(", {here} of them there already") } else { String::new() };
    let what = if what.is_empty() { String::new() } else { format!(" of {}", what.join(", ")) };
    Ok(format!(", {count} pieces {}{what}{again}", product.code))
}

/// A piece of a product, of which nothing but its label is told.
pub(super) fn plain_piece(desk: &mut dyn Desk, code: String, product_id: ProductId) -> Piece {
    Piece::plain(PieceId(desk.id()), code, product_id)
}

/// The line as a list of one prop.
fn as_list(told: &Quick) -> String {
    let quoted = |t: &str| format!("\"{}\"", t.replace('"', "\"\""));
    let text = |t: &Option<String>| t.as_deref().map(quoted).unwrap_or_default();
    format!(
        "name,how many,where,how mounted,length,worth,permanent,note\n{},{},{},{},{},{},{},{}\n",
        quoted(&told.name),
        told.count.map_or_else(String::new, |n| n.to_string()),
        text(&told.place),
        text(&told.how),
        text(&told.length),
        text(&told.worth),
        if told.permanent { "yes" } else { "" },
        quoted(&told.note.join("; "))
    )
}

/// What one of several is called: a plain plural loses its s.
fn singular(name: &str, count: i64) -> String {
    match name.strip_suffix('s') {
        Some(one) if count > 1 && !one.ends_with('s') && one.len() > 2 => one.to_owned(),
        _ => name.to_owned(),
    }
}
