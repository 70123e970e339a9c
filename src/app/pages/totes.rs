//! Totes: what is where.

use crate::app::owner::App;
use crate::app::view::{ToteRow, Totes};
use crate::domain::Condition;

impl App {
    pub(super) fn totes_page(&self) -> Totes {
        let facts = self.facts();
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
        let rows = self
            .yard
            .containers
            .iter()
            .map(|c| {
                let pieces = self.yard.pieces.iter().filter(|p| p.home_id == Some(c.id));
                let mut contents: Vec<(String, String, String)> =
                    pieces.map(|p| (p.code.clone(), name(p), state(p.condition).to_owned())).collect();
                for s in self.yard.stock.iter().filter(|s| s.home_id == Some(c.id)) {
                    let product = facts.product(s.product_id).map_or("", |x| x.name.as_str());
                    let n = crate::steps::on_hand(&self.yard, s.id);
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
                    stands: c.parent_id.and_then(|p| self.container_name(p)).unwrap_or_default(),
                    contents,
                    notes,
                }
            })
            .collect();
        let homeless = self
            .yard
            .pieces
            .iter()
            .filter(|p| p.home_id.is_none() && p.condition != Condition::Scrapped)
            .map(|p| format!("{} {}", p.code, name(p)))
            .collect();
        Totes { rows, homeless }
    }
}
