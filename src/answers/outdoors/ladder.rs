//! How the ladders of open steps are set up and whether they carry who climbs them; what is too heavy for one pair of
//! hands.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::Outlook;
use crate::answers::short::short_deed;
use crate::answers::start::reach_untold;
use crate::answers::view::{Amount, Finding, Level};
use crate::answers::words::{counted, n_of, some};
use crate::calc::weather::lift::Grip;
use crate::calc::weather::{duty, ladder, lift};
use crate::domain::{Access, Placement, Product, Role, StepDeed, Terms};
use crate::planner::Equipment;
use crate::steps::{Facts, Step, handles};
use crate::units::si::{Degrees, Fraction, Kilograms, Metres};
use crate::units::{Length, Mass, System};

/// Clear of an overhead line of up to 50 kV; a home's own line is far below that.
const LINE_KV: f64 = 50.0;

pub(crate) fn ladder_findings(
    outlook: &Outlook,
    facts: &Facts,
    open: &[&Step],
    not_told: &mut Vec<String>,
) -> Vec<Finding> {
    let mut found = set_ups(outlook, facts, open, not_told);
    if open.iter().any(|s| s.access != Access::Ground) {
        found.extend(carries(outlook, facts, open, not_told));
    }
    found.extend(lifts(facts, open, outlook.units(), not_told));
    found
}

/// Foot distance and length, one line a height at which a leaning ladder rests; what no ladder owned is long enough for.
fn set_ups(outlook: &Outlook, facts: &Facts, open: &[&Step], not_told: &mut Vec<String>) -> Vec<Finding> {
    let mut by_height: BTreeMap<Length, Vec<String>> = BTreeMap::new();
    let mut by_size: BySize = BTreeMap::new();
    let mut untold = 0;
    for step in open.iter().filter(|s| s.access != Access::Ground) {
        let Some(height) = step.height else {
            untold += 1;
            continue;
        };
        let place = step.place.and_then(|id| facts.place(id));
        let name = place.map_or_else(|| step.subject.clone(), |p| p.name.clone());
        let lists = [
            step.ladder().zip(step.ladder_size()).map(|(kind, size)| {
                by_size.entry((kind, size, height, step.access == Access::Roof)).or_default()
            }),
            (step.access != Access::StepLadder).then(|| by_height.entry(height).or_default()),
        ];
        for names in lists.into_iter().flatten() {
            if !names.contains(&name) {
                names.push(name.clone());
            }
        }
    }
    if untold > 0 {
        not_told.push(format!(
            "height not told for {steps} on a ladder: foot distance not known, length of the ladder not checked", steps = n_of(untold, "step")));
    }
    let owned = Equipment::new(facts.yard);
    let vague = kinds_untold(facts, &owned, open, not_told);
    let mut found = short(outlook, &owned, vague, by_size, not_told);
    let show = |m: Metres| Length::from_metres(m.get()).unwrap_or_default().show(outlook.units());
    let of = |m: f64| show(Metres::new(m).unwrap_or_default());
    let clear = ladder::line_clearance(LINE_KV).map(show).unwrap_or_default();
    found.extend(by_height
        .into_iter()
        .filter_map(|(height, names)| {
            let at = names.join(", ");
            let support = Metres::new(height.metres()).ok()?;
            Some(match ladder::set_up(ladder::Input { support }) {
                Ok(out) => finding(
                    Level::Note,
                    "ladder_set_up",
                    at,
                    format!(
                        "leaning ladder: foot {} from the wall, {} of ladder to where it rests, {} long to step off",
                        show(out.foot_out),
                        show(out.working_length),
                        show(out.least_length)
                    ),
                    (
                        long(format!("rests at {}", height.show(outlook.units())), height),
                        if outlook.yard.terms() == Terms::Us {
                            format!("{clear} clear of any overhead line").into()
                        } else {
                            "as far from any overhead line as the local utility says".into()
                        },
                    ),
                    "look up before you raise it; firm level ground, tied or footed",
                ),
                Err(r) => finding(
                    Level::Mend,
                    r.code,
                    at,
                    format!("not computed: {} outside its range", r.what),
                    (
                        Amount::length(height, outlook.units()),
                        format!("{} to {}", of(r.range.0), of(r.range.1)).into(),
                    ),
                    r.remedy,
                ),
            })
        }));
    found
}

/// Says which kind of ladder is asked for and told of none. Where other ladders are told it is missing: see `short`.
fn kinds_untold(facts: &Facts, owned: &Equipment, open: &[&Step], not_told: &mut Vec<String>) -> bool {
    let mut asked: BTreeMap<&str, usize> = BTreeMap::new();
    for kind in open.iter().filter_map(|s| s.ladder()) {
        *asked.entry(kind).or_default() += 1;
    }
    let vague = |p: &&Product| p.role == Role::Ladder && p.serves_as.as_deref().is_none_or(str::is_empty);
    let vague: Vec<&Product> = facts.yard.products.iter().filter(vague).collect();
    if !vague.is_empty() && !asked.is_empty() {
        let codes = some(vague.iter().map(|p| p.code.clone()));
        not_told.push(format!("what kind of ladder not told for {codes}: not compared with the heights"));
    }
    let known = owned.ladders_told && vague.is_empty();
    asked.retain(|kind, _| !known && !owned.units.iter().any(|u| u.ladder && u.serves == *kind));
    for (kind, n) in asked {
        let kind = kind.replace('_', " ");
        not_told.push(format!(
            "no {kind} is told as owned: {steps} not checked for its length",
            steps = n_of(n, "step")
        ));
    }
    !known
}

/// Names of places by kind of ladder, its least size, the height it is for, and whether it is stepped off.
type BySize<'a> = BTreeMap<(&'a str, Length, Length, bool), Vec<String>>;

/// Places for which every ladder of the kind is too short or there is none, one stop a size.
fn short(
    outlook: &Outlook,
    owned: &Equipment,
    vague: bool,
    by_size: BySize,
    not_told: &mut Vec<String>,
) -> Vec<Finding> {
    let units = outlook.units();
    let unsized_ladders = owned.units.iter().filter(|u| u.ladder && u.size.is_none()).count();
    if unsized_ladders > 0 && !by_size.is_empty() {
        not_told.push(format!(
            "length not told for {ladders}: not compared with the heights",
            ladders = n_of(unsized_ladders, "ladder")
        ));
    }
    let mut found = Vec::new();
    for ((kind, least, height, steps_off), names) in by_size {
        let mine: Vec<_> = owned.units.iter().filter(|u| u.ladder && u.serves == kind).collect();
        let longest = mine.iter().filter_map(|u| u.size).max();
        let enough = longest.is_some_and(|l| l >= least) || mine.iter().any(|u| u.size.is_none());
        if enough || mine.is_empty() && vague {
            continue;
        }
        let word = kind.replace('_', " ");
        let found_short = finding(
            Level::Stop,
            "ladder_short",
            names.join(", "),
            match longest {
                None => format!("there is no {word} in good order"),
                Some(_) if kind == "step_ladder" => {
                    format!("every {word} is too short: its highest steps are not stood on")
                }
                Some(_) => format!(
                    "every {word} is too short: 3 ft (0.9 m) of what it is sold as overlap, and rails pass the edge that is \
                     stepped off"
                ),
            },
            (
                longest.map_or("none".into(), |l| long(format!("the longest is {}", l.show(units)), l)),
                long(format!("{} or longer, as sold", least.show(units)), least),
            ),
            "borrow a longer one or leave it: nobody reaches from the top rungs",
        );
        found.push(by_height(found_short, kind, height, steps_off));
    }
    found
}

/// The limit as it follows from the height, with what overlaps and what passes the edge.
fn by_height(mut found: Finding, kind: &str, height: Length, steps_off: bool) -> Finding {
    let (height_m, edge_m) = (height.metres(), if steps_off { ladder::ABOVE_LANDING_M } else { 0.0 });
    let shown = found.limit.to_string();
    if kind == "step_ladder" {
        let reach = ladder::STEP_REACH_M;
        found.limit = Amount::figure(shown, "m", height_m - reach);
        return found.by("limit_m = height_m - reach_m", &[("height_m", height_m), ("reach_m", reach)]);
    }
    // Four to one: the ladder is longer than the height by this.
    let (overlap, slope) = (ladder::OVERLAP_M, 4.0 / 15.0_f64.sqrt());
    found.limit = Amount::figure(shown, "m", (height_m + edge_m) * slope + overlap);
    let figures = [("height_m", height_m), ("edge_m", edge_m), ("slope", slope), ("overlap_m", overlap)];
    found.by("limit_m = (height_m + edge_m) * slope + overlap_m", &figures)
}

fn long(shown: String, l: Length) -> Amount {
    Amount::figure(shown, "m", l.metres())
}

fn weight(m: Mass, units: System) -> Amount {
    Amount::figure(m.say(units), "kg", m.kilograms())
}

/// How the ladder of a step is set, said where it is set; that none is planned for what seems high.
pub(crate) fn ladder_line(outlook: &Outlook, step: &Step) -> Option<String> {
    let show = |m: Metres| Length::from_metres(m.get()).unwrap_or_default().show(outlook.units());
    if step.access == Access::Ground {
        let facts = outlook.facts();
        let place = step.place.filter(|_| handles(step.deed)).and_then(|id| facts.place(id))?;
        return reach_untold(&facts, place)
            .then(|| format!("how {} is reached is not told: planned as from the ground", place.name));
    }
    if step.access == Access::StepLadder {
        return None;
    }
    let edge = show(Metres::new(ladder::ABOVE_LANDING_M).unwrap_or_default());
    let support = step.height.and_then(|h| Metres::new(h.metres()).ok());
    Some(match support.map(|support| ladder::set_up(ladder::Input { support })) {
        None => format!(
            "ladder: height not told; foot out a quarter of its length, rails {edge} past the edge, tied"
        ),
        Some(Err(r)) => format!("ladder: {r}"),
        Some(Ok(out)) => format!(
            "ladder: foot {} from the wall, {} of it to where it rests, rails {edge} past the edge, tied",
            show(out.foot_out),
            show(out.working_length)
        ),
    })
}

/// The heaviest person with the heaviest thing taken up, against each ladder.
fn carries(outlook: &Outlook, facts: &Facts, open: &[&Step], not_told: &mut Vec<String>) -> Vec<Finding> {
    let people = &facts.yard.people;
    let unweighed = people.iter().filter(|p| p.mass_g.is_none()).count();
    if unweighed > 0 {
        not_told.push(format!(
            "weight not told for {}: ladders not checked for them",
            counted(unweighed as i64, "person", "people")
        ));
    }
    let ladders: Vec<_> = facts.yard.products.iter().filter(|p| p.role == Role::Ladder).collect();
    if people.is_empty() {
        not_told.push("people not told: load of the ladders not checked".to_owned());
    }
    let unrated = ladders.iter().filter(|p| p.max_load_g.is_none()).count();
    if unrated > 0 {
        not_told.push(format!(
            "duty rating not told for {kinds} of ladder: load not checked",
            kinds = n_of(unrated, "kind")
        ));
    }
    let Some((mass, who)) = people.iter().filter_map(|p| Some((p.mass_g?, p))).max_by_key(|(m, _)| *m) else {
        return Vec::new();
    };
    let mass_of = |p: &Placement| facts.product_of(p).and_then(|x| x.mass_g);
    let aloft: BTreeMap<_, _> = open
        .iter()
        .filter(|s| s.access != Access::Ground)
        .filter_map(|s| facts.placement(s.placement?))
        .map(|p| (p.id, p))
        .collect();
    let load = aloft.values().filter_map(|p| mass_of(p)).max();
    let unknown = aloft.values().filter(|p| mass_of(p).is_none()).count();
    if unknown > 0 {
        not_told.push(format!(
            "mass not told for {things} taken up: ladders not checked for them",
            things = n_of(unknown, "thing")
        ));
    }
    let kg = |g: i64| Kilograms::new(g as f64 / 1000.0).unwrap_or_default();
    let load_g = load.map_or(0, Mass::g);
    let none = Kilograms::default();
    let needs =
        duty::lightest(duty::Input { person: kg(mass.g()), clothes: none, tools: none, load: kg(load_g) });
    let total = Mass::from_g(mass.g() + load_g);
    let needs = match needs {
        Ok(out) => format!("duty rating {} or better", out.lightest.name()),
        Err(r) => r.remedy.to_owned(),
    };
    ladders
        .into_iter()
        .filter_map(|p| Some((p, p.max_load_g?)))
        .filter_map(|(p, most)| {
            let over = total > most;
            // What was not weighed may be the heaviest.
            (over || unknown + unweighed == 0).then(|| {
                finding(
                    if over { Level::Stop } else { Level::Note },
                    if over { "ladder_overloaded" } else { "ladder_carries" },
                    p.name.clone(),
                    format!(
                        "{} with the heaviest thing taken up; clothes and tools not counted; {needs}",
                        who.name
                    ),
                    (weight(total, outlook.units()), weight(most, outlook.units())),
                    "hoist the load on a line, or take a ladder of a higher duty rating",
                )
                .by(
                    "value_kg = person_kg + load_kg",
                    &[("person_kg", mass.kilograms()), ("load_kg", Mass::from_g(load_g).kilograms())],
                )
            })
        })
        .collect()
}

/// Things heavier than anyone should lift alone even close to the body: the lifting equation at its kindest.
fn lifts(facts: &Facts, open: &[&Step], units: System, not_told: &mut Vec<String>) -> Vec<Finding> {
    let inch = |n: f64| Metres::new(n * 0.0254).unwrap_or_default();
    let kindest = lift::Input {
        reach: inch(10.0),
        height: inch(30.0),
        travel: inch(10.0),
        twist: Degrees::default(),
        frequency: Fraction::new(1.0).unwrap_or_default(),
        grip: Grip::Good,
    };
    let Ok(most) = lift::limit(kindest) else { return Vec::new() };
    let mut seen: BTreeMap<String, (Mass, i64, String)> = BTreeMap::new();
    let mut unweighed = BTreeSet::new();
    for step in open {
        let Some(placement) = step.placement.and_then(|id| facts.placement(id)) else { continue };
        let Some(mass) = facts.product_of(placement).and_then(|p| p.mass_g) else {
            unweighed.insert(placement.id);
            continue;
        };
        let kg = mass.kilograms();
        // Only where the whole of it is lifted; making or tying it lifts a part.
        let lifted = matches!(step.deed, StepDeed::Raise | StepDeed::Hang | StepDeed::Set | StepDeed::Lower);
        if lifted && kg > most.get() * step.hands.max(1) as f64 {
            let place = format!("{} {}", placement.code, placement.name);
            seen.entry(place).or_insert((mass, step.hands, short_deed(step.deed, &step.title)));
        }
    }
    if !unweighed.is_empty() {
        not_told.push(format!(
            "mass not told for {}: not checked whether their hands can lift them",
            n_of(unweighed.len(), "placement")
        ));
    }
    let limit = Mass::from_kilograms(most.get()).unwrap_or_default();
    seen.into_iter()
        .map(|(place, (mass, hands, deed))| {
            finding(
                Level::Mend,
                "lift_heavy",
                place,
                format!("too heavy for {hands} to lift, even close to the body (NIOSH 94-110): {deed}"),
                (
                    weight(mass, units),
                    Amount::figure(
                        format!("{} each", limit.say(units)),
                        "kg",
                        limit.kilograms() * hands as f64,
                    ),
                ),
                "lift it with more hands, a cart or a hoist; tell it in the step",
            )
            .by("limit_kg = each_kg * hands", &[("each_kg", limit.kilograms()), ("hands", hands as f64)])
        })
        .collect()
}

fn finding(
    level: Level,
    code: &str,
    place: String,
    what: String,
    (value, limit): (Amount, Amount),
    remedy: &str,
) -> Finding {
    Finding::new(level, code, place, what, value, limit, remedy)
}
