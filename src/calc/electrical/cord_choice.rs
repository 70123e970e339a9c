//! The thinnest extension cord that may carry a load over a length, and loses little enough.

use super::cord_amps::{self, cord_amps};
use super::mains_resistance::mains_resistance;
use super::voltage_drop::{self, voltage_drop};
use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::Gauge;
use crate::units::si::{Amps, Fraction, Metres, Volts};

/// The tables for cord amps and mains resistance, and the advice on drop.
pub const SOURCE: Source = Source {
    title: "UL 817 or BS 7671 (amps), NEC 210.19 note or BS 7671 appendix 4 (3 % drop)",
    edition: "",
    clause: "",
    standing: Standing::Published,
};

/// Which sizes are on sale.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sizes {
    Awg,
    Mm2,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    pub sizes: Sizes,
    pub volts: Volts,
    /// What the cord feeds in all, 0 A or more.
    pub amps: Amps,
    /// One way.
    pub length: Metres,
    /// 0.03 is the usual advice.
    pub limit: Fraction,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Output {
    pub gauge: Gauge,
    pub drop_v: f64,
    pub allowed: Amps,
}

/// The thinnest listed cord that does.
///
/// # Errors
/// `no_cord_does` where no listed cord carries the load this far within the drop, and what the drop is refused for.
pub fn cord_choice(input: Input) -> Result<Output, Refusal> {
    let sizes: Vec<Gauge> = match input.sizes {
        Sizes::Awg => [18, 16, 14, 12, 10].into_iter().filter_map(Gauge::awg).collect(),
        Sizes::Mm2 => [0.5, 0.75, 1.0, 1.25, 1.5, 2.5, 4.0].into_iter().filter_map(Gauge::mm2).collect(),
    };
    for gauge in sizes {
        let Ok(allowed) = cord_amps(cord_amps::Input { gauge, length: input.length }) else { continue };
        if input.amps > allowed {
            continue;
        }
        let Input { volts, amps, length, limit, .. } = input;
        let ohm_per_m = mains_resistance(gauge)?;
        let drop = voltage_drop(voltage_drop::Input { volts, ohm_per_m, length, amps, limit });
        match drop {
            Ok(drop) if drop.within_limit => return Ok(Output { gauge, drop_v: drop.drop_v, allowed }),
            Err(refusal) if refusal.code != "drop_over_source" => return Err(refusal),
            _ => {}
        }
    }
    Err(Refusal {
        code: "no_cord_does",
        what: "cord load",
        value: input.amps.get(),
        unit: "A",
        range: (0.0, 32.0),
        remedy: "no listed cord carries this so far: shorter way, less load, or another circuit",
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn choose(sizes: Sizes, volts: f64, amps: f64, metres: f64) -> Result<Output, &'static str> {
        cord_choice(Input {
            sizes,
            volts: Volts::new(volts).unwrap(),
            amps: Amps::new(amps).unwrap(),
            length: Metres::new(metres).unwrap(),
            limit: Fraction::new(0.03).unwrap(),
        })
        .map_err(|refusal| refusal.code)
    }

    /// By UL 817 and NEC table 8: 5 A over 50 ft lose 2.08 % on 16 AWG; 10 A over 50 ft lose 4.16 % on 16 AWG and
    /// 2.62 % on 14 AWG; 12 A over 100 ft lose 2.48 % on 10 AWG.
    #[test]
    fn a_longer_way_or_a_bigger_load_takes_a_thicker_cord() {
        let awg = |amps, feet: f64| {
            choose(Sizes::Awg, 120.0, amps, feet * 0.3048).map(|out| out.gauge.awg_number())
        };
        assert_eq!(awg(5.0, 50.0), Ok(Some(16)));
        assert_eq!(awg(10.0, 50.0), Ok(Some(14)));
        assert_eq!(awg(12.0, 100.0), Ok(Some(10)));
        assert_eq!(awg(15.5, 100.0), Err("no_cord_does"));
        assert_eq!(awg(1.0, 120.0), Err("no_cord_does"));
    }

    /// By BS 7671 tables 4F3A and 4F3B: 10 A over 25 m at 230 V lose 3.48 % on 1.5 mm², 2.07 % on 2.5 mm².
    #[test]
    fn a_british_lead_by_its_tables() {
        assert_eq!(choose(Sizes::Mm2, 230.0, 10.0, 25.0).map(|out| Some(out.gauge)), Ok(Gauge::mm2(2.5)));
    }

    proptest! {
        #[test]
        fn a_longer_way_never_takes_a_thinner_cord(amps in 0.1..12.0_f64, metres in 1.0..25.0_f64, more in 0.0..5.0_f64) {
            if let Ok(long) = choose(Sizes::Awg, 120.0, amps, metres + more) {
                let short = choose(Sizes::Awg, 120.0, amps, metres).unwrap();
                prop_assert!(long.gauge.area_mm2() >= short.gauge.area_mm2());
            }
        }
    }
}
