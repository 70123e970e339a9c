//! A step done otherwise than planned: this season's lead changes, the lid card is stale, settings are desk work.

use std::collections::BTreeSet;

use super::Desk;
use super::ask::Difference;
use super::mending::mended_by;
use super::tick::{find_step, tick_row};
use super::{mistyped, next_code, refused};
use crate::answers::power::has_port;
use crate::answers::problem::Problem;
use crate::domain::{
    Condition, Decision, DeskTask, DeskTaskId, Differed, Fact, Link, LinkId, LinkKind, Moment, PieceId,
    PlacementId, PlacementPiece, Role, RowChange, SeasonDifference, SeasonDifferenceId, SeasonId, TickKind,
    Value,
};
use crate::steps::State;
use crate::units::Span;

/// How a port, lead or place was before, where it was not told.
pub(super) const NOT_TOLD: &str = "not told";
/// Between how many there were before and the labelled pieces that were left in: "8: F-6, F-7".
const LEFT_IN: &str = ": ";

/// How many there were before fewer were put out, and which labelled pieces were left in.
pub(super) fn count_before(text: &str) -> (Option<i64>, impl Iterator<Item = &str>) {
    let (many, codes) = text.split_once(LEFT_IN).unwrap_or((text, ""));
    (many.parse().ok(), codes.split(", ").filter(|c| !c.is_empty()))
}

/// Minutes at the desk for settings after something was plugged elsewhere.
const SETTINGS_MINUTES: i64 = 10;

pub(super) fn done_differently(
    desk: &mut dyn Desk,
    key: &str,
    what: Difference,
    text: &str,
) -> Result<String, Problem> {
    let text = text.trim();
    let found = find_step(desk, key)?;
    let placement = found.step.placement.ok_or_else(|| {
        refused("no-placement", "this step belongs to no placement").hint("hold it with a note instead")
    })?;
    let name = found.step.subject.clone();
    let mut rows = Vec::new();
    let said = match what {
        Difference::Port => {
            check_port(desk, found.season, placement, text)?;
            let (row, before, link) = other_link(desk, found.season, placement, "from_port", text)?;
            rows.push(row);
            rows.push(difference(desk, found.season, placement, Differed::Port, Some(link), (&before, text)));
            rows.push(settings_task(
                desk,
                found.season,
                placement,
                &format!("settings: {name}, port {before} -> {text}"),
            ));
            format!("Done differently: {name} in port {text} instead of {before}; lid card to print again")
        }
        Difference::Lead => {
            let lead = lead_called(desk, text)?;
            let (row, before, link) =
                other_link(desk, found.season, placement, "lead_id", &lead.to_string())?;
            rows.push(row);
            rows.push(difference(desk, found.season, placement, Differed::Lead, Some(link), (&before, text)));
            format!("Done differently: {name} with lead {text}; lid card to print again")
        }
        Difference::Place => {
            let place = desk
                .yard()
                .places
                .iter()
                .find(|p| p.code.eq_ignore_ascii_case(text) || p.name.eq_ignore_ascii_case(text))
                .cloned()
                .ok_or_else(|| {
                    refused("no-place", format!("there is no place {text:?}"))
                        .hint("ladderday export: place.csv has them, or name it there first")
                })?;
            let stood = desk.yard().placements.iter().find(|p| p.id == placement).and_then(|p| p.place_id);
            let before = desk
                .yard()
                .places
                .iter()
                .find(|x| Some(x.id) == stood)
                .map_or_else(|| NOT_TOLD.to_owned(), |x| x.code.clone());
            let words = (before.as_str(), place.code.as_str());
            rows.push(difference(desk, found.season, placement, Differed::Place, None, words));
            rows.push(RowChange::new(
                "placement",
                placement.0,
                vec![("place_id", Value::Text(place.id.to_string()))],
            ));
            format!("Done differently: {name} at {}", place.name)
        }
        Difference::Level => {
            let percent = text.trim_end_matches('%').trim().parse::<i64>().ok();
            let level = percent.filter(|n| (1..=100).contains(n)).ok_or_else(|| {
                mistyped("bad-level", format!("{text:?} is no level")).hint("1 to 100 percent, as 35")
            })?;
            let text = level.to_string();
            rows.push(settings_task(
                desk,
                found.season,
                placement,
                &format!("settings: {name}, level {text} %"),
            ));
            rows.push(difference(
                desk,
                found.season,
                placement,
                Differed::Level,
                None,
                ("the show's", &text),
            ));
            format!("Done differently: {name} at level {text} %")
        }
        Difference::Count => {
            let (differs, said) = other_count(desk, found.season, placement, &name, text)?;
            rows.extend(differs);
            said
        }
    };
    // It was done, only otherwise.
    let done = found.derived.progress.get(&found.step.key).is_some_and(|p| p.state == State::Done);
    if !done {
        let mut tick = tick_row(desk, &found, TickKind::Done, None, Some(&format!("otherwise: {text}")));
        if what == Difference::Count && tick.of_count.is_some() {
            (tick.done_count, tick.of_count) = (text.parse().ok(), text.parse().ok());
        }
        rows.push(tick.to_row());
        rows.extend(mended_by(desk, &found.step));
    }
    desk.write("done-differently", &said, rows)?;
    Ok(said)
}

/// Fewer put out than planned: the placement has so many from now on, and of its labelled pieces those that no lead
/// names and that are not fit are the first to be left in.
fn other_count(
    desk: &mut dyn Desk,
    season: SeasonId,
    placement: PlacementId,
    name: &str,
    text: &str,
) -> Result<(Vec<RowChange>, String), Problem> {
    let facts = desk.outlook().facts();
    let planned = facts.placement(placement).map_or(1, |p| p.count);
    let n = text.parse::<i64>().ok().filter(|n| (1..=planned).contains(n)).ok_or_else(|| {
        mistyped("bad-count", format!("{text:?} is no count of this placement"))
            .hint(format!("1 to {planned}; for none at all: ladderday step skip"))
    })?;
    if n == planned {
        return Ok((Vec::new(), format!("Done as planned: {name}, {n} put out")));
    }
    let links = facts.links_in(season);
    let led = |id: PieceId| links.iter().any(|l| [l.from_piece_id, l.to_piece_id].contains(&Some(id)));
    let fit = |id: PieceId| facts.piece(id).is_some_and(|p| p.condition == Condition::Good);
    let code = |id: PieceId| facts.piece(id).map_or("", |p| p.code.as_str());
    let mut here: Vec<&PlacementPiece> =
        facts.yard.placement_pieces.iter().filter(|p| p.placement_id == placement).collect();
    here.sort_by_key(|p| (!led(p.piece_id), !fit(p.piece_id), code(p.piece_id)));
    let left_in = here.get(n as usize..).unwrap_or_default();
    let mut said = format!("Done differently: {name}, {n} of {planned} put out");
    let mut before = planned.to_string();
    if !left_in.is_empty() {
        let codes: Vec<&str> = left_in.iter().map(|p| code(p.piece_id)).collect();
        let codes = codes.join(", ");
        said = format!("{said}; taken as left in: {codes}");
        before = format!("{planned}{LEFT_IN}{codes}");
    }
    let now = desk.now().timestamp_millis();
    let mut rows: Vec<RowChange> =
        left_in.iter().map(|p| RowChange::end("placement_piece", p.id.0, now)).collect();
    rows.push(RowChange::new("placement", placement.0, vec![("count", Value::Int(n))]));
    rows.push(difference(desk, season, placement, Differed::Count, None, (&before, &n.to_string())));
    Ok((rows, said))
}

/// This season's lead to a placement: of data where there is one.
fn link_to(desk: &dyn Desk, season: SeasonId, placement: PlacementId) -> Result<Link, Problem> {
    let facts = desk.outlook().facts();
    let mut links: Vec<&Link> =
        facts.links_in(season).into_iter().filter(|l| l.to_placement_id == Some(placement)).collect();
    links.sort_by_key(|l| (l.kind != LinkKind::Data, l.code.clone()));
    links.first().map(|l| (*l).clone()).ok_or_else(|| {
        refused("no-link", "no lead is told for this placement").hint("add it to link.csv, or note it")
    })
}

/// Refuses a port that the box does not have: numbers up to how many are told, and names its leads use.
fn check_port(desk: &dyn Desk, season: SeasonId, placement: PlacementId, port: &str) -> Result<(), Problem> {
    let link = link_to(desk, season, placement)?;
    let facts = desk.outlook().facts();
    let stood_for = || link.from_placement_id.and_then(|p| facts.stands_for(p));
    let piece = link.from_piece_id.or_else(stood_for).and_then(|p| facts.piece(p));
    let ports = piece.and_then(|p| facts.product(p.product_id)).and_then(|p| p.ports);
    let used: BTreeSet<&str> = desk
        .yard()
        .links
        .iter()
        .filter(|l| l.from_piece_id == link.from_piece_id && l.from_placement_id == link.from_placement_id)
        .filter_map(|l| l.from_port.as_deref())
        .collect();
    let number = port.parse::<i64>().ok().filter(|n| *n >= 1);
    // "A2" is a port of bus A, where the box has such a bus.
    let bus = |p: &str| p.trim_end_matches(|c: char| c.is_ascii_digit()).to_uppercase();
    let fed = facts.links_in(season).into_iter().filter(|l| l.to_piece_id == piece.map(|p| p.id));
    let mut buses = fed.filter_map(|l| l.to_end.as_deref()).chain(used.iter().copied());
    let of_bus = !bus(port).is_empty()
        && port.ends_with(|c: char| c.is_ascii_digit())
        && buses.any(|b| bus(b) == bus(port))
        && ports.is_none_or(|most| has_port(port, most) == Some(true));
    if used.contains(port) || of_bus || number.is_some_and(|n| ports.is_none_or(|most| n <= most)) {
        return Ok(());
    }
    let name = piece.map_or("what feeds it", |p| p.code.as_str());
    let has = match ports {
        Some(most) => format!("its ports: 1 to {most}"),
        None => "how many ports it has is not told: give a number".to_owned(),
    };
    let used: Vec<&str> = used.into_iter().filter(|p| p.parse::<i64>().is_err()).collect();
    let named = if used.is_empty() { String::new() } else { format!(", {}", used.join(", ")) };
    Err(refused("no-port", format!("{name} has no port {port:?}")).hint(format!("{has}{named}")))
}

/// A lead or adaptor that is owned, by the code on its label.
fn lead_called(desk: &dyn Desk, text: &str) -> Result<PieceId, Problem> {
    let facts = desk.outlook().facts();
    let piece = desk.yard().pieces.iter().find(|p| p.code.eq_ignore_ascii_case(text));
    let how = "type the code on the label of a lead";
    let Some(piece) = piece else {
        return Err(refused("no-lead", format!("there is no lead {text:?}")).hint(how));
    };
    let role = facts.product(piece.product_id).map(|p| p.role);
    if !matches!(role, Some(Role::Lead | Role::Adaptor)) {
        let is = role.map_or("something else", Role::as_str);
        return Err(refused("no-lead", format!("{} is no lead: {is}", piece.code)).hint(how));
    }
    if matches!(piece.condition, Condition::Lost | Condition::Scrapped) {
        let is = piece.condition.as_str();
        return Err(refused("no-lead", format!("the lead {} is told to be {is}", piece.code))
            .hint("tell in Kit that it is there again, or take another"));
    }
    Ok(piece.id)
}

/// This season's lead to a placement with one column changed: a lead told for every season is replaced by one of
/// the same code for this season alone, so that next year's begins as it was.
fn other_link(
    desk: &mut dyn Desk,
    season: SeasonId,
    placement: PlacementId,
    column: &'static str,
    value: &str,
) -> Result<(RowChange, String, String), Problem> {
    let link = link_to(desk, season, placement)?;
    let before = match column {
        "from_port" => link.from_port.clone().unwrap_or_else(|| NOT_TOLD.to_owned()),
        _ => link
            .lead_id
            .and_then(|id| desk.yard().pieces.iter().find(|p| p.id == id))
            .map_or_else(|| NOT_TOLD.to_owned(), |p| p.code.clone()),
    };
    let code = link.code.clone();
    let set = vec![(column, Value::Text(value.to_owned())), ("card_stale", Value::Int(1))];
    if link.season_id.is_some() {
        return Ok((RowChange::new("link", link.id.0, set), before, code));
    }
    let own = Link { id: LinkId(desk.id()), season_id: Some(season), ..link };
    let mut row = own.to_row();
    for (column, value) in set {
        if let Some(slot) = row.set.iter_mut().find(|(c, _)| *c == column) {
            slot.1 = value;
        }
    }
    Ok((row, before, code))
}

/// What differs, as it was and is: the season's close asks whether it stays.
fn difference(
    desk: &mut dyn Desk,
    season_id: SeasonId,
    placement: PlacementId,
    what: Differed,
    link_code: Option<String>,
    (before, after): (&str, &str),
) -> RowChange {
    let now = desk.now();
    SeasonDifference {
        id: SeasonDifferenceId(desk.id()),
        ended_at: None,
        season_id,
        placement_id: Some(placement),
        what,
        link_code,
        before_text: before.to_owned(),
        after_text: after.to_owned(),
        at_ms: Moment(now.timestamp_millis()),
        decision: Decision::Open,
    }
    .to_row()
}

fn settings_task(desk: &mut dyn Desk, season: SeasonId, placement: PlacementId, title: &str) -> RowChange {
    DeskTask {
        id: DeskTaskId(desk.id()),
        ended_at: None,
        code: next_code(&desk.mark(), "D", desk.yard().desk_tasks.iter().map(|d| d.code.as_str())),
        season_id: season,
        title: title.to_owned(),
        minutes_s: Span::from_minutes(SETTINGS_MINUTES),
        placement_id: Some(placement),
        after_placement: false,
        due_on: None,
        skills: crate::domain::Words::default(),
        note: String::new(),
    }
    .to_row()
}
