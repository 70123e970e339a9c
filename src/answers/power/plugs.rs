//! Plugs of one joint against each other: family, pins, which side has the pins, the order of the conductors.

use std::collections::BTreeSet;

use crate::answers::power::cords::LOWEST_MAINS_V;
use crate::answers::power::ends::LIVE;
use crate::answers::view::{Amount, Finding, Level};
use crate::answers::words::{n_of, some};
use crate::domain::plug::{rated_amps, takes};
use crate::domain::{
    Direction, Link, LinkKind, Piece, PieceId, PlacementId, PlugSex, ProductEnd, ProductId, Role,
};
use crate::steps::Facts;

/// One side of a joint.
#[derive(Debug, Clone, Default)]
struct Plug {
    /// "lead LD-001", "end \"in\" of P-1".
    name: String,
    family: Option<String>,
    pins: Option<i64>,
    sex: Option<PlugSex>,
    order: Option<String>,
}

impl Plug {
    fn of(name: String, end: Option<&ProductEnd>, own_family: Option<&String>) -> Self {
        let family = end.and_then(|e| e.plug_family.clone());
        // What a piece was re-plugged to is known by its family only.
        let same = own_family.is_none() || own_family == family.as_ref();
        let end = end.filter(|_| same);
        Self {
            name,
            family: own_family.cloned().or(family),
            pins: end.and_then(|e| e.pins),
            sex: end.and_then(|e| e.sex),
            order: end.and_then(|e| e.conductor_order.clone()),
        }
    }
}

fn ends(facts: &Facts, product: ProductId) -> Vec<ProductEnd> {
    facts.yard.product_ends.iter().filter(|e| e.product_id == product).cloned().collect()
}

fn at_mains(end: &ProductEnd) -> bool {
    end.volts_mv.is_some_and(|v| v.volts() >= LOWEST_MAINS_V)
}

/// The end of a list that a name says, else the one of a direction, else the first or last of those that are either.
fn pick<'e>(ends: &'e [ProductEnd], name: Option<&str>, way: Direction) -> Option<&'e ProductEnd> {
    let named = name.and_then(|n| ends.iter().find(|e| e.end_name.eq_ignore_ascii_case(n)));
    let mut either = ends.iter().filter(|e| e.direction == Direction::Either);
    let own = named.or_else(|| ends.iter().find(|e| e.direction == way));
    own.or_else(|| if way == Direction::In { either.next() } else { either.next_back() })
}

/// What is plugged where a link begins; nothing for an outlet, of which no plug is told.
fn begins(facts: &Facts, link: &Link) -> Option<Plug> {
    let (name, ends) = ends_at(facts, link, link.from_piece_id, link.from_placement_id)?;
    let end = pick(&ends, link.from_port.as_deref(), Direction::Out);
    let own = replugged(facts, link, link.from_piece_id, link.from_placement_id, |p| p.out_plug.as_ref());
    Some(Plug::of(name, end, own))
}

/// Where it ends.
fn arrives(facts: &Facts, link: &Link) -> Option<Plug> {
    let (name, ends) = ends_at(facts, link, link.to_piece_id, link.to_placement_id)?;
    let end = pick(&ends, link.to_end.as_deref(), Direction::In);
    let name = end.map_or_else(|| name.clone(), |e| format!("end \"{}\" of {name}", e.end_name));
    let own = replugged(facts, link, link.to_piece_id, link.to_placement_id, |p| p.in_plug.as_ref());
    Some(Plug::of(name, end, own))
}

/// The plug that is told of the piece itself. Of what stands between mains and low voltage it is the plug of the link's side
/// only where its family says so.
fn replugged<'a>(
    facts: &Facts<'a>,
    link: &Link,
    piece: Option<PieceId>,
    placement: Option<PlacementId>,
    plug: impl Fn(&'a Piece) -> Option<&'a String>,
) -> Option<&'a String> {
    let placed = placement.map_or(&[][..], |p| facts.pieces_of(p));
    let piece = piece.iter().chain(placed).filter_map(|p| facts.piece(*p)).find(|p| plug(p).is_some())?;
    let product = facts.product(piece.product_id)?;
    let sides = || facts.yard.product_ends.iter().filter(|e| e.product_id == product.id).map(at_mains);
    let between = matches!(product.role, Role::Box | Role::Supply | Role::Controller)
        || (sides().any(|mains| mains) && sides().any(|mains| !mains));
    let mains = |family: &String| rated_amps(family, true).is_some();
    plug(piece).filter(|family| !between || mains(family) == (link.kind == LinkKind::Mains))
}

/// The code of what a link joins there, and its ends of the link's side: mains, or not.
fn ends_at(
    facts: &Facts,
    link: &Link,
    piece: Option<PieceId>,
    placement: Option<PlacementId>,
) -> Option<(String, Vec<ProductEnd>)> {
    let (name, product) = match (piece, placement) {
        (Some(piece), _) => facts.piece(piece).map(|p| (p.code.clone(), p.product_id))?,
        (None, Some(prop)) => {
            let prop = facts.placement(prop)?;
            (prop.code.clone(), facts.product_of(prop)?.id)
        }
        (None, None) => return None,
    };
    let mut all = ends(facts, product);
    // An end of which no volts are told is of the link's side where the link names it.
    let named = [&link.from_port, &link.to_end];
    let named = |e: &ProductEnd| {
        e.volts_mv.is_none()
            && named.iter().any(|n| n.as_deref().is_some_and(|n| e.end_name.eq_ignore_ascii_case(n)))
    };
    // A cord that is laid by itself has the same on both ends as the link says.
    let cord = facts.product(product).is_some_and(|p| p.role == Role::Lead);
    let same = |e: &ProductEnd| cord && e.volts_mv.is_none();
    all.retain(|e| at_mains(e) == (link.kind == LinkKind::Mains) || named(e) || same(e));
    Some((name, all))
}

/// The near and the far plug of a lead.
fn of_lead(facts: &Facts, lead: &Piece) -> (Plug, Plug) {
    let all = ends(facts, lead.product_id);
    let name = format!("lead {}", lead.code);
    let near = Plug::of(name.clone(), pick(&all, None, Direction::In), lead.in_plug.as_ref());
    (near, Plug::of(name, pick(&all, None, Direction::Out), lead.out_plug.as_ref()))
}

/// The plugs of a way one after another with their families: of its lead, else of what it ends at.
pub(super) fn of_way(facts: &Facts, link: &Link) -> Vec<(String, Option<String>)> {
    let lead = link.lead_id.and_then(|l| facts.piece(l)).map(|lead| of_lead(facts, lead));
    let far = arrives(facts, link).map(|plug| (plug.name, plug.family));
    let lead = lead.into_iter().flat_map(|(near, far)| [near, far]).map(|plug| (plug.name, plug.family));
    lead.chain(far).collect()
}

fn is_laid(facts: &Facts, piece: Option<PieceId>) -> bool {
    let product = piece.and_then(|p| facts.piece(p)).and_then(|p| facts.product(p.product_id));
    product.is_some_and(|p| p.role == Role::Lead)
}

pub(super) fn look(facts: &Facts, links: &[&Link], not_told: &mut Vec<String>) -> Vec<Finding> {
    let mut found = Vec::new();
    let (mut unknown, mut leadless) = (BTreeSet::new(), BTreeSet::new());
    for link in links {
        let wired_inside = link.kind == LinkKind::Dc && link.to_piece_id.is_some();
        if !matches!(link.kind, LinkKind::Dc | LinkKind::Data | LinkKind::Mains) || wired_inside {
            continue;
        }
        let (from, to) = (begins(facts, link), arrives(facts, link));
        let joints = match (link.lead_id.and_then(|l| facts.piece(l)), from, to) {
            (Some(lead), from, to) => {
                let (near, far) = of_lead(facts, lead);
                vec![(from, Some(near)), (Some(far), to)]
            }
            // From prop to prop without a lead of its own, or at a cord that is laid by itself: the two plug into each
            // other; nothing is told of the outlet that the first cord goes into.
            (None, from, to)
                if link.from_placement_id.is_some()
                    || is_laid(facts, link.from_piece_id)
                    || is_laid(facts, link.to_piece_id) =>
            {
                vec![(from, to)]
            }
            (None, ..) => {
                leadless.insert(link.code.clone());
                continue;
            }
        };
        for (a, b) in joints {
            if let Some((a, b)) = a.zip(b) {
                found.extend(joint(facts, link, &a, &b, &mut unknown));
            }
        }
    }
    let list = |codes: BTreeSet<String>| some(codes);
    if !unknown.is_empty() {
        let n = unknown.len();
        not_told.push(format!(
            "plug, pins or conductor order not told at {leads} ({}): joints not compared",
            list(unknown),
            leads = n_of(n, "lead")
        ));
    }
    if !leadless.is_empty() {
        let n = leadless.len();
        not_told
            .push(format!("which lead is used not told for {n} ({}): plugs not compared", list(leadless)));
    }
    found
}

/// "round, 3 pins" for a family that is told as "round3" with its three pins; as it is told else.
fn family_words(family: &str, pins: Option<i64>) -> String {
    let bare = pins.and_then(|n| Some((family.strip_suffix(n.to_string().as_str())?, n)));
    let kind = bare.filter(|(kind, _)| kind.chars().all(|c| !c.is_ascii_digit()) && !kind.is_empty());
    let said = |text: &str| text.trim_end_matches(['_', '-', ' ']).replace('_', " ");
    kind.map_or_else(|| said(family), |(kind, n)| format!("{}, {n} pins", said(kind)))
}

fn mates(a: PlugSex, b: PlugSex) -> bool {
    matches!(
        (a, b),
        (PlugSex::Pins, PlugSex::Sockets)
            | (PlugSex::Sockets, PlugSex::Pins)
            | (PlugSex::Neutral, PlugSex::Neutral)
    )
}

fn same(a: &str, b: &str) -> bool {
    let words = |t: &str| t.to_lowercase().split_whitespace().map(str::to_owned).collect::<Vec<_>>();
    words(a) == words(b)
}

/// The first thing by which two plugs do not go together: its code, in words, on either side.
fn differs(a: &Plug, b: &Plug) -> Option<(&'static str, &'static str, Amount, Amount)> {
    let count = |n: i64| Amount::count(n as f64, "pins");
    if let Some((x, y)) = a.family.as_ref().zip(b.family.as_ref()).filter(|(x, y)| !takes(x, y)) {
        // Plugs that would mate have as many pins: what is told of one tells the other's name.
        let words = [family_words(x, a.pins.or(b.pins)), family_words(y, b.pins.or(a.pins))];
        let [x, y] = words.map(Amount::from);
        Some(("plug_family", "does not mate with", x, y))
    } else if let Some((x, y)) = a.pins.zip(b.pins).filter(|(x, y)| x != y) {
        Some(("plug_pins", "has another number of pins than", count(x), count(y)))
    } else if let Some((x, y)) = a.sex.zip(b.sex).filter(|(x, y)| !mates(*x, *y)) {
        Some(("plug_sex", "shows the same side as", x.as_str().into(), y.as_str().into()))
    } else if let Some((x, y)) = a.order.as_ref().zip(b.order.as_ref()).filter(|(x, y)| !same(x, y)) {
        Some(("plug_order", "has its conductors in another order than", x.as_str().into(), y.as_str().into()))
    } else {
        None
    }
}

fn joint(facts: &Facts, link: &Link, a: &Plug, b: &Plug, unknown: &mut BTreeSet<String>) -> Option<Finding> {
    let whole = |p: &Plug| p.family.is_some() && p.pins.is_some() && p.sex.is_some() && p.order.is_some();
    if !whole(a) || !whole(b) {
        unknown.insert(link.code.clone());
    }
    let (code, what, value, limit) = differs(a, b)?;
    let prop = link.to_placement_id.and_then(|p| facts.placement(p));
    let piece = link.to_piece_id.and_then(|p| facts.piece(p)).map(|p| p.code.clone());
    let place = prop.map(|p| format!("{} ({})", p.name, p.code)).or(piece).unwrap_or_default();
    let what = format!("the plug of {} {what} {}", a.name, b.name);
    let remedy = "take another lead or an adaptor; never force or re-pin it in the yard";
    Some(Finding::new(Level::Stop, code, place, what, value, limit, remedy).caution(LIVE))
}
