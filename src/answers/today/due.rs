//! What this month asks for, whatever is planned: the round while lit, the morning after, takedown, the count, the
//! close, orders, builds and the bench.

use chrono::{Datelike, Duration, NaiveDate};

use crate::answers::Outlook;
use crate::answers::dates::dates;
use crate::answers::faults::bench;
use crate::answers::seasons::{TAKEN_DOWN_BY_DAYS, open_at_close, takedown_left, to_count};
use crate::answers::totes::drying::{WET_FOR, drying};
use crate::answers::view::{Aim, Alarm, DryingRow, Level, ScreenId};
use crate::answers::words::{counted, say_date, target_name};
use crate::domain::{Condition, LookKind, Phase, RepairDeed, Season};
use crate::planner::Plan;

/// A patch is looked at by daylight for so long.
const MORNING_AFTER: Duration = Duration::hours(20);
/// The bench and the builds are for the months without a show in sight.
const NO_SHOW_FOR_DAYS: i64 = 30;

/// What is due by the day of the year, each with where it is done.
pub(crate) fn due(outlook: &Outlook, plan: &Plan) -> Vec<Alarm> {
    let today = outlook.local_now().date();
    let mut list = Vec::new();
    let mut add = |what: String, remedy: &str, screen: ScreenId, aim: Aim| {
        list.push(Alarm { level: Level::Due, what, remedy: remedy.to_owned(), screen, aim });
    };
    let lit_by_now = |s: &Season| s.lights_on.is_some_and(|t| t <= outlook.local_now());
    let lit = |s: &&Season| {
        lit_by_now(s) && s.lights_off.is_some_and(|d| outlook.tonight() <= d) && s.closed_on.is_none()
    };
    if let Some(s) = outlook.yard.seasons.iter().find(lit) {
        let until = s.lights_off.map_or_else(String::new, |d| format!(" until {}", say_date(d)));
        let aim = Aim::Phase(Phase::Tonight);
        let what = format!("tonight's round: {} is lit{until}", s.name);
        add(what, "the round is there, place by place", ScreenId::Walk, aim);
    }
    let open_end = |s: &&Season| lit_by_now(s) && s.lights_off.is_none() && s.closed_on.is_none();
    if let Some(s) = outlook.yard.seasons.iter().filter(open_end).max_by_key(|s| s.lights_on) {
        let since = s.lights_on.map_or_else(String::new, |t| say_date(t.date()));
        let what = format!("{} is on since {since}, its last night is not told", s.name);
        add(what, "e there tells it: the takedown follows it", ScreenId::Seasons, Aim::Row(s.code.clone()));
    }
    for (what, code) in patched_last_night(outlook) {
        let what = format!("patched last night: {what}");
        add(what, "look at it by daylight", ScreenId::Faults, Aim::Fault(code));
    }
    let mut mend = |what: String, remedy: &str, screen: ScreenId, aim: Aim| {
        list.push(Alarm { level: Level::Mend, what, remedy: remedy.to_owned(), screen, aim });
    };
    // Where every piece is takes a while to find out: only where something came off wet lately.
    let lately = outlook.now_ms() - WET_FOR.num_milliseconds();
    let any_wet = outlook.yard.piece_looks.iter().any(|l| l.kind == LookKind::Wet && l.at_ms.0 >= lately);
    let drying = any_wet.then(|| drying(outlook)).flatten();
    let wet: Vec<DryingRow> = drying.into_iter().flat_map(|d| d.rows).filter(|r| r.key.is_some()).collect();
    if let Some(first) = wet.first() {
        let n = wet.len();
        let what = format!("{n} came off wet and not laid out to dry: {}", first.name);
        let aim = first.key.clone().map_or(Aim::First, |key| Aim::Step(key, Some(Phase::Down)));
        mend(what, "the same day, in the drying place; then tick it", ScreenId::Walk, aim);
    }
    for c in dates(outlook).conflicts {
        mend(c.what, &c.remedy, ScreenId::Seasons, Aim::First);
    }
    let mut add = |what: String, remedy: &str, screen: ScreenId, aim: Aim| {
        list.push(Alarm { level: Level::Due, what, remedy: remedy.to_owned(), screen, aim });
    };
    // Takedown, count and close of what is over, the last one first.
    let over = |s: &&Season| s.closed_on.is_none() && s.lights_off.is_some_and(|d| d < today);
    let mut past: Vec<&Season> = outlook.yard.seasons.iter().filter(over).collect();
    past.sort_by_key(|s| std::cmp::Reverse(s.lights_off));
    if let Some(s) = past.first() {
        let down = takedown_left(outlook, s);
        let count = to_count(outlook, s);
        let by_now = s.lights_off.is_some_and(|d| (today - d).num_days() > TAKEN_DOWN_BY_DAYS);
        if down > 0 {
            let what = format!("takedown of {}: {} open", s.name, counted(down as i64, "step", "steps"));
            add(what, "in dry daylight", ScreenId::Walk, Aim::Phase(Phase::Down));
        }
        // Nobody counts while a show is lit, Totes says as much.
        let first = count.first().filter(|_| outlook.phase_now() != Phase::Tonight);
        if let Some(first) = first {
            let many = counted(count.len() as i64, "tote is", "totes are");
            let what = format!("{many} not counted since {} went off", s.name);
            add(
                what,
                "c on each in Totes: expected against found",
                ScreenId::Totes,
                Aim::Row(first.code.clone()),
            );
        } else if down == 0 || by_now {
            let open = open_at_close(outlook, &s.code).len();
            let things = counted(open as i64, "thing", "things");
            let still = if open > 0 { format!(", {things} still open") } else { String::new() };
            add(
                format!("{} is over and not closed{still}", s.name),
                "c in Seasons closes it",
                ScreenId::Seasons,
                Aim::Row(s.code.clone()),
            );
        }
    }
    let quiet = outlook
        .coming_seasons()
        .iter()
        .filter_map(|s| s.lights_on)
        .all(|t| (t.date() - today).num_days() > NO_SHOW_FOR_DAYS);
    let mut add = |what: String, remedy: &str, screen: ScreenId, aim: Aim| {
        let show = outlook.coming_seasons().is_empty();
        let level = if show && matches!(screen, ScreenId::Faults | ScreenId::Seasons) {
            Level::Due
        } else {
            Level::Note
        };
        list.push(Alarm { level, what, remedy: remedy.to_owned(), screen, aim });
    };
    if quiet && !outlook.yard.seasons.iter().any(|s| lit(&s)) {
        spring_and_summer(outlook, plan, today, &mut add);
    }
    list
}

/// Orders, builds, the next season and the bench.
fn spring_and_summer(
    outlook: &Outlook,
    plan: &Plan,
    today: NaiveDate,
    add: &mut impl FnMut(String, &str, ScreenId, Aim),
) {
    if outlook.coming_seasons().is_empty() {
        add("no coming season is told".to_owned(), "n in Seasons opens it", ScreenId::Seasons, Aim::First);
    }
    let late = |o: &&crate::domain::PurchaseOrder| {
        let open = |l: &crate::domain::OrderLine| l.order_id == o.id && l.received < l.packs * l.pack;
        o.expected_on.is_some_and(|d| d <= today) && outlook.yard.order_lines.iter().any(open)
    };
    for o in outlook.yard.purchase_orders.iter().filter(late) {
        let on = o.expected_on.map_or_else(String::new, say_date);
        add(
            format!("order {} has not come, it was due {on}", o.code),
            "r in Buy takes it in; e tells another day",
            ScreenId::Buy,
            Aim::First,
        );
    }
    let wished = outlook.yard.placements.iter().filter(|p| p.wished).count();
    if wished > 0 && (2..=8).contains(&today.month()) {
        let what = format!("{} wished for", counted(wished as i64, "new build is", "new builds are"));
        add(what, "the parts are on the list", ScreenId::Buy, Aim::First);
    }
    let jobs = if (2..=9).contains(&today.month()) { bench(outlook, Some(plan)) } else { Vec::new() };
    if let Some(first) = jobs.first() {
        let by = first.job.needed_by.map_or_else(String::new, |d| format!(" by {}", say_date(d)));
        let jobs = counted(jobs.len() as i64, "job", "jobs");
        let what = format!("{jobs} on the bench, first {}{by}", first.target);
        add(what, "b in Faults lists them in order", ScreenId::Faults, Aim::Fault(first.fault.clone()));
    }
    let lost = outlook.yard.pieces.iter().filter(|p| p.condition == Condition::Lost).count();
    if lost > 0 && (1..=3).contains(&today.month()) {
        let what = format!("{} lost", counted(lost as i64, "piece is", "pieces are"));
        add(what, "look for them before the sales end", ScreenId::Totes, Aim::First);
    }
}

/// What was patched or switched off since yesterday evening, in words and by its fault.
fn patched_last_night(outlook: &Outlook) -> Vec<(String, String)> {
    let facts = outlook.facts();
    let since = outlook.now_ms() - MORNING_AFTER.num_milliseconds();
    let fresh = |f: &&crate::domain::Fault| {
        let last = facts.repairs(f.id).into_iter().rfind(|e| e.deed != RepairDeed::Looked);
        last.is_some_and(|e| {
            matches!(e.deed, RepairDeed::Patched | RepairDeed::SwitchedOff)
                && e.at_ms.0 >= since
                && e.at_ms.0 <= outlook.now_ms()
        })
    };
    let named = outlook.yard.faults.iter().filter(fresh);
    let words = |f: &crate::domain::Fault| {
        format!("{}, {}", target_name(outlook, f.piece_id, f.placement_id), f.code)
    };
    named.map(|f| (words(f), f.code.clone())).collect()
}
