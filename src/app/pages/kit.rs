//! Kit: everything that is owned or placed, each with its page and fields.

use std::collections::BTreeMap;

use crate::app::owner::App;
use crate::app::view::{Field, Kit, KitKind, KitRow};
use crate::domain::{CellKind, Fact, Piece, PieceId, Placement, Product, Table, Value};
use crate::steps::Facts;
use crate::store::PastChange;

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

impl App {
    pub(in crate::app) fn kit_page(&self) -> Kit {
        let facts = self.facts();
        let mut rows: Vec<KitRow> = Vec::new();
        let placed = self.placed_now(&facts);
        let records = self.product_records();
        let moves = self.piece_moves();
        let season = self.season_for(self.phase_now()).ok().map(|s| s.id);
        let wind = season.map(|s| crate::app::outdoors::wind_lines(self, &facts, s)).unwrap_or_default();
        let mut stands: BTreeMap<PieceId, String> = BTreeMap::new();
        for (placement, line) in &wind {
            stands.extend(facts.pieces_of(*placement).iter().map(|p| (*p, line.clone())));
        }
        for p in &self.yard.pieces {
            let mut row =
                self.piece_row(&facts, p, &placed, moves.get(&p.id.to_string()).map_or(&[], Vec::as_slice));
            if let Some(record) = records.get(&p.product_id) {
                row.page.push(("its product".to_owned(), record.clone()));
            }
            row.page.extend(stands.get(&p.id).map(|line| ("wind".to_owned(), line.clone())));
            rows.push(row);
        }
        for s in &self.yard.stock {
            let name = facts.product(s.product_id).map_or_else(String::new, |p| p.name.clone());
            let state = format!("{} on hand", crate::steps::on_hand(&self.yard, s.id));
            let home = s.home_id.and_then(|h| self.container_name(h)).unwrap_or_default();
            rows.push(self.row(KitKind::Stock, s, &s.code, &name, "stock", &home, &state));
        }
        for p in &self.yard.products {
            rows.push(self.row(KitKind::Product, p, &p.code, &p.name, kind_of(p), "", p.role.as_str()));
        }
        for p in self.yard.placements.iter().filter(|p| Some(p.season_id) == season) {
            let home = Self::placement_place(&facts, p);
            let method = facts.method_of(p).map_or("", |m| m.name.as_str());
            let state = format!("{} of it", p.count);
            let mut row = self.row(KitKind::Placement, p, &p.code, &p.name, method, &home, &state);
            row.page.extend(wind.get(&p.id).map(|line| ("wind".to_owned(), line.clone())));
            rows.push(row);
        }
        for p in &self.yard.places {
            let access = facts.access(Some(p.id)).as_str().replace('_', " ");
            rows.push(self.row(KitKind::Place, p, &p.code, &p.name, "place", "", &access));
        }
        for c in &self.yard.containers {
            let home = c.parent_id.and_then(|h| self.container_name(h)).unwrap_or_default();
            rows.push(self.row(KitKind::Container, c, &c.code, &c.name, &c.kind, &home, ""));
        }
        for p in &self.yard.people {
            rows.push(self.row(KitKind::Person, p, &p.code, &p.name, "person", "", &p.skills.text()));
        }
        Kit { rows }
    }

    fn piece_row(
        &self,
        facts: &Facts,
        p: &Piece,
        placed: &BTreeMap<PieceId, String>,
        moves: &[PastChange],
    ) -> KitRow {
        let product = facts.product(p.product_id);
        let name = if p.name.is_empty() { product.map_or("", |x| x.name.as_str()) } else { p.name.as_str() };
        let home =
            p.home_id.and_then(|h| self.container_name(h)).unwrap_or_else(|| "home not told".to_owned());
        let where_now = placed.get(&p.id).map_or(home.clone(), |at| format!("up: {at}"));
        let sort = product.map_or("", kind_of);
        let mut row = self.row(KitKind::Piece, p, &p.code, name, sort, &where_now, p.condition.as_str());
        row.page.retain(|(label, _)| label != "home");
        row.page.insert(0, ("home".to_owned(), home));
        row.page.extend(self.life(facts, p, moves));
        row
    }

    /// Where each piece hangs in the season of the day.
    fn placed_now(&self, facts: &Facts) -> BTreeMap<PieceId, String> {
        let now = self.now().with_timezone(&self.zone()).naive_local();
        let lit = self.yard.seasons.iter().find(|s| {
            s.lights_on.is_some_and(|t| t <= now)
                && s.lights_off.is_none_or(|d| d >= now.date())
                && s.closed_on.is_none()
        });
        let mut placed = BTreeMap::new();
        for p in lit.into_iter().flat_map(|s| facts.placements_in(s.id)) {
            for piece in facts.pieces_of(p.id) {
                placed.insert(*piece, Self::placement_place(facts, p));
            }
        }
        placed
    }

    pub(in crate::app) fn placement_place(facts: &Facts, p: &Placement) -> String {
        p.place_id
            .and_then(|id| facts.place(id))
            .map_or_else(|| "place not told".to_owned(), |x| x.name.clone())
    }

    #[expect(clippy::too_many_arguments, reason = "a row is these columns")]
    fn row<F: Fact>(
        &self,
        kind: KitKind,
        fact: &F,
        code: &str,
        name: &str,
        sort: &str,
        home: &str,
        state: &str,
    ) -> KitRow {
        let values = fact.to_row().set;
        let value = |column: &str| values.iter().find(|(c, _)| *c == column).map(|(_, v)| v);
        let mut page = Vec::new();
        for column in F::TABLE.columns {
            if let Some(v) = value(column.name) {
                let text = self.value_words(column.kind, v);
                if !text.is_empty() {
                    page.push((label(column.name), text));
                }
            }
        }
        let fields = editable(&F::TABLE)
            .iter()
            .filter_map(|c| F::TABLE.column(c))
            .map(|c| Field {
                column: c.name,
                text: value(c.name).map_or_else(String::new, |v| self.value_words(c.kind, v)),
                takes: takes(c.kind),
            })
            .collect();
        KitRow {
            kind,
            id: fact.row_id(),
            code: code.to_owned(),
            name: name.to_owned(),
            sort: sort.to_owned(),
            home: home.to_owned(),
            state: state.to_owned(),
            page,
            fields,
        }
    }

    /// A value the way it would be typed, in the site's units.
    pub(in crate::app) fn value_words(&self, kind: CellKind, value: &Value) -> String {
        use crate::units as u;
        let units = self.units();
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
            (CellKind::Money, Value::Int(n)) => u::Money::from_cents(*n).show(&self.currency()),
            (CellKind::Angle, Value::Int(n)) => u::Angle::from_udeg(*n).show(),
            (CellKind::Moment, Value::Int(n)) => self.say_ms(*n),
            (CellKind::Percent, Value::Int(n)) => format!("{n} %"),
            (CellKind::Refers(table), Value::Text(id)) => self.code_of(table, id),
            (_, Value::Int(n)) => n.to_string(),
            (_, Value::Text(t)) => t.clone(),
        }
    }

    /// The code of a row that is referred to.
    fn code_of(&self, table: &str, id: &str) -> String {
        let Ok(id) = uuid::Uuid::parse_str(id) else { return id.to_owned() };
        let y = &self.yard;
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
}

pub(in crate::app) fn editable(table: &Table) -> &'static [&'static str] {
    EDITABLE.iter().find(|(name, _)| *name == table.name).map_or(&[], |(_, columns)| *columns)
}

fn kind_of(p: &Product) -> &str {
    if p.kind.is_empty() { p.role.as_str() } else { &p.kind }
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
