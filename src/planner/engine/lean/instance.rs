//! A lean problem packed for speed: lanes of free units in one word a slot, eight of 8 bits or four of 16.

use super::crew::Crew;
use super::together;
use crate::planner::engine::order;
use crate::planner::engine::problem::{Lag, Problem, ProblemError, Time};

/// Most resources.
pub(in crate::planner::engine) const LANES: usize = 8;
/// The top bit of each lane: stays set while no lane of a difference has gone below zero.
const GUARDS: [u64; 2] = [0x8080_8080_8080_8080, 0x8000_8000_8000_8000];
/// More slots than this are left to the decoder of yards.
const MOST_SLOTS: i64 = 60_000;

#[derive(Clone, Debug, Default)]
pub(in crate::planner::engine) struct Instance {
    pub(in crate::planner::engine) n: usize,
    pub(in crate::planner::engine) origin: Time,
    pub(in crate::planner::engine) dur: Vec<i32>,
    /// Demands by resource, and the same packed.
    pub(in crate::planner::engine) need: Vec<[i32; LANES]>,
    pub(in crate::planner::engine) packed: Vec<u64>,
    pub(in crate::planner::engine) preds: Vec<Vec<(u32, i32)>>,
    pub(in crate::planner::engine) succs: Vec<Vec<(u32, i32)>>,
    pub(in crate::planner::engine) release: Vec<i32>,
    /// Nothing depends on the time: no releases, windows or dips, so a schedule may be shifted as a whole.
    pub(in crate::planner::engine) shiftable: bool,
    pub(in crate::planner::engine) guard: u64,
    /// Bits of a lane.
    lane: usize,
    /// Free units a slot, packed with the guard bits set, and by resource.
    pub(in crate::planner::engine) free: Vec<u64>,
    pub(in crate::planner::engine) capacity: Vec<[i32; LANES]>,
    /// Number of the window table of an activity.
    pub(in crate::planner::engine) table: Vec<Option<u32>>,
    /// First slot from `t` on at which it fits its windows (`slots` where there is none), and last one up to `t` (-1).
    pub(in crate::planner::engine) next_fit: Vec<Vec<i32>>,
    pub(in crate::planner::engine) last_fit: Vec<Vec<i32>>,
    pub(in crate::planner::engine) slots: i32,
    /// Topological rank.
    pub(in crate::planner::engine) rank: Vec<u32>,
    pub(in crate::planner::engine) by_rank: Vec<u16>,
    /// Some lag is shorter than its activity, so that ends are no topological order.
    pub(in crate::planner::engine) overlapping: bool,
    pub(in crate::planner::engine) work: Vec<bool>,
    /// Need slot by slot of activities that are several started at once.
    pub(in crate::planner::engine) shape: Vec<Option<Vec<u64>>>,
    /// Who works on what; none where nobody is asked for.
    pub(super) crew: Option<Crew>,
    /// Where each activity of the problem went; empty: as it is.
    pub(in crate::planner::engine) of: Vec<u32>,
}

/// Activities after one another by their lags.
type Lags = Vec<Vec<(u32, i32)>>;

impl Instance {
    /// Activities with what comes first first, lags and needs, room slot by slot, and nothing else: for who asks for starts
    /// alone.
    pub(in crate::planner::engine) fn bare(
        (dur, need): (Vec<i32>, Vec<[i32; LANES]>),
        (preds, succs): (Lags, Lags),
        capacity: Vec<[i32; LANES]>,
    ) -> Self {
        let n = dur.len();
        Self {
            n,
            dur,
            need,
            preds,
            succs,
            capacity,
            release: vec![0; n],
            work: vec![false; n],
            table: vec![None; n],
            by_rank: (0..n as u16).collect(),
            ..Self::default()
        }
    }
}

/// Packs a problem; `None` where it is more than lean.
pub(in crate::planner::engine) fn pack(p: &Problem) -> Result<Option<Instance>, ProblemError> {
    order::check(p)?;
    let topological = match order::topological(p) {
        Ok(t) => t,
        Err(circle) => return pack_joined(p, circle),
    };
    let n = p.activities.len();
    let lean = p.activities.iter().all(|a| {
        a.deadline.is_none()
            && a.fixed.is_none()
            && !a.held
            && a.holds.is_empty()
            && a.modes.is_empty()
            && !a.not_alone
            && a.tools.is_empty()
            && a.group.is_none()
            && !a.up
            && !a.before_up
    });
    // What people give besides the work is the other decoder's to count.
    let given = (p.setup.session_minutes > 0 && p.activities.iter().any(|a| a.calendar.is_some()))
        || (Crew::asked(p) && (p.setup.waiting || p.activities.iter().any(|a| a.place.is_some())));
    if !lean
        || given
        || n == 0
        || n > 30_000
        || p.resources.len() > LANES
        || p.comfort.is_some()
        || !p.stretches.is_empty()
        || p.activities.iter().any(|a| a.run.is_some())
    {
        return Ok(None);
    }
    let crew = Crew::of(p).filter(|_| Crew::asked(p));
    if Crew::asked(p) && crew.is_none() {
        return Ok(None);
    }
    let durations: Vec<Time> = p.activities.iter().map(|a| a.duration).collect();
    let people = crew.as_ref().map_or_else(Vec::new, |c| c.lanes(p.resources.len(), &durations));
    let small = p.resources.iter().all(|r| r.capacity <= 0x7f);
    if !small && (p.resources.len() > 4 || p.resources.iter().any(|r| r.capacity > 0x7fff)) {
        return Ok(None);
    }
    if p.resources.iter().any(|r| r.dips.iter().any(|d| d.2 > r.capacity)) {
        return Ok(None);
    }
    let (guard, lane) = if small { (GUARDS[0], 8) } else { (GUARDS[1], 16) };
    let mut i = Instance { n, guard, lane, origin: p.now, rank: vec![0; n], ..Instance::default() };
    i.by_rank = topological.iter().map(|a| *a as u16).collect();
    for (k, a) in topological.iter().enumerate() {
        i.rank[*a] = k as u32;
    }
    i.preds = vec![Vec::new(); n];
    i.succs = vec![Vec::new(); n];
    for e in &p.edges {
        let lag = match e.lag {
            Lag::FinishStart { wait, within: None, same_day: false } if wait.table.is_none() => {
                p.activities[e.pred].duration + wait.minutes
            }
            Lag::StartStart { min } => min,
            Lag::FinishStart { .. } => return Ok(None),
        };
        if lag < 0 {
            return Ok(None);
        }
        i.overlapping |= lag < p.activities[e.pred].duration;
        i.preds[e.succ].push((e.pred as u32, lag));
        i.succs[e.pred].push((e.succ as u32, lag));
    }
    let lanes = people.iter().map(|l| l.0);
    let caps: Vec<i32> = p.resources.iter().map(|r| r.capacity).chain(lanes).collect();
    let all = u64::MAX >> (64 - p.workers.len().max(1));
    for (k, a) in p.activities.iter().enumerate() {
        let mut need = [0; LANES];
        for (r, amount) in &a.demands {
            need[*r] += *amount;
        }
        for (n, lane) in need[p.resources.len()..].iter_mut().zip(&people) {
            *n = lane.1[k];
        }
        // What can never be placed is the other decoder's to explain.
        if caps.iter().zip(&need).any(|(c, n)| n > c)
            || crew.as_ref().is_some_and(|c| c.choose(k, all).is_none())
        {
            return Ok(None);
        }
        i.dur.push(a.duration);
        i.need.push(if a.duration > 0 { need } else { [0; LANES] });
        i.release.push(a.release.map_or(0, |t| (t - p.now).max(0)));
        i.work.push(a.work);
    }
    i.shape = vec![None; n];
    i.packed = i.need.iter().map(|x| pack_lanes(x, lane)).collect();
    i.crew = crew;
    if slots(p, &caps, &mut i).is_none() {
        return Ok(None);
    }
    Ok(Some(i))
}

/// Packs a problem with circles of lags of 0; anything else in a circle is refused.
fn pack_joined(p: &Problem, circle: ProblemError) -> Result<Option<Instance>, ProblemError> {
    if p.activities.len() > 2_000 {
        return Err(circle);
    }
    if Crew::asked(p) {
        return Err(circle);
    }
    let Some(joined) = together::join(p)? else { return Err(circle) };
    let Some(mut i) = pack(&joined.problem)? else { return Err(circle) };
    for (k, group) in joined.members.iter().enumerate().filter(|g| g.1.len() > 1) {
        let mut shape = vec![[0i32; LANES]; i.dur[k] as usize];
        for a in group.iter().map(|j| &p.activities[*j]) {
            for slot in &mut shape[..a.duration as usize] {
                for (r, amount) in &a.demands {
                    slot[*r] += *amount;
                }
            }
        }
        if shape.iter().any(|s| (0..p.resources.len()).any(|r| s[r] > p.resources[r].capacity)) {
            return Err(circle);
        }
        i.need[k] = [0; LANES];
        i.packed[k] = 0;
        i.shape[k] = Some(shape.iter().map(|x| pack_lanes(x, i.lane)).collect());
    }
    i.of = joined.of;
    Ok(Some(i))
}

fn pack_lanes(x: &[i32; LANES], lane: usize) -> u64 {
    x.iter().enumerate().take(64 / lane).fold(0, |w, (r, v)| w | (*v as u64) << (lane * r))
}

/// Lays out the slots: long enough for any sensible schedule.
fn slots(p: &Problem, caps: &[i32], i: &mut Instance) -> Option<()> {
    let longest = |k: usize| i.succs[k].iter().map(|s| s.1).chain([i.dur[k]]).max().unwrap_or(0);
    let serial: i64 = (0..i.n).map(|k| i64::from(longest(k))).sum();
    let release = i64::from(i.release.iter().copied().max().unwrap_or(0));
    let dips = p
        .resources
        .iter()
        .flat_map(|r| &r.dips)
        .map(|d| i64::from(d.1) - i64::from(p.now))
        .max()
        .unwrap_or(0);
    let windows: Option<i64> = p
        .calendars
        .iter()
        .flatten()
        .map(|w| i64::from(w.to) - i64::from(p.now))
        .max()
        .filter(|_| p.activities.iter().any(|a| a.calendar.is_some()));
    let slots = (serial + release.max(dips)).max(windows.unwrap_or(0)) + 2;
    if slots > MOST_SLOTS {
        return None;
    }
    i.slots = slots as i32;
    let caps = std::array::from_fn(|r| caps.get(r).copied().unwrap_or(0));
    i.capacity = vec![caps; slots as usize];
    for (r, x) in p.resources.iter().enumerate() {
        for (from, to, units) in &x.dips {
            let (a, b) = ((from - p.now).clamp(0, i.slots), (to - p.now).clamp(0, i.slots));
            for c in &mut i.capacity[a as usize..b as usize] {
                c[r] = c[r].min(*units);
            }
        }
    }
    i.shiftable = i.crew.is_none()
        && i.release.iter().all(|t| *t == 0)
        && p.resources.iter().all(|r| r.dips.is_empty())
        && p.activities.iter().all(|a| a.calendar.is_none());
    i.free = i.capacity.iter().map(|c| pack_lanes(c, i.lane) | i.guard).collect();
    let mut keys: Vec<(usize, i32)> = Vec::new();
    for a in &p.activities {
        let key = a.calendar.map(|c| (c, a.duration));
        let at = key.map(|k| {
            keys.iter().position(|x| *x == k).unwrap_or_else(|| {
                keys.push(k);
                keys.len() - 1
            }) as u32
        });
        i.table.push(at);
    }
    for (c, d) in keys {
        let fits = |t: i32| {
            let t = t + p.now;
            let k = p.calendars[c].partition_point(|w| w.from <= t);
            k.checked_sub(1).is_some_and(|k| p.calendars[c][k].to >= t + d)
        };
        let ok: Vec<bool> = (0..i.slots).map(fits).collect();
        let (mut next, mut last) = (vec![i.slots; ok.len()], vec![-1; ok.len()]);
        let mut seen = i.slots;
        for t in (0..ok.len()).rev() {
            seen = if ok[t] { t as i32 } else { seen };
            next[t] = seen;
        }
        seen = -1;
        for t in 0..ok.len() {
            seen = if ok[t] { t as i32 } else { seen };
            last[t] = seen;
        }
        i.next_fit.push(next);
        i.last_fit.push(last);
    }
    Some(())
}
