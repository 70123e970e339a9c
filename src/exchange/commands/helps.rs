//! `plan --helps`: what would help most.

use std::fmt::Write as _;

use crate::answers::plan::helps::Help;
use crate::answers::plan::odds::percent;
use crate::answers::plan::what_if::{Side, difference_words};
use crate::answers::view::HELPS_MOST;
use crate::exchange::json::{DifferenceDoc, HelpDoc, HelpsDoc};
use crate::units::Span;

pub(crate) fn document(before: &Side, helps: &[Help]) -> HelpsDoc {
    HelpsDoc {
        before: before.1.as_ref().map(|o| o.in_time),
        helps: helps
            .iter()
            .map(|h| HelpDoc {
                kind: h.kind.to_owned(),
                what: h.change.words(),
                by_lights_on: h.in_time,
                difference: DifferenceDoc {
                    by: h.brings.by,
                    standard_error: h.brings.standard_error,
                    beyond_chance: h.brings.is_real(),
                },
                person_minutes: h.person_minutes,
                worth: h.worth,
            })
            .collect(),
    }
}

fn kind(help: &Help) -> &'static str {
    match help.kind {
        "spare_rehearsal" => "a spare rehearsal date",
        "evening" => "an evening more",
        "helper" => "a helper",
        _ => "a prop less",
    }
}

/// "a helper, Ann helps in session S1: 88 %, 28 of 100 more; costs 3 h of people's time".
fn line(h: &Help) -> String {
    let cost = if h.person_minutes > 0 {
        format!("{} of people's time", Span::from_minutes(h.person_minutes).show())
    } else {
        format!("worth {} not shown", h.worth)
    };
    let (words, odds) = (h.change.words(), percent(h.in_time));
    format!("{}, {words}: {odds} %, {}; costs {cost}", kind(h), difference_words(h.brings))
}

/// Each with a label, that which helps most first and in short: "an evening more: 60 → 88 %".
pub(crate) fn lines(before: &Side, helps: &[Help]) -> Vec<(String, String)> {
    let label = |text: &str| text.to_owned();
    let Some(odds) = &before.1 else {
        return vec![(label("no odds"), "tell sessions and the date of lights on".to_owned())];
    };
    let now = percent(odds.in_time);
    let mut out = Vec::new();
    if let Some(most) = helps.first().filter(|h| h.brings.is_real()) {
        out.push((label(HELPS_MOST), format!("{}: {now} → {} %", kind(most), percent(most.in_time))));
    } else {
        out.push((label("as it is"), format!("{now} % in time; nothing that was tried helps beyond chance")));
    }
    out.extend(helps.iter().map(|h| (label("tried"), line(h))));
    out.push((String::new(), "No fact was touched.".to_owned()));
    out
}

pub(crate) fn text(before: &Side, helps: &[Help]) -> String {
    let Some(odds) = &before.1 else {
        return "no odds: tell sessions and the season's lights on; odds are of the phases up and change\n"
            .to_owned();
    };
    let mut out = format!(
        "in time as it is: {} %\nwhat would help, the most for what it costs first:\n",
        percent(odds.in_time)
    );
    for h in helps {
        let _ = writeln!(out, "{}", line(h));
    }
    if helps.is_empty() {
        out.push_str("nothing of what is tried has a place: no free day, no session to help in\n");
    }
    out
}
