//! `plan --choices`: plans to choose from.

use std::fmt::Write as _;

use crate::answers::Outlook;
use crate::answers::plan::choices::Choice;
use crate::answers::plan::odds::percent;
use crate::exchange::json::{ChoiceDoc, ChoicesDoc};
use crate::units::Span;

pub(crate) fn document(all: &[Choice], calm: Option<usize>) -> ChoicesDoc {
    let doc = |(n, c): (usize, &Choice)| ChoiceDoc {
        prefer: c.word().to_owned(),
        calm: calm == Some(n),
        sessions: c.sessions(),
        place_moves: c.plan.moves.place,
        ladder_moves: c.plan.moves.ladder,
        given_minutes: c.given(),
        not_placed: c.plan.unplaced.len(),
        finish: c.plan.finish.map(|t| t.with_timezone(&c.plan.zone).to_rfc3339()),
        by_lights_on: c.odds.as_ref().map(|o| o.in_time),
        standard_error: c.odds.as_ref().map(|o| o.standard_error),
    };
    ChoicesDoc { choices: all.iter().enumerate().map(doc).collect() }
}

pub(crate) fn text(outlook: &Outlook, all: &[Choice], calm: Option<usize>) -> String {
    let mut out = String::new();
    for (n, c) in all.iter().enumerate() {
        let ends = c.plan.finish.map_or_else(|| "no end".to_owned(), |t| outlook.say_moment(t));
        let odds =
            c.odds.as_ref().map_or_else(String::new, |o| format!(", {} % in time", percent(o.in_time)));
        let mark = if calm == Some(n) { " (calm: the best odds)" } else { "" };
        let _ = writeln!(
            out,
            "{}{mark}: {} sessions, {} ladder set-ups, {} changes of place, {} given besides the work, ends {ends}{odds}",
            c.word(),
            c.sessions(),
            c.plan.moves.ladder,
            c.plan.moves.place,
            Span::from_minutes(c.given()).show()
        );
    }
    out.push_str("take one: ladderday plan PHASE --prefer early|few|calm --keep\n");
    out
}
