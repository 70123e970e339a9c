//! What is done in one session as the engine takes it: rounds of the boxes, what is hung with what ties it, and tests
//! that run by themselves.

use std::collections::BTreeMap;

use super::engine::{Activity, Session, Stretch, Time, Window};
use super::map::Item;
use crate::domain::{Access, PieceId};
use crate::steps::{State, StepKey, looks};

/// Who goes there on a roof or an extension ladder climbs; up and down again is what a day on the roof is spared.
pub(super) const fn climbs(access: Access) -> bool {
    matches!(access, Access::Roof | Access::ExtensionLadder)
}

/// What is done in one session; a round of a box keeps it off until its last step, which lights it.
/// What is hung and tied is parted where no session has room for both, or only a part of it is planned.
pub(super) fn stretches(
    items: &[Item],
    boxes: &BTreeMap<PieceId, usize>,
    (sessions, activities, calendars): (&[Session], &[Activity], &[Vec<Window>]),
) -> Vec<Stretch> {
    let mut at: BTreeMap<&StepKey, usize> = BTreeMap::new();
    let mut all: Vec<Stretch> = Vec::new();
    for (i, item) in items.iter().enumerate() {
        let Some(key) = &item.step.stretch else { continue };
        let n = *at.entry(key).or_insert(all.len());
        if n == all.len() {
            all.push(Stretch::default());
        }
        let Some(stretch) = all.get_mut(n) else { continue };
        // A step that is skipped or left out binds nothing.
        if item.state != State::Skipped && !item.left_out {
            stretch.activities.push(i);
        }
        if let Some((piece, _)) = item.step.box_mode {
            stretch.off = boxes.get(&piece).copied();
        }
    }
    all.retain(|stretch| {
        let of = || stretch.activities.iter().filter_map(|i| Some((items.get(*i)?, activities.get(*i)?)));
        let open = || of().filter(|(_, a)| a.fixed.is_none());
        let length: Time = open().map(|(_, a)| a.duration).sum();
        let room = |s: usize, session: &Session| {
            open().all(|(_, a)| {
                let windows = a.calendar.and_then(|c| calendars.get(c)).into_iter().flatten();
                let mut here = windows.filter(|w| w.session as usize == s);
                here.any(|w| w.to.min(session.to) - w.from.max(session.from) >= length)
            })
        };
        let runs = || of().any(|(item, _)| looks(item.step).is_some());
        stretch.off.is_some()
            || runs()
            || (of().all(|(item, _)| item.part.is_none())
                && sessions.iter().enumerate().any(|(s, x)| room(s, x)))
    });
    all
}
