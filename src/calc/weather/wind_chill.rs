//! How cold moving air feels on bare skin.

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::{Celsius, MetresPerSecond};

pub const SOURCE: Source = Source {
    title: "US National Weather Service wind chill index",
    edition: "November 2001",
    clause: "35.74 + 0.6215 T - 35.75 V^0.16 + 0.4275 T V^0.16 (°F, mph); metric form in °C, km/h",
    standing: Standing::Published,
};

/// The two printed forms; their rounded coefficients differ by some hundredths of a degree.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// °F and mph, defined to 50 °F and above 3 mph.
    Us,
    /// °C and km/h, defined to 10 °C and above 4.8 km/h.
    Metric,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    pub air: Celsius,
    /// Mean wind at 10 m.
    pub wind: MetresPerSecond,
    pub form: Form,
}

/// The felt temperature in °C; it may lie below what [`Celsius`] holds, and is no temperature of any thing.
pub fn wind_chill(input: Input) -> Result<f64, Refusal> {
    let (celsius, ms) = (input.air.get(), input.wind.get());
    // A hair of tolerance, so that 50 °F turned into °C is still 50 °F.
    Refusal {
        code: "wind_chill_warm",
        what: "air temperature for wind chill",
        value: celsius - 1e-9,
        unit: "°C",
        range: (-90.0, 10.0),
        remedy: "above 10 °C (50 °F) there is no wind chill to tell",
    }
    .unless_within()?;
    let (least, speed) = match input.form {
        Form::Us => (3.0 * 0.447_04, ms / 0.447_04),
        Form::Metric => (4.8 / 3.6, ms * 3.6),
    };
    if ms <= least + 1e-9 {
        return Err(Refusal {
            code: "wind_chill_calm",
            what: "wind for wind chill",
            value: ms,
            unit: "m/s",
            range: (least, 120.0),
            remedy: "in calm air it feels as cold as it is",
        });
    }
    let power = speed.powf(0.16);
    Ok(match input.form {
        Form::Us => {
            let t = celsius * 1.8 + 32.0;
            (35.74 + 0.6215 * t - 35.75 * power + 0.4275 * t * power - 32.0) / 1.8
        }
        Form::Metric => 13.12 + 0.6215 * celsius - 11.37 * power + 0.3965 * celsius * power,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn us(f: f64, mph: f64) -> Result<f64, Refusal> {
        let air = Celsius::new((f - 32.0) / 1.8).unwrap();
        let wind = MetresPerSecond::new(mph * 0.447_04).unwrap();
        wind_chill(Input { air, wind, form: Form::Us }).map(|c| c * 1.8 + 32.0)
    }

    /// NWS wind chill chart, 2001: printed cells.
    #[test]
    fn cells_of_the_printed_chart() {
        for (t, v, want) in
            [(40, 5, 36), (30, 15, 19), (20, 25, 3), (10, 10, -4), (0, 15, -19), (-5, 30, -33), (35, 40, 20)]
        {
            assert_eq!(us(f64::from(t), f64::from(v)).unwrap().round() as i32, want, "{t} °F, {v} mph");
        }
    }

    #[test]
    fn edges_of_the_range() {
        assert!(us(50.0, 20.0).is_ok());
        assert_eq!(us(50.1, 20.0).unwrap_err().code, "wind_chill_warm");
        assert_eq!(us(40.0, 3.0).unwrap_err().code, "wind_chill_calm");
        assert!(us(40.0, 3.1).is_ok());
    }

    proptest! {
        #[test]
        fn more_wind_never_feels_warmer(c in -40.0..10.0_f64, v in 2.0..30.0_f64, more in 0.1..10.0_f64) {
            for form in [Form::Us, Form::Metric] {
                let at = |v| wind_chill(Input {
                    air: Celsius::new(c).unwrap(), wind: MetresPerSecond::new(v).unwrap(), form,
                }).unwrap();
                prop_assert!(at(v + more) < at(v));
            }
        }
    }
}
