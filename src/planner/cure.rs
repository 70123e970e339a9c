//! How long a cure waits in the cold of the session it begins in, nights included: the forecast low stands for all of it.

use super::calendar::SessionSpan;
use crate::calc::weather::set_time::SetTime;
use crate::domain::CureRule;
use crate::units::Temperature;
use crate::units::si::{Celsius, Hours};

/// Minutes waited where the sheet promises nothing at that temperature: long past any session that follows.
pub const NEVER_MIN: i64 = 365 * 1440;

/// Minutes to wait for a cure that begins in a session; as in a usual night of its month where no lowest temperature is
/// told.
pub(super) fn wait_in(rule: CureRule, at_20_min: i64, session: &SessionSpan) -> i64 {
    cold_wait(rule, at_20_min, session.forecast.and_then(|f| f.low).unwrap_or(session.usual_low))
}

/// Minutes to wait at a lowest temperature, for a cure that takes `at_20_min` at 20 °C; at least that.
///
/// Concrete by maturity (ASTM C1074, datum 0 °C). Adhesive, sealant and tape: 3.5 times as long at 10 °C and 10 times
/// at 5 °C, not at all below; common practice, no published source: the product's sheet decides.
pub fn cold_wait(rule: CureRule, at_20_min: i64, low: Temperature) -> i64 {
    let hours = |share: f64| Hours::new(at_20_min as f64 / 60.0 * share);
    let celsius = Celsius::new;
    let set = match rule {
        CureRule::Concrete => celsius(0.0)
            .ok()
            .zip(celsius(1.0).ok())
            .zip(hours(1.0).ok())
            .map(|((datum, lowest), hours)| SetTime::At20 { hours, datum, lowest }),
        CureRule::Adhesive | CureRule::Tape => {
            let rows =
                [(20.0, 1.0), (10.0, 3.5), (5.0, 10.0)].map(|(t, s)| celsius(t).ok().zip(hours(s).ok()));
            rows.into_iter().collect::<Option<Vec<_>>>().map(SetTime::Table)
        }
    };
    let taken = set.zip(celsius(low.celsius()).ok()).and_then(|(s, at)| s.hours_at(at).ok());
    // A thousandth of a minute of rounding is no minute more.
    taken.map_or(NEVER_MIN, |h| ((h.get() * 60.0 - 1e-3).ceil() as i64).clamp(at_20_min, NEVER_MIN))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Concrete: 7 days at 20 °C are 28 at 5 °C (te = sum T/20, ASTM C1074). Adhesive: 48 h at 20 °C, a week at 10 °C.
    #[test]
    fn the_cold_makes_it_longer() {
        let wait = |rule, hours: i64, mc| cold_wait(rule, hours * 60, Temperature::from_mc(mc));
        assert_eq!(wait(CureRule::Concrete, 168, 5_000), 28 * 1440);
        assert_eq!(wait(CureRule::Concrete, 168, 25_000), 168 * 60);
        assert_eq!(wait(CureRule::Adhesive, 48, 10_000), 7 * 1440);
        assert_eq!(wait(CureRule::Adhesive, 48, 21_000), 48 * 60);
        assert_eq!(wait(CureRule::Tape, 72, 4_000), NEVER_MIN);
    }
}
