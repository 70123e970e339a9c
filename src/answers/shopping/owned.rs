//! What a season puts out by number against the labelled pieces and loose stock that are fit for use.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::Outlook;
use crate::answers::shopping::ordered::{Coming, coming};
use crate::answers::shopping::stock::usable;
use crate::answers::shopping::stock_kept::{adds, used_up_by};
use crate::answers::view::{Amount, Finding, Level};
use crate::answers::words::{called, n_of, some};
use crate::domain::{Condition, PieceId, Product, ProductId, RepairDeed, Season, Stock};
use crate::steps::Facts;

/// A product of which fewer are fit than are put out.
pub(super) struct Owned<'a> {
    product: &'a Product,
    wanted: i64,
    have: i64,
    /// Not fit, by condition.
    unfit: BTreeMap<&'static str, i64>,
    /// Lost, or scrapped over a fault: these are on the list by themselves.
    listed: i64,
    season: String,
    coming: Coming,
    /// Only some are labelled: others may be owned that nobody told.
    labels_only: bool,
}

/// Where all that is wanted was owned once, and some of it is no longer fit; who labels only some of them, or none, is
/// asked how many there are.
pub(super) fn put_out<'a>(
    outlook: &Outlook,
    facts: &Facts<'a>,
    season: &Season,
    not_told: &mut Vec<String>,
) -> Vec<Owned<'a>> {
    let mut wanted: BTreeMap<ProductId, i64> = BTreeMap::new();
    let mut named: BTreeSet<PieceId> = BTreeSet::new();
    for p in facts.placements_in(season.id).into_iter().filter(|p| !p.wished) {
        let own = facts.pieces_of(p.id);
        named.extend(own);
        if let Some(product) = p.product_id {
            *wanted.entry(product).or_default() += (p.count - own.len() as i64).max(0);
        }
    }
    wanted.retain(|_, n| *n > 0);
    let nameless = facts.placements_in(season.id).into_iter();
    let nameless = nameless.filter(|p| p.product_id.is_none() && facts.pieces_of(p.id).is_empty());
    let nameless = some(nameless.map(called));
    if !nameless.is_empty() {
        not_told.push(format!("what is put out not told for {nameless}: not counted among what is owned"));
    }
    let mut told: BTreeMap<ProductId, Vec<_>> = BTreeMap::new();
    for piece in facts.yard.pieces.iter().filter(|p| !named.contains(&p.id)) {
        told.entry(piece.product_id).or_default().push(piece);
    }
    let last_use = used_up_by(outlook, season);
    let mut untold = Vec::new();
    let mut short = Vec::new();
    for (id, n) in wanted {
        let Some(product) = facts.product(id) else { continue };
        let pieces = told.remove(&id).unwrap_or_default();
        let loose = usable(outlook, id, last_use);
        let fit = pieces.iter().filter(|p| p.condition == Condition::Good).count() as i64 + loose;
        if fit >= n {
            continue;
        }
        // Who counts a kind in lots, and labels none that goes out, has told how many there are.
        let counted = product.counted && counted_lot(outlook, id) && pieces.is_empty();
        let labels_only = !counted && pieces.len() as i64 + loose < n;
        if labels_only {
            untold.push(product.code.clone());
            if pieces.is_empty() {
                continue;
            }
        }
        let mut unfit: BTreeMap<&str, i64> = BTreeMap::new();
        let mut listed = 0;
        for piece in pieces.iter().filter(|p| p.condition != Condition::Good) {
            *unfit.entry(piece.condition.as_str()).or_default() += 1;
            let faults = facts.yard.faults.iter().filter(|f| f.piece_id == Some(piece.id));
            let scrapped = faults.map(|f| facts.fault_stands(f.id)).any(|s| s == Some(RepairDeed::Scrapped));
            listed += i64::from(piece.condition == Condition::Lost || scrapped);
        }
        let coming = coming(outlook, id, season, not_told);
        short.push(Owned {
            product,
            wanted: n,
            have: fit,
            unfit,
            listed,
            season: season.name.clone(),
            coming,
            labels_only,
        });
    }
    if !untold.is_empty() {
        let n = untold.len();
        not_told.push(format!(
            "how many are owned not told for {things} put out ({}): not counted",
            some(untold),
            things = n_of(n, "thing")
        ));
    }
    short
}

/// Pieces that this season puts out, hangs things on or links though they are faulty, lent, lost or scrapped, and those put
/// out twice.
pub(super) fn not_usable(facts: &Facts, season: &Season, found: &mut Vec<Finding>) {
    let placements = facts.placements_in(season.id);
    let mut by: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    let mut uses: Vec<(PieceId, String)> = Vec::new();
    for placement in &placements {
        for piece in facts.pieces_of(placement.id).iter().filter_map(|p| facts.piece(*p)) {
            by.entry(&piece.code).or_default().push(&placement.code);
            uses.push((piece.id, format!("goes out for {} ({})", placement.name, placement.code)));
        }
    }
    for placement in &placements {
        uses.extend(
            placement.mount_id.map(|m| (m, format!("carries {} ({})", placement.name, placement.code))),
        );
    }
    for link in facts.links_in(season.id) {
        let ends = [link.from_piece_id, link.to_piece_id].into_iter().flatten();
        uses.extend(ends.map(|p| (p, format!("is an end of the {} lead {}", link.kind.as_str(), link.code))));
    }
    for (piece, at) in by.into_iter().filter(|(_, at)| at.len() > 1) {
        found.push(Finding::new(
            Level::Mend,
            "stock.twice",
            piece.to_owned(),
            format!("is put out at several places: {}", at.join(", ")),
            Amount::count(1.0, "owned"),
            Amount::count(at.len() as f64, "places"),
            "tell another piece for the others",
        ));
    }
    let mut said = BTreeSet::new();
    for (piece, use_of) in uses {
        let Some(piece) = facts.piece(piece).filter(|p| p.condition != Condition::Good) else { continue };
        if !said.insert(piece.id) {
            continue;
        }
        let remedy = match piece.condition {
            Condition::Good | Condition::Faulty => "mend and test it, or put out a spare",
            Condition::Lent => "ask for it back, or put out another",
            Condition::Lost | Condition::Scrapped => "put out another, or buy one",
        };
        let is = piece.condition.as_str();
        found.push(Finding::new(
            Level::Mend,
            &format!("stock.{is}"),
            piece.code.clone(),
            format!("{use_of}, but is {is}"),
            is.to_owned(),
            "good",
            remedy,
        ));
    }
}

/// Whether a lot of a kind was ever counted.
pub(super) fn counted_lot(outlook: &Outlook, product: ProductId) -> bool {
    let lots = outlook.yard.stock.iter().filter(|s| s.product_id == product);
    let counted = |s: &Stock| outlook.yard.stock_moves.iter().any(|m| m.stock_id == s.id && adds(m.kind));
    lots.clone().next().is_some() && lots.into_iter().all(counted)
}

impl Owned<'_> {
    pub(super) fn finding(&self) -> Finding {
        let unfit: Vec<String> = self.unfit.iter().map(|(word, n)| format!("{n} {word}")).collect();
        let short = self.wanted - self.have;
        let why = if unfit.is_empty() { String::new() } else { format!(" ({})", unfit.join(", ")) };
        let on_order = self.coming.in_time >= short;
        Finding::new(
            if on_order { Level::Note } else { Level::Mend },
            "stock.short",
            self.product.code.clone(),
            format!(
                "{}: {short} short{}, put out in {}{why}{}",
                self.product.name,
                if self.labels_only { " of those that are labelled" } else { "" },
                self.season,
                self.coming.words
            ),
            Amount::count(self.have as f64, "usable"),
            Amount::count(self.wanted as f64, "needed"),
            if self.labels_only {
                "label the others where they are owned, else mend, find or buy some"
            } else {
                "mend or find them, or buy others"
            },
        )
    }

    /// Product, how many beyond what is wanted for lost and scrapped ones anyway, and why.
    pub(super) fn to_buy(&self) -> (ProductId, i64, String) {
        let why = format!("{} put out in {}, {} usable", self.wanted, self.season, self.have);
        // What may lie at home without a label is not bought.
        let short = if self.labels_only { 0 } else { self.wanted - self.have - self.listed };
        (self.product.id, short, why)
    }
}
