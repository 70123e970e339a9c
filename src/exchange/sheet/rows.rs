//! What the lines tell to rows of the yard: each known again or new, with what it changes.

use std::collections::{BTreeMap, BTreeSet};

use uuid::Uuid;

use super::columns::Columns;
use super::known::{self, Known, match_lines, plain};
use super::line::Told;
use super::list::{Different, List, Missing, PlaceRenamed, ReadProp, Was};
use super::places::{Places, free, slug};
use super::season::SeasonRow;
use super::titles::Role;
use crate::domain::{Fact, Placement, RowChange, Value};
use crate::exchange::csv::{CsvFault, Target, cycle, identity};

/// Lines named one by one; of more only the number is said.
const NAMED: usize = 3;

/// What was assumed where the lines tell nothing.
pub(super) fn assumed(told: &[Told], columns: &Columns) -> Vec<String> {
    let mut said = Vec::new();
    let mut say = |what: &str, lines: Vec<&Told>, taken: &str| {
        if lines.is_empty() {
            return;
        }
        let names: Vec<String> = lines.iter().take(NAMED).map(|t| format!("{:?}", t.name)).collect();
        let more = lines.len().saturating_sub(NAMED);
        let more = if more == 0 { String::new() } else { format!(" and {more} more") };
        said.push(format!("{what} not told for {}{more}: {taken}", names.join(", ")));
    };
    let taken = if columns.has(Role::Count) {
        "one assumed"
    } else {
        "one assumed; --column \"TITLE=how many\" tells which does"
    };
    say("how many", told.iter().filter(|t| t.count.is_none()).collect(), taken);
    say("how mounted", told.iter().filter(|t| t.method.is_none()).collect(), "just set in place assumed");
    if columns.has(Role::Place) {
        say("where", told.iter().filter(|t| t.place.is_none()).collect(), "no place assumed");
    } else {
        said.push("no column tells where things go; --column \"TITLE=where\" tells which does".to_owned());
    }
    said
}

fn id_text(id: Uuid) -> Value {
    Value::Text(id.hyphenated().to_string())
}

/// What was read of a file, before it is compared with the yard.
pub(super) struct Read<'a> {
    pub(super) file: &'a str,
    pub(super) told: Vec<Told>,
    /// Nothing where it could not be made out; that is among the faults then.
    pub(super) season: Option<SeasonRow>,
    pub(super) places: Places,
    /// The method where none is told.
    pub(super) untold: Option<Uuid>,
    pub(super) said: Vec<String>,
    pub(super) faults: Vec<CsvFault>,
    pub(super) columns: String,
}

/// Makes the rows.
pub(super) fn list(read: Read<'_>, target: &Target<'_>) -> Result<List, Vec<CsvFault>> {
    let Read { file, told, season, places, untold, mut said, mut faults, columns } = read;
    let yard = target.existing;
    let season_id = season.as_ref().map(|s| s.id);
    // Last year's code is of last year's row: this season's is known by name and place, or gets its own.
    let mut told = told;
    let elsewhere = |p: &&Placement| p.ended_at.is_none() && Some(p.season_id.0) != season_id;
    let others: BTreeSet<&str> = yard.placements.iter().filter(elsewhere).map(|p| p.code.as_str()).collect();
    for t in told.iter_mut().filter(|t| others.contains(t.code.as_str())) {
        t.code.clear();
    }
    let told = told.as_slice();
    let of_season = |p: &&Placement| Some(p.season_id.0) == season_id;
    let there: Vec<&Placement> =
        yard.placements.iter().filter(of_season).filter(|p| p.ended_at.is_none()).collect();
    let lines: Vec<known::Line<'_>> = told
        .iter()
        .map(|t| known::Line { code: &t.code, name: &t.name, place: t.place, count: t.count })
        .collect();
    let known = match_lines(&lines, &there);
    let mut ended: BTreeMap<(String, Option<Uuid>), Vec<&Placement>> = BTreeMap::new();
    for p in yard.placements.iter().filter(of_season).filter(|p| p.ended_at.is_some()) {
        ended.entry((plain(&p.name), p.place_id.map(|i| i.0))).or_default().push(p);
    }
    let was: Vec<(Was, Option<&Placement>)> = told
        .iter()
        .zip(&known)
        .map(|(t, known)| match known {
            Known::Same(at) => (Was::Same, there.get(*at).copied()),
            Known::Moved(at) => (Was::Moved, there.get(*at).copied()),
            Known::Renamed(at) => {
                let old = there.get(*at).copied();
                (Was::Renamed(old.map_or_else(String::new, |p| p.name.clone())), old)
            }
            Known::New => {
                let of_that_name = ended.get_mut(&(plain(&t.name), t.place)).filter(|_| t.code.is_empty());
                match of_that_name.and_then(Vec::pop) {
                    Some(old) => (Was::Ended, Some(old)),
                    None => (Was::New, None),
                }
            }
        })
        .collect();
    let codes = new_codes(told, &was, target, season.as_ref().map_or("", |s| s.year.as_str()));
    faults.extend(twice(file, told, &codes));
    let ids: Vec<Uuid> = was
        .iter()
        .zip(&codes)
        .map(|((_, old), code)| {
            old.map_or_else(|| identity::id_of(target.yard_id, Placement::TABLE.name, code), |p| p.id.0)
        })
        .collect();
    let carriers = carriers(file, told, &ids, &codes, &there, &mut faults);
    let Some(season) = season.filter(|_| faults.is_empty()) else {
        faults.sort_by_key(|f| f.line);
        return Err(faults);
    };
    let new_places: BTreeMap<Uuid, String> = places.new.iter().filter_map(named).collect();
    let renamed = renamed_places(told, &was, &there, &new_places, target);
    let name_of = |value: &Value| show(value, target, &new_places);
    let mut rows = places.new;
    rows.push(season.row);
    let mut props = Vec::new();
    for (at, t) in told.iter().enumerate() {
        let (Some((was, old)), Some(id), Some(code)) = (was.get(at), ids.get(at), codes.get(at)) else {
            continue;
        };
        let carrier = carriers.get(at).copied().flatten();
        let set = match old {
            Some(_) => told_columns(t, carrier, *was == Was::Ended),
            None => all_columns(t, carrier, code, season.id, untold),
        };
        let before = old.map(Fact::to_row);
        let different = before.iter().flat_map(|row| {
            set.iter().filter_map(|(column, value)| {
                let now = row.set.iter().find(|(c, _)| c == column).map(|(_, v)| v)?;
                (now != value).then(|| Different { column, before: name_of(now), after: name_of(value) })
            })
        });
        let different = different.collect();
        props.push(ReadProp { line: t.line, id: *id, name: t.name.clone(), was: was.clone(), different });
        rows.push(RowChange::new(Placement::TABLE.name, *id, set));
    }
    let found: BTreeSet<Uuid> = ids.iter().copied().collect();
    let missing = there
        .iter()
        .filter(|p| !found.contains(&p.id.0))
        .map(|p| Missing { id: p.id.0, code: p.code.clone(), name: p.name.clone() })
        .collect();
    said.extend(season.said);
    Ok(List { season_code: season.code, said, rows, props, places: renamed, missing, columns })
}

/// Places of the yard that seem to be called otherwise in the list.
fn renamed_places(
    told: &[Told],
    was: &[(Was, Option<&Placement>)],
    there: &[&Placement],
    new_places: &BTreeMap<Uuid, String>,
    target: &Target<'_>,
) -> Vec<PlaceRenamed> {
    // Where what stood at a place of the yard went, by the lines; a line that still tells it keeps it.
    let mut went: BTreeMap<Uuid, BTreeSet<Uuid>> = BTreeMap::new();
    let mut moved: BTreeMap<Uuid, usize> = BTreeMap::new();
    for (t, (was, old)) in told.iter().zip(was) {
        if let Some(new) = t.place.filter(|p| !new_places.contains_key(p)) {
            went.entry(new).or_default().insert(new);
        }
        let from = old.and_then(|p| p.place_id).filter(|_| *was == Was::Moved);
        if let (Some(from), Some(to)) = (from, t.place) {
            went.entry(from.0).or_default().insert(to);
            *moved.entry(from.0).or_default() += 1;
        }
    }
    let stood = |id: Uuid| there.iter().filter(|p| p.place_id.is_some_and(|i| i.0 == id)).count();
    let mut all = Vec::new();
    for (old, to) in went {
        let Some(new) = to.first().filter(|_| to.len() == 1) else { continue };
        let place = target.existing.places.iter().find(|p| p.id.0 == old);
        let (Some(place), Some(new_name)) = (place, new_places.get(new)) else { continue };
        if moved.get(&old) == Some(&stood(old)) && known::alike(&place.name, new_name, false) {
            let (old_name, new_name) = (place.name.clone(), new_name.clone());
            all.push(PlaceRenamed { old, old_name, new: *new, new_name });
        }
    }
    all
}

fn named(row: &RowChange) -> Option<(Uuid, String)> {
    match row.set.iter().find(|(c, _)| *c == "name") {
        Some((_, Value::Text(name))) => Some((row.id, name.clone())),
        _ => None,
    }
}

/// A value for people: names, not ids.
fn show(value: &Value, target: &Target<'_>, new_places: &BTreeMap<Uuid, String>) -> String {
    match value {
        Value::Null => "not told".to_owned(),
        Value::Int(n) => n.to_string(),
        Value::Text(text) => {
            let Ok(id) = Uuid::parse_str(text) else { return text.clone() };
            let yard = target.existing;
            let place = yard.places.iter().find(|p| p.id.0 == id).map(|p| p.name.clone());
            let method = || yard.methods.iter().find(|m| m.id.0 == id).map(|m| m.name.clone());
            let placement = || yard.placements.iter().find(|p| p.id.0 == id).map(|p| p.name.clone());
            place
                .or_else(method)
                .or_else(placement)
                .or_else(|| new_places.get(&id).cloned())
                .unwrap_or_else(|| text.clone())
        }
    }
}

/// The code of each line: as it is, as told, or made from the name. The same names get theirs in the order of their
/// places, so that a sorted sheet gives the same.
fn new_codes(
    told: &[Told],
    was: &[(Was, Option<&Placement>)],
    target: &Target<'_>,
    year: &str,
) -> Vec<String> {
    let end = year.get(2..).unwrap_or_default();
    let holding = target.existing.placements.iter().filter(|p| p.ended_at.is_none());
    let mut taken: BTreeSet<String> = holding.map(|p| p.code.clone()).collect();
    taken.extend(told.iter().filter(|t| !t.code.is_empty()).map(|t| t.code.clone()));
    let mut codes = vec![String::new(); told.len()];
    let mut open: Vec<(String, String, usize)> = Vec::new();
    for (at, (t, (_, old))) in told.iter().zip(was.iter()).enumerate() {
        match old {
            Some(old) => old.code.clone_into(codes.get_mut(at).unwrap_or(&mut String::new())),
            None if t.code.is_empty() => open.push((plain(&t.name), plain(&t.place_text), at)),
            None => t.code.clone_into(codes.get_mut(at).unwrap_or(&mut String::new())),
        }
    }
    open.sort();
    for (_, _, at) in open {
        if let (Some(t), Some(code)) = (told.get(at), codes.get_mut(at)) {
            *code = free(&slug(&t.name, "PROP"), end, &mut taken);
        }
    }
    codes
}

/// Codes that two lines have.
fn twice(file: &str, told: &[Told], codes: &[String]) -> Vec<CsvFault> {
    let mut first: BTreeMap<&str, u64> = BTreeMap::new();
    let mut faults = Vec::new();
    for (t, code) in told.iter().zip(codes) {
        let line = *first.entry(code).or_insert(t.line);
        if line != t.line {
            let what = format!("line {line} has this code too");
            faults.push(
                CsvFault::new("code-twice", file, t.line, what, "give each prop a code of its own")
                    .at("code", code),
            );
        }
    }
    faults
}

/// What carries each prop: another line by its name or code, or a placement of the season.
fn carriers(
    file: &str,
    told: &[Told],
    ids: &[Uuid],
    codes: &[String],
    there: &[&Placement],
    faults: &mut Vec<CsvFault>,
) -> Vec<Option<Uuid>> {
    let mut by_text: BTreeMap<String, Uuid> = BTreeMap::new();
    for ((t, id), code) in told.iter().zip(ids).zip(codes) {
        by_text.entry(plain(&t.name)).or_insert(*id);
        by_text.entry(plain(code)).or_insert(*id);
    }
    for p in there {
        by_text.entry(plain(&p.name)).or_insert(p.id.0);
        by_text.entry(plain(&p.code)).or_insert(p.id.0);
    }
    let mut parents = BTreeMap::new();
    let mut carriers = Vec::with_capacity(told.len());
    for (t, id) in told.iter().zip(ids) {
        let found = by_text.get(&plain(&t.carried_by)).copied();
        if !t.carried_by.is_empty() && found.is_none() {
            let what = "no line and no placement of the season has this name";
            let fault =
                CsvFault::new("unknown-reference", file, t.line, what, "write the name of another line");
            faults.push(fault.at("carried by", &t.carried_by));
        }
        if let Some(up) = found.filter(|_| !t.carried_by.is_empty()) {
            parents.insert(*id, up);
        }
        carriers.push(found.filter(|_| !t.carried_by.is_empty()));
    }
    for ring in cycle::rings(&parents) {
        let of = |id: &Uuid| ids.iter().position(|i| i == id).and_then(|at| told.get(at));
        let names: Vec<_> =
            ring.iter().chain(ring.first()).map(|id| of(id).map_or("?", |t| t.name.as_str())).collect();
        let line = ring.first().and_then(of).map_or(0, |t| t.line);
        let what = names.join(" is carried by ");
        faults.push(
            CsvFault::new("ring", file, line, what, "break the ring at one of them").at("carried by", ""),
        );
    }
    carriers
}

/// Of a prop that is there, only what the line tells: an empty cell changes nothing.
fn told_columns(t: &Told, carrier: Option<Uuid>, ended: bool) -> Vec<(&'static str, Value)> {
    let mut set = vec![("name", Value::Text(t.name.clone()))];
    if ended {
        set.push(("ended_at", Value::Null));
    }
    let mut tell = |column, value: Option<Value>| set.extend(value.map(|v| (column, v)));
    tell("count", t.count.map(Value::Int));
    tell("place_id", t.place.map(id_text));
    tell("method_id", t.method.map(id_text));
    tell("permanent", t.permanent.map(|p| Value::Int(i64::from(p))));
    tell("worth", t.worth.map(Value::Int));
    tell("length_mm", t.length_mm.map(Value::Int));
    tell("note", t.note.clone().map(Value::Text));
    tell("carried_by_id", carrier.map(id_text));
    set
}

fn all_columns(
    t: &Told,
    carrier: Option<Uuid>,
    code: &str,
    season: Uuid,
    untold: Option<Uuid>,
) -> Vec<(&'static str, Value)> {
    vec![
        ("ended_at", Value::Null),
        ("code", Value::Text(code.to_owned())),
        ("name", Value::Text(t.name.clone())),
        ("count", Value::Int(t.count.unwrap_or(1))),
        ("place_id", t.place.map_or(Value::Null, id_text)),
        ("method_id", t.method.or(untold).map_or(Value::Null, id_text)),
        ("permanent", Value::Int(i64::from(t.permanent.unwrap_or(false)))),
        ("worth", Value::Int(t.worth.unwrap_or(3))),
        ("length_mm", t.length_mm.map_or(Value::Null, Value::Int)),
        ("note", Value::Text(t.note.clone().unwrap_or_default())),
        ("carried_by_id", carrier.map_or(Value::Null, id_text)),
        ("season_id", id_text(season)),
    ]
}
