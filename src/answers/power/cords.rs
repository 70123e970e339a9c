//! Mains cords: what they may carry at their length, what they lose, and the voltages of what they join.

use std::collections::BTreeSet;

use crate::answers::power::generators;
use crate::answers::power::leads;
use crate::answers::power::load::{Mains, Thing};
use crate::answers::power::mains::MAINS;
use crate::answers::power::ratings;
use crate::answers::power::words;
use crate::answers::view::{Amount, Finding, Level};
use crate::answers::words::{n_of, some};
use crate::calc::electrical::cord_amps::{cord_amps, cord_wire_amps};
use crate::calc::electrical::cord_choice::{Sizes, cord_choice};
use crate::calc::electrical::mains_resistance::mains_resistance;
use crate::calc::electrical::voltage_drop::voltage_drop;
use crate::calc::electrical::{cord_amps, cord_choice, voltage_drop};
use crate::calc::refusal::Refusal;
pub(crate) use crate::domain::plug::LOWEST_MAINS_V;
use crate::domain::{Circuit, Link, Role, Terms};
use crate::steps::Facts;
use crate::units::si::{Amps, Fraction, Metres, Volts};
use crate::units::{Gauge, Voltage, figure};

/// Advice on drop over a cord (NEC 210.19 informational note).
const DROP: f64 = 0.03;
/// How far nominal and told voltage may lie apart: 110, 115, 120 and 127 V are one, 220, 230 and 240 V are one (common
/// practice, no published source).
const APART: f64 = 0.15;

pub(super) fn look(facts: &Facts, mains: &Mains, terms: Terms, not_told: &mut Vec<String>) -> Vec<Finding> {
    let word = terms.cord();
    let mut found = Vec::new();
    let (mut unknown, mut volts_untold, mut plugless) = (0, BTreeSet::new(), BTreeSet::new());
    for cord in mains.cords() {
        let circuit = circuit_of(facts, mains, cord);
        let given = || generators::behind(mains, cord).map(|(_, volts)| volts);
        let volts = circuit.and_then(|c| c.volts_mv).or_else(given).map(Voltage::volts);
        if let Some(volts) = volts {
            found.extend(voltages(facts, mains, cord, volts, &mut volts_untold));
        }
        match of_cord(mains, cord, volts, terms) {
            Some(said) => found.extend(said),
            None => unknown += 1,
        }
        if let Some(volts) = volts {
            found.extend(in_a_row(mains, cord, volts, terms));
            found.extend(own_fuses(mains, cord, volts));
            found.extend(ratings::plugs(mains, cord, volts, &mut plugless));
        }
    }
    if unknown > 0 {
        not_told.push(format!(
            "wire, length or voltage not told for {}: not checked",
            n_of(unknown, &format!("mains {word}"))
        ));
    }
    if !plugless.is_empty() {
        let plug = if terms == Terms::Us { "one of 15 A, as NEMA 5-15," } else { "one of 16 A, as CEE 7/7," };
        not_told.push(format!(
            "plug not told of {} ({}): {plug} is too small for what goes through",
            n_of(plugless.len(), &format!("mains {word}")),
            some(plugless)
        ));
    }
    if !volts_untold.is_empty() {
        not_told.push(format!(
            "mains voltage not told for {} ({}): not compared with their circuit",
            n_of(volts_untold.len(), "thing"),
            some(volts_untold)
        ));
    }
    found
}

fn circuit_of<'a>(facts: &Facts<'a>, mains: &Mains, cord: &Link) -> Option<&'a Circuit> {
    let outlet = mains.outlet(cord)?;
    let circuit = facts.yard.outlets.iter().find(|o| o.id == outlet)?.circuit_id?;
    facts.yard.circuits.iter().find(|c| c.id == circuit)
}

/// Load and drop of one cord; nothing where wire, length or voltage is not told.
fn of_cord(mains: &Mains, cord: &Link, volts: Option<f64>, terms: Terms) -> Option<Vec<Finding>> {
    let word = terms.cord();
    let gauge = leads::wire(mains.facts(), cord)?;
    let length = Metres::new(leads::length(mains.facts(), cord)?.metres()).ok()?;
    let volts = Volts::new(volts?).ok()?;
    let drawn = mains.on_cord(cord);
    let carried = drawn.va / volts.get();
    let amps = Amps::new(carried).ok()?;
    let limit = Fraction::new(DROP).ok()?;
    let sizes = if terms == Terms::Us { Sizes::Awg } else { Sizes::Mm2 };
    let choice = cord_choice(cord_choice::Input { sizes, volts, amps, length, limit });
    let remedy = choice.map_or_else(
        |_| format!("a shorter {word}, less load, or another {}", terms.outlet()),
        |c| format!("a {word} of {} at least, or a shorter one", Gauge::show(c.gauge)),
    );
    let mut found = Vec::new();
    let say = |level, code: &str, what: String, value: Amount, limit: Amount| {
        Finding::new(level, code, cord.code.clone(), what, value, limit, &remedy).caution(MAINS)
    };
    let allowed = may_carry(mains, cord, length)?;
    if let Ok(allowed) = allowed
        && words::over(carried, allowed.get())
    {
        let what = format!("more than this {word} may carry at its length");
        let over = say(Level::Stop, "cord_over", what, Amount::amps(carried), Amount::amps(allowed.get()));
        found
            .push(over.by("value_a = load_va / volts_v", &[("load_va", drawn.va), ("volts_v", volts.get())]));
    }
    let drop = mains_resistance(gauge).and_then(|ohm_per_m| {
        let answer = voltage_drop(voltage_drop::Input { volts, ohm_per_m, length, amps, limit });
        answer.map(|a| (a, ohm_per_m.get()))
    });
    if let Ok((d, ohm_per_m)) = drop
        && !d.within_limit
    {
        let what = format!("this {word} loses more than {} % on the way", figure(DROP * 100.0, 0));
        let limit = volts.get() * DROP;
        let over = say(Level::Mend, "cord_drop", what, tenth_volts(d.drop_v), tenth_volts(limit));
        found.push(over.by(
            "value_v = 2 * length_m * wire_ohm_per_m * load_a; limit_v = 0.03 * volts_v",
            &[
                ("length_m", length.get()),
                ("wire_ohm_per_m", ohm_per_m),
                ("load_a", carried),
                ("volts_v", volts.get()),
            ],
        ));
    }
    // A size that neither formula takes is said once.
    let refused = [allowed.err(), drop.err()].into_iter().flatten().next();
    found.extend(refused.map(|refusal| words::outside(&cord.code, &refusal, terms)));
    Some(found)
}

/// What a cord may carry over a length. Only a circuit of 20 A has outlets of 20 A beside those of 15 A, and there the plug
/// says which; on a bigger one a set of which no plug is told is as UL 817 lists it.
fn may_carry(mains: &Mains, cord: &Link, length: Metres) -> Option<Result<Amps, Refusal>> {
    let gauge = leads::wire(mains.facts(), cord)?;
    let input = cord_amps::Input { gauge, length };
    let big =
        circuit_of(mains.facts(), mains, cord).and_then(|c| c.breaker_ma).is_some_and(|b| b.amps() > 20.0);
    let set = || cord_amps(input).ok().filter(|_| big && !ratings::plug_told(mains, cord));
    Some(set().map_or_else(|| cord_wire_amps(input), Ok))
}

/// Fuses of a cord and in the plugs of what it leads to: all that is plugged through goes through them.
fn own_fuses(mains: &Mains, cord: &Link, volts: f64) -> Vec<Finding> {
    let amps = mains.on_cord(cord).va / volts;
    let own = leads::fuse(mains.facts(), cord).map(|fuse| (cord.code.clone(), fuse));
    // A fuse of what has outputs of its own is in these.
    let fused = |t: &Thing| {
        let product = mains.product_of(*t)?;
        let outputs = matches!(product.role, Role::Box | Role::Controller | Role::Supply);
        product.fuse_ma.filter(|_| !outputs)
    };
    let ends = mains.ends(cord).into_iter().filter_map(|t| Some((mains.code(t), fused(&t)?)));
    own.into_iter()
        .chain(ends)
        .map(|(place, fuse)| (place, fuse.amps()))
        .filter(|(_, fuse)| words::over(amps, *fuse))
        .map(|(place, fuse)| {
            let remedy =
                "plug fewer of them through one another; never a bigger fuse than the plug is made for";
            let what = "more goes through the fuse in its plug than it is made for".to_owned();
            let (value, limit) = (Amount::amps(amps), Amount::amps(fuse));
            Finding::new(Level::Mend, "fuse_small", place, what, value, limit, remedy)
                .by("value_a = load_va / volts_v", &[("load_va", amps * volts), ("volts_v", volts)])
                .caution(MAINS)
        })
        .collect()
}

/// Cords one after another that lose too much together, though none does alone; or that are as long together as one that
/// may carry less.
fn in_a_row(mains: &Mains, cord: &Link, volts: f64, terms: Terms) -> Option<Finding> {
    let row = mains.row(cord);
    if row.len() < 2 {
        return None;
    }
    let amps = |c: &Link| mains.on_cord(c).va / volts;
    let lost = |c: &Link| {
        let ohm_per_m = mains_resistance(leads::wire(mains.facts(), c)?).ok()?.get();
        Some(2.0 * leads::length(mains.facts(), c)?.metres() * ohm_per_m * amps(c))
    };
    let each: Vec<f64> = row.iter().map(|c| lost(c)).collect::<Option<_>>()?;
    let metres: f64 =
        row.iter().filter_map(|c| leads::length(mains.facts(), c)).map(crate::units::Length::metres).sum();
    let names = row.iter().map(|c| c.code.as_str()).collect::<Vec<_>>().join(" + ");
    let word = terms.cord();
    let may = |metres: f64| Some(may_carry(mains, cord, Metres::new(metres).ok()?)?.ok()?.get());
    let own = may(leads::length(mains.facts(), cord)?.metres());
    let carried = amps(cord);
    if let Some(may) = may(metres).filter(|may| words::over(carried, *may))
        && own.is_some_and(|own| !words::over(carried, own))
    {
        let what = format!("more than {word}s of that length together may carry");
        let remedy = format!("one {word} of the whole length, or thicker ones");
        let (value, limit) = (Amount::amps(carried), Amount::amps(may));
        return Some(
            Finding::new(Level::Stop, "cord_over", names, what, value, limit, &remedy)
                .by("value_a = load_va / volts_v", &[("load_va", carried * volts), ("volts_v", volts)])
                .caution(MAINS),
        );
    }
    let (sum, limit) = (each.iter().sum::<f64>(), volts * DROP);
    (words::over(sum, limit) && each.iter().all(|own| !words::over(*own, limit))).then(|| {
        let what = format!("these {word}s lose more than {} % together on the way", figure(DROP * 100.0, 0));
        let remedy = format!("a shorter way, thicker {word}s, or another {}", terms.outlet());
        Finding::new(Level::Mend, "cord_drop", names, what, tenth_volts(sum), tenth_volts(limit), &remedy)
            .by("limit_v = 0.03 * volts_v", &[("volts_v", volts)])
            .caution(MAINS)
    })
}

/// "3.6 V".
fn tenth_volts(v: f64) -> Amount {
    Amount::figure(format!("{} V", figure(v, 1)), "v", v)
}

/// What a cord joins to its circuit, and the cord itself, against the circuit's voltage.
fn voltages(
    facts: &Facts,
    mains: &Mains,
    cord: &Link,
    volts: f64,
    untold: &mut BTreeSet<String>,
) -> Vec<Finding> {
    let lead = cord.lead_id.and_then(|l| facts.piece(l));
    let lead_volts = lead.and_then(|l| l.tag_mv.or(facts.product(l.product_id)?.volts_mv));
    let mut told: Vec<(String, f64)> = Vec::new();
    told.extend(lead.zip(lead_volts).map(|(l, v)| (l.code.clone(), v.volts())));
    for thing in mains.ends(cord) {
        match takes(facts, mains, thing) {
            Takes::Volts(all) => told.extend(all.into_iter().map(|v| (mains.code(thing), v))),
            Takes::NotTold => {
                untold.insert(mains.code(thing));
            }
            Takes::Any => {}
        }
        // A supply in a box may be made, or set, for another voltage than the box says.
        for inside in mains.behind(std::iter::once(cord)) {
            let supply = mains.product_of(inside).is_some_and(|p| p.role == Role::Supply);
            if !supply || inside == thing {
                continue;
            }
            match takes(facts, mains, inside) {
                Takes::Volts(all) => told.extend(all.into_iter().map(|v| (mains.code(inside), v))),
                // Its selector may stand at the other voltage.
                Takes::NotTold | Takes::Any => {
                    untold.insert(mains.code(inside));
                }
            }
        }
    }
    let apart = |v: f64| (v - volts).abs() > volts * APART;
    told.into_iter()
        .filter(|(_, v)| apart(*v))
        .map(|(code, v)| {
            Finding::new(
                Level::Stop,
                "circuit_voltage",
                code,
                format!(
                    "hangs on a circuit of another voltage than it is made for, {} {}",
                    facts.yard.terms().cord(),
                    cord.code
                ),
                Amount::volts(volts),
                Amount::volts(v),
                "plug it into a circuit of its own voltage; correct the fact where it is told wrongly",
            )
            .caution(MAINS)
        })
        .collect()
}

enum Takes {
    /// By its product, and by the tags of its pieces where these say otherwise.
    Volts(Vec<f64>),
    NotTold,
    /// A splitter, or a supply of which only the output is told and the box tells the input.
    Any,
}

fn takes(facts: &Facts, mains: &Mains, thing: Thing) -> Takes {
    let Some(product) = mains.product_of(thing) else { return Takes::NotTold };
    let mains_v = |v: f64| (v >= LOWEST_MAINS_V).then_some(v);
    let high = |v: Voltage| mains_v(v.volts());
    let ends = facts.yard.product_ends.iter().filter(|e| e.product_id == product.id);
    let end = ends.filter_map(|e| e.volts_mv).find_map(high);
    let own = match product.role {
        // What a supply's `volts_mv` says may be either side.
        Role::Supply => product.volts_mv.and_then(high),
        _ => product.volts_mv.map(Voltage::volts),
    };
    let own = own.or(end);
    let pieces = match thing {
        Thing::Piece(id) => vec![id],
        Thing::Placement(id) => facts.pieces_of(id).to_vec(),
    };
    // The tag of what gives another voltage on may say that one.
    let gives = matches!(product.role, Role::Supply | Role::Box | Role::Controller)
        || own.and_then(mains_v).is_some();
    let tags = pieces.iter().filter_map(|p| facts.piece(*p)?.tag_mv).map(Voltage::volts);
    let tags = tags.filter(|v| product.role != Role::Supply && (!gives || mains_v(*v).is_some()));
    let mut all: Vec<f64> = own.into_iter().chain(tags).collect();
    all.dedup();
    match product.role {
        _ if !all.is_empty() => Takes::Volts(all),
        Role::Lead | Role::Adaptor | Role::Mount => Takes::Any,
        _ => Takes::NotTold,
    }
}
