//! Totes: what is where.

use crate::answers::Outlook;
use crate::answers::view::{ToteRow, Totes};
use crate::answers::walk::page::container_name;
use crate::domain::Condition;

pub(crate) fn totes_page(outlook: &Outlook) -> Totes {
    let facts = outlook.facts();
    let name = |p: &crate::domain::Piece| {
        let product = facts.product(p.product_id).map_or("", |x| x.name.as_str());
        if p.name.is_empty() { product.to_owned() } else { p.name.clone() }
    };
    let state = |c: Condition| match c {
        Condition::Good => "home",
        Condition::Faulty => "on the bench",
        Condition::Lent => "lent",
        Condition::Lost => "lost",
        Condition::Scrapped => "scrapped",
    };
    let rows = outlook
        .yard
        .containers
        .iter()
        .map(|c| {
            let pieces = outlook.yard.pieces.iter().filter(|p| p.home_id == Some(c.id));
            let mut contents: Vec<(String, String, String)> =
                pieces.map(|p| (p.code.clone(), name(p), state(p.condition).to_owned())).collect();
            for s in outlook.yard.stock.iter().filter(|s| s.home_id == Some(c.id)) {
                let product = facts.product(s.product_id).map_or("", |x| x.name.as_str());
                let n = crate::steps::on_hand(outlook.yard, s.id);
                contents.push((s.code.clone(), product.to_owned(), format!("{n} on hand")));
            }
            let mut notes = Vec::new();
            if c.frost_free {
                notes.push("kept from frost".to_owned());
            }
            if c.bench {
                notes.push("bench tote: faulty pieces go here".to_owned());
            }
            if !c.note.is_empty() {
                notes.push(c.note.clone());
            }
            ToteRow {
                code: c.code.clone(),
                name: c.name.clone(),
                kind: c.kind.clone(),
                stands: c.parent_id.and_then(|p| container_name(outlook, p)).unwrap_or_default(),
                contents,
                notes,
            }
        })
        .collect();
    let homeless = outlook
        .yard
        .pieces
        .iter()
        .filter(|p| p.home_id.is_none() && p.condition != Condition::Scrapped)
        .map(|p| format!("{} {}", p.code, name(p)))
        .collect();
    Totes { rows, homeless }
}
