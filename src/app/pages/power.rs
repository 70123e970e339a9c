//! Power: circuits, outlets, boxes and what they feed, as a tree.

use crate::app::owner::App;
use crate::app::view::{Power, PowerNode};
use crate::steps::Facts;

impl App {
    pub(super) fn power_page(&self) -> Power {
        let facts = Facts::new(&self.yard);
        let season = self.season_for(self.phase_now()).ok();
        let links = season.map(|s| facts.links_in(s.id)).unwrap_or_default();
        let mut nodes: Vec<PowerNode> = Vec::new();
        let mut node = |depth: usize, code: &str, name: &str, kind: &'static str| {
            nodes.push(PowerNode {
                depth,
                code: code.to_owned(),
                name: name.to_owned(),
                kind,
                load: "load not computed".to_owned(),
                share: None,
            });
        };
        for circuit in &self.yard.circuits {
            node(0, &circuit.code, &circuit.name, "circuit");
            for outlet in self.yard.outlets.iter().filter(|o| o.circuit_id == Some(circuit.id)) {
                let place = outlet.place_id.and_then(|p| facts.place(p)).map_or("", |p| p.name.as_str());
                node(1, &outlet.code, place, "outlet");
                for link in links.iter().filter(|l| l.from_outlet_id == Some(outlet.id)) {
                    let Some(piece) = link.to_piece_id.and_then(|p| facts.piece(p)) else { continue };
                    node(2, &piece.code, &piece.name, "box");
                    for out in links.iter().filter(|l| l.from_piece_id == Some(piece.id)) {
                        let Some(prop) = out.to_placement_id.and_then(|p| facts.placement(p)) else {
                            continue;
                        };
                        let port = out.from_port.as_deref().unwrap_or("?");
                        node(3, &format!("{} port {port}", out.kind.as_str()), &prop.name, "prop");
                    }
                }
            }
        }
        let level = self.yard.sites.first().and_then(|s| s.level_limit_pct.zip(s.level_limit_in));
        Power {
            nodes,
            findings: Vec::new(),
            not_told: self.not_told(season),
            strings: Vec::new(),
            level: level.map_or_else(
                || "level limit not told".to_owned(),
                |(l, how)| format!("level {} %, set in {} only", l.get(), how.as_str()),
            ),
        }
    }
}
