//! Steps to activities of the engine, and nothing else.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use chrono::{DateTime, Duration, Utc};

use super::ask::Request;
use super::bench::{bench_room, run_tests};
use super::calendar::{Calendar, lenient_moment};
use super::cure::wait_in;
use super::drying::dry;
use super::engine::{
    Activity, Edge, Group, Lag, Mode, Problem, Resource, Session, SetUp, Time, Wait, Window, Worker,
};
use super::fixed::{begun_ladders, fixed};
use super::leave::bridged;
use super::lit::{LitShows, without};
use super::resources::Equipment;
use super::stretches::{climbs, stretches};
use super::windows::{CalendarKey, cut, merge, midnights, windows};
use crate::domain::{BoxMode, CureRule, PersonId, Phase, PieceId, PlaceId, PlacementId, StepDeed, Yard};
use crate::steps::{Facts, Light, Role, State, Step, StepKey};

/// A step with its state, as the planner takes it.
#[derive(Clone)]
pub(super) struct Item<'a> {
    pub(super) step: &'a Arc<Step>,
    pub(super) state: State,
    pub(super) done: i64,
    pub(super) why: String,
    pub(super) minutes: i64,
    pub(super) from: Option<DateTime<Utc>>,
    pub(super) to: Option<DateTime<Utc>>,
    pub(super) person: Option<PersonId>,
    /// So many of its pieces are planned: no session has room for all that are left.
    pub(super) part: Option<i64>,
    /// A wait after something done at no known time keeps it.
    pub(super) time_unknown: Option<StepKey>,
    /// Others would wait for it in vain.
    pub(super) left_out: bool,
}

/// An edge that binds, skipped steps bridged: position of the other step, and the wait.
#[derive(Clone, Copy)]
pub(super) struct Binding {
    pub(super) before: usize,
    pub(super) wait_min: i64,
    pub(super) cure: Option<CureRule>,
    pub(super) within_min: Option<i64>,
    pub(super) same_day: bool,
    pub(super) watched: bool,
}

/// Does this person come as a visitor alone: named so by every session they are told for?
pub(super) fn is_visitor(yard: &Yard, person: PersonId) -> bool {
    let name = yard.people.iter().find(|p| p.id == person).map_or("", |p| p.name.as_str());
    let mut told = yard
        .session_people
        .iter()
        .filter(|sp| sp.person_id == person)
        .filter_map(|sp| yard.sessions.iter().find(|s| s.id == sp.session_id))
        .peekable();
    told.peek().is_some() && told.all(|s| !s.visitor.is_empty() && s.visitor == name)
}

/// The engine's problem, and the way back.
pub(super) struct Mapped {
    pub(super) problem: Problem,
    pub(super) origin: DateTime<Utc>,
    pub(super) worker_names: Vec<String>,
    pub(super) skills: Vec<String>,
    /// Names of the engine's resources.
    pub(super) resources: Vec<String>,
    /// Activities that stand for the rest of a step of which a part is planned, and that step.
    pub(super) rests: BTreeMap<usize, usize>,
    /// For each activity: the forecast limit that cut windows away, if any did.
    pub(super) cut_by: Vec<Option<String>>,
    /// For each activity: the other show whose lit nights cut windows away, if one did.
    pub(super) lit_by: Vec<Option<String>>,
}

/// A person over all sessions.
struct Comer {
    name: String,
    /// Named as the visitor of every session they come to.
    visits: bool,
    skills: BTreeSet<String>,
    present: Vec<(Time, Time)>,
}

/// Minutes from the origin, a begun one counted whole where `up`.
pub(super) fn minutes(origin: DateTime<Utc>, t: DateTime<Utc>, up: bool) -> Time {
    let ms = (t - origin).num_milliseconds();
    let whole = ms.div_euclid(60_000) + i64::from(up && ms.rem_euclid(60_000) > 0);
    whole.clamp(-i64::from(super::engine::FAR), i64::from(super::engine::FAR)) as Time
}

/// The edges that bind each item; a step that is skipped or left out is bridged, its own wait and its latest day fall
/// away.
pub(super) fn bindings(items: &[Item], at: &BTreeMap<&StepKey, usize>) -> Vec<Vec<Binding>> {
    fn collect(
        items: &[Item],
        at: &BTreeMap<&StepKey, usize>,
        i: usize,
        (depth, past_left_out): (usize, bool),
        out: &mut Vec<Binding>,
    ) {
        let Some(item) = items.get(i) else { return };
        let past_left_out = past_left_out || (depth > 0 && item.left_out);
        for edge in &item.step.after {
            let Some(before) = at.get(&edge.key).copied() else { continue };
            if items.get(before).is_some_and(|b| bridged(item, b, edge.reason)) {
                if depth < items.len() {
                    collect(items, at, before, (depth + 1, past_left_out), out);
                }
            } else if past_left_out {
                // All waits of what is left out fall away with it.
                let (wait_min, cure, within_min, same_day, watched) = (0, None, None, false, false);
                out.push(Binding { before, wait_min, cure, within_min, same_day, watched });
            } else {
                out.push(Binding {
                    before,
                    wait_min: edge.wait_min,
                    cure: edge.cure,
                    within_min: edge.within_min.filter(|_| item.state != State::Skipped),
                    same_day: edge.same_day && item.state != State::Skipped,
                    watched: edge.watched,
                });
            }
        }
    }
    (0..items.len())
        .map(|i| {
            let mut out = Vec::new();
            collect(items, at, i, (0, false), &mut out);
            out
        })
        .collect()
}

pub(super) fn map(
    request: &Request,
    calendar: &Calendar,
    equipment: &Equipment,
    items: &[Item],
    bindings: &[Vec<Binding>],
) -> Mapped {
    let yard = request.facts.yard;
    let site = yard.sites.first();
    let origin =
        calendar.sessions.first().map_or(request.now, |s| s.from.min(request.now)) - Duration::days(1);
    let origin = origin - Duration::milliseconds(origin.timestamp_millis().rem_euclid(60_000));
    let min = |t: DateTime<Utc>| minutes(origin, t, false);
    let people_told = !yard.people.is_empty();
    let mut people: BTreeMap<PersonId, Comer> = BTreeMap::new();
    for session in &calendar.sessions {
        for a in &session.people {
            let p = people.entry(a.person).or_insert_with(|| Comer {
                name: a.name.clone(),
                visits: is_visitor(yard, a.person),
                skills: a.skills.iter().cloned().collect(),
                present: Vec::new(),
            });
            p.present.push((minutes(origin, a.from, true), min(a.to)));
        }
    }
    let mut skills: BTreeSet<String> = BTreeSet::new();
    skills.extend(people.values().flat_map(|p| p.skills.iter().cloned()));
    skills.extend(items.iter().flat_map(|i| i.step.skills.iter().cloned()));
    let skills: Vec<String> = skills.into_iter().take(64).collect();
    let bits = |words: &mut dyn Iterator<Item = &String>| {
        words.filter_map(|w| skills.iter().position(|s| s == w)).fold(0_u64, |b, i| b | (1 << i))
    };
    let mut workers: Vec<(PersonId, String, Worker)> = people
        .into_iter()
        .map(|(id, p)| {
            let skills = bits(&mut p.skills.iter());
            (id, p.name, Worker { skills, skilled_only: p.visits && skills != 0, present: merge(p.present) })
        })
        .collect();
    workers.sort_by(|a, b| (&a.1, a.0).cmp(&(&b.1, b.0)));

    let mut resources: Vec<Resource> = Vec::new();
    let mut resource_names: Vec<String> = Vec::new();
    let mut tool_resource: BTreeMap<usize, usize> = BTreeMap::new();
    for (i, unit) in equipment.units.iter().enumerate().filter(|(_, u)| !u.ladder) {
        tool_resource.insert(i, resources.len());
        resources.push(Resource { capacity: unit.count as i32, dips: Vec::new(), with_setup: true });
        resource_names.push(unit.name.replace('_', " "));
    }
    let bench = bench_room(items, site.and_then(|s| s.bench_tests), &mut resources, &mut resource_names);

    let mut places: BTreeMap<PlaceId, u32> = BTreeMap::new();
    let mut boxes: BTreeMap<PieceId, usize> = BTreeMap::new();
    let mut groups: BTreeMap<PlacementId, usize> = BTreeMap::new();
    let mut group_list: Vec<Group> = Vec::new();
    let lit = LitShows::new(request.facts, request.season.id, calendar.local(request.now));
    let mut calendars: BTreeMap<(CalendarKey, Vec<_>), usize> = BTreeMap::new();
    let mut calendar_list: Vec<Vec<Window>> = Vec::new();
    let units = site.map(|s| s.units).unwrap_or_default();
    let mut cut_by: Vec<Option<String>> = Vec::with_capacity(items.len());
    let high: BTreeSet<PlaceId> =
        items.iter().filter(|i| climbs(i.step.access)).filter_map(|i| i.step.place).collect();
    let mut lit_by: Vec<Option<String>> = Vec::with_capacity(items.len());
    let mut activities: Vec<Activity> = Vec::with_capacity(items.len());
    for item in items {
        let step = item.step;
        let kept = if item.state == State::Open { lit.keep_off(step) } else { Vec::new() };
        lit_by.push(kept.last().map(|(.., show)| (*show).to_owned()));
        let key = (CalendarKey::of(step.light, &step.limits), kept);
        let index = if let Some(index) = calendars.get(&key) {
            *index
        } else {
            let all = windows(calendar, origin, step.light, &step.limits);
            calendar_list.push(without(&all, &key.1, calendar, origin));
            calendars.insert(key, calendar_list.len() - 1);
            calendar_list.len() - 1
        };
        cut_by.push(cut(calendar, &step.limits, units));
        let group = step.placement.and_then(|p| request.facts.placement(p)).map(|p| {
            *groups.entry(p.id).or_insert_with(|| {
                group_list.push(Group { worth: p.worth });
                group_list.len() - 1
            })
        });
        let mut demands: Vec<(usize, i32)> = Vec::new();
        for word in &step.equipment {
            if let Some(r) = equipment.tool_for(word).and_then(|i| tool_resource.get(&i)) {
                demands.push((*r, 1));
            }
        }
        let tools = match step.ladder() {
            Some(word) if equipment.ladders_told => vec![equipment.ladders_for(word, step.ladder_size())],
            _ => Vec::new(),
        };
        let mode = step.box_mode.map(|(piece, mode)| {
            let n = boxes.len();
            let b = *boxes.entry(piece).or_insert(n);
            (b, if mode == BoxMode::Off { Mode::Off } else { Mode::On })
        });
        let release =
            [step.not_before.map(|l| calendar.moment(l)), work_from(request.facts, step, calendar.zone)]
                .into_iter()
                .flatten()
                .max()
                .map(|t| minutes(origin, t, true));
        activities.push(Activity {
            duration: item.minutes as Time,
            calendar: Some(index),
            release,
            deadline: step.not_after.map(|l| min(calendar.moment(l))),
            fixed: fixed(item, request.now, origin, calendar, &workers),
            held: item.state == State::Held || item.time_unknown.is_some() || item.left_out,
            demands,
            holds: Vec::new(),
            modes: mode.into_iter().collect(),
            hands: if people_told { step.hands as u32 } else { 0 },
            skills: if people_told { bits(&mut step.skills.iter()) } else { 0 },
            needs: if people_told {
                let each = step.needs().into_iter().map(|hand| bits(&mut hand.iter()));
                each.filter(|b| *b != 0).collect()
            } else {
                Vec::new()
            },
            not_alone: people_told && step.not_alone,
            tools,
            run: None,
            place: step.place.map(|p| {
                let n = places.len() as u32;
                *places.entry(p).or_insert(n)
            }),
            group,
            work: step.role == Role::Work,
            up: climbs(step.access),
            before_up: step.deed == StepDeed::GroundLight && step.place.is_some_and(|p| high.contains(&p)),
        });
    }
    begun_ladders(items, &mut activities);
    if let Some(slots) = site.and_then(|s| s.drying_slots) {
        dry(items, bindings, slots, &mut activities, (&mut resources, &mut resource_names));
    }
    if let Some(bench) = bench {
        run_tests(items, bindings, bench, &mut activities);
    }
    let mut edges: Vec<Edge> = Vec::new();
    let mut tables = WaitTables::default();
    for (succ, list) in bindings.iter().enumerate() {
        for b in list {
            // Done at no known time: its wait was looked at before; the order itself is fulfilled.
            if items.get(b.before).is_some_and(|i| i.state == State::Done && i.to.is_none()) {
                continue;
            }
            edges.push(Edge {
                pred: b.before,
                succ,
                lag: Lag::FinishStart {
                    wait: tables.wait(b, calendar),
                    within: b.within_min.map(|w| w as Time),
                    same_day: b.same_day,
                },
            });
        }
    }
    let rests = rests(items, &mut activities, &mut edges);
    let due = if request.phase == Phase::Down { None } else { request.season.rehearsal };
    let due = due.map(|r| minutes(origin, calendar.moment(r), false));
    let comfort = due.map(|d| d - (request.season.buffer_days as Time) * 1440);
    let sessions: Vec<Session> = calendar
        .sessions
        .iter()
        .map(|s| Session { from: minutes(origin, s.from, true), to: min(s.to) })
        .collect();
    let problem = Problem {
        now: minutes(origin, request.now, true),
        edges,
        resources,
        stretches: stretches(items, &boxes, (&sessions, &activities, &calendar_list)),
        mode_resources: boxes.len(),
        workers: workers.iter().map(|w| w.2.clone()).collect(),
        units: equipment.units.iter().filter(|u| u.ladder).count(),
        groups: group_list,
        wait_tables: tables.list,
        setup: SetUp {
            place_minutes: request.setup().place as Time,
            tool_minutes: request.setup().ladder as Time,
            session_minutes: request.setup().session as Time,
            waiting: people_told,
            inside_breaks: request.setup().indoors_breaks,
        },
        midnights: midnights(calendar, origin),
        sessions,
        calendars: calendar_list,
        activities,
        due,
        finish_first: false,
        comfort,
    };
    Mapped {
        problem,
        origin,
        worker_names: workers.into_iter().map(|w| w.1).collect(),
        skills,
        resources: resource_names,
        rests,
        cut_by,
        lit_by,
    }
}

/// The rest of a step of which a part is planned: never placed now, so that what follows the whole step waits, and
/// its placement does not count as ready.
fn rests(items: &[Item], activities: &mut Vec<Activity>, edges: &mut Vec<Edge>) -> BTreeMap<usize, usize> {
    let mut rests = BTreeMap::new();
    for (i, _) in items.iter().enumerate().filter(|(_, item)| item.part.is_some()) {
        let rest = activities.len();
        let group = activities.get(i).and_then(|a| a.group);
        activities.push(Activity { held: true, group, ..Activity::default() });
        let follow: Vec<Edge> =
            edges.iter().filter(|e| e.pred == i).map(|e| Edge { pred: rest, ..*e }).collect();
        edges.extend(follow);
        rests.insert(rest, i);
    }
    rests
}

/// Waits by the session in which a cure begins, one table a rule and length.
#[derive(Default)]
struct WaitTables {
    at: BTreeMap<(&'static str, i64), usize>,
    list: Vec<Vec<Time>>,
}

impl WaitTables {
    fn wait(&mut self, b: &Binding, calendar: &Calendar) -> Wait {
        let minutes = b.wait_min as Time;
        let Some(rule) = b.cure.filter(|_| b.wait_min > 0) else { return Wait::fixed(minutes) };
        let n = self.list.len();
        let table = *self.at.entry((rule.as_str(), b.wait_min)).or_insert(n);
        if table == n {
            let waits = calendar.sessions.iter().map(|s| wait_in(rule, b.wait_min, s) as Time);
            self.list.push(waits.collect());
        }
        Wait { minutes, table: Some(table) }
    }
}

/// The season's work outdoors begins no earlier than it says, the making of mounts there too; bench and desk work may. Nothing comes down
/// while its own show is lit, which at a changeover is the show before.
pub(super) fn work_from(facts: &Facts, step: &Step, zone: chrono_tz::Tz) -> Option<DateTime<Utc>> {
    let placement = facts.placement(step.placement?)?;
    let season = facts.season(placement.season_id)?;
    let day = match step.phase {
        Phase::Down => season.down_day(),
        Phase::Up if step.place.is_some() => season.work_from,
        Phase::Once if step.place.is_some() && step.light != Light::Indoors => season.work_from,
        _ => None,
    };
    day.and_then(|d| d.and_hms_opt(0, 0, 0)).map(|t| lenient_moment(zone, t))
}
