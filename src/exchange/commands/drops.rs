//! `plan drop`: what to leave out for a wanted level of the odds.

use std::fmt::Write as _;

use crate::answers::Outlook;
use crate::answers::plan::odds::percent;
use crate::domain::{Phase, PlacementId};
use crate::exchange::json::{DropDoc, DropListDoc};
use crate::planner::DropList;
use crate::units::Span;

fn name(outlook: &Outlook, id: PlacementId) -> String {
    let found = outlook.facts().placement(id);
    found.map_or_else(String::new, |p| format!("{} {}", p.code, p.name))
}

pub(crate) fn document(outlook: &Outlook, list: &DropList) -> DropListDoc {
    DropListDoc {
        wanted: list.wanted,
        before: list.before,
        after: list.after,
        reached: list.reached,
        drops: list
            .drops
            .iter()
            .map(|d| DropDoc {
                placement: name(outlook, d.placement),
                with: d.with.iter().map(|id| name(outlook, *id)).collect(),
                worth: d.worth,
                minutes: d.minutes,
            })
            .collect(),
    }
}

pub(crate) fn text(outlook: &Outlook, phase: Phase, wanted: u8, list: &DropList) -> String {
    let mut out = format!("in time as it is: {} %, wanted: {wanted} %\n", percent(list.before));
    if list.drops.is_empty() && list.reached {
        out.push_str("nothing need be left out\n");
    } else if !list.reached {
        let _ = writeln!(
            out,
            "leaving out everything that can be left out gives {} %: what is missing is not work; add a spare \
             session before lights on, or see the risks in: ladderday plan {}",
            percent(list.after),
            phase.as_str()
        );
    }
    for d in &list.drops {
        let with: Vec<String> = d.with.iter().map(|id| name(outlook, *id)).collect();
        let with = if with.is_empty() { String::new() } else { format!(", and with it {}", with.join(", ")) };
        let minutes = Span::from_minutes(d.minutes).show();
        let _ = writeln!(
            out,
            "leave out {}{with}: worth {}, frees {minutes}",
            name(outlook, d.placement),
            d.worth
        );
    }
    if list.reached && !list.drops.is_empty() {
        let _ = writeln!(
            out,
            "then in time: {} %; the least worth lost among what was tried",
            percent(list.after)
        );
    }
    out
}
