//! Which limits of a step a forecast breaks.

use crate::units::si::{Celsius, MetresPerSecond};

/// What a step asks of the weather; nothing told limits nothing.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct StepLimits {
    /// Lowest temperature at which it may be done.
    pub min: Option<Celsius>,
    /// Gusts must stay under this.
    pub max_gust: Option<MetresPerSecond>,
    /// Needs a dry surface.
    pub dry: bool,
    /// Needs unfrozen ground.
    pub unfrozen: bool,
    /// Needs a surface free of ice, frost and snow (roof, ladder).
    pub no_ice: bool,
}

/// A forecast of one session; nothing told breaks nothing.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Forecast {
    pub rain: bool,
    pub snow: bool,
    pub ice: bool,
    pub frozen_ground: bool,
    pub gust: Option<MetresPerSecond>,
    pub low: Option<Celsius>,
}

/// A limit broken, with the figure of the forecast and the limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Broken {
    TooCold { low: Celsius, min: Celsius },
    TooWindy { gust: MetresPerSecond, max: MetresPerSecond },
    Wet,
    FrozenGround,
    Icy,
}

impl Broken {
    /// A code that never changes.
    pub const fn code(self) -> &'static str {
        match self {
            Self::TooCold { .. } => "too_cold",
            Self::TooWindy { .. } => "too_windy",
            Self::Wet => "wet",
            Self::FrozenGround => "frozen_ground",
            Self::Icy => "icy",
        }
    }
}

/// The limits of `step` that `forecast` breaks, in a fixed order. Ice and snow wet a surface too.
pub fn broken(step: StepLimits, forecast: Forecast) -> Vec<Broken> {
    let mut out = Vec::new();
    if let (Some(min), Some(low)) = (step.min, forecast.low)
        && low < min
    {
        out.push(Broken::TooCold { low, min });
    }
    if let (Some(max), Some(gust)) = (step.max_gust, forecast.gust)
        && gust >= max
    {
        out.push(Broken::TooWindy { gust, max });
    }
    if step.no_ice && (forecast.ice || forecast.snow) {
        out.push(Broken::Icy);
    }
    if step.dry && (forecast.rain || forecast.snow || forecast.ice) {
        out.push(Broken::Wet);
    }
    if step.unfrozen && forecast.frozen_ground {
        out.push(Broken::FrozenGround);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_limit_is_named() {
        let ms = |v| MetresPerSecond::new(v).unwrap();
        let c = |v| Celsius::new(v).unwrap();
        let step = StepLimits {
            min: Some(c(10.0)),
            max_gust: Some(ms(7.0)),
            dry: true,
            unfrozen: true,
            no_ice: true,
        };
        let bad = Forecast {
            rain: true,
            ice: true,
            frozen_ground: true,
            gust: Some(ms(7.0)),
            low: Some(c(9.9)),
            ..Forecast::default()
        };
        let codes: Vec<_> = broken(step, bad).into_iter().map(Broken::code).collect();
        assert_eq!(codes, ["too_cold", "too_windy", "icy", "wet", "frozen_ground"]);
        assert!(broken(step, Forecast::default()).is_empty());
        assert!(broken(StepLimits::default(), bad).is_empty());
        let edge = Forecast { gust: Some(ms(6.99)), low: Some(c(10.0)), ..Forecast::default() };
        assert!(broken(step, edge).is_empty());
    }
}
