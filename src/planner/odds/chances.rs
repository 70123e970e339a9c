//! What may go otherwise than planned: how long steps take, and sessions lost to weather.

use std::collections::BTreeMap;

use chrono::{DateTime, Datelike, Utc};

use crate::domain::{Access, Session, StepDeed};
use crate::steps::{Light, Step, StepKey};

/// Chance that a session's outdoor work is lost to weather, January to December. Common practice, no published
/// source: about one session in ten in summer, one in four in midwinter.
pub const LOST_BY_MONTH: [f64; 12] = [0.25, 0.25, 0.20, 0.20, 0.15, 0.10, 0.10, 0.10, 0.10, 0.15, 0.20, 0.25];

/// How many sessions of an owner's own record weigh as much as the default of a month.
const DEFAULT_WEIGHT: f64 = 10.0;
/// Fewer past sessions of a month than this say nothing yet.
const FEWEST: usize = 4;

/// How long a step may take: half of the doings take less than `factor` times its planned minutes; `spread` is the
/// standard deviation of the log of the minutes. Both at least 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Guess {
    pub factor: f64,
    pub spread: f64,
}

/// What may go otherwise than planned.
#[derive(Debug, Clone)]
pub struct Chances {
    /// Learned from the record, by step.
    pub durations: BTreeMap<StepKey, Guess>,
    /// For steps without a record.
    pub spread: fn(&Step) -> f64,
    /// Chance from 0 to 1 that a session is lost, by month.
    pub lost: [f64; 12],
    /// Where the figures come from, one line each.
    pub basis: Vec<String>,
}

impl Chances {
    /// The defaults, before anything is known of this owner.
    pub fn common() -> Self {
        Self {
            durations: BTreeMap::new(),
            spread: common_spread,
            lost: LOST_BY_MONTH,
            basis: vec![
                "spread of durations by kind of step: common practice, no published source".to_owned(),
                "sessions lost to weather by month: common practice, no published source".to_owned(),
            ],
        }
    }

    /// Draws the chances of lost sessions towards the owner's own past sessions, month by month; a month with fewer
    /// than four of them keeps its default.
    pub fn learn_lost<'a>(&mut self, sessions: impl Iterator<Item = &'a Session>, now: DateTime<Utc>) {
        let mut seen = [(0_usize, 0_usize); 12];
        for s in sessions.filter(|s| s.ends.and_utc() < now) {
            if let Some(m) = seen.get_mut(s.starts.month0() as usize) {
                m.0 += 1;
                m.1 += usize::from(s.lost);
            }
        }
        let mut used = 0;
        for (chance, (all, lost)) in self.lost.iter_mut().zip(seen).filter(|(_, (all, _))| *all >= FEWEST) {
            *chance = (*chance * DEFAULT_WEIGHT + lost as f64) / (DEFAULT_WEIGHT + all as f64);
            used += all;
        }
        if used > 0 {
            self.basis.push(format!("sessions lost: drawn towards {used} past sessions of your own"));
        }
    }

    pub(super) fn guess(&self, step: &Step) -> Guess {
        let own = self.durations.get(&step.key).copied();
        own.unwrap_or_else(|| Guess { factor: 1.0, spread: (self.spread)(step) })
    }

    /// Chance from 0 to 1 that a session of that month is lost.
    pub(super) fn lost_in(&self, local: impl Datelike) -> f64 {
        self.lost.get(local.month0() as usize).copied().unwrap_or(0.0)
    }
}

/// Standard deviation of the log of the minutes, by kind of step. Common practice, no published source: what is done
/// at a bench or by the clock varies least, what is done high up or at a desk varies most.
fn common_spread(step: &Step) -> f64 {
    match (step.deed, step.access) {
        (StepDeed::BenchTest | StepDeed::Test | StepDeed::Power, _) => 0.20,
        (StepDeed::Desk, _) => 0.50,
        (_, Access::Roof | Access::ExtensionLadder) => 0.45,
        (_, Access::StepLadder) => 0.40,
        (_, Access::Ground) if step.light == Light::Indoors => 0.25,
        (_, Access::Ground) => 0.35,
    }
}

/// The random figures of one run. Each step and session has its own, made from its key: one session more, or a step
/// left out, changes no other figure.
#[derive(Clone, Copy)]
pub(super) struct Draw {
    pub(super) seed: u64,
    pub(super) run: u64,
}

impl Draw {
    fn rng(self, key: u64) -> fastrand::Rng {
        // Weyl steps and the mixer of SplitMix64 (Steele, Lea, Flood, OOPSLA 2014) keep neighbours apart.
        let mut z = self.seed ^ self.run.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ key.rotate_left(17);
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        fastrand::Rng::with_seed(z ^ (z >> 31))
    }

    /// Whether something of this chance happens.
    pub(super) fn happens(self, key: u64, chance: f64) -> bool {
        chance > 0.0 && self.rng(key).f64() < chance
    }

    /// Standard normal, cut off at three either way (Box, Muller, Ann. Math. Stat. 29, 1958).
    pub(super) fn normal(self, key: u64) -> f64 {
        let mut rng = self.rng(key);
        let (u, v) = (1.0 - rng.f64(), rng.f64());
        ((-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()).clamp(-3.0, 3.0)
    }

    /// Whole minutes that something planned at `minutes` takes.
    pub(super) fn minutes(self, key: u64, minutes: i32, guess: Guess) -> i32 {
        if guess.spread <= 0.0 && (guess.factor - 1.0).abs() < f64::EPSILON {
            return minutes;
        }
        let taken = f64::from(minutes) * guess.factor * (guess.spread * self.normal(key)).exp();
        (taken.ceil() as i32).max(i32::from(minutes > 0))
    }
}

/// A number of its own for a key (FNV-1a).
pub(super) fn number(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xCBF2_9CE4_8422_2325, |h, b| (h ^ u64::from(*b)).wrapping_mul(0x0100_0000_01B3))
}
