//! `plan --helps`: what would help most.

use std::fmt::Write as _;

use crate::answers::plan::helps::Help;
use crate::answers::plan::odds::percent;
use crate::answers::plan::what_if::{Side, difference_words};
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
        let kind = match h.kind {
            "spare_rehearsal" => "a spare rehearsal date",
            "evening" => "an evening more",
            "helper" => "a helper",
            _ => "a prop less",
        };
        let cost = if h.person_minutes > 0 {
            format!("{} of people's time", Span::from_minutes(h.person_minutes).show())
        } else {
            format!("worth {} not shown", h.worth)
        };
        let _ = writeln!(
            out,
            "{kind}, {}: {} %, {}; costs {cost}",
            h.change.words(),
            percent(h.in_time),
            difference_words(h.brings)
        );
    }
    if helps.is_empty() {
        out.push_str("nothing of what is tried has a place: no free day, no session to help in\n");
    }
    out
}
