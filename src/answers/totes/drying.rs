//! The drying place: what fills it now, what is still to be laid out today, and from when each may be packed.

use chrono::{DateTime, Duration};

use crate::answers::Outlook;
use crate::answers::totes::whereabouts::{Located, Whereabouts, whereabouts};
use crate::answers::view::{Drying, DryingRow};
use crate::domain::{Phase, PieceId, Placement, RecipeStep, StepDeed};
use crate::steps::{Facts, State, StepKey};

/// What came off wet longer ago has dried, laid out or not.
pub(crate) const WET_FOR: Duration = Duration::days(60);

/// What dries, the last to be dry last; nothing where nothing does and no room is told.
pub(crate) fn drying(outlook: &Outlook) -> Option<Drying> {
    let facts = outlook.facts();
    let located = whereabouts(outlook);
    let mut rows: Vec<_> = outlook
        .yard
        .placements
        .iter()
        .filter_map(|p| row(outlook, &facts, p, |id| located.get(&id)))
        .collect();
    rows.sort_by(|a, b| (a.0, &a.1.name).cmp(&(b.0, &b.1.name)));
    let room = outlook.yard.sites.first().and_then(|s| s.drying_slots);
    let rows: Vec<DryingRow> = rows.into_iter().map(|(_, row)| row).collect();
    (room.is_some() || !rows.is_empty()).then_some(Drying { room, rows })
}

/// A placement that fills a place, with when it is dry.
fn row<'a>(
    outlook: &Outlook,
    facts: &Facts,
    p: &Placement,
    located: impl Fn(PieceId) -> Option<&'a Located>,
) -> Option<(i64, DryingRow)> {
    let recipe = facts.recipe(p.method_id?);
    let of = |deed: StepDeed| -> Option<&RecipeStep> {
        recipe.iter().copied().find(|r| r.phase == Phase::Down && r.deed == deed)
    };
    let dry = of(StepDeed::Dry)?;
    let progress = outlook.progress();
    let done = |r: &RecipeStep| {
        let key = StepKey::of("placement", p.id, &r.code, Phase::Down);
        progress.get(&key).filter(|x| x.state == State::Done).map(|x| x.to.or(x.from))
    };
    if of(StepDeed::Pack).and_then(done).is_some() {
        return None;
    }
    let lately = outlook.now_ms() - WET_FOR.num_milliseconds();
    let is_wet = |id: &PieceId| {
        located(*id)
            .is_some_and(|l| l.wet && l.at == Whereabouts::Off && l.wet_ms.is_some_and(|t| t >= lately))
    };
    // A piece dries with the placement that it came off last.
    let begun = |x: &&&Placement| {
        facts.season(x.season_id).and_then(|s| s.lights_on).is_none_or(|t| t <= outlook.local_now())
    };
    let mine = |id: &PieceId| {
        let placements = facts.placements_of(*id);
        let lit = |x: &&&Placement| facts.season(x.season_id).and_then(|s| s.lights_on);
        placements.iter().filter(begun).max_by_key(lit).is_some_and(|last| last.id == p.id)
    };
    let wet: Vec<PieceId> =
        facts.pieces_of(p.id).iter().copied().filter(|id| is_wet(id) && mine(id)).collect();
    let laid = done(dry).flatten().and_then(|at| DateTime::from_timestamp_millis(at.0));
    let over = laid.map(|at| at + Duration::minutes(dry.wait_s.minutes_up()));
    if wet.is_empty() && over.is_none_or(|t| t <= outlook.now()) {
        return None;
    }
    let since = laid.or_else(|| {
        let seen = wet.iter().filter_map(|id| located(*id)?.wet_ms).min();
        seen.and_then(DateTime::from_timestamp_millis)
    });
    let say =
        |t: DateTime<chrono::Utc>| t.with_timezone(&outlook.zone()).format("%a %-d %b %Y %H:%M").to_string();
    let codes = wet.iter().filter_map(|id| facts.piece(*id)).map(|x| x.code.clone()).collect();
    let row = DryingRow {
        placement: p.code.clone(),
        name: p.name.clone(),
        pieces: codes,
        since: since.map_or_else(String::new, say),
        until: over.map(say),
        key: laid.is_none().then(|| StepKey::of("placement", p.id, &dry.code, Phase::Down).to_string()),
    };
    Some((over.map_or(i64::MAX, |t| t.timestamp_millis()), row))
}

/// "13 props, room for 12: …" once the drying place holds more than it has room for.
pub(crate) fn too_full(drying: &Drying) -> Option<String> {
    let full = i64::try_from(drying.rows.len()).unwrap_or(i64::MAX) > drying.room?;
    let what = format!("the drying place is too full: {}", drying.filled());
    full.then(|| format!("{what}; lay some out elsewhere, or leave the rest up"))
}
