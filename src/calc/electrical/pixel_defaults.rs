//! What a pixel takes at full white where the owner has told nothing; a label or a meter reading beats it.

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::{Amps, OutOfRange, Volts};

/// Currents by data sheet; the lowest voltages are rules of thumb.
pub const SOURCE: Source = Source {
    title: "Pixel data sheets (WS2811, WS2812B, WS2813, WS2815, SK6812, UCS1903); lowest voltages by common practice",
    edition: "",
    clause: "output current",
    standing: Standing::MakersData,
};

/// How its current answers to voltage.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Behaves {
    ConstantCurrent,
    ConstantPower,
}

/// One kind of pixel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    pub name: &'static str,
    /// Full white.
    pub milliamps: f64,
    /// Dark; nothing where no figure is known.
    pub idle_milliamps: Option<f64>,
    pub behaves: Behaves,
    pub standing: Standing,
}

const fn part(name: &'static str, milliamps: f64, idle: Option<f64>, standing: Standing) -> Part {
    Part { name, milliamps, idle_milliamps: idle, behaves: Behaves::ConstantCurrent, standing }
}

/// The kinds known; where revisions differ, each has its row.
pub const PARTS: [Part; 11] = [
    part("WS2811", 55.5, None, Standing::FromMemory),
    part("WS2812B", 60.0, None, Standing::CommonPractice),
    part("WS2812B-V5", 36.0, None, Standing::FromMemory),
    part("WS2813A/B", 54.0, Some(0.6), Standing::MakersData),
    part("WS2813C/D", 15.0, Some(0.2), Standing::MakersData),
    part("SK6812 RGB", 60.0, Some(1.0), Standing::MakersData),
    part("SK6812 RGBW", 80.0, Some(1.0), Standing::MakersData),
    part("WS2815", 15.0, Some(2.0), Standing::FromMemory),
    part("UCS1903", 51.0, None, Standing::MakersData),
    part("12 V bullet, resistor", 60.0, None, Standing::CommonPractice),
    Part {
        behaves: Behaves::ConstantPower,
        ..part("12 V bullet, regulator", 30.0, None, Standing::CommonPractice)
    },
];

impl Part {
    /// Full-white current.
    ///
    /// # Errors
    /// Never for the rows of [`PARTS`].
    pub fn amps(&self) -> Result<Amps, OutOfRange> {
        Amps::new(self.milliamps / 1000.0)
    }
}

/// The lowest voltage at which colours still hold: 4.3 V on 5 V strings, 10.5 V on 12 V strings (rule of thumb).
///
/// # Errors
/// `nominal_voltage` where no rule of thumb is known.
pub fn lowest_voltage(nominal: Volts) -> Result<Volts, Refusal> {
    let unknown = Refusal {
        code: "nominal_voltage",
        what: "string voltage",
        value: nominal.get(),
        unit: "V",
        range: (5.0, 12.0),
        remedy: "5 and 12 V have a rule of thumb; give the limit yourself for any other",
    };
    let is = |volts: f64| (nominal.get() - volts).abs() < 0.5;
    let lowest = if is(5.0) {
        4.3
    } else if is(12.0) {
        10.5
    } else {
        return Err(unknown);
    };
    Volts::new(lowest).map_err(|_| unknown)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// WS2813 data sheet, page 5: 18 mA a channel; UCS1903 data sheet: 17 mA a channel; SK6812: 20 mA a channel.
    #[test]
    fn three_channels_add_up_to_a_pixel() {
        for (name, channel, channels) in [
            ("WS2813A/B", 18.0, 3.0),
            ("UCS1903", 17.0, 3.0),
            ("SK6812 RGB", 20.0, 3.0),
            ("SK6812 RGBW", 20.0, 4.0),
        ] {
            let part = PARTS.iter().find(|part| part.name == name).unwrap();
            assert!((part.milliamps - channel * channels).abs() < 1e-9, "{name}");
            assert!((part.amps().unwrap().get() * 1000.0 - part.milliamps).abs() < 1e-9);
        }
    }

    #[test]
    fn an_unusual_voltage_has_no_rule_of_thumb() {
        let of = |volts| {
            lowest_voltage(Volts::new(volts).unwrap()).map(Volts::get).map_err(|refusal| refusal.code)
        };
        assert_eq!(of(5.2), Ok(4.3));
        assert_eq!(of(12.0), Ok(10.5));
        assert_eq!(of(24.0), Err("nominal_voltage"));
    }
}
