//! Figures that nobody means, as they stand in the facts.

use crate::answers::view::{Amount, Finding, Level};
use crate::domain::plausible::{doubts, whole};
use crate::domain::{Fact, RowChange, Value};
use crate::steps::Facts;

/// What power and signal are computed from; people, heights and winds with `outdoors`.
pub(crate) fn look(facts: &Facts, outdoors: bool) -> Vec<Finding> {
    let yard = facts.yard;
    fn rows<F: Fact>(list: &[F]) -> impl Iterator<Item = RowChange> + '_ {
        list.iter().map(Fact::to_row)
    }
    let wired = rows(&yard.circuits).chain(rows(&yard.outlets)).chain(rows(&yard.links));
    let told = rows(&yard.products).chain(rows(&yard.product_ends)).chain(rows(&yard.pieces));
    let mut found: Vec<Finding> = Vec::new();
    if outdoors {
        let placed = rows(&yard.sites).chain(rows(&yard.people)).chain(rows(&yard.placements));
        let held = rows(&yard.stands).chain(rows(&yard.guys)).chain(rows(&yard.products));
        let told = rows(&yard.sessions).chain(rows(&yard.nights));
        found.extend(placed.chain(held).chain(told).flat_map(|row| of(&row)));
    } else {
        found.extend(wired.chain(told).flat_map(|row| of(&row)));
    }
    found
}

fn of(row: &RowChange) -> Vec<Finding> {
    let code = row.set.iter().find_map(|(column, value)| match value {
        Value::Text(text) if matches!(*column, "code" | "name") => Some(text.as_str()),
        _ => None,
    });
    let place = format!("{} {}", row.table, code.unwrap_or_default()).trim().to_owned();
    doubts(row)
        .into_iter()
        .map(|doubt| {
            let amount = |value: i64| {
                let (figure, unit, name) = whole(doubt.column, value);
                Amount::figure(format!("{figure} {unit}"), name, figure)
            };
            let likely = doubt.likely.map_or_else(Amount::default, |l| {
                let meant = amount(l);
                Amount::from(format!("{meant} meant?"))
            });
            Finding::new(
                Level::Mend,
                "implausible",
                place.clone(),
                match doubt.likely {
                    Some(_) => format!("a figure a thousand times off: {}", doubt.words()),
                    None => format!("a figure that nobody means: {}", doubt.words()),
                },
                amount(doubt.value),
                likely,
                "correct it, with its unit: 500 W, 12 V, 15 m",
            )
        })
        .collect()
}
