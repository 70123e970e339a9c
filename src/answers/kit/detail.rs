//! All about one row of Kit: its facts, its life, and what can be changed.

use uuid::Uuid;

use crate::answers::Outlook;
use crate::answers::kit::life::{life, placement_life};
use crate::answers::kit::page::home_words;
use crate::answers::outdoors::wind_line;
use crate::answers::record::history::product_record;
use crate::answers::view::{Field, KitDetail, KitKind};
use crate::domain::{CellKind, Fact, PastChange, Piece, PieceId, Table, Value};
use crate::steps::Facts;

/// Columns a person may change on a screen, by table.
const EDITABLE: &[(&str, &[&str])] = &[
    (
        "piece",
        &["name", "batch", "condition", "home_id", "tag_mv", "address", "firmware", "length_mm", "note"],
    ),
    ("stock", &["home_id", "use_by", "frozen", "note"]),
    ("product", &["name", "kind", "volts_mv", "pixels", "pixel_ma", "length_mm", "ip_class", "note"]),
    (
        "placement",
        &["name", "count", "place_id", "method_id", "worth", "length_mm", "stakes", "measures", "note"],
    ),
    ("place", &["name", "access", "height_mm", "note"]),
    ("container", &["name", "kind", "parent_id", "frost_free", "note"]),
    ("person", &["name", "skills", "note"]),
];

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
        KitKind::Stock => columns_of(outlook, y.stock.iter().find(|x| x.id.0 == id)?),
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
    lines.retain(|(label, _)| label != "home");
    lines.insert(0, ("home".to_owned(), home_words(outlook, p)));
    lines.extend(life(outlook, facts, p, moves));
    lines.extend(product_record(outlook, p.product_id).map(|record| ("its product".to_owned(), record)));
    let season = outlook.season_for(outlook.phase_now()).ok().map(|s| s.id);
    let stands = season.and_then(|s| facts.placement_of_piece(s, p.id));
    let wind = stands.and_then(|placement| wind_line(outlook, facts, placement));
    lines.extend(wind.map(|line| ("wind".to_owned(), line)));
    detail
}

/// Every column that is told, and those that can be changed.
fn columns_of<F: Fact>(outlook: &Outlook, fact: &F) -> KitDetail {
    let values = fact.to_row().set;
    let value = |column: &str| values.iter().find(|(c, _)| *c == column).map(|(_, v)| v);
    let mut lines = Vec::new();
    for column in F::TABLE.columns {
        if let Some(v) = value(column.name) {
            let text = value_words(outlook, column.kind, v);
            if !text.is_empty() {
                lines.push((label(column.name), text));
            }
        }
    }
    let fields = editable(&F::TABLE)
        .iter()
        .filter_map(|c| F::TABLE.column(c))
        .map(|c| Field {
            column: c.name,
            text: value(c.name).map_or_else(String::new, |v| value_words(outlook, c.kind, v)),
            takes: takes(c.kind),
        })
        .collect();
    KitDetail { lines, fields }
}

/// A value the way it would be typed, in the site's units.
fn value_words(outlook: &Outlook, kind: CellKind, value: &Value) -> String {
    use crate::units as u;
    let units = outlook.units();
    match (kind, value) {
        (_, Value::Null) => String::new(),
        (CellKind::YesNo, Value::Int(n)) => if *n == 0 { "no" } else { "yes" }.to_owned(),
        (CellKind::Length, Value::Int(n)) => u::Length::from_mm(*n).show(units),
        (CellKind::Mass, Value::Int(n)) => u::Mass::from_g(*n).show(units),
        (CellKind::Volume, Value::Int(n)) => u::Volume::from_ml(*n).show(units),
        (CellKind::Voltage, Value::Int(n)) => u::Voltage::from_mv(*n).show(units),
        (CellKind::Current, Value::Int(n)) => u::Current::from_ma(*n).show(units),
        (CellKind::Power, Value::Int(n)) => u::Power::from_mw(*n).show(units),
        (CellKind::Force, Value::Int(n)) => u::Force::from_mn(*n).show(units),
        (CellKind::Speed, Value::Int(n)) => u::Speed::from_mms(*n).show(units),
        (CellKind::Temperature, Value::Int(n)) => u::Temperature::from_mc(*n).show(units),
        (CellKind::Span, Value::Int(n)) => u::Span::from_s(*n).show(),
        (CellKind::Money, Value::Int(n)) => u::Money::from_cents(*n).show(&outlook.currency()),
        (CellKind::Angle, Value::Int(n)) => u::Angle::from_udeg(*n).show(),
        (CellKind::Moment, Value::Int(n)) => outlook.say_ms(*n),
        (CellKind::Percent, Value::Int(n)) => format!("{n} %"),
        (CellKind::Refers(table), Value::Text(id)) => code_of(outlook, table, id),
        (_, Value::Int(n)) => n.to_string(),
        (_, Value::Text(t)) => t.clone(),
    }
}

/// The code of a row that is referred to.
fn code_of(outlook: &Outlook, table: &str, id: &str) -> String {
    let Ok(id) = uuid::Uuid::parse_str(id) else { return id.to_owned() };
    let y = outlook.yard;
    let found = match table {
        "place" => y.places.iter().find(|x| x.id.0 == id).map(|x| &x.code),
        "product" => y.products.iter().find(|x| x.id.0 == id).map(|x| &x.code),
        "piece" => y.pieces.iter().find(|x| x.id.0 == id).map(|x| &x.code),
        "container" => y.containers.iter().find(|x| x.id.0 == id).map(|x| &x.code),
        "method" => y.methods.iter().find(|x| x.id.0 == id).map(|x| &x.code),
        "season" => y.seasons.iter().find(|x| x.id.0 == id).map(|x| &x.code),
        "placement" => y.placements.iter().find(|x| x.id.0 == id).map(|x| &x.code),
        _ => None,
    };
    found.cloned().unwrap_or_default()
}

pub(crate) fn editable(table: &Table) -> &'static [&'static str] {
    EDITABLE.iter().find(|(name, _)| *name == table.name).map_or(&[], |(_, columns)| *columns)
}

/// A column's name for people: no unit, no `_id`.
fn label(column: &str) -> String {
    let bare = ["_id", "_mm", "_mv", "_ma", "_mw", "_mms", "_mc", "_g", "_s", "_cents", "_pct", "_ms"]
        .iter()
        .find_map(|end| column.strip_suffix(end))
        .unwrap_or(column);
    bare.replace('_', " ")
}

fn takes(kind: CellKind) -> String {
    match kind {
        CellKind::Text => "text".to_owned(),
        CellKind::Words => "words parted by blanks".to_owned(),
        CellKind::Whole => "a whole number".to_owned(),
        CellKind::YesNo => "yes or no".to_owned(),
        CellKind::Choice(words) => format!("one of {}", words.join(", ")),
        CellKind::Refers(table) => format!("the code of a {table}"),
        CellKind::Length => "length like 7'6\", 2.3 m".to_owned(),
        CellKind::Voltage => "voltage like 5 V".to_owned(),
        CellKind::Current => "current like 55 mA".to_owned(),
        CellKind::Date => "a date like 2026-11-27".to_owned(),
        CellKind::LocalTime => "a time like 2026-11-27T17:00".to_owned(),
        CellKind::Span => "a duration like 1h20".to_owned(),
        CellKind::Money => "an amount like 12.50".to_owned(),
        _ => "a number with its unit".to_owned(),
    }
}
