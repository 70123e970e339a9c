//! Labels for totes, shelves and both ends of leads: the code to scan, and what a person reads.

use std::collections::BTreeMap;

use crate::answers::Outlook;
use crate::answers::totes::page::carried;
use crate::answers::words::some;
use crate::domain::{Link, Phase, Piece, PieceId, Role};
use crate::steps::Facts;

/// What is labelled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LabelKind {
    Totes,
    Shelves,
    Leads,
}

/// One label.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// What a scanner types.
    pub code: String,
    pub lines: Vec<String>,
}

/// Every label of a kind, by code; a lead has one for each end.
pub(crate) fn labels(outlook: &Outlook, kind: LabelKind) -> Vec<Label> {
    match kind {
        LabelKind::Totes => containers(outlook, true),
        LabelKind::Shelves => containers(outlook, false),
        LabelKind::Leads => leads(outlook),
    }
}

fn containers(outlook: &Outlook, carry: bool) -> Vec<Label> {
    let units = outlook.units();
    let all = &outlook.yard.containers;
    let mine = all.iter().filter(|c| carried(c) == carry && c.kind != "place");
    mine.map(|c| {
        let mut lines = vec![c.name.clone()];
        lines.extend(c.parent_id.and_then(|p| all.iter().find(|x| x.id == p)).map(|p| p.name.clone()));
        if carry {
            lines.extend(c.max_mass_g.map(|m| format!("at most {}", m.show(units))));
        } else {
            let here: Vec<&str> =
                all.iter().filter(|x| x.parent_id == Some(c.id)).map(|x| x.code.as_str()).collect();
            lines.extend((!here.is_empty()).then(|| some(here)));
        }
        if c.frost_free {
            lines.push("kept from frost".to_owned());
        }
        if c.bench {
            lines.push("FAULTY THINGS ONLY".to_owned());
        }
        Label { code: c.code.clone(), lines }
    })
    .collect()
}

/// Two labels a lead: the end it comes from and the end it goes to, as the coming seasons plug it; one where nothing does.
fn leads(outlook: &Outlook) -> Vec<Label> {
    let facts = outlook.facts();
    // Of two shows to come the next one's plugs stand on the label.
    let mut seasons: Vec<_> = outlook.coming_seasons().into_iter().map(|s| s.id).collect();
    if seasons.is_empty() {
        seasons.extend(outlook.season_for(Phase::Up).ok().map(|s| s.id));
    }
    let mut by: BTreeMap<PieceId, &Link> = BTreeMap::new();
    for season in seasons.into_iter().rev() {
        by.extend(facts.links_in(season).into_iter().filter_map(|l| Some((l.lead_id?, l))));
    }
    let is_lead = |p: &&Piece| facts.product(p.product_id).is_some_and(|x| x.role == Role::Lead);
    let mut out = Vec::new();
    for lead in outlook.yard.pieces.iter().filter(is_lead) {
        let facts_line = lead_facts(outlook, &facts, lead);
        match by.get(&lead.id) {
            None => out.push(Label { code: lead.code.clone(), lines: vec![facts_line] }),
            Some(link) => {
                let (from, to) = ends(&facts, link);
                out.push(Label {
                    code: lead.code.clone(),
                    lines: vec![format!("this end: {from}"), format!("goes to {to}"), facts_line.clone()],
                });
                out.push(Label {
                    code: lead.code.clone(),
                    lines: vec![format!("this end: {to}"), format!("comes from {from}"), facts_line],
                });
            }
        }
    }
    out
}

/// "5 V, 2.00 m".
fn lead_facts(outlook: &Outlook, facts: &Facts, lead: &Piece) -> String {
    let units = outlook.units();
    let product = facts.product(lead.product_id);
    let volts = lead.tag_mv.or(product.and_then(|p| p.volts_mv)).map(|v| v.show(units));
    let long = lead.long(product).map(|l| l.show(units));
    let told: Vec<String> =
        [volts.or(Some("voltage not told".to_owned())), long].into_iter().flatten().collect();
    told.join(", ")
}

/// "BOX-MAIN port 6", "Boat cut-outs, end in".
fn ends(facts: &Facts, link: &Link) -> (String, String) {
    let piece = |id: Option<PieceId>| id.and_then(|id| facts.piece(id)).map(|p| p.code.clone());
    let placed = |id: Option<crate::domain::PlacementId>| {
        id.and_then(|id| facts.placement(id)).map(|p| p.name.clone())
    };
    let outlet = link
        .from_outlet_id
        .and_then(|id| facts.yard.outlets.iter().find(|o| o.id == id))
        .map(|o| o.code.clone());
    let from = piece(link.from_piece_id).or(placed(link.from_placement_id)).or(outlet);
    let port = link.from_port.as_deref().map_or_else(String::new, |p| format!(" port {p}"));
    let to = piece(link.to_piece_id).or(placed(link.to_placement_id));
    let end = link.to_end.as_deref().map_or_else(String::new, |e| format!(", end {e}"));
    let told = |t: Option<String>| t.unwrap_or_else(|| "not told".to_owned());
    (format!("{}{port}", told(from)), format!("{}{end}", told(to)))
}
