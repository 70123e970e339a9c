//! Go, caution or stop by the wind of the hour. Advice: any person may call it off.

use crate::calc::source::{Source, Standing};
use crate::units::si::MetresPerSecond;

pub const SOURCE: Source = Source {
    title: "UK HSE questions on roof work in wind; UK roofing trade limits",
    edition: "as read 2026",
    clause: "stop at mean 23 mph or gust 35; large sheets at 17 or 26; ladders as roofs and the caution row of \
             large panels (12, 20) are common practice",
    standing: Standing::CommonPractice,
};

/// Metres a second in a mile an hour.
pub const MS_PER_MPH: f64 = 0.447_04;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Task {
    Roof,
    Ladder,
    /// Carrying or hanging something large and flat.
    LargePanel,
}

/// Wind from which a limit holds, in m/s; reaching it counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    pub stop_mean: MetresPerSecond,
    pub stop_gust: MetresPerSecond,
    pub caution_mean: MetresPerSecond,
    pub caution_gust: MetresPerSecond,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Decision {
    Go,
    Caution,
    Stop,
}

impl Decision {
    pub const fn name(self) -> &'static str {
        match self {
            Self::Go => "go",
            Self::Caution => "caution",
            Self::Stop => "stop",
        }
    }
}

/// What is known about the hour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    /// Mean wind.
    pub mean: MetresPerSecond,
    pub gust: MetresPerSecond,
    /// Rain, ice, frost or dew on roof, rungs or shoes: stop whatever the wind.
    pub slippery: bool,
}

impl Task {
    /// Default limits as (stop mean, stop gust, caution mean, caution gust) in mph.
    const fn mph(self) -> (f64, f64, f64, f64) {
        match self {
            Self::Roof | Self::Ladder => (23.0, 35.0, 17.0, 26.0),
            Self::LargePanel => (17.0, 26.0, 12.0, 20.0),
        }
    }

    /// Go, caution or stop with the default limits of this task.
    pub fn decide(self, input: Input) -> Decision {
        let (stop_mean, stop_gust, caution_mean, caution_gust) = self.mph();
        decide_mph([stop_mean, stop_gust, caution_mean, caution_gust], input)
    }
}

impl Limits {
    /// Go, caution or stop with an owner's own limits.
    pub fn decide(self, input: Input) -> Decision {
        let mph = |v: MetresPerSecond| v.get() / MS_PER_MPH;
        let limits = [self.stop_mean, self.stop_gust, self.caution_mean, self.caution_gust];
        decide_mph(limits.map(mph), input)
    }
}

fn decide_mph([stop_mean, stop_gust, caution_mean, caution_gust]: [f64; 4], input: Input) -> Decision {
    // A hair of tolerance on the safe side, so that 17 mph turned into m/s still reaches 17 mph.
    let reaches = |v: MetresPerSecond, limit: f64| v.get() / MS_PER_MPH >= limit - 1e-9;
    if input.slippery || reaches(input.mean, stop_mean) || reaches(input.gust, stop_gust) {
        Decision::Stop
    } else if reaches(input.mean, caution_mean) || reaches(input.gust, caution_gust) {
        Decision::Caution
    } else {
        Decision::Go
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn hour(mean: f64, gust: f64) -> Input {
        let ms = |mph: f64| MetresPerSecond::new(mph * MS_PER_MPH).unwrap();
        Input { mean: ms(mean), gust: ms(gust), slippery: false }
    }

    /// UK roofing trade: stop at mean 23 mph or gust 35 mph, large sheets at 17 or 26.
    #[test]
    fn limits_are_inclusive() {
        assert_eq!(Task::Roof.decide(hour(22.9, 25.0)), Decision::Caution);
        assert_eq!(Task::Roof.decide(hour(23.0, 25.0)), Decision::Stop);
        assert_eq!(Task::Ladder.decide(hour(10.0, 35.0)), Decision::Stop);
        assert_eq!(Task::Roof.decide(hour(16.9, 25.9)), Decision::Go);
        assert_eq!(Task::LargePanel.decide(hour(17.0, 20.0)), Decision::Stop);
        assert_eq!(Task::Roof.decide(Input { slippery: true, ..hour(0.0, 0.0) }), Decision::Stop);
    }

    #[test]
    fn own_limits_are_followed() {
        let ms = |v| MetresPerSecond::new(v).unwrap();
        let own =
            Limits { stop_mean: ms(5.0), stop_gust: ms(7.0), caution_mean: ms(3.0), caution_gust: ms(5.0) };
        let at = |mean, gust| own.decide(Input { mean: ms(mean), gust: ms(gust), slippery: false });
        assert_eq!(
            [at(2.0, 4.0), at(2.0, 5.0), at(2.0, 7.0)],
            [Decision::Go, Decision::Caution, Decision::Stop]
        );
    }

    proptest! {
        #[test]
        fn more_wind_is_never_safer(mean in 0.0..40.0_f64, gust in 0.0..60.0_f64, more in 0.0..10.0_f64) {
            for task in [Task::Roof, Task::Ladder, Task::LargePanel] {
                prop_assert!(task.decide(hour(mean, gust)) <= task.decide(hour(mean + more, gust + more)));
            }
        }
    }
}
