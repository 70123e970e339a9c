//! Seasons: a new one, closing one, holding a placement back.

use crate::app::owner::{App, read_local};
use crate::app::problem::Problem;
use crate::domain::{Deed, Fact, Placement, PlacementId, RowChange, Season, SeasonId, Value, local_time};

use super::refused;

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
        if self.yard.seasons.iter().any(|s| s.code == code) {
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
        let copied = self.copy_placements(&show, &season);
        let n = copied.len();
        rows.extend(copied.iter().map(Fact::to_row));
        let said = format!(
            "New season {code}{}",
            if n > 0 { format!(", {n} placements as last time") } else { String::new() }
        );
        self.apply(&Deed { verb: "season-new", what: said.clone(), at_ms: self.now_ms(), rows })?;
        Ok(said)
    }

    /// Last season's placements of the same show, as the new season begins with; what carries what goes along.
    fn copy_placements(&mut self, show: &str, season: &Season) -> Vec<Placement> {
        let before = self
            .yard
            .seasons
            .iter()
            .filter(|s| s.show == show && !show.is_empty())
            .max_by_key(|s| (s.lights_on, s.code.clone()))
            .map(|s| s.id);
        let Some(before) = before else { return Vec::new() };
        let now = self.now();
        let old: Vec<Placement> =
            self.yard.placements.iter().filter(|p| p.season_id == before && !p.wished).cloned().collect();
        let mut ids = std::collections::BTreeMap::new();
        for p in &old {
            ids.insert(p.id, PlacementId(self.ids.make(now)));
        }
        old.into_iter()
            .filter_map(|p| {
                let id = *ids.get(&p.id)?;
                Some(Placement {
                    id,
                    code: format!("{}/{}", season.code, p.code.rsplit('/').next().unwrap_or(&p.code)),
                    season_id: season.id,
                    carried_by_id: p.carried_by_id.and_then(|c| ids.get(&c).copied()),
                    held_why: None,
                    ..p
                })
            })
            .collect()
    }

    pub(super) fn close_season(&mut self, code: &str) -> Result<String, Problem> {
        let season = self.yard.seasons.iter().find(|s| s.code == code).ok_or_else(|| {
            refused("no-season", format!("there is no season {code:?}")).hint("ladderday season list")
        })?;
        if let Some(on) = season.closed_on {
            return Err(refused("season-closed", format!("{code} was closed on {on}")));
        }
        let today = self.now().with_timezone(&self.zone()).format("%Y-%m-%d").to_string();
        let row = RowChange::new("season", season.id.0, vec![("closed_on", Value::Text(today))]);
        let said = format!("Closed season {code}");
        self.apply(&Deed {
            verb: "season-close",
            what: said.clone(),
            at_ms: self.now_ms(),
            rows: vec![row],
        })?;
        Ok(said)
    }

    pub(super) fn hold_placement(&mut self, code: &str, why: Option<&str>) -> Result<String, Problem> {
        let placement = self
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
            at_ms: self.now_ms(),
            rows: vec![row],
        })?;
        Ok(said)
    }
}
