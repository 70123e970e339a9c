//! The short form: one line a prop — name, how many, where, how mounted — and the day the lights go on.

use std::collections::{BTreeMap, BTreeSet};

use uuid::Uuid;

use crate::domain::{Fact, Method, Place, Placement, RowChange, Season, Value};
use crate::units::{Length, System};

use super::fault::CsvFault;
use super::field::{self, Refusal};
use super::identity::id_of;
use super::sheet::{self, Line};
use super::{CsvFile, Target};

/// The hour of lights on where only the day is told; assumed.
const LIGHTS_ON_HOUR: &str = "T17:00";
/// The method of what is just set out.
const SET_OUT: &str = "set_out";

/// What a handful of lines came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Handful {
    pub season_code: String,
    /// Whether the hour of lights on was assumed, as only the day was told.
    pub hour_assumed: bool,
    /// Parents before children.
    pub rows: Vec<RowChange>,
}

/// Whether the file begins as the short form does.
pub fn is_handful(file: &CsvFile<'_>) -> bool {
    sheet::lines(file).is_ok_and(|lines| split(&lines).is_some())
}

/// Lines before the header (at most "lights on"), the header, the props.
fn split(lines: &[Line]) -> Option<(Option<&Line>, &Line, &[Line])> {
    let heads = |line: &Line| {
        let titles: BTreeSet<String> = line.cells.iter().map(|c| title(c)).collect();
        ["name", "how many", "where", "how mounted"].iter().all(|t| titles.contains(*t))
    };
    match lines {
        [head, rest @ ..] if heads(head) => Some((None, head, rest)),
        [first, head, rest @ ..]
            if first.cells.first().is_some_and(|c| title(c) == "lights on") && heads(head) =>
        {
            Some((Some(first), head, rest))
        }
        _ => None,
    }
}

fn title(cell: &str) -> String {
    cell.trim_end_matches(':').replace(['_', '-'], " ").trim().to_lowercase()
}

/// Reads the short form: a season, a place for each different `where`, a placement for each line.
///
/// # Errors
/// Every fault; then there are no rows.
pub fn read_handful(file: &CsvFile<'_>, target: &Target<'_>) -> Result<Handful, Vec<CsvFault>> {
    let lines = sheet::lines(file)?;
    let Some((lights_on, head, props)) = split(&lines) else {
        let remedy = "begin with the header name,how many,where,how mounted";
        return Err(vec![CsvFault::new("no-header", file.name, 1, "this is not the short form", remedy)]);
    };
    let mut faults = Vec::new();
    let mut columns: BTreeMap<String, usize> = BTreeMap::new();
    for (cell, at) in head.cells.iter().zip(0..) {
        let name = title(cell);
        let known =
            ["name", "how many", "where", "how mounted", "worth", "length", "permanent", "carried by", ""];
        if !known.contains(&name.as_str()) {
            let remedy = format!("the columns are: {}", known.join(", ").trim_end_matches(", "));
            let fault =
                CsvFault::new("unknown-column", file.name, head.number, "this column is not known", remedy);
            faults.push(fault.at(cell, ""));
        } else if columns.insert(name, at).is_some() && !cell.is_empty() {
            let what = "this column is there twice";
            let fault = CsvFault::new("column-twice", file.name, head.number, what, "take one of them out");
            faults.push(fault.at(cell, ""));
        }
    }
    let season = season_of(file, lights_on, target).map_err(|fault| faults.push(*fault)).ok();
    let year = season.as_ref().map_or("", |s| s.year.as_str());
    let mut reader =
        Reader { file, target, columns, faults, places: Places::of(target), taken: BTreeSet::new() };
    let mut placements = Vec::new();
    for line in props {
        placements.push(reader.prop(line, year));
    }
    reader.carry(&mut placements, season.as_ref().map(|s| s.id));
    let Reader { mut faults, places, .. } = reader;
    let (Some(season), true) = (season, faults.is_empty()) else {
        faults.sort_by_key(|f| f.line);
        return Err(faults);
    };
    let mut rows = places.new;
    rows.push(season.row);
    for prop in placements {
        let mut set = prop.set;
        set.push(("season_id", Value::Text(season.id.hyphenated().to_string())));
        rows.push(RowChange::new(Placement::TABLE.name, prop.id, set));
    }
    Ok(Handful { season_code: season.code, hour_assumed: season.hour_assumed, rows })
}

struct SeasonRow {
    id: Uuid,
    code: String,
    year: String,
    hour_assumed: bool,
    row: RowChange,
}

/// The season of that lights on, a new one where there is none.
fn season_of(
    file: &CsvFile<'_>,
    line: Option<&Line>,
    target: &Target<'_>,
) -> Result<SeasonRow, Box<CsvFault>> {
    let holding = target.existing.seasons.iter().filter(|s| s.ended_at.is_none());
    let reuse = |season: &Season, hour_assumed| SeasonRow {
        id: season.id.0,
        code: season.code.clone(),
        year: season.lights_on.map_or_else(String::new, |t| t.format("%Y").to_string()),
        hour_assumed,
        row: RowChange::new("season", season.id.0, vec![("code", Value::Text(season.code.clone()))]),
    };
    let Some(line) = line else {
        // Without a day told, the season still ahead of its close that is lit last.
        return holding
            .filter(|s| s.closed_on.is_none() && s.lights_on.is_some())
            .max_by_key(|s| (s.lights_on, s.code.clone()))
            .map(|season| reuse(season, false))
            .ok_or_else(|| {
                let what = "the day of lights on is not told";
                let remedy = "put a line like lights on,2026-11-27 first";
                Box::new(CsvFault::new("no-lights-on", file.name, 1, what, remedy))
            });
    };
    let text = line.cells.get(1).map_or("", String::as_str);
    let day_only = field::date(text).is_ok();
    let full = if day_only { format!("{text}{LIGHTS_ON_HOUR}") } else { text.to_owned() };
    let lights_on = match field::local(&full, target.zone()) {
        Ok(Value::Text(time)) => time,
        Ok(_) => String::new(),
        Err(Refusal(code, what, _)) => {
            let remedy = "write it like 2026-11-27 or 2026-11-27T17:00";
            return Err(Box::new(
                CsvFault::new(code, file.name, line.number, what, remedy).at("lights on", text),
            ));
        }
    };
    let day = lights_on.get(..10).unwrap_or_default().to_owned();
    let same_day = |s: &&Season| s.lights_on.is_some_and(|t| t.format("%Y-%m-%d").to_string() == day);
    if let Some(season) = holding.clone().find(same_day) {
        let mut season = reuse(season, day_only);
        if !day_only {
            season.row.set.push(("lights_on", Value::Text(lights_on)));
        }
        return Ok(season);
    }
    let year = day.get(..4).unwrap_or_default().to_owned();
    let code = format!("lights-{year}");
    let id = holding
        .clone()
        .find(|s| s.code == code)
        .map_or_else(|| id_of(target.yard_id, "season", &code), |s| s.id.0);
    let text = |t: String| Value::Text(t);
    let set = vec![
        ("ended_at", Value::Null),
        ("code", text(code.clone())),
        ("name", text(format!("Lights {year}"))),
        ("show", text("lights".to_owned())),
        ("lights_on", text(lights_on)),
    ];
    Ok(SeasonRow { id, code, year, hour_assumed: day_only, row: RowChange::new("season", id, set) })
}

/// Places known and made, by the text of `where`.
struct Places {
    by_text: BTreeMap<String, Uuid>,
    codes: BTreeSet<String>,
    new: Vec<RowChange>,
}

impl Places {
    fn of(target: &Target<'_>) -> Self {
        let mut places = Self { by_text: BTreeMap::new(), codes: BTreeSet::new(), new: Vec::new() };
        for place in target.existing.places.iter().filter(|p| p.ended_at.is_none()) {
            places.codes.insert(place.code.clone());
            places.by_text.entry(plain(&place.code)).or_insert(place.id.0);
            places.by_text.entry(plain(&place.name)).or_insert(place.id.0);
        }
        places
    }

    fn find_or_make(&mut self, text: &str, yard: Uuid) -> Uuid {
        if let Some(id) = self.by_text.get(&plain(text)) {
            return *id;
        }
        let code = free(&slug(text, "PLACE"), "", &mut self.codes);
        let id = id_of(yard, Place::TABLE.name, &code);
        self.by_text.insert(plain(text), id);
        let set = vec![
            ("ended_at", Value::Null),
            ("code", Value::Text(code)),
            ("name", Value::Text(text.to_owned())),
        ];
        self.new.push(RowChange::new(Place::TABLE.name, id, set));
        id
    }
}

/// A line on its way to a placement.
struct Prop {
    line: u64,
    id: Uuid,
    name: String,
    code: String,
    carried_by: String,
    set: Vec<(&'static str, Value)>,
}

struct Reader<'a> {
    file: &'a CsvFile<'a>,
    target: &'a Target<'a>,
    columns: BTreeMap<String, usize>,
    faults: Vec<CsvFault>,
    places: Places,
    taken: BTreeSet<String>,
}

impl Reader<'_> {
    fn cell<'l>(&self, line: &'l Line, title: &str) -> &'l str {
        self.columns.get(title).and_then(|at| line.cells.get(*at)).map_or("", String::as_str)
    }

    fn fault(&mut self, line: u64, title: &str, value: &str, refusal: Refusal) {
        let Refusal(code, what, remedy) = refusal;
        self.faults.push(CsvFault::new(code, self.file.name, line, what, remedy).at(title, value));
    }

    /// A cell read by `read`; empty gives `none`, a fault is noted and gives `none` too.
    fn read<T>(
        &mut self,
        line: &Line,
        title: &str,
        none: T,
        read: impl FnOnce(&str) -> Result<T, Refusal>,
    ) -> T {
        let text = self.cell(line, title).to_owned();
        if text.is_empty() {
            return none;
        }
        match read(&text) {
            Ok(value) => value,
            Err(refusal) => {
                self.fault(line.number, title, &text, refusal);
                none
            }
        }
    }

    fn prop(&mut self, line: &Line, year: &str) -> Prop {
        let system =
            self.target.existing.sites.iter().find(|s| s.ended_at.is_none()).map_or(System::Si, |s| s.units);
        let name = self.cell(line, "name").to_owned();
        if name.is_empty() {
            let refusal = Refusal("missing-value", "the prop has no name".into(), "fill in name".into());
            self.fault(line.number, "name", "", refusal);
        }
        let count = self
            .read(line, "how many", 1, |text| within(text.trim_end_matches(['x', '×']).trim(), 1, 10_000));
        let worth = self.read(line, "worth", 3, |text| within(text, 1, 5));
        let permanent = self.read(line, "permanent", Value::Int(0), field::yes_no);
        let length = self.read(line, "length", Value::Null, |text| match Length::parse(text, system) {
            Ok(length) if length.mm() > 0 => Ok(Value::Int(length.mm())),
            Ok(_) => {
                Err(Refusal("out-of-range", "the length is nothing".into(), "give more than nothing".into()))
            }
            Err(e) => Err(Refusal(
                "not-a-quantity",
                format!("this is no {}", e.what),
                format!("write it like {}", e.takes),
            )),
        });
        let methods = &self.target.existing.methods;
        let untold = method_of(methods, SET_OUT);
        let method = self.read(line, "how mounted", untold, |text| {
            method_of(methods, text).map(Some).ok_or_else(|| {
                let known: Vec<_> =
                    methods.iter().filter(|m| m.ended_at.is_none()).map(|m| m.name.to_lowercase()).collect();
                let remedy = if known.is_empty() {
                    "bring the methods into the yard first".to_owned()
                } else {
                    format!("write one of: {}", known.join(", "))
                };
                Refusal("unknown-method", "this way of mounting is not known".into(), remedy)
            })
        });
        let place = match self.cell(line, "where") {
            "" => Value::Null,
            text => uuid_text(self.places.find_or_make(text, self.target.yard_id)),
        };
        let code = free(&slug(&name, "PROP"), year.get(2..).unwrap_or_default(), &mut self.taken);
        let known = self.target.existing.placements.iter().find(|p| p.ended_at.is_none() && p.code == code);
        let id = known.map_or_else(|| id_of(self.target.yard_id, Placement::TABLE.name, &code), |p| p.id.0);
        let set = vec![
            ("ended_at", Value::Null),
            ("code", Value::Text(code.clone())),
            ("name", Value::Text(name.clone())),
            ("count", Value::Int(count)),
            ("place_id", place),
            ("method_id", method.map_or(Value::Null, uuid_text)),
            ("permanent", permanent),
            ("worth", Value::Int(worth)),
            ("length_mm", length),
        ];
        let carried_by = self.cell(line, "carried by").to_owned();
        Prop { line: line.number, id, name, code, carried_by, set }
    }

    /// Puts in what carries each prop: another line by its name, or a placement of the season by name or code.
    fn carry(&mut self, props: &mut [Prop], season: Option<Uuid>) {
        let mut by_text: BTreeMap<String, Uuid> = BTreeMap::new();
        for prop in props.iter() {
            by_text.entry(plain(&prop.name)).or_insert(prop.id);
            by_text.entry(plain(&prop.code)).or_insert(prop.id);
        }
        for placement in &self.target.existing.placements {
            if placement.ended_at.is_none() && Some(placement.season_id.0) == season {
                by_text.entry(plain(&placement.name)).or_insert(placement.id.0);
                by_text.entry(plain(&placement.code)).or_insert(placement.id.0);
            }
        }
        let mut parents = BTreeMap::new();
        for prop in props.iter_mut() {
            if prop.carried_by.is_empty() {
                prop.set.push(("carried_by_id", Value::Null));
            } else if let Some(id) = by_text.get(&plain(&prop.carried_by)) {
                prop.set.push(("carried_by_id", uuid_text(*id)));
                parents.insert(prop.id, *id);
            } else {
                let refusal = Refusal(
                    "unknown-reference",
                    "no line and no placement of the season has this name".into(),
                    "write the name of another line".into(),
                );
                self.fault(prop.line, "carried by", &prop.carried_by.clone(), refusal);
            }
        }
        for ring in super::cycle::rings(&parents) {
            let of = |id: &Uuid| props.iter().find(|p| p.id == *id);
            let names: Vec<_> =
                ring.iter().chain(ring.first()).map(|id| of(id).map_or("?", |p| p.name.as_str())).collect();
            let line = ring.first().and_then(of).map_or(0, |p| p.line);
            let refusal =
                Refusal("ring", names.join(" is carried by "), "break the ring at one of them".into());
            self.fault(line, "carried by", "", refusal);
        }
    }
}

fn uuid_text(id: Uuid) -> Value {
    Value::Text(id.hyphenated().to_string())
}

fn within(text: &str, least: i64, most: i64) -> Result<i64, Refusal> {
    let range = format!("give {least} to {most}");
    match text.parse::<i64>() {
        Ok(n) if (least..=most).contains(&n) => Ok(n),
        Ok(n) => Err(Refusal("out-of-range", format!("{n} is out of range"), range)),
        Err(_) => Err(Refusal("not-a-number", "this is no whole number".into(), range)),
    }
}

/// A method by its code, its name, or one of the words people say for it.
fn method_of(methods: &[Method], text: &str) -> Option<Uuid> {
    let wanted = words(text);
    let said = |m: &Method, with: &dyn Fn(&str) -> bool| {
        with(&m.code) || with(&m.name) || m.also.split([';', ',']).any(with)
    };
    let holding = || methods.iter().filter(|m| m.ended_at.is_none());
    let same = |t: &str| words(t) == wanted && !wanted.is_empty();
    holding().find(|m| said(m, &same)).map(|m| m.id.0)
}

/// Words in lower case without plural or filling, in order, so that "on ground stakes" is "ground stake".
fn words(text: &str) -> Vec<String> {
    text.to_lowercase()
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| {
            !w.is_empty()
                && !matches!(*w, "a" | "an" | "the" | "on" | "with" | "by" | "from" | "in" | "to" | "at")
        })
        .map(|w| {
            w.strip_suffix('s').filter(|one| one.len() > 2 && !one.ends_with('s')).unwrap_or(w).to_owned()
        })
        .collect()
}

/// Text to compare names by.
fn plain(text: &str) -> String {
    text.to_lowercase().split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A code made from a name: `FRONT-LAWN`.
fn slug(text: &str, none: &str) -> String {
    let parts: Vec<String> =
        text.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).map(str::to_uppercase).collect();
    let slug: String = parts.join("-").chars().take(40).collect();
    if slug.is_empty() { none.to_owned() } else { slug }
}

/// `base` with `end`, counted up until no one has it.
fn free(base: &str, end: &str, taken: &mut BTreeSet<String>) -> String {
    let dash = if end.is_empty() { "" } else { "-" };
    let mut code = format!("{base}{dash}{end}");
    let mut n = 2;
    while !taken.insert(code.clone()) {
        code = format!("{base}-{n}{dash}{end}");
        n += 1;
    }
    code
}
