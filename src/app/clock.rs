//! The clock: the machine's, shifted for the demo, or fixed by `--now`.

use chrono::{DateTime, Duration, Utc};

/// Where "now" comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Clock {
    /// The machine's clock, plus so many milliseconds.
    Machine {
        shift_ms: i64,
    },
    Fixed(DateTime<Utc>),
}

impl Clock {
    pub fn now(self) -> DateTime<Utc> {
        match self {
            Self::Machine { shift_ms } => machine_now() + Duration::milliseconds(shift_ms),
            Self::Fixed(t) => t,
        }
    }

    /// Whether it is neither the machine's nor fixed.
    pub const fn is_shifted(self) -> bool {
        matches!(self, Self::Machine { shift_ms } if shift_ms != 0)
    }
}

/// The machine's clock; the only place that reads it for facts.
#[expect(clippy::disallowed_methods, reason = "the one place where the clock enters")]
pub fn machine_now() -> DateTime<Utc> {
    let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).unwrap_or_default();
    DateTime::from_timestamp_millis(i64::try_from(since.as_millis()).unwrap_or(0)).unwrap_or_default()
}
