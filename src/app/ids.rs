//! Ids of people's deeds: UUIDv7 that sort in the order they were made, repeatable with a fixed clock and seed.

use chrono::{DateTime, Utc};
use uuid::Uuid;

/// Ids that one deed may make before the next deed's begin; more is harmless, they only sort less well.
const IDS_A_DEED: u32 = 64;
/// Bits of the counter in an id.
const COUNTER_BITS: u32 = 26;

/// Makes ids.
#[derive(Debug, Clone)]
pub(super) struct Ids {
    random: fastrand::Rng,
    counter: u32,
}

impl Ids {
    /// Ids after so many deeds: random, or the same each time for the same seed and number of deeds.
    ///
    /// The number of deeds is in every id, so that what happened in one millisecond (or under a fixed clock) keeps
    /// its order, and two commands in a row with one clock and seed never meet.
    pub(super) fn after(deeds_before: i64, seed: Option<u64>) -> Self {
        let mixed = (deeds_before as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15);
        let random = match seed {
            Some(seed) => fastrand::Rng::with_seed(seed ^ mixed),
            None => fastrand::Rng::new(),
        };
        let mask = (1_i64 << COUNTER_BITS) - 1;
        let counter = u32::try_from((deeds_before.saturating_mul(i64::from(IDS_A_DEED))) & mask).unwrap_or(0);
        Self { random, counter }
    }

    /// A new id made at `now`.
    pub(super) fn make(&mut self, now: DateTime<Utc>) -> Uuid {
        let mut rest = [0_u8; 10];
        self.random.fill(&mut rest);
        // RFC 9562, 6.2, method 1: a counter right after the time. The bits that version and variant take are left out.
        let [_, _, _, low] = self.counter.to_be_bytes();
        rest[0] = ((self.counter >> 22) & 0x0F) as u8;
        rest[1] = ((self.counter >> 14) & 0xFF) as u8;
        rest[2] = ((self.counter >> 8) & 0x3F) as u8;
        rest[3] = low;
        self.counter = (self.counter + 1) & ((1 << COUNTER_BITS) - 1);
        let ms = u64::try_from(now.timestamp_millis()).unwrap_or(0);
        uuid::Builder::from_unix_timestamp_millis(ms, &rest).into_uuid()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_of_one_moment_sort_as_made() {
        let now = DateTime::from_timestamp_millis(1_790_000_000_000).unwrap_or_default();
        let mut ids = Ids::after(3, Some(7));
        let made: Vec<Uuid> = (0..70_000).map(|_| ids.make(now)).collect();
        assert!(made.windows(2).all(|w| w[0] < w[1]));
        let later = Ids::after(5000, Some(7)).make(now);
        assert!(made[0] < later);
        assert_eq!(Ids::after(3, Some(7)).make(now), made[0]);
    }
}
