//! A placement as a string of the network: its pixels, their current, what it takes beside them.

use crate::answers::power::wiring::{Wiring, conductors, pixels};
use crate::calc::electrical::network::{Chain, LoadModel, Override, PixelLoad};
use crate::calc::electrical::pixel_defaults::PARTS;
use crate::calc::refusal::Refusal;
use crate::domain::{LoadModel as Told, Placement, Product};
use crate::steps::Facts;
use crate::units::si::{Amps, Fraction, Volts, Watts};
use crate::units::{Gauge, Length};

/// The string of a placement at its level; nothing where its load is not told, or its rail while several supplies share it,
/// which `w` counts.
pub(super) fn chain(
    facts: &Facts,
    placement: &Placement,
    shared: bool,
    level: Fraction,
    w: &mut Wiring,
) -> Option<Chain> {
    let product = facts.product_of(placement);
    let Some((product, load)) =
        product.and_then(|p| load_of(placement, p, w).or_else(|| by_chip(placement, p, w)).map(|l| (p, l)))
    else {
        let lit = product.is_some_and(|p| p.pixel_ma.is_some() || p.pixel_mw.is_some() || p.chip.is_some());
        let dark = lit && product.is_some_and(|p| p.pixels.is_none());
        w.miss(if dark { "pixels of a prop" } else { "current or watts of a prop" }, &placement.code);
        return None;
    };
    let pixels = if product.pixels.is_some_and(|n| n > 0) {
        let Some(pixels) = pixels(placement, product) else {
            let refusal = Refusal {
                code: "too_many_pixels",
                what: "pixels of a prop",
                value: product.pixels.unwrap_or_default() as f64 * placement.count as f64,
                unit: "",
                range: (1.0, f64::from(u32::MAX)),
                remedy: "correct its pixels or its count",
            };
            w.refused.push((placement.code.clone(), refusal));
            return None;
        };
        pixels
    } else {
        1
    };
    let short = || conductors(product.wire.or(Gauge::awg(18))?, Length::from_mm(1)).ok();
    let piece = match product.wire.zip(product.pitch_mm) {
        _ if pixels == 1 => short()?,
        Some((wire, pitch)) => w.take(&placement.code, conductors(wire, pitch))?,
        // Between several supplies the rails divide the load; from one all of it comes, whatever they are.
        None if shared => {
            w.miss("rail wire or pitch of a prop", &placement.code);
            return None;
        }
        None => {
            w.railless.insert(placement.code.clone());
            short()?
        }
    };
    Some(Chain {
        name: placement.code.clone(),
        pixels,
        piece,
        load: PixelLoad { model: load, level: dimmed(product, level)? },
        overrides: beside(placement, product, load, level).into_iter().collect(),
        pos_cuts: Vec::new(),
    })
}

/// Only pixels are dimmed: a motor or a plain lamp takes what it takes.
fn dimmed(product: &Product, level: Fraction) -> Option<Fraction> {
    if product.pixels.is_some_and(|n| n > 0) { Some(level) } else { Fraction::new(1.0).ok() }
}

/// What a string takes beside its pixels, drawn where it is fed: a motor, a lamp in the frame.
fn beside(placement: &Placement, product: &Product, pixel: LoadModel, level: Fraction) -> Option<Override> {
    product.pixels.filter(|n| *n > 0)?;
    let volts = product.volts_mv?.volts();
    let own = product.load_mw?.watts() * placement.count as f64 / volts;
    let lit = match pixel {
        LoadModel::ConstantCurrent { amps } | LoadModel::CurrentWithKnee { amps, .. } => amps.get(),
        LoadModel::ConstantPower { watts, .. } => watts.get() / volts,
    };
    let amps = Amps::new(own + lit * level.get()).ok()?;
    let load = PixelLoad { model: LoadModel::ConstantCurrent { amps }, level: Fraction::new(1.0).ok()? };
    Some(Override { from: 1, to: 1, load })
}

/// The current a chip is known for, where the owner told none.
fn by_chip(placement: &Placement, p: &Product, w: &mut Wiring) -> Option<LoadModel> {
    p.pixels.filter(|n| *n > 0)?;
    let chip = p.chip.as_deref()?;
    let part = PARTS.iter().find(|part| part.name.eq_ignore_ascii_case(chip))?;
    let amps = part.amps().ok()?;
    w.assumed.insert(placement.code.clone(), amps.get());
    Some(LoadModel::ConstantCurrent { amps })
}

/// What one pixel takes at full level, or the whole of a thing without pixels.
fn load_of(placement: &Placement, p: &Product, w: &mut Wiring) -> Option<LoadModel> {
    let volts = |v: Option<crate::units::Voltage>| v.and_then(|v| Volts::new(v.volts()).ok());
    let amps = p.pixel_ma.and_then(|a| Amps::new(a.amps()).ok());
    let watts = p.pixel_mw.and_then(|x| Watts::new(x.watts()).ok());
    let floor = p.volts_mv.and_then(|v| Volts::new(v.volts() * 0.5).ok());
    if p.pixels.is_some_and(|n| n > 0) {
        return match (p.load_model, amps, watts) {
            (Some(Told::ConstantPower), _, Some(watts)) => {
                Some(LoadModel::ConstantPower { watts, cutoff: volts(p.cutoff_mv).or(floor)? })
            }
            (told, Some(amps), _) => {
                let knee =
                    volts(p.knee_mv).zip(volts(p.off_mv)).filter(|_| told == Some(Told::CurrentWithKnee));
                if told == Some(Told::CurrentWithKnee) && knee.is_none() {
                    w.kneeless.insert(placement.code.clone());
                }
                Some(knee.map_or(LoadModel::ConstantCurrent { amps }, |(knee, off)| {
                    LoadModel::CurrentWithKnee { amps, knee, off }
                }))
            }
            (_, None, Some(watts)) => {
                Some(LoadModel::ConstantPower { watts, cutoff: volts(p.cutoff_mv).or(floor)? })
            }
            _ => None,
        };
    }
    let lit = amps.is_some() || watts.is_some();
    if p.pixels.is_none() && lit {
        return None;
    }
    let all = p.load_mw.map(|x| x.watts() * placement.count as f64)?;
    Some(LoadModel::ConstantPower { watts: Watts::new(all).ok()?, cutoff: floor? })
}
