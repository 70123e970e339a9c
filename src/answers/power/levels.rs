//! The level at which each prop really runs: its own, where "done differently" told one, else the show's. Every check and
//! every sum of a season takes it from here.

use std::collections::BTreeMap;

use crate::domain::{Decision, Differed, PlacementId, Season, SeasonDifference};
use crate::steps::Facts;
use crate::units::Percent;
use crate::units::si::Fraction;

#[derive(Debug, Clone)]
pub(crate) struct Levels {
    /// The show's.
    pub(crate) show: Percent,
    own: BTreeMap<PlacementId, Percent>,
    /// Names of props whose own level can't be read.
    unread: Vec<String>,
}

impl Levels {
    /// Every prop at one level, whatever its own is: full white, or an average.
    pub(crate) const fn all(show: Percent) -> Self {
        Self { show, own: BTreeMap::new(), unread: Vec::new() }
    }

    /// As the season runs.
    pub(crate) fn of(facts: &Facts, season: &Season, show: Percent) -> Self {
        let mut last: BTreeMap<PlacementId, &SeasonDifference> = BTreeMap::new();
        let mine = |d: &&SeasonDifference| {
            d.season_id == season.id && d.what == Differed::Level && d.decision != Decision::Dropped
        };
        for d in facts.yard.season_differences.iter().filter(mine) {
            let Some(placement) = d.placement_id else { continue };
            let at = last.entry(placement).or_insert(d);
            if (d.at_ms, d.id) > (at.at_ms, at.id) {
                *at = d;
            }
        }
        let mut levels = Self::all(show);
        for (placement, told) in last {
            let text = told.after_text.trim().trim_end_matches('%').trim();
            match text.parse().ok().filter(|level| *level > 0).and_then(Percent::new) {
                Some(level) => {
                    levels.own.insert(placement, level);
                }
                None => levels.unread.extend(facts.placement(placement).map(|p| p.name.clone())),
            }
        }
        levels
    }

    /// All at full white.
    pub(crate) fn are_full(&self) -> bool {
        self.show.get() == 100 && self.own.is_empty()
    }

    pub(crate) fn at(&self, placement: PlacementId) -> Percent {
        self.own.get(&placement).copied().unwrap_or(self.show)
    }

    pub(crate) fn fraction(&self, placement: PlacementId) -> Fraction {
        Fraction::new(self.at(placement).fraction()).unwrap_or_default()
    }

    /// "Star 80 %, Arch 20 %"; nothing where all run at the show's level.
    pub(crate) fn own_ones(&self, facts: &Facts) -> Option<String> {
        let other = self.own.iter().filter(|(_, level)| **level != self.show);
        let one = |(id, level): (&PlacementId, &Percent)| {
            Some(format!("{} {} %", facts.placement(*id)?.name, level.get()))
        };
        let named: Vec<String> = other.filter_map(one).collect();
        (!named.is_empty()).then(|| named.join(", "))
    }

    /// One line for what has a level of its own that can't be read.
    pub(crate) fn not_told(&self) -> Option<String> {
        let names = self.unread.join(", ");
        (!names.is_empty()).then(|| format!("level of {names} not told as 1 to 100 %: the show's taken"))
    }
}
