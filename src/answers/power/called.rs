//! Codes in what Power says, as people call what they stand for.
//!
//! Not here: what commands write, which a script finds again by its codes.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use crate::answers::view::{Finding, Power};
use crate::domain::{Link, LinkKind, Piece, PieceId, Role, Season};
use crate::steps::Facts;

/// The names of a season's props, boxes and leads by their codes, each only where it says which one is meant.
pub(crate) struct Called {
    names: HashMap<String, String>,
    /// Their label is the only name they have.
    supplies: BTreeSet<String>,
}

impl Called {
    pub(crate) fn of(facts: &Facts, season: &Season) -> Self {
        let placements = facts.placements_in(season.id);
        let mut many: BTreeMap<&str, usize> = BTreeMap::new();
        for placement in &placements {
            *many.entry(placement.name.as_str()).or_default() += 1;
        }
        let mut names = HashMap::new();
        for placement in placements.iter().filter(|p| many.get(p.name.as_str()) == Some(&1)) {
            names.insert(placement.code.clone(), placement.name.clone());
            // What stands alone at its place is called as that is.
            if let [one] = facts.pieces_of(placement.id)
                && let Some(piece) = facts.piece(*one)
            {
                names.insert(piece.code.clone(), placement.name.clone());
            }
        }
        let supplies = facts.yard.pieces.iter().filter(|p| supply(facts, p) && !names.contains_key(&p.code));
        let supplies = supplies.map(|p| p.code.clone()).collect();
        let links = facts.links_in(season.id);
        let mut used: BTreeMap<PieceId, Vec<LinkKind>> = BTreeMap::new();
        for (lead, kind) in links.iter().filter_map(|l| Some((l.lead_id?, l.kind))) {
            used.entry(lead).or_default().push(kind);
        }
        // One lead may carry power and data; a label that several of one kind have says not which.
        let own = |l: &Link| {
            let (piece, uses) = (facts.piece(l.lead_id?)?, used.get(&l.lead_id?)?);
            let alike = uses.iter().filter(|k| **k == l.kind).count();
            let label = if uses.len() > 1 {
                format!("{} {}", piece.code, l.kind.as_str())
            } else {
                piece.code.clone()
            };
            (alike == 1).then_some(label)
        };
        let leads: Vec<(String, String)> = links
            .iter()
            .filter_map(|l| match own(l) {
                Some(label) => Some((l.code.clone(), label)),
                None => joins(facts, &names, l),
            })
            .collect();
        // Two that join the same are told apart by their codes.
        let mut alike: BTreeMap<&str, usize> = BTreeMap::new();
        for (_, name) in &leads {
            *alike.entry(name).or_default() += 1;
        }
        names.extend(leads.iter().filter(|(_, name)| alike.get(name.as_str()) == Some(&1)).cloned());
        names.retain(|code, name| code != name);
        Self { names, supplies }
    }

    /// A text with its codes told by name; a name that has its code behind it stays alone.
    pub(crate) fn say(&self, text: &str) -> String {
        let is = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.');
        let mut out = String::with_capacity(text.len());
        let mut rest = text;
        while let Some(at) = rest.find(is) {
            let (between, from) = rest.split_at(at);
            out.push_str(between);
            let end = from.find(|c| !is(c)).unwrap_or(from.len());
            let (word, behind) = from.split_at(end);
            let code = word.trim_end_matches('.');
            rest = behind;
            match self.names.get(code).filter(|_| coded(code)) {
                Some(name) if behind.starts_with(')') && out.ends_with(&format!("{name} (")) => {
                    out.truncate(out.len() - 2);
                    rest = behind.get(1..).unwrap_or_default();
                }
                Some(name) => {
                    out.push_str(name);
                    out.push_str(word.get(code.len()..).unwrap_or_default());
                }
                None => out.push_str(word),
            }
        }
        out.push_str(rest);
        once(out)
    }

    /// A finding in names.
    pub(crate) fn finding(&self, found: &mut Finding) {
        for text in [&mut found.place, &mut found.what, &mut found.remedy] {
            *text = self.say(text);
        }
        if self.supplies.contains(&found.place) {
            found.place = format!("supply {}", found.place);
        }
        found.value.say(|text| self.say(text));
        found.limit.say(|text| self.say(text));
    }

    /// All sentences of the page; rows of its tables keep their codes, by which a trial names them.
    pub(crate) fn page(&self, page: &mut Power) {
        page.findings.iter_mut().for_each(|f| self.finding(f));
        page.not_told.iter_mut().for_each(|text| *text = self.say(text));
        page.numbers.iter_mut().for_each(|n| n.name = self.say(&n.name));
        if let Some(tried) = &mut page.tried {
            tried.gone.iter_mut().chain(&mut tried.come).for_each(|f| self.finding(f));
        }
    }
}

/// Whether a word can only be a code: what people say has no figures or hyphens among its letters.
fn coded(word: &str) -> bool {
    word.contains(char::is_alphabetic) && word.contains(|c: char| c.is_ascii_digit() || c == '-')
}

fn supply(facts: &Facts, piece: &Piece) -> bool {
    facts.product(piece.product_id).is_some_and(|p| p.role == Role::Supply)
}

/// A lead by what it joins.
fn joins(facts: &Facts, names: &HashMap<String, String>, link: &Link) -> Option<(String, String)> {
    let name = |code: &str| names.get(code).cloned().unwrap_or_else(|| code.to_owned());
    let piece = |id| facts.piece(id).map(|p: &Piece| name(&p.code));
    let placement = |id| facts.placement(id).map(|p| p.name.clone());
    let outlet = |id| facts.yard.outlets.iter().find(|o| o.id == id).map(|o| o.code.clone());
    let from = link.from_placement_id.and_then(placement).or_else(|| link.from_piece_id.and_then(piece));
    let from = from.or_else(|| link.from_outlet_id.and_then(outlet))?;
    let to = link.to_placement_id.and_then(placement).or_else(|| link.to_piece_id.and_then(piece))?;
    Some((link.code.clone(), format!("{from} to {to}")))
}

/// A lead that is named by what it joins is not named twice: "A to B, lead A to B".
fn once(text: String) -> String {
    match text.split_once(", lead ") {
        Some((front, lead)) if front == lead => front.to_owned(),
        _ => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn called() -> Called {
        let name = |(code, name): (&str, &str)| (code.to_owned(), name.to_owned());
        let names = [
            ("HM26-25", "Boats 3 and 4"),
            ("BOX-MAST", "Mast box"),
            ("L-010", "SUP-01 to Mast box"),
            ("tree", "Cone tree"),
        ];
        Called { names: names.into_iter().map(name).collect(), supplies: BTreeSet::new() }
    }

    #[test]
    fn what_a_code_stands_for_is_said() {
        let says = |text| called().say(text);
        assert_eq!(says("end \"in\" of HM26-25."), "end \"in\" of Boats 3 and 4.");
        assert_eq!(says("Boats 3 and 4 (HM26-25): far"), "Boats 3 and 4: far");
        assert_eq!(says("SUP-01 to BOX-MAST, lead L-010"), "SUP-01 to Mast box");
        assert_eq!(says("not told for 2 (L-010, L-011)"), "not told for 2 (SUP-01 to Mast box, L-011)");
    }

    #[test]
    fn words_that_happen_to_be_codes_stay() {
        assert_eq!(called().say("a tree, 5 V, 0.6 A"), "a tree, 5 V, 0.6 A");
    }
}
