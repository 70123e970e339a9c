//! All about one row of Kit: its facts, and its life.

use uuid::Uuid;

use crate::answers::Outlook;
use crate::answers::column_words::said;
use crate::answers::kit::life::{life, lot_life, placement_life};
use crate::answers::outdoors::wind_line;
use crate::answers::record::history::product_record;
use crate::answers::told::words;
use crate::answers::totes::whereabouts::home_words;
use crate::answers::view::{KitDetail, KitKind};
use crate::domain::{CellKind, Fact, PastChange, Piece, PieceId, Value};
use crate::steps::Facts;

/// All about one row of Kit; nothing where it is not there.
pub(crate) fn kit_detail(
    outlook: &Outlook,
    kind: KitKind,
    id: Uuid,
    moves: &[PastChange],
) -> Option<KitDetail> {
    let (facts, y) = (outlook.facts(), outlook.yard);
    Some(match kind {
        KitKind::Piece => piece_detail(outlook, &facts, facts.piece(PieceId(id))?, moves),
        KitKind::Stock => {
            let lot = y.stock.iter().find(|x| x.id.0 == id)?;
            let mut detail = columns_of(outlook, lot);
            detail.lines.extend(lot_life(outlook, &facts, lot));
            detail
        }
        KitKind::Product => columns_of(outlook, y.products.iter().find(|x| x.id.0 == id)?),
        KitKind::Placement => {
            let placement = y.placements.iter().find(|x| x.id.0 == id)?;
            let mut detail = columns_of(outlook, placement);
            let wind = wind_line(outlook, &facts, placement);
            detail.lines.extend(wind.map(|line| ("wind".to_owned(), line)));
            detail.lines.extend(placement_life(outlook, &facts, placement));
            detail
        }
        KitKind::Place => columns_of(outlook, y.places.iter().find(|x| x.id.0 == id)?),
        KitKind::Container => columns_of(outlook, y.containers.iter().find(|x| x.id.0 == id)?),
        KitKind::Person => columns_of(outlook, y.people.iter().find(|x| x.id.0 == id)?),
    })
}

fn piece_detail(outlook: &Outlook, facts: &Facts, p: &Piece, moves: &[PastChange]) -> KitDetail {
    let mut detail = columns_of(outlook, p);
    let lines = &mut detail.lines;
    // When it was got, where and for how much stands in its life.
    let got = ["got_on", "source", "price_cents"].into_iter().filter(|_| p.got_on.is_some());
    let in_life: Vec<String> = got.chain(["home_id"]).map(said).collect();
    lines.retain(|(label, _)| !in_life.contains(label));
    lines.insert(0, ("home".to_owned(), home_words(outlook, p)));
    lines.extend(life(outlook, facts, p, moves));
    lines.extend(product_record(outlook, p.product_id).map(|record| ("its product".to_owned(), record)));
    let season = outlook.season_for(outlook.phase_now()).ok().map(|s| s.id);
    let stands = season.and_then(|s| facts.placement_of_piece(s, p.id));
    let wind = stands.and_then(|placement| wind_line(outlook, facts, placement));
    lines.extend(wind.map(|line| ("wind".to_owned(), line)));
    detail
}

/// Whether a text is a word of the tables: "timber_base".
fn joined(word: &str) -> bool {
    word.contains('_') && word.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_')
}

/// The name of a row that is referred to.
fn called(outlook: &Outlook, table: &str, id: &str) -> Option<String> {
    let y = outlook.yard;
    let id = Uuid::parse_str(id).ok()?;
    let name = match table {
        "place" => y.places.iter().find(|x| x.id.0 == id).map(|x| &x.name),
        "product" => y.products.iter().find(|x| x.id.0 == id).map(|x| &x.name),
        "method" => y.methods.iter().find(|x| x.id.0 == id).map(|x| &x.name),
        "season" => y.seasons.iter().find(|x| x.id.0 == id).map(|x| &x.name),
        "placement" => y.placements.iter().find(|x| x.id.0 == id).map(|x| &x.name),
        "person" => y.people.iter().find(|x| x.id.0 == id).map(|x| &x.name),
        _ => None,
    };
    name.filter(|n| !n.is_empty()).cloned()
}

/// Every column that is told.
fn columns_of<F: Fact>(outlook: &Outlook, fact: &F) -> KitDetail {
    let values = fact.to_row().set;
    let told = F::TABLE.columns.iter().filter_map(|column| {
        let value = values.iter().find(|(c, _)| *c == column.name).map(|(_, v)| v)?;
        let text = match (column.kind, value) {
            // What is not so needs no line; a word of the tables is read without its joints, a row by its name.
            (CellKind::YesNo, Value::Int(0)) => return None,
            (CellKind::Choice(_), Value::Text(word)) => word.replace('_', " "),
            (CellKind::Text, Value::Text(word)) if joined(word) => word.replace('_', " "),
            (CellKind::Refers(table), Value::Text(id)) => {
                called(outlook, table, id).unwrap_or_else(|| words(outlook, column.kind, value))
            }
            _ => words(outlook, column.kind, value),
        };
        (!text.is_empty()).then(|| (said(column.name), text))
    });
    KitDetail { lines: told.collect() }
}
