//! Network switches: whether they have the ports that leads begin at, and as many as leads meet there.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::power::ports::has_port;
use crate::answers::view::{Amount, Finding, Level};
use crate::answers::words::{n_of, some};
use crate::domain::{Link, LinkKind, PieceId, Role};
use crate::steps::Facts;

pub(super) fn look(facts: &Facts, links: &[&Link], not_told: &mut Vec<String>) -> Vec<Finding> {
    let mut meet: BTreeMap<PieceId, Vec<&Link>> = BTreeMap::new();
    for link in links.iter().filter(|l| l.kind == LinkKind::Network) {
        for piece in [link.from_piece_id, link.to_piece_id].into_iter().flatten() {
            meet.entry(piece).or_default().push(link);
        }
    }
    let (mut found, mut untold) = (Vec::new(), BTreeSet::new());
    for (id, leads) in meet {
        let Some(piece) = facts.piece(id) else { continue };
        let Some(product) = facts.product(piece.product_id).filter(|p| p.role == Role::Network) else {
            continue;
        };
        let Some(ports) = product.ports.filter(|n| *n > 0) else {
            untold.insert(piece.code.clone());
            continue;
        };
        let begins =
            leads.iter().filter(|l| l.from_piece_id == Some(id)).filter_map(|l| l.from_port.as_deref());
        let beyond: BTreeSet<&str> = begins.filter(|p| has_port(p, ports) == Some(false)).collect();
        let mut say = |what: &str, value: Amount| {
            let remedy = "a bigger switch, or another one; correct the port, or how many its product has";
            let limit = Amount::count(ports as f64, "ports");
            let place = piece.code.clone();
            found.push(Finding::new(
                Level::Stop,
                "no_such_port",
                place,
                what.to_owned(),
                value,
                limit,
                remedy,
            ));
        };
        if leads.len() as i64 > ports {
            say("more network leads meet here than it has ports", Amount::count(leads.len() as f64, "leads"));
        } else if !beyond.is_empty() {
            say("a lead begins at a port that it does not have", some(beyond).into());
        }
    }
    if !untold.is_empty() {
        let switches = n_of(untold.len(), "network thing");
        not_told.push(format!("how many ports not told for {switches} ({}): not compared", some(untold)));
    }
    found
}
