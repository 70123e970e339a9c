//! Generators, inverters and the like: pieces that cords begin at, and that give mains voltage themselves.

use std::collections::BTreeSet;

use crate::answers::power::cords::LOWEST_MAINS_V;
use crate::answers::power::load::Mains;
use crate::answers::power::words::over;
use crate::answers::view::{Amount, Finding, Level};
use crate::answers::words::{n_of, some};
use crate::calc::electrical::supply_load::CONTINUOUS;
use crate::domain::{Link, Piece, PieceId, Product, Terms};
use crate::steps::Facts;
use crate::units::{Power, Voltage};

const OUTDOORS: &str = "A generator runs outdoors only, far from windows and doors: its exhaust kills; never feed it into an outlet.";

/// What a product gives at its outlets: its output, else what a generator or inverter runs at.
fn gives(product: &Product) -> Option<Voltage> {
    let words = format!("{} {}", product.kind, product.name).to_lowercase();
    let called = ["generator", "genset", "inverter", "power station"].iter().any(|w| words.contains(w));
    let high = |v: &Voltage| v.volts() >= LOWEST_MAINS_V;
    product.output_mv.filter(high).or(product.volts_mv.filter(|v| called && high(v)))
}

/// The generator that a cord hangs on, through others.
pub(super) fn behind<'a>(mains: &Mains<'a>, cord: &'a Link) -> Option<(&'a Piece, Voltage)> {
    let facts = mains.facts();
    let first = mains.row(cord).first().copied()?;
    let piece = facts.piece(first.from_piece_id?)?;
    Some((piece, gives(facts.product(piece.product_id)?)?))
}

pub(super) fn look(facts: &Facts, mains: &Mains, terms: Terms, not_told: &mut Vec<String>) -> Vec<Finding> {
    let sources: BTreeSet<PieceId> =
        mains.cords().filter_map(|c| behind(mains, c)).map(|(piece, _)| piece.id).collect();
    let (mut found, mut unrated, mut unknown) = (Vec::new(), BTreeSet::new(), BTreeSet::new());
    for piece in sources.into_iter().filter_map(|id| facts.piece(id)) {
        let drawn = mains.drawn(&mains.behind(mains.cords().filter(|c| c.from_piece_id == Some(piece.id))));
        unknown.extend(drawn.unknown);
        let Some(rated) = facts.product(piece.product_id).and_then(|p| p.rated_mw).map(Power::watts) else {
            unrated.insert(piece.code.clone());
            continue;
        };
        let (level, limit, what) = if over(drawn.va, rated) {
            (Level::Stop, rated, "more hangs on it than it is rated for")
        } else if over(drawn.va, rated * CONTINUOUS) {
            let what = "more hangs on it than four fifths of its rating, the most to plan for hours (common practice)";
            (Level::Note, rated * CONTINUOUS, what)
        } else {
            continue;
        };
        let va = |x: f64| Amount::figure(format!("{} VA", crate::units::figure(x, 0)), "va", x);
        let remedy = "hang less on it, or take a bigger one; what starts up hard asks for more still";
        found.push(
            Finding::new(
                level,
                "generator_over",
                piece.code.clone(),
                what.to_owned(),
                va(drawn.va),
                va(limit),
                remedy,
            )
            .by("value_va = load_va", &[("load_va", drawn.va)])
            .caution(OUTDOORS),
        );
    }
    let word = terms.cord();
    for (codes, what) in [
        (unrated, format!("rating not told of what gives mains to {word}s,")),
        (unknown, "load not known for things on a generator,".to_owned()),
    ] {
        if !codes.is_empty() {
            not_told.push(format!(
                "{what} {} ({}): load not checked",
                n_of(codes.len(), "thing"),
                some(codes)
            ));
        }
    }
    found
}
