//! Ladders one by one, and tools by count.

use std::collections::BTreeMap;

use crate::domain::{Condition, Role, Yard};
use crate::steps::on_hand;
use crate::units::Length;

/// One ladder, or one kind of tool with how many there are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EquipmentUnit {
    /// A ladder's own name, or the tool's word.
    pub name: String,
    /// The equipment word it answers.
    pub serves: String,
    pub count: i64,
    pub ladder: bool,
    /// How long a ladder is, as it is sold.
    pub size: Option<Length>,
}

/// What there is to work with.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Equipment {
    pub units: Vec<EquipmentUnit>,
    /// Some equipment was told; otherwise it limits nothing.
    pub told: bool,
    /// Some ladder was told: then a kind of ladder that is not there is missing, not untold.
    pub ladders_told: bool,
}

impl Equipment {
    /// Ladders and tools in good order.
    pub fn new(yard: &Yard) -> Self {
        let mut ladders: Vec<EquipmentUnit> = Vec::new();
        let mut tools: BTreeMap<String, i64> = BTreeMap::new();
        for product in &yard.products {
            let Some(word) = product.serves_as.as_deref().filter(|w| !w.is_empty()) else { continue };
            let pieces = yard.pieces.iter().filter(|p| p.product_id == product.id);
            let good: Vec<_> = pieces.filter(|p| p.condition == Condition::Good).collect();
            if product.role == Role::Ladder {
                for piece in good {
                    let name = if piece.name.is_empty() { &product.name } else { &piece.name };
                    ladders.push(EquipmentUnit {
                        name: format!("{} {name}", piece.code),
                        serves: word.to_owned(),
                        count: 1,
                        ladder: true,
                        size: piece.length_mm.or_else(|| product.length_mm.max(product.height_mm)),
                    });
                }
            } else {
                let stocked: i64 = yard
                    .stock
                    .iter()
                    .filter(|s| s.product_id == product.id)
                    .map(|s| on_hand(yard, s.id))
                    .sum();
                *tools.entry(word.to_owned()).or_default() += good.len() as i64 + stocked;
            }
        }
        let ladders_told = yard.products.iter().any(|p| p.role == Role::Ladder);
        let told = ladders_told || !tools.is_empty();
        ladders.sort_by(|a, b| a.name.cmp(&b.name));
        let tools = tools.into_iter().map(|(word, count)| EquipmentUnit {
            name: word.clone(),
            serves: word,
            count,
            ladder: false,
            size: None,
        });
        Self { units: ladders.into_iter().chain(tools).collect(), told, ladders_told }
    }

    /// Ladders that answer a word and are not too short, by their index in `units`.
    pub fn ladders_for(&self, word: &str, size: Option<Length>) -> Vec<usize> {
        let long = |u: &EquipmentUnit| u.size.zip(size).is_none_or(|(is, least)| is >= least);
        let fits = |u: &EquipmentUnit| u.ladder && u.serves == word && long(u);
        self.units.iter().enumerate().filter(|(_, u)| fits(u)).map(|(i, _)| i).collect()
    }

    /// The tool of a word, by its index in `units`; nothing where it was not told.
    pub fn tool_for(&self, word: &str) -> Option<usize> {
        self.units.iter().position(|u| !u.ladder && u.serves == word)
    }
}
