//! Why an activity is left out: first what no order could mend, then what this schedule leaves no room for.

use super::crew::filled;
use super::decode::{Decoder, comes_for, hands, presence};
use super::model::Model;
use super::running::needed;
use super::state::bits;
use crate::planner::engine::problem::{FAR, Time, Window};
use crate::planner::engine::schedule::Reason;

/// What keeps activity `i` out of every schedule, whatever the others do.
pub(super) fn never(m: &Model, i: usize) -> Option<Reason> {
    let a = &m.p.activities[i];
    if a.fixed.is_some() {
        return None;
    }
    if a.held {
        return Some(Reason::Held);
    }
    if m.circle[i] {
        return Some(Reason::Circle);
    }
    let from = a.release.unwrap_or(m.p.now).max(m.p.now);
    // Stretches still to come in which it might lie.
    let open: Vec<(Time, Time)> = m
        .windows(i)
        .iter()
        .map(|w| (w.from.max(from), w.to.min(a.deadline.unwrap_or(FAR))))
        .filter(|(x, y)| x <= y)
        .collect();
    if open.is_empty() {
        return Some(match a.deadline {
            Some(deadline) if m.windows(i).iter().any(|w| w.to >= from) => {
                Reason::Deadline { deadline, earliest: from.saturating_add(a.duration) }
            }
            _ => Reason::NoWindow,
        });
    }
    let longest = open.iter().map(|(x, y)| y - x).max().unwrap_or(0);
    if longest < a.duration {
        return Some(Reason::NoWindowLongEnough { longest, needed: a.duration });
    }
    // A test is begun only where its look has room, too.
    if let Some(block) = m.block_of[i].and_then(|b| m.blocks.get(usize::from(b)))
        && block.items.iter().any(|k| m.p.activities[*k].run.is_some())
    {
        let needed = needed(m, block);
        // Parts of it may have wider windows than this one, but all of it lies in one session.
        let alike = block.items.iter().all(|k| m.p.activities[*k].calendar == a.calendar);
        let whole = |w: &Window| m.bounds(w.session).1 - m.bounds(w.session).0.max(from);
        let longest = if alike { longest } else { m.windows(i).iter().map(whole).max().unwrap_or(longest) };
        if longest < needed {
            return Some(Reason::NoWindowLongEnough { longest, needed });
        }
    }
    if let Some(need) = a.tools.iter().position(Vec::is_empty) {
        return Some(Reason::NoTool { need });
    }
    for (r, amount) in a.demands.iter().copied().chain(a.holds.iter().map(|h| (h.resource, h.amount))) {
        let most = super::profile::Profile::new(&m.p.resources[r]).most();
        if amount > most {
            return Some(Reason::Capacity { resource: r, needed: amount, most });
        }
    }
    crew(m, i, &open)
}

/// Are the hands, skills and company ever there together for as long as it lasts?
fn crew(m: &Model, i: usize, open: &[(Time, Time)]) -> Option<Reason> {
    let a = &m.p.activities[i];
    let (need, alone_is_fine) = (hands(a), !a.not_alone);
    if need == 0 && alone_is_fine {
        return None;
    }
    let (mut most, mut skills, mut company_most) = (0, 0u64, 0);
    let mut enough_skill = false;
    let workers = &m.p.workers;
    for (from, to) in open {
        // Who is there changes only where somebody comes.
        let starts = workers
            .iter()
            .flat_map(|w| w.present.iter().map(|x| x.0))
            .filter(|t| from < t && *t <= to - a.duration);
        let mut at: Vec<Time> = starts.chain([*from]).filter(|t| t + a.duration <= *to).collect();
        at.sort_unstable();
        at.dedup();
        for t in at {
            let there: Vec<usize> = (0..workers.len())
                .filter(|w| presence(&workers[*w].present, t, t + a.duration).is_some())
                .collect();
            let company = there.len();
            let there: Vec<usize> = there.into_iter().filter(|w| comes_for(a, &workers[*w])).collect();
            let mask = there.iter().fold(0u64, |s, w| s | workers[*w].skills);
            skills |= mask;
            most = most.max(there.len() as u32);
            company_most = company_most.max(company);
            let all = there.iter().fold(0u64, |s, w| s | 1 << w);
            if there.len() as u32 >= need && a.skills & !mask == 0 && filled(&a.needs, workers, all) {
                enough_skill = true;
            }
        }
        if enough_skill && most >= need && (alone_is_fine || company_most >= 2) {
            return None;
        }
    }
    if most < need {
        return Some(Reason::Hands { needed: need, most });
    }
    if let Some(bit) = bits(a.skills & !skills).next() {
        return Some(Reason::Skill { bit: bit as u32 });
    }
    if !enough_skill && !a.needs.is_empty() {
        return Some(Reason::Needs);
    }
    if !enough_skill {
        return bits(a.skills).next().map(|bit| Reason::Skill { bit: bit as u32 });
    }
    (!alone_is_fine && company_most < 2).then_some(Reason::Alone)
}

/// Why `i` is not in the decoder's state.
pub(super) fn why(m: &Model, d: &Decoder, i: usize) -> Reason {
    if let Some(r) = never(m, i) {
        return r;
    }
    if let Some((q, _)) = m.preds[i].iter().find(|(q, _)| !d.state.spots[*q].placed()) {
        return Reason::PredecessorUnplaced(*q);
    }
    // Of what is done together nothing is begun while some of it can't be done.
    let block = m.block_of[i].and_then(|b| m.blocks.get(usize::from(b)));
    if let Some(q) = block.and_then(|b| b.items.iter().find(|q| m.out[**q])) {
        return Reason::PredecessorUnplaced(*q);
    }
    let a = &m.p.activities[i];
    let earliest = d.ready(i).unwrap_or(FAR);
    if m.windows(i).iter().all(|w| w.to < earliest.saturating_add(a.duration)) {
        return Reason::TooLate { earliest };
    }
    let (latest, by) = d.latest(i);
    let last =
        m.windows(i).iter().filter(|w| w.from <= latest).map(|w| w.to - a.duration).max().unwrap_or(-FAR);
    if last.min(latest) < earliest || by.is_some() {
        if let Some(q) = by {
            return Reason::Within(q);
        }
        if let Some(deadline) = a.deadline {
            return Reason::Deadline { deadline, earliest: earliest.saturating_add(a.duration) };
        }
    }
    Reason::Taken
}
