//! Kit: everything that is owned or placed, a row each.
//!
//! Not here: all about one row (`kit_detail`).

use crate::answers::Outlook;
use crate::answers::totes::whereabouts::{where_words, whereabouts};
use crate::answers::view::{Kit, KitKind, KitRow};
use crate::answers::words::{container_name, counted, placement_place};
use crate::domain::{Fact, Product};

pub(crate) fn kit_page(outlook: &Outlook) -> Kit {
    let facts = outlook.facts();
    let mut rows: Vec<KitRow> = Vec::new();
    let located = whereabouts(outlook);
    for p in &outlook.yard.pieces {
        let product = facts.product(p.product_id);
        let name = if p.name.is_empty() { product.map_or("", |x| x.name.as_str()) } else { p.name.as_str() };
        let home = located.get(&p.id).map_or_else(String::new, |is| where_words(outlook, &facts, p, is));
        let sort = product.map_or("", kind_of);
        rows.push(row(KitKind::Piece, p, &p.code, name, sort, &home, p.condition.as_str()));
    }
    // What is faulty or lost stands first, what is gone for good last.
    rows.sort_by_key(|r| match r.state.as_str() {
        "faulty" => 0,
        "lost" => 1,
        "scrapped" => 3,
        _ => 2,
    });
    for s in &outlook.yard.stock {
        let name = facts.product(s.product_id).map_or("", |p| p.name.as_str());
        let state = format!("{} on hand", crate::steps::on_hand(outlook.yard, s.id));
        let home = s.home_id.and_then(|h| container_name(outlook, h)).unwrap_or_default();
        rows.push(row(KitKind::Stock, s, &s.code, name, "stock", &home, &state));
    }
    for p in &outlook.yard.products {
        rows.push(row(KitKind::Product, p, &p.code, &p.name, kind_of(p), "", p.role.as_str()));
    }
    let season = outlook.season_for(outlook.phase_now()).ok().map(|s| s.id);
    for p in outlook.yard.placements.iter().filter(|p| Some(p.season_id) == season) {
        let home = placement_place(&facts, p);
        let method = facts.method_of(p).map_or("", |m| m.name.as_str());
        let state = counted(p.count, "piece", "pieces");
        rows.push(row(KitKind::Placement, p, &p.code, &p.name, method, &home, &state));
    }
    for p in &outlook.yard.places {
        let access = facts.access(Some(p.id)).as_str().replace('_', " ");
        rows.push(row(KitKind::Place, p, &p.code, &p.name, "place", "", &access));
    }
    for c in &outlook.yard.containers {
        let home = c.parent_id.and_then(|h| container_name(outlook, h)).unwrap_or_default();
        rows.push(row(KitKind::Container, c, &c.code, &c.name, &c.kind, &home, ""));
    }
    for p in &outlook.yard.people {
        rows.push(row(KitKind::Person, p, &p.code, &p.name, "person", "", &p.skills.text()));
    }
    Kit { rows }
}

fn kind_of(p: &Product) -> &str {
    if p.kind.is_empty() { p.role.as_str() } else { &p.kind }
}

fn row<F: Fact>(
    kind: KitKind,
    fact: &F,
    code: &str,
    name: &str,
    sort: &str,
    home: &str,
    state: &str,
) -> KitRow {
    KitRow {
        kind,
        id: fact.row_id(),
        code: code.to_owned(),
        name: name.to_owned(),
        sort: sort.to_owned(),
        home: home.to_owned(),
        state: state.to_owned(),
    }
}
