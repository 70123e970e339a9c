//! How much current a pixel takes at a given voltage.

use crate::calc::refusal::Refusal;
use crate::units::si::{Amps, Fraction, Volts, Watts};

/// What a pixel takes at full level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LoadModel {
    /// The same current whatever the voltage; not physical below about the voltage of its LEDs.
    ConstantCurrent { amps: Amps },
    /// P / v at or above `cutoff`, P v / cutoff² below it.
    ConstantPower { watts: Watts, cutoff: Volts },
    /// `amps` at or above `knee`, none at or below `off`, a straight line between.
    CurrentWithKnee { amps: Amps, knee: Volts, off: Volts },
}

/// A load and how brightly it is driven; the level scales current or power.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PixelLoad {
    pub model: LoadModel,
    pub level: Fraction,
}

impl PixelLoad {
    /// Current in A and its slope in A/V at `v` volts.
    pub(super) fn at(&self, v: f64) -> (f64, f64) {
        let level = self.level.get();
        match self.model {
            LoadModel::ConstantCurrent { amps } => (amps.get() * level, 0.0),
            LoadModel::ConstantPower { watts, cutoff } => {
                let p = watts.get() * level;
                if v >= cutoff.get() {
                    (p / v, -p / (v * v))
                } else {
                    let slope = p / (cutoff.get() * cutoff.get());
                    (slope * v, slope)
                }
            }
            LoadModel::CurrentWithKnee { amps, knee, off } => {
                let a = amps.get() * level;
                let slope = a / (knee.get() - off.get());
                if v >= knee.get() {
                    (a, 0.0)
                } else if v <= off.get() {
                    (0.0, 0.0)
                } else {
                    (slope * (v - off.get()), slope)
                }
            }
        }
    }

    /// The voltage below which a constant-power load no longer holds its power, where it draws any.
    pub(super) fn cutoff(&self) -> Option<f64> {
        match self.model {
            LoadModel::ConstantPower { watts, cutoff } if watts.get() * self.level.get() > 0.0 => {
                Some(cutoff.get())
            }
            _ => None,
        }
    }

    /// Refuses a negative current, a cutoff of 0 V and a knee that is not above the off voltage.
    pub(super) fn checked(&self) -> Result<(), Refusal> {
        let current = |amps: Amps| Refusal {
            code: "load_current_range",
            what: "pixel current",
            value: amps.get(),
            unit: "A",
            range: (0.0, 10_000.0),
            remedy: "give what the pixel takes as a positive number",
        };
        match self.model {
            LoadModel::ConstantCurrent { amps } => current(amps).unless_within(),
            LoadModel::ConstantPower { cutoff, .. } => Refusal {
                code: "load_cutoff_range",
                what: "cutoff voltage",
                value: cutoff.get(),
                unit: "V",
                range: (1e-3, 1000.0),
                remedy: "give the lowest voltage at which the pixel still regulates",
            }
            .unless_within(),
            LoadModel::CurrentWithKnee { amps, knee, off } => current(amps).unless_within().and_then(|_| {
                Refusal {
                    code: "load_knee_range",
                    what: "knee voltage",
                    value: knee.get(),
                    unit: "V",
                    range: (off.get() + 1e-6, 1000.0),
                    remedy: "the knee lies above the voltage at which the pixel goes dark",
                }
                .unless_within()
            }),
        }
        .map(|_| ())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn load(model: LoadModel) -> PixelLoad {
        PixelLoad { model, level: Fraction::new(0.5).unwrap() }
    }

    #[test]
    fn constant_power_goes_on_without_a_jump_below_its_cutoff() {
        let (watts, cutoff) = (Watts::new(0.6).unwrap(), Volts::new(7.0).unwrap());
        let load = load(LoadModel::ConstantPower { watts, cutoff });
        assert!((load.at(7.0).0 - load.at(7.0 - 1e-9).0).abs() < 1e-9);
        assert!((load.at(10.0).0 - 0.03).abs() < 1e-12);
        assert!(load.at(0.0).0.abs() < 1e-12);
    }

    #[test]
    fn a_knee_at_its_off_voltage_is_refused() {
        let (amps, knee) = (Amps::new(0.05).unwrap(), Volts::new(3.0).unwrap());
        let refused = load(LoadModel::CurrentWithKnee { amps, knee, off: knee }).checked();
        assert_eq!(refused.map_err(|r| r.code), Err("load_knee_range"));
    }
}
