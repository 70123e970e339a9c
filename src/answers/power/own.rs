//! What receivers, players and the like take themselves from the low voltage that feeds them. What has a cord of its own
//! takes it from the mains (`load`).

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::power::dc::Dc;
use crate::answers::power::wiring::{Buses, Wiring, conductors};
use crate::calc::electrical::network::{Cable, Chain, LoadModel, PixelLoad, Point};
use crate::domain::{LinkKind, PieceId, Product, Role, Season};
use crate::steps::Facts;
use crate::units::si::{Fraction, Volts, Watts};
use crate::units::{Gauge, Length, Power};

/// Below this share of the lowest supply's voltage a thing is off (as assumed of props that hold their power).
const OFF: f64 = 0.5;

/// Of these each takes something itself; a lead, a splitter or a part only what is told of it.
fn is_fed(product: &Product) -> bool {
    matches!(product.role, Role::Box | Role::Controller | Role::Network | Role::Player | Role::Sound)
}

/// Hangs what each piece takes itself on the first bus that it has; says of which nobody told what they take.
pub(super) fn loads(facts: &Facts, season: &Season, dc: &Dc, buses: &Buses, w: &mut Wiring) {
    let mut first: BTreeMap<PieceId, &String> = BTreeMap::new();
    for ((piece, _), junction) in buses {
        first.entry(*piece).or_insert(junction);
    }
    let links = facts.links_in(season.id);
    let plugged = links.iter().filter(|l| l.kind == LinkKind::Mains).filter_map(|l| l.to_piece_id);
    let plugged: BTreeSet<PieceId> = plugged.collect();
    let fed: BTreeSet<PieceId> = dc.links.iter().filter_map(|l| l.to_piece_id).collect();
    for id in fed.into_iter().filter(|id| !dc.is_supply(*id) && !plugged.contains(id)) {
        let Some(piece) = facts.piece(id) else { continue };
        let Some(product) = facts.product(piece.product_id) else { continue };
        let Some(own) = product.load_mw.map(Power::watts) else {
            if is_fed(product) {
                w.loadless.insert(piece.code.clone());
            }
            continue;
        };
        if own <= 0.0 {
            continue;
        }
        let Some(junction) = first.get(&id) else {
            w.miss("supply or port", &piece.code);
            continue;
        };
        let Some(chain) = chain(&piece.code, own, w) else { continue };
        let Some(short) = Gauge::awg(18).and_then(|g| conductors(g, Length::from_mm(1)).ok()) else {
            continue;
        };
        let to = Point::Pixel(chain.name.clone(), 1);
        w.network.cables.push(Cable {
            name: chain.name.clone(),
            from: Point::Junction((*junction).clone()),
            to,
            conductors: short,
        });
        w.network.chains.push(chain);
        w.own.insert(id);
    }
}

fn chain(code: &str, watts: f64, w: &Wiring) -> Option<Chain> {
    let volts = w.network.supplies.iter().map(|s| s.volts.get()).fold(f64::INFINITY, f64::min);
    let full = Fraction::new(1.0).ok()?;
    let model =
        LoadModel::ConstantPower { watts: Watts::new(watts).ok()?, cutoff: Volts::new(volts * OFF).ok()? };
    Some(Chain {
        name: format!("{code} itself"),
        pixels: 1,
        piece: conductors(Gauge::awg(18)?, Length::from_mm(1)).ok()?,
        load: PixelLoad { model, level: full },
        overrides: Vec::new(),
        pos_cuts: Vec::new(),
    })
}
