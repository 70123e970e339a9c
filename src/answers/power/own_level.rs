//! Props that run at a level of their own, as "done differently" told it: what they take is not that of the show's level.

use std::collections::BTreeMap;

use crate::domain::{Decision, Differed, PlacementId, Season, SeasonDifference};
use crate::steps::Facts;
use crate::units::Percent;

/// One line that names them, where their level is another than what was computed.
pub(crate) fn line(facts: &Facts, season: &Season, computed: Percent) -> Option<String> {
    let mut last: BTreeMap<PlacementId, &SeasonDifference> = BTreeMap::new();
    let told =
        facts.yard.season_differences.iter().filter(|d| {
            d.season_id == season.id && d.what == Differed::Level && d.decision != Decision::Dropped
        });
    for d in told {
        let Some(placement) = d.placement_id else { continue };
        let at = last.entry(placement).or_insert(d);
        if (d.at_ms, d.id) > (at.at_ms, at.id) {
            *at = d;
        }
    }
    let show = computed.get().to_string();
    let named: Vec<String> = last
        .into_values()
        .filter(|d| d.after_text.trim_end_matches('%').trim() != show)
        .filter_map(|d| {
            let name = &facts.placement(d.placement_id?)?.name;
            Some(format!("{name} {} %", d.after_text.trim_end_matches('%').trim()))
        })
        .collect();
    (!named.is_empty()).then(|| {
        format!("a level of its own: {}; computed at {show} %: what they take is not known", named.join(", "))
    })
}
