//! Quantities that are a plain whole number of one unit, with the units people type for them.

use super::parse::{COARSE, FINE, LOADS, UnitError, keep, split_unit, trim_number, whole};
use super::system::System;

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $what:literal, $of:ident, $get:ident, $big:ident, $of_big:ident, $per_big:literal,
     kept $kept:literal $slack:expr, takes $takes:literal, units { $($unit:literal => $factor:expr),+ $(,)? },
     bare us $bare_us:expr, si $bare_si:expr,
     show us $show_us:literal $us_div:expr, $us_places:literal; si $show_si:literal $si_div:expr, $si_places:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
        pub struct $name(i64);

        impl $name {
            /// From the whole number of the column's unit.
            pub const fn $of(value: i64) -> Self {
                Self(value)
            }

            /// The whole number of the column's unit.
            pub const fn $get(self) -> i64 {
                self.0
            }

            /// In the SI unit that formulas use.
            pub fn $big(self) -> f64 {
                self.0 as f64 / $per_big
            }

            /// From the SI unit, rounded to the column's unit; nothing where it can't be held.
            pub fn $of_big(value: f64) -> Option<Self> {
                whole(value * $per_big).map(Self)
            }

            /// Reads what people type; a bare number is in the unit that `system` shows.
            pub fn parse(text: &str, system: System) -> Result<Self, UnitError> {
                let refuse = || UnitError::new($what, text, $takes);
                let (n, unit) = split_unit(text).ok_or_else(refuse)?;
                let factor: f64 = match unit.as_str() {
                    $($unit => $factor,)+
                    "" => if system == System::Us { $bare_us } else { $bare_si },
                    _ => return Err(refuse()),
                };
                keep(n * factor, $kept, $slack, refuse()).map(Self)
            }

            /// As shown on screen and paper.
            pub fn show(self, system: System) -> String {
                match system {
                    System::Us => format!("{} {}", trim_number(self.0 as f64 / $us_div, $us_places), $show_us),
                    System::Si => format!("{} {}", trim_number(self.0 as f64 / $si_div, $si_places), $show_si),
                }
            }
        }
    };
}

quantity!(
    /// Mass in whole grams.
    Mass, "mass", from_g, g, kilograms, from_kilograms, 1000.0,
    kept "g" COARSE, takes "2.5 kg, 900 g, 5 lb, 12 oz",
    units { "g" => 1.0, "kg" => 1000.0, "lb" => 453.592_37, "lbs" => 453.592_37, "oz" => 28.349_523_125 },
    bare us 453.592_37, si 1000.0,
    show us "lb" 453.592_37, 2; si "kg" 1000.0, 3
);

impl Mass {
    /// As it is said of things and people: to the pound or kilogram from twenty on, finer below.
    pub fn say(self, system: System) -> String {
        let step = match system {
            System::Us => 453.592_37,
            System::Si => 1000.0,
        };
        if (self.0 as f64) < 20.0 * step {
            let fine = (self.0 as f64 / step * 10.0).round() / 10.0 * step;
            return whole(fine).map_or_else(String::new, |g| {
                let places = trim_number(g as f64 / step, 1);
                let unit = if system == System::Us { "lb" } else { "kg" };
                format!("{places} {unit}")
            });
        }
        let unit = if system == System::Us { "lb" } else { "kg" };
        format!("{} {unit}", trim_number(self.0 as f64 / step, 0))
    }
}
quantity!(
    /// Volume in whole millilitres.
    Volume, "volume", from_ml, ml, litres, from_litres, 1000.0,
    kept "mL" COARSE, takes "64 L, 500 mL, 17 gal, 10 fl oz",
    units { "ml" => 1.0, "l" => 1000.0, "gal" => 3_785.411_784, "qt" => 946.352_946, "fl oz" => 29.573_529_562_5 },
    bare us 3_785.411_784, si 1000.0,
    show us "gal" 3_785.411_784, 1; si "L" 1000.0, 2
);
quantity!(
    /// Voltage in whole millivolts.
    Voltage, "voltage", from_mv, mv, volts, from_volts, 1000.0,
    kept "mV" FINE, takes "5 V, 12V, 4850 mV",
    units { "v" => 1000.0, "mv" => 1.0, "kv" => 1_000_000.0 },
    bare us 1000.0, si 1000.0,
    show us "V" 1000.0, 3; si "V" 1000.0, 3
);
quantity!(
    /// Current in whole milliamperes.
    Current, "current", from_ma, ma, amps, from_amps, 1000.0,
    kept "mA" LOADS, takes "55 mA, 15 A",
    units { "ma" => 1.0, "a" => 1000.0 },
    bare us 1000.0, si 1000.0,
    show us "A" 1000.0, 3; si "A" 1000.0, 3
);
quantity!(
    /// Power in whole milliwatts.
    Power, "power", from_mw, mw, watts, from_watts, 1000.0,
    kept "mW" FINE, takes "350 W, 300 mW, 1.2 kW",
    units { "mw" => 1.0, "w" => 1000.0, "kw" => 1_000_000.0 },
    bare us 1000.0, si 1000.0,
    show us "W" 1000.0, 3; si "W" 1000.0, 3
);
quantity!(
    /// Force in whole millinewtons.
    Force, "force", from_mn, mn, newtons, from_newtons, 1000.0,
    kept "mN" FINE, takes "250 N, 1.2 kN, 55 lbf",
    units { "n" => 1000.0, "kn" => 1_000_000.0, "lbf" => 4_448.221_615_260_5, "mn" => 1.0 },
    bare us 4_448.221_615_260_5, si 1000.0,
    show us "lbf" 4_448.221_615_260_5, 1; si "N" 1000.0, 1
);
quantity!(
    /// Speed (of wind) in whole millimetres a second.
    Speed, "wind speed", from_mms, mms, metres_per_second, from_metres_per_second, 1000.0,
    kept "mm/s" FINE, takes "25 mph, 11 m/s, 40 km/h, 20 kn",
    units { "mph" => 447.04, "m/s" => 1000.0, "km/h" => 1000.0 / 3.6, "kn" => 1852.0 / 3.6, "kt" => 1852.0 / 3.6 },
    bare us 447.04, si 1000.0,
    show us "mph" 447.04, 0; si "m/s" 1000.0, 1
);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn people_type_units_as_they_like() {
        assert_eq!(Speed::parse("25 mph", System::Si), Ok(Speed::from_mms(11_176)));
        assert_eq!(Speed::parse("25", System::Us), Ok(Speed::from_mms(11_176)));
        assert_eq!(Mass::parse("1,5 kg", System::Si), Ok(Mass::from_g(1500)));
        assert_eq!(Power::parse("1,200 W", System::Us), Ok(Power::from_mw(1_200_000)));
        assert!(Voltage::parse("5 volts dc", System::Us).is_err());
        assert!(Voltage::parse("1e300", System::Us).is_err());
        assert!(Voltage::parse("nan", System::Us).is_err());
    }

    #[test]
    fn shown_in_the_units_of_the_site() {
        assert_eq!(Speed::from_mms(6706).show(System::Us), "15 mph");
        assert_eq!(Voltage::from_mv(5000).show(System::Si), "5 V");
        assert_eq!(Current::from_ma(55).show(System::Si), "0.055 A");
    }
}
