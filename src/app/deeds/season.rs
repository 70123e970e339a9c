//! Seasons: a new one, closing one, holding a placement back.

use std::collections::{BTreeMap, BTreeSet};

use super::differently::NOT_TOLD;
use super::refused;
use crate::answers::problem::Problem;
use crate::answers::read_local;
use crate::app::app::App;
use crate::domain::{
    Decision, Deed, Differed, Fact, Link, LinkId, PlaceId, Placement, PlacementId, RowChange, Season,
    SeasonDifference, SeasonDifferenceId, SeasonId, Value, local_time,
};

/// The placements that a new season takes over, with their new ids.
type Copied = BTreeMap<PlacementId, PlacementId>;

impl App {
    pub(super) fn new_season(
        &mut self,
        code: &str,
        name: &str,
        lights_on: Option<&str>,
    ) -> Result<String, Problem> {
        let lights_on = match lights_on.map(str::trim).filter(|t| !t.is_empty()) {
            None => None,
            Some(text) => {
                let mut t = read_local(text).ok_or_else(|| {
                    refused("bad-date", format!("{text:?} is no date"))
                        .hint("write it like 2026-11-27 or 2026-11-27T17:00")
                })?;
                if !text.contains(':') {
                    t = t.date().and_hms_opt(17, 0, 0).unwrap_or(t);
                }
                local_time(self.zone(), t).map_err(|e| refused("bad-time", e.to_string()))?;
                Some(t)
            }
        };
        let code = match code.trim() {
            "" => lights_on.map_or_else(|| "lights".to_owned(), |t| t.format("lights-%Y").to_string()),
            typed => typed.to_owned(),
        };
        if self.current.yard.seasons.iter().any(|s| s.code == code) {
            return Err(refused("season-exists", format!("there is a season {code} already"))
                .hint("choose another code"));
        }
        let show = code.rsplit_once('-').map_or(code.as_str(), |(show, _)| show).to_owned();
        let now = self.now();
        let season = Season {
            id: SeasonId(self.ids.make(now)),
            ended_at: None,
            name: if name.trim().is_empty() { code.clone() } else { name.trim().to_owned() },
            code: code.clone(),
            show: show.clone(),
            lights_on,
            lights_off: None,
            rehearsal: None,
            rehearsal_dark: None,
            work_from: None,
            down_from: None,
            nightly_from: None,
            nightly_to: None,
            buffer_days: 4,
            average_level_pct: None,
            budget_cents: None,
            closed_on: None,
            note: String::new(),
            numbering: None,
        };
        let mut rows = vec![season.to_row()];
        let (copied, ids) = self.copy_placements(&show, &season);
        let n = copied.len();
        rows.extend(copied.iter().map(Fact::to_row));
        rows.extend(self.copy_links(&season, &ids).iter().map(Fact::to_row));
        let said = format!(
            "New season {code}{}",
            if n > 0 { format!(", {n} placements as last time") } else { String::new() }
        );
        self.apply(&Deed {
            verb: "season-new",
            what: said.clone(),
            at_ms: self.now().timestamp_millis(),
            rows,
        })?;
        Ok(said)
    }

    /// Last season's placements of the same show, as the new season begins with; what carries what goes along. What
    /// was done differently and not kept is as it was before.
    fn copy_placements(&mut self, show: &str, season: &Season) -> (Vec<Placement>, Copied) {
        let before = self
            .current
            .yard
            .seasons
            .iter()
            .filter(|s| s.show == show && !show.is_empty())
            .max_by_key(|s| (s.lights_on, s.code.clone()))
            .map(|s| s.id);
        let Some(before) = before else { return Default::default() };
        let now = self.now();
        let old: Vec<Placement> = self
            .current
            .yard
            .placements
            .iter()
            .filter(|p| p.season_id == before && !p.wished)
            .cloned()
            .collect();
        let mut ids = Copied::new();
        for p in &old {
            ids.insert(p.id, PlacementId(self.ids.make(now)));
        }
        let copied = old
            .into_iter()
            .filter_map(|p| {
                let id = *ids.get(&p.id)?;
                let place_id = self.place_before(&p).or(p.place_id);
                Some(Placement {
                    id,
                    code: format!("{}/{}", season.code, p.code.rsplit('/').next().unwrap_or(&p.code)),
                    season_id: season.id,
                    carried_by_id: p.carried_by_id.and_then(|c| ids.get(&c).copied()),
                    held_why: None,
                    place_id,
                    ..p
                })
            })
            .collect();
        (copied, ids)
    }

    /// Where a placement stood before it was done differently, where that is not kept.
    fn place_before(&self, p: &Placement) -> Option<PlaceId> {
        let dropped = |d: &&SeasonDifference| {
            d.placement_id == Some(p.id) && d.what == Differed::Place && d.decision == Decision::Dropped
        };
        let first = self.current.yard.season_differences.iter().filter(dropped).min_by_key(|d| d.at_ms)?;
        self.current.yard.places.iter().find(|x| x.code == first.before_text).map(|x| x.id)
    }

    /// The leads of the placements copied, of the season they come from; what was done differently and is not kept is
    /// as it was before.
    fn copy_links(&mut self, season: &Season, ids: &Copied) -> Vec<Link> {
        let now = self.now();
        let from: BTreeSet<SeasonId> = self
            .current
            .yard
            .placements
            .iter()
            .filter(|p| ids.contains_key(&p.id))
            .map(|p| p.season_id)
            .collect();
        let Some(before) = from.first().copied() else { return Vec::new() };
        let facts = self.outlook().facts();
        let mut links: Vec<Link> = facts
            .links_in(before)
            .into_iter()
            .filter(|l| l.to_placement_id.is_some_and(|p| ids.contains_key(&p)))
            .cloned()
            .collect();
        // The latest is taken back first.
        let mut dropped: Vec<&SeasonDifference> = self
            .current
            .yard
            .season_differences
            .iter()
            .filter(|d| d.season_id == before && d.decision == Decision::Dropped)
            .collect();
        dropped.sort_by_key(|d| (std::cmp::Reverse(d.at_ms), d.id));
        for d in dropped {
            let Some(l) = links.iter_mut().find(|l| Some(&l.code) == d.link_code.as_ref()) else { continue };
            match d.what {
                Differed::Port => l.from_port = Some(d.before_text.clone()).filter(|t| t != NOT_TOLD),
                Differed::Lead => {
                    l.lead_id =
                        self.current.yard.pieces.iter().find(|p| p.code == d.before_text).map(|p| p.id);
                }
                Differed::Place | Differed::Count | Differed::Level => {}
            }
        }
        for l in &mut links {
            l.id = LinkId(self.ids.make(now));
            l.season_id = Some(season.id);
            l.code = format!("{}/{}", season.code, l.code.rsplit('/').next().unwrap_or(&l.code));
            l.to_placement_id = l.to_placement_id.and_then(|p| ids.get(&p).copied());
            l.from_placement_id = l.from_placement_id.map(|p| ids.get(&p).copied().unwrap_or(p));
            l.card_stale = true;
        }
        links
    }

    /// Closes a season. What was done differently in it is decided on where `keep` says so; once closed it is not
    /// asked again.
    pub(super) fn close_season(&mut self, code: &str, keep: Option<bool>) -> Result<String, Problem> {
        let season = self.current.yard.seasons.iter().find(|s| s.code == code).ok_or_else(|| {
            refused("no-season", format!("there is no season {code:?}")).hint("ladderday season list")
        })?;
        if let Some(on) = season.closed_on {
            return Err(refused("season-closed", format!("{code} was closed on {on}")));
        }
        let today = self.now().with_timezone(&self.zone()).format("%Y-%m-%d").to_string();
        let mut rows = vec![RowChange::new("season", season.id.0, vec![("closed_on", Value::Text(today))])];
        let open: Vec<SeasonDifferenceId> = self
            .current
            .yard
            .season_differences
            .iter()
            .filter(|d| d.season_id == season.id && d.decision == Decision::Open)
            .map(|d| d.id)
            .collect();
        if let Some(keep) = keep {
            let word = if keep { Decision::Kept } else { Decision::Dropped };
            rows.extend(open.iter().map(|id| {
                let decided = vec![("decision", Value::Text(word.as_str().to_owned()))];
                RowChange::new("season_difference", id.0, decided)
            }));
        }
        let differently = match (open.len(), keep) {
            (0, _) => String::new(),
            (n, Some(true)) => format!("; {n} changes are kept for next year"),
            (n, Some(false)) => format!("; {n} changes are not kept: next year begins as planned"),
            (n, None) => format!("; {n} changes stay undecided: next year begins as it ended"),
        };
        let said = format!("Closed season {code}{differently}");
        self.apply(&Deed {
            verb: "season-close",
            what: said.clone(),
            at_ms: self.now().timestamp_millis(),
            rows,
        })?;
        Ok(said)
    }

    pub(super) fn hold_placement(&mut self, code: &str, why: Option<&str>) -> Result<String, Problem> {
        let placement = self
            .current
            .yard
            .placements
            .iter()
            .find(|p| p.code.eq_ignore_ascii_case(code))
            .ok_or_else(|| refused("no-placement", format!("there is no placement {code:?}")))?;
        let value = why.map_or(Value::Null, |w| Value::Text(w.to_owned()));
        let said = match why {
            Some(w) => format!("Held back: {} ({w})", placement.name),
            None => format!("Goes on: {}", placement.name),
        };
        let row = RowChange::new("placement", placement.id.0, vec![("held_why", value)]);
        self.apply(&Deed {
            verb: "placement-hold",
            what: said.clone(),
            at_ms: self.now().timestamp_millis(),
            rows: vec![row],
        })?;
        Ok(said)
    }
}
