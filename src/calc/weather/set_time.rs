//! How long concrete, adhesive, sealant or tape must be left alone at a temperature.

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::{Celsius, Hours};

pub const SOURCE: Source = Source {
    title: "Nurse-Saul maturity, time in proportion to 1/(T - T0); or the product's own sheet as a table",
    edition: "ASTM C1074-19 for concrete (T0 = 0 °C)",
    clause: "equivalent age; for adhesives and tapes the rule is common practice, the sheet decides",
    standing: Standing::CommonPractice,
};

/// What is known of a product's setting.
#[derive(Debug, Clone, PartialEq)]
pub enum SetTime {
    /// The time at 20 °C, longer in the cold by maturity; not at all below `lowest`.
    At20 { hours: Hours, datum: Celsius, lowest: Celsius },
    /// Rows (temperature, time) of a sheet, straight lines of the rate between them; not at all below the coldest
    /// row, no faster above the warmest.
    Table(Vec<(Celsius, Hours)>),
}

/// The unit of temperature 20 °C that sheets and rules refer to.
const REFERENCE: f64 = 20.0;

impl SetTime {
    /// Hours needed while it stays at `air`.
    pub fn hours_at(&self, air: Celsius) -> Result<Hours, Refusal> {
        let t = air.get();
        let rate = self.rate(t)?;
        Hours::new(1.0 / rate).map_err(|_| cold(t, self.lowest(), "so cold it never sets: warm it, or wait"))
    }

    /// The temperature below which nothing is promised, in °C.
    pub fn lowest(&self) -> f64 {
        match self {
            Self::At20 { lowest, datum, .. } => lowest.get().max(datum.get()),
            Self::Table(rows) => rows.iter().map(|(t, _)| t.get()).fold(f64::INFINITY, f64::min),
        }
    }

    /// Share of the setting done in an hour at `t` °C; more than zero.
    fn rate(&self, t: f64) -> Result<f64, Refusal> {
        let lowest = self.lowest();
        if t.is_nan() || t < lowest {
            return Err(cold(t, lowest, "too cold for this product: wait for warmer days or warm it"));
        }
        let rate = match self {
            Self::At20 { hours, datum, .. } => {
                // Above 20 °C no time is taken off: the sheet's figure stands.
                let share = ((t - datum.get()) / (REFERENCE - datum.get())).min(1.0);
                share / hours.get()
            }
            Self::Table(rows) => {
                let mut rows: Vec<(f64, f64)> = rows.iter().map(|(t, h)| (t.get(), 1.0 / h.get())).collect();
                rows.sort_by(|a, b| a.0.total_cmp(&b.0));
                let above = rows.iter().position(|(at, _)| *at >= t);
                match above.and_then(|a| Some((rows.get(a.checked_sub(1)?)?, rows.get(a)?))) {
                    Some((low, high)) => low.1 + (high.1 - low.1) * (t - low.0) / (high.0 - low.0),
                    // On the coldest row, or above the warmest.
                    None => above.map_or(rows.last(), |_| rows.first()).map_or(f64::NAN, |(_, r)| *r),
                }
            }
        };
        if rate > 0.0 { Ok(rate.min(1e9)) } else { Err(cold(t, lowest, "nothing sets at this temperature")) }
    }
}

fn cold(value: f64, lowest: f64, remedy: &'static str) -> Refusal {
    Refusal {
        code: "set_time_cold",
        what: "temperature while setting",
        value,
        unit: "°C",
        range: (lowest, 100.0),
        remedy,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn c(t: f64) -> Celsius {
        Celsius::new(t).unwrap()
    }

    fn h(t: f64) -> Hours {
        Hours::new(t).unwrap()
    }

    fn concrete() -> SetTime {
        SetTime::At20 { hours: h(168.0), datum: c(0.0), lowest: c(1.0) }
    }

    /// Seven days at 20 °C are 28 days at 5 °C (te = T/20 a day; ASTM C1074 with datum 0 °C).
    #[test]
    fn cold_concrete_takes_longer() {
        assert!((concrete().hours_at(c(5.0)).unwrap().get() - 672.0).abs() < 1e-9);
        assert!((concrete().hours_at(c(30.0)).unwrap().get() - 168.0).abs() < 1e-9);
        assert_eq!(concrete().hours_at(c(0.5)).unwrap_err().code, "set_time_cold");
    }

    /// A sheet that prints 48 h at 20 °C and a week at 10 °C.
    #[test]
    fn a_sheet_is_followed() {
        let sheet = SetTime::Table(vec![(c(20.0), h(48.0)), (c(10.0), h(168.0))]);
        assert!((sheet.hours_at(c(10.0)).unwrap().get() - 168.0).abs() < 1e-9);
        assert!((sheet.hours_at(c(25.0)).unwrap().get() - 48.0).abs() < 1e-9);
        let between = sheet.hours_at(c(15.0)).unwrap().get();
        assert!((between - 2.0 / (1.0 / 48.0 + 1.0 / 168.0)).abs() < 1e-9);
        assert!(sheet.hours_at(c(9.9)).is_err());
    }

    proptest! {
        #[test]
        fn warmer_never_takes_longer(t in 1.0..40.0_f64, more in 0.0..20.0_f64) {
            let sheet = SetTime::Table(vec![(c(0.0), h(400.0)), (c(10.0), h(168.0)), (c(20.0), h(48.0))]);
            for set in [concrete(), sheet] {
                let (cool, warm) = (set.hours_at(c(t)).unwrap(), set.hours_at(c(t + more)).unwrap());
                prop_assert!(warm.get() <= cool.get() + 1e-9);
            }
        }
    }
}
