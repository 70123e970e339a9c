//! How long the show and its props stayed dark, by season.

use std::collections::{BTreeMap, BTreeSet};

use crate::domain::{PlacementId, SeasonId, Yard};
use crate::units::Span;

/// What one prop, or the whole show, lost in one season.
#[derive(Debug, Clone)]
pub(crate) struct DarkTotal {
    pub season: String,
    /// Code of the placement; nothing for the whole show.
    pub placement: Option<String>,
    pub name: String,
    pub nights: usize,
    pub dark: Span,
    /// The reasons told, each once.
    pub why: Vec<String>,
}

/// The latest season first, the whole show before its props.
pub(crate) fn dark_totals(yard: &Yard) -> Vec<DarkTotal> {
    let mut by: BTreeMap<(SeasonId, Option<PlacementId>), Vec<_>> = BTreeMap::new();
    for row in yard.dark_times.iter().filter(|d| d.ended_at.is_none()) {
        by.entry((row.season_id, row.placement_id)).or_default().push(row);
    }
    let season = |id| yard.seasons.iter().find(|s| s.id == id);
    let placement = |id| yard.placements.iter().find(|p| p.id == id);
    let mut keyed: Vec<_> = by
        .into_iter()
        .map(|((s, p), rows)| {
            let nights: BTreeSet<_> = rows.iter().map(|r| r.night_on).collect();
            let why: BTreeSet<&str> = rows.iter().map(|r| r.why.trim()).filter(|w| !w.is_empty()).collect();
            let prop = p.map(placement);
            let total = DarkTotal {
                season: season(s).map_or_else(String::new, |s| s.code.clone()),
                placement: prop.flatten().map(|p| p.code.clone()),
                name: match prop {
                    None => "the whole show".to_owned(),
                    Some(known) => known.map_or_else(|| "a prop that is gone".to_owned(), |p| p.name.clone()),
                },
                nights: nights.len(),
                dark: Span::from_s(rows.iter().map(|r| r.dark_s.s()).sum()),
                why: why.into_iter().map(str::to_owned).collect(),
            };
            (season(s).and_then(|s| s.lights_on), total)
        })
        .collect();
    keyed.sort_by(|(a, x), (b, y)| {
        b.cmp(a).then_with(|| (&x.season, &x.placement).cmp(&(&y.season, &y.placement)))
    });
    keyed.into_iter().map(|(_, total)| total).collect()
}

/// "harbor-2025: the whole show dark on 2 nights, 2h15 in all (Outlet tripped)".
pub(crate) fn dark_words(d: &DarkTotal) -> String {
    let why = if d.why.is_empty() { String::new() } else { format!(" ({})", d.why.join("; ")) };
    let nights = if d.nights == 1 { "1 night".to_owned() } else { format!("{} nights", d.nights) };
    format!("{}: {} dark on {nights}, {} in all{why}", d.season, d.name, d.dark.show())
}
