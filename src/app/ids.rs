//! Ids of people's deeds: UUIDv7, repeatable with a fixed clock and seed.

use chrono::{DateTime, Utc};
use uuid::Uuid;

/// Makes ids.
#[derive(Debug, Clone)]
pub struct Ids {
    random: fastrand::Rng,
}

impl Ids {
    /// Random ids.
    pub fn new() -> Self {
        Self { random: fastrand::Rng::new() }
    }

    /// The same ids each time for the same seed and the same number of deeds before: two commands in a row with one
    /// clock and seed must not meet.
    pub fn seeded(seed: u64, deeds_before: i64) -> Self {
        let mixed = seed ^ (deeds_before as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15);
        Self { random: fastrand::Rng::with_seed(mixed) }
    }

    /// A new id made at `now`.
    pub fn make(&mut self, now: DateTime<Utc>) -> Uuid {
        let bytes = self.random.u128(..).to_be_bytes();
        let mut counter = [0_u8; 10];
        counter.copy_from_slice(&bytes[..10]);
        let ms = u64::try_from(now.timestamp_millis()).unwrap_or(0);
        uuid::Builder::from_unix_timestamp_millis(ms, &counter).into_uuid()
    }
}

impl Default for Ids {
    fn default() -> Self {
        Self::new()
    }
}
