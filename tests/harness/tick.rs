//! One deed as small as they come: a tick.

use ladderday::domain::{Deed, Fact, Moment, Tick, TickId, TickKind, Words};
use uuid::Uuid;

/// The deed with this number; its row has the number as its id.
pub fn deed(n: u64) -> Deed {
    let tick = Tick {
        id: TickId(Uuid::from_u128(u128::from(n))),
        ended_at: None,
        step_key: "placement:x/stake.drive/up".into(),
        kind: TickKind::Done,
        at_ms: Some(Moment(n as i64)),
        began_ms: None,
        person_id: None,
        session_id: None,
        season_id: None,
        placement_id: None,
        recipe_step: String::new(),
        done_count: None,
        of_count: None,
        title: "Drive stakes".into(),
        planned_s: None,
        taken_s: None,
        bunched: false,
        cautions: Words::default(),
        why: String::new(),
    };
    Deed { verb: "step-done", what: format!("Ticked {n}"), at_ms: n as i64, rows: vec![tick.to_row()] }
}
