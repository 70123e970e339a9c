//! Long pauses between ticks of the last session, to be asked about once it is over.

use chrono::Duration;

use crate::answers::Outlook;
use crate::answers::view::PauseRow;
use crate::domain::{Session, Tick, TickKind, TimeCorrection, local_time};
use crate::units::Span;

/// A gap is asked about where it is longer than this and more than twice what was planned in it.
const LONG_MIN: i64 = 30;
/// What was long ago nobody remembers.
const RECENT: Duration = Duration::days(3);

/// The pauses of the session that ended last, unless they are told already or it is days ago.
pub(crate) fn pauses(outlook: &Outlook) -> Vec<PauseRow> {
    let (zone, now) = (outlook.zone(), outlook.now());
    let ended = |s: &&Session| local_time(zone, s.ends).is_ok_and(|t| t <= now && now - t <= RECENT);
    let Some(session) = outlook.yard.sessions.iter().filter(ended).max_by_key(|s| s.ends) else {
        return Vec::new();
    };
    let Ok(starts) = local_time(zone, session.starts) else { return Vec::new() };
    let mut ticks: Vec<&Tick> = outlook
        .yard
        .ticks
        .iter()
        .filter(|t| t.session_id == Some(session.id) && t.kind == TickKind::Done && t.at_ms.is_some())
        .collect();
    ticks.sort_by_key(|t| (t.at_ms, t.id));
    let mut last = starts.timestamp_millis();
    let mut rows = Vec::new();
    for (n, tick) in ticks.iter().enumerate() {
        let at = tick.at_ms.map_or(last, |m| m.0);
        // What was ticked together shares the gap before it.
        let together = ticks.iter().skip(n).take_while(|t| t.at_ms.is_some_and(|m| m.0 - at < 180_000));
        let planned: i64 = together.filter_map(|t| t.planned_s).map(Span::minutes_up).sum();
        let gap = (at - last) / 60_000;
        if gap > LONG_MIN && gap > 2 * planned && !corrected(&outlook.yard.time_corrections, tick) {
            rows.push(PauseRow {
                key: tick.step_key.to_string(),
                ticked_ms: at,
                title: tick.title.clone(),
                from: outlook.say_ms(last),
                gap_min: gap,
                planned_min: tick.planned_s.map_or(0, Span::minutes_up),
            });
        }
        last = at;
    }
    rows
}

/// Whether a tick was put right.
fn corrected(corrections: &[TimeCorrection], tick: &Tick) -> bool {
    corrections.iter().any(|c| *c.step_key == *tick.step_key && Some(c.ticked_ms) == tick.at_ms)
}
