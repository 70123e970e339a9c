//! `plan --what-if`: finish and odds as they are, and as they would be.

use crate::answers::Outlook;
use crate::answers::plan::what_if::{
    Change, Side, against, difference, difference_words, not_placed, side_words,
};
use crate::exchange::json::{DifferenceDoc, WhatIfDoc, WhatIfSideDoc};

pub(crate) fn document(changes: &[Change], before: &Side, after: &Side) -> WhatIfDoc {
    WhatIfDoc {
        changes: changes.iter().map(Change::words).collect(),
        before: side(before),
        after: side(after),
        difference: difference(before, after).map(|d| DifferenceDoc {
            by: d.by,
            standard_error: d.standard_error,
            beyond_chance: d.is_real(),
        }),
        note: against(changes, before, after).map(str::to_owned),
    }
}

fn side((plan, odds): &Side) -> WhatIfSideDoc {
    let say = |t: chrono::DateTime<chrono::Utc>| t.with_timezone(&plan.zone).to_rfc3339();
    WhatIfSideDoc {
        finish: plan.finish.map(say),
        not_placed: not_placed(plan),
        by_lights_on: odds.as_ref().map(|o| o.in_time),
        p50: odds.as_ref().and_then(|o| o.p50).map(say),
        p80: odds.as_ref().and_then(|o| o.p80).map(say),
        p95: odds.as_ref().and_then(|o| o.p95).map(say),
    }
}

pub(crate) fn text(outlook: &Outlook, changes: &[Change], before: &Side, after: &Side) -> String {
    let words: Vec<String> = changes.iter().map(Change::words).collect();
    let note = against(changes, before, after).map_or_else(String::new, |n| format!("note:     {n}\n"));
    format!(
        "what if: {}\nas it is: {}\nthen:     {}\nbrings:   {}\n{note}",
        words.join("; "),
        side_words(outlook, before),
        side_words(outlook, after),
        difference(before, after).map_or_else(|| "not known".to_owned(), difference_words)
    )
}
