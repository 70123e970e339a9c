//! What a new season begins with: the last one of the same show, with its hours, pieces, leads, stands and duties.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use chrono::{Datelike, Duration, NaiveDate, NaiveDateTime};

use super::Desk;
use super::differently::{NOT_TOLD, count_before};
use crate::answers::words::counted;
use crate::domain::{
    Condition, Decision, Differed, Duty, DutyId, Fact, Guy, GuyId, Link, LinkId, PieceId, Placement,
    PlacementId, PlacementPiece, PlacementPieceId, RowChange, Season, SeasonDifference, SeasonDifferenceId,
    SeasonId, Stand, StandId,
};

/// The placements that a new season takes over, with their new ids.
type Copied = BTreeMap<PlacementId, PlacementId>;

/// The rows of a new season with all that it takes over, and what that is in words.
pub(super) fn carry_over(desk: &mut dyn Desk, show: &str, new: Season) -> (String, Vec<RowChange>) {
    let seasons = &desk.yard().seasons;
    let before = seasons.iter().filter(|s| s.show == show && !show.is_empty());
    let Some(before) = before.max_by_key(|s| (s.lights_on, s.code.clone())).cloned() else {
        return (String::new(), vec![new.to_row()]);
    };
    let days = shift(&before, &new);
    let season = dated(&before, new, days);
    let mut rows = vec![season.to_row()];
    let (placements, ids) = copy_placements(desk, before.id, &season);
    rows.extend(placements.iter().map(Fact::to_row));
    let (pieces, gone) = copy_pieces(desk, &ids);
    rows.extend(pieces);
    rows.extend(copy_links(desk, &season, &ids).iter().map(Fact::to_row));
    rows.extend(copy_stands(desk, &season, &ids));
    rows.extend(copy_levels(desk, before.id, &season, &ids));
    rows.extend(days.into_iter().flat_map(|days| copy_duties(desk, before.id, &season, days)));
    if placements.is_empty() {
        return (String::new(), rows);
    }
    let kept = decided(desk, before.id, Decision::Kept);
    let dropped = decided(desk, before.id, Decision::Dropped);
    let mut said = format!(", {} as last time", counted(placements.len() as i64, "placement", "placements"));
    for (n, what) in [
        (kept, "with changes that are kept"),
        (dropped, "changes not kept: as it was planned"),
        (
            gone,
            if gone == 1 {
                "piece lost or scrapped is left out"
            } else {
                "pieces lost or scrapped are left out"
            },
        ),
    ] {
        if n > 0 {
            let _ = write!(said, "; {n} {what}");
        }
    }
    (said, rows)
}

fn decided(desk: &dyn Desk, season: SeasonId, as_what: Decision) -> usize {
    let mine = |d: &&SeasonDifference| d.season_id == season && d.decision == as_what;
    desk.yard().season_differences.iter().filter(mine).count()
}

/// Which labelled pieces each placement puts out; how many are gone for good.
fn copy_pieces(desk: &mut dyn Desk, ids: &Copied) -> (Vec<RowChange>, usize) {
    let old: Vec<PlacementPiece> =
        desk.yard().placement_pieces.iter().filter(|x| ids.contains_key(&x.placement_id)).cloned().collect();
    let gone = |x: &PlacementPiece| {
        let piece = desk.yard().pieces.iter().find(|p| p.id == x.piece_id);
        piece.is_none_or(|p| matches!(p.condition, Condition::Lost | Condition::Scrapped))
    };
    let (left, kept): (Vec<_>, Vec<_>) = old.into_iter().partition(gone);
    let rows = kept.into_iter().filter_map(|x| {
        let id = PlacementPieceId(desk.id());
        Some(PlacementPiece { id, placement_id: *ids.get(&x.placement_id)?, ..x }.to_row())
    });
    let mut rows: Vec<RowChange> = rows.collect();
    for (p, left_in) in left_in(desk, ids) {
        let id = PlacementPieceId(desk.id());
        let again = PlacementPiece { id, ended_at: None, placement_id: p, piece_id: left_in };
        rows.push(again.to_row());
    }
    (rows, left.len())
}

/// Labelled pieces that were left in when fewer were put out, where that is not kept.
fn left_in(desk: &dyn Desk, ids: &Copied) -> Vec<(PlacementId, PieceId)> {
    let yard = desk.yard();
    let mine = |p: &&Placement| ids.contains_key(&p.id);
    let told = yard.placements.iter().filter(mine).filter_map(|p| {
        let codes = count_before(stood_before(desk, p, Differed::Count)?).1;
        Some((*ids.get(&p.id)?, codes.map(str::to_owned).collect::<Vec<_>>()))
    });
    let piece = |code: &String| yard.pieces.iter().find(|p| p.code == *code).map(|p| p.id);
    told.flat_map(|(p, codes)| codes.into_iter().filter_map(move |c| Some((p, piece(&c)?)))).collect()
}

/// The levels that single props run at, but for those that are not kept.
fn copy_levels(desk: &mut dyn Desk, before: SeasonId, season: &Season, ids: &Copied) -> Vec<RowChange> {
    let kept = |d: &&SeasonDifference| {
        d.season_id == before && d.what == Differed::Level && d.decision != Decision::Dropped
    };
    let told: Vec<SeasonDifference> = desk.yard().season_differences.iter().filter(kept).cloned().collect();
    let rows = told.into_iter().filter_map(|d| {
        let placement_id = Some(*ids.get(&d.placement_id?)?);
        let id = SeasonDifferenceId(desk.id());
        let decision = Decision::Kept;
        Some(SeasonDifference { id, season_id: season.id, placement_id, decision, ..d }.to_row())
    });
    rows.collect()
}

/// How they stand in the wind.
fn copy_stands(desk: &mut dyn Desk, season: &Season, ids: &Copied) -> Vec<RowChange> {
    let own = |s: &&Stand| s.placement_id.is_some_and(|p| ids.contains_key(&p));
    let stands: Vec<Stand> = desk.yard().stands.iter().filter(own).cloned().collect();
    let code = |old: &str| format!("{}/{}", season.code, old.rsplit('/').next().unwrap_or(old));
    let mut rows = Vec::new();
    for stand in stands {
        let guys: Vec<Guy> = desk.yard().guys.iter().filter(|g| g.stand_id == stand.id).cloned().collect();
        let id = StandId(desk.id());
        let placement_id = stand.placement_id.and_then(|p| ids.get(&p).copied());
        rows.push(Stand { id, code: code(&stand.code), placement_id, ..stand }.to_row());
        for guy in guys {
            let new = GuyId(desk.id());
            rows.push(Guy { id: new, code: code(&guy.code), stand_id: id, ..guy }.to_row());
        }
    }
    rows
}

/// Requests, permits and notices, as many days later as the lights.
fn copy_duties(desk: &mut dyn Desk, before: SeasonId, season: &Season, days: Duration) -> Vec<RowChange> {
    let old: Vec<Duty> = desk.yard().duties.iter().filter(|d| d.season_id == before).cloned().collect();
    let later = |d: Option<NaiveDate>| d.and_then(|d| d.checked_add_signed(days));
    old.into_iter()
        .map(|d| {
            Duty {
                id: DutyId(desk.id()),
                code: format!("{}/{}", season.code, d.code.rsplit('/').next().unwrap_or(&d.code)),
                season_id: season.id,
                opens_on: later(d.opens_on),
                due_on: later(d.due_on),
                expires_on: later(d.expires_on),
                ..d
            }
            .to_row()
        })
        .collect()
}

/// Last season's placements of the same show, as the new season begins with; what carries what goes along. What
/// was done differently and not kept is as it was before.
fn copy_placements(desk: &mut dyn Desk, before: SeasonId, season: &Season) -> (Vec<Placement>, Copied) {
    let old: Vec<Placement> =
        desk.yard().placements.iter().filter(|p| p.season_id == before && !p.wished).cloned().collect();
    let mut ids = Copied::new();
    for p in &old {
        ids.insert(p.id, PlacementId(desk.id()));
    }
    let copied = old
        .into_iter()
        .filter_map(|p| {
            let id = *ids.get(&p.id)?;
            let stood = stood_before(desk, &p, Differed::Place);
            let stood = stood.and_then(|code| desk.yard().places.iter().find(|x| x.code == code));
            let many = stood_before(desk, &p, Differed::Count).and_then(|text| count_before(text).0);
            Some(Placement {
                id,
                code: format!("{}/{}", season.code, p.code.rsplit('/').next().unwrap_or(&p.code)),
                season_id: season.id,
                carried_by_id: p.carried_by_id.and_then(|c| ids.get(&c).copied()),
                held_why: None,
                place_id: stood.map(|x| x.id).or(p.place_id),
                count: many.unwrap_or(p.count),
                ..p
            })
        })
        .collect();
    (copied, ids)
}

/// What a placement was before it was done differently, where that is not kept.
fn stood_before<'a>(desk: &'a dyn Desk, p: &Placement, what: Differed) -> Option<&'a str> {
    let dropped = |d: &&SeasonDifference| {
        d.placement_id == Some(p.id) && d.what == what && d.decision == Decision::Dropped
    };
    let first = desk.yard().season_differences.iter().filter(dropped).min_by_key(|d| d.at_ms)?;
    Some(&first.before_text)
}

/// The leads of the placements copied, of the season they come from; what was done differently and is not kept is
/// as it was before.
fn copy_links(desk: &mut dyn Desk, season: &Season, ids: &Copied) -> Vec<Link> {
    let from: BTreeSet<SeasonId> =
        desk.yard().placements.iter().filter(|p| ids.contains_key(&p.id)).map(|p| p.season_id).collect();
    let Some(before) = from.first().copied() else { return Vec::new() };
    let facts = desk.outlook().facts();
    let mut links: Vec<Link> = facts
        .links_in(before)
        .into_iter()
        .filter(|l| l.to_placement_id.is_some_and(|p| ids.contains_key(&p)))
        .cloned()
        .collect();
    // The latest is taken back first.
    let mut dropped: Vec<&SeasonDifference> = desk
        .yard()
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
                l.lead_id = desk.yard().pieces.iter().find(|p| p.code == d.before_text).map(|p| p.id);
            }
            Differed::Place | Differed::Count | Differed::Level => {}
        }
    }
    for l in &mut links {
        l.id = LinkId(desk.id());
        l.season_id = Some(season.id);
        l.code = format!("{}/{}", season.code, l.code.rsplit('/').next().unwrap_or(&l.code));
        l.to_placement_id = l.to_placement_id.and_then(|p| ids.get(&p).copied());
        l.from_placement_id = l.from_placement_id.map(|p| ids.get(&p).copied().unwrap_or(p));
        l.card_stale = true;
    }
    links
}

/// How many days later the lights go on, to the same day of the week where it is a year.
fn shift(before: &Season, new: &Season) -> Option<Duration> {
    Some(new.lights_on?.date() - before.lights_on?.date())
}

/// Hours, level and way of numbering as last time; dates as many days later as the lights, to be changed as one likes.
fn dated(before: &Season, new: Season, days: Option<Duration>) -> Season {
    let day = |d: Option<NaiveDate>| d.zip(days).and_then(|(d, by)| d.checked_add_signed(by));
    let time = |t: Option<NaiveDateTime>| t.zip(days).and_then(|(t, by)| t.checked_add_signed(by));
    // The last night is a date of the calendar, as the first days of January.
    let off = before.lights_off.zip(days).and_then(|(d, by)| {
        let years = (by.num_days() + 182) / 365;
        d.with_year(d.year() + i32::try_from(years).ok()?)
    });
    Season {
        lights_off: off,
        rehearsal: time(before.rehearsal),
        rehearsal_dark: time(before.rehearsal_dark),
        work_from: day(before.work_from),
        down_from: off.and_then(|d| d.succ_opt()),
        nightly_from: before.nightly_from.clone(),
        nightly_to: before.nightly_to.clone(),
        buffer_days: before.buffer_days,
        average_level_pct: before.average_level_pct,
        numbering: before.numbering,
        ..new
    }
}
