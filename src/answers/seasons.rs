//! Seasons: what each took, planned against taken, and what the record says.

use std::collections::{BTreeMap, BTreeSet};

use chrono::Datelike;

use crate::answers::Outlook;
use crate::answers::dates::dates;
use crate::answers::outdoors::light::lit_hours;
use crate::answers::record::history::record_view;
use crate::answers::record::{Corrections, corrections};
use crate::answers::view::{SeasonRow, Seasons};
use crate::answers::words::{counted, some};
use crate::domain::{
    Condition, Container, ContainerId, Decision, Fault, LookKind, OrderLine, Piece, PieceId, PieceLook,
    PlacementId, Season, Tick, TickKind, local_time,
};
use crate::units::{Money, Span};

/// A tick longer than this after its beginning is no measure of the work.
const LONGEST_MIN: i64 = 8 * 60;
/// After so many days a count and a close are asked for, whatever of the takedown was ticked.
pub(crate) const TAKEN_DOWN_BY_DAYS: i64 = 30;
/// From May on only the close of a season asks for its count.
const COUNT_UNTIL_MONTH: u32 = 4;

/// Seasons with their work, durations by recipe step, and what the record says.
pub fn seasons_page(outlook: &Outlook) -> Seasons {
    let of = outlook.record_day();
    outlook.remembered.seasons.get(of, || seasons_of(outlook, of.0))
}

fn seasons_of(outlook: &Outlook, today: chrono::NaiveDate) -> Seasons {
    let corrections = corrections(outlook.yard);
    let mut rows: Vec<SeasonRow> = outlook
        .yard
        .seasons
        .iter()
        .map(|s| {
            let ticks: Vec<&Tick> = outlook
                .yard
                .ticks
                .iter()
                .filter(|t| t.season_id == Some(s.id) && t.kind == TickKind::Done)
                .collect();
            let lit = match (s.lights_on, s.lights_off) {
                (Some(a), Some(b)) => format!("{} to {}", a.format("%-d %b %Y"), b.format("%-d %b %Y")),
                (Some(a), None) => format!("from {}", a.format("%-d %b %Y")),
                _ => "not told".to_owned(),
            };
            let state = match (s.closed_on, s.lights_off, s.lights_on) {
                (Some(_), _, _) => "closed",
                (None, Some(off), _) if off < today => "to close",
                (None, _, Some(on)) if on.date() <= today => "lit",
                _ => "planned",
            };
            SeasonRow {
                code: s.code.clone(),
                name: s.name.clone(),
                lit,
                hours: lit_hours(outlook, s),
                placements: outlook.yard.placements.iter().filter(|p| p.season_id == s.id).count(),
                steps_done: ticks.len(),
                planned_min: ticks.iter().filter_map(|t| t.planned_s).map(Span::minutes_up).sum(),
                taken_min: taken_minutes(&ticks, &corrections),
                spent: spent(outlook, s),
                currency: outlook.currency(),
                faults: outlook.yard.faults.iter().filter(|f| f.season_id == Some(s.id)).count(),
                state: state.to_owned(),
                differences: differences(outlook, &s.code),
                open: if s.closed_on.is_none() && s.lights_off.is_some_and(|d| d < today) {
                    open_at_close(outlook, &s.code)
                } else {
                    Vec::new()
                },
            }
        })
        .collect();
    rows.sort_by(|a, b| b.code.cmp(&a.code));
    let lit = |code: &str| outlook.yard.seasons.iter().find(|s| s.code == code).and_then(|s| s.lights_on);
    rows.sort_by_key(|r| std::cmp::Reverse(lit(&r.code)));
    Seasons { rows, dates: dates(outlook), ..record_view(outlook) }
}

/// What was paid for the whole yard in the year up to a season's lights off: orders, and pieces of what was not
/// ordered there. Nothing where no price of that year is told.
fn spent(outlook: &Outlook, season: &Season) -> Option<Money> {
    let to = season.lights_off.or(season.lights_on.map(|t| t.date()))?;
    let from = to.checked_sub_months(chrono::Months::new(12))?;
    let within = |day: chrono::NaiveDate| from < day && day <= to;
    let orders: Vec<_> = outlook.yard.purchase_orders.iter().filter(|o| within(o.ordered_on)).collect();
    let of = |l: &&OrderLine| orders.iter().any(|o| o.id == l.order_id);
    let lines: Vec<&OrderLine> = outlook.yard.order_lines.iter().filter(of).collect();
    let beside = orders.iter().map(|o| o.shipping_cents.cents() + o.tax_cents.cents());
    let ordered = lines.iter().map(|l| l.packs * l.price_cents.cents());
    let loose = outlook.yard.pieces.iter().filter(|p| p.got_on.is_some_and(within));
    let loose = loose.filter(|p| !lines.iter().any(|l| l.product_id == p.product_id));
    let sums: Vec<i64> =
        beside.chain(ordered).chain(loose.filter_map(|p| p.price_cents.map(Money::cents))).collect();
    (!sums.is_empty()).then(|| Money::from_cents(sums.iter().sum()))
}

/// Totes to be counted today, as the year asks for it: once the takedown is done, or a month after the lights went off.
pub(crate) fn to_count(outlook: &Outlook, season: &Season) -> Vec<Uncounted> {
    let today = outlook.local_now().date();
    let by_now = season.lights_off.is_some_and(|d| (today - d).num_days() > TAKEN_DOWN_BY_DAYS);
    let due = today.month() <= COUNT_UNTIL_MONTH && (by_now || takedown_left(outlook, season) == 0);
    if due { uncounted(outlook, season) } else { Vec::new() }
}

/// Open steps of a takedown, also months later: what was never ticked may still be up. Once another show was lit, it
/// went over to that.
pub(crate) fn takedown_left(outlook: &Outlook, season: &Season) -> usize {
    let now = outlook.local_now();
    let later = |s: &Season| s.lights_on > season.lights_on && s.lights_on.is_some_and(|t| t <= now);
    if outlook.yard.seasons.iter().any(later) { 0 } else { outlook.open_takedown(season) }
}

/// Minutes that ticks took: corrected, recorded, or between beginning and end, which several ticked at once share.
fn taken_minutes(ticks: &[&Tick], corrections: &Corrections) -> i64 {
    let mut spans = BTreeSet::new();
    let minutes = ticks.iter().filter_map(|t| {
        if let Some(corrected) = t.at_ms.and_then(|at| corrections.get(&(&*t.step_key, at))) {
            return corrected.map(Span::minutes_up);
        }
        let between = || {
            let (from, to) = t.began_ms.zip(t.at_ms)?;
            spans.insert((from, to)).then_some((to.0 - from.0) / 60_000)
        };
        let took = t.taken_s.map(Span::minutes_up).or_else(between);
        took.filter(|m| (0..=LONGEST_MIN).contains(m))
    });
    minutes.sum()
}

/// What was done differently in a season and is not decided on, one line each.
pub fn differences(outlook: &Outlook, season: &str) -> Vec<String> {
    let id = outlook.yard.seasons.iter().find(|s| s.code == season).map(|s| s.id);
    let yard = outlook.yard;
    let named = |id| yard.placements.iter().find(|p| p.id == id);
    yard.season_differences
        .iter()
        .filter(|d| Some(d.season_id) == id && d.decision == Decision::Open)
        .map(|d| {
            let name = d.placement_id.and_then(named).map_or("", |p| p.name.as_str());
            format!("{name}: {} {} instead of {}", d.what.as_str(), d.after_text, d.before_text)
        })
        .collect()
}

/// What is still open of a season: takedown, faults, counts, orders, one line each; to be read before it is closed.
pub fn open_at_close(outlook: &Outlook, season: &str) -> Vec<String> {
    let Some(s) = outlook.yard.seasons.iter().find(|s| s.code == season) else { return Vec::new() };
    let facts = outlook.facts();
    let mut lines = Vec::new();
    let lit = s.lights_on.is_none_or(|t| t <= outlook.local_now());
    if let Some(on) = s.lights_on.filter(|_| !lit) {
        lines.push(format!("it is still to be lit, on {}", on.format("%a %-d %b %Y")));
    }
    let mut add = |n: usize, one: &str, many: &str, next: &str| {
        if n > 0 {
            lines.push(format!("{}: {next}", counted(n as i64, one, many)));
        }
    };
    add(
        if lit { takedown_left(outlook, s) } else { 0 },
        "step of takedown is open",
        "steps of takedown are open",
        "plan down, or skip what stays",
    );
    let mine = |f: &&Fault| f.season_id == Some(s.id) && !facts.fault_over(f);
    let faults: Vec<&Fault> = outlook.yard.faults.iter().filter(mine).collect();
    add(faults.len(), "fault is open", "faults are open", "kept on the bench list");
    let several = |p: PlacementId| facts.pieces_of(p).len() > 1;
    let nameless =
        faults.iter().filter(|f| f.piece_id.is_none() && f.placement_id.is_some_and(several)).count();
    add(nameless, "of them names no piece", "of them name no piece", "fault which tells it");
    let uncounted = uncounted(outlook, s);
    add(
        uncounted.len(),
        "tote is not counted since the lights went off",
        "totes are not counted since the lights went off",
        &some(uncounted.into_iter().map(|u| u.code)),
    );
    let to_come = |l: &&OrderLine| l.received < l.packs * l.pack;
    let orders: BTreeSet<_> = outlook.yard.order_lines.iter().filter(to_come).map(|l| l.order_id).collect();
    add(orders.len(), "order is still to come", "orders are still to come", "buy receive, or buy expect");
    let lost = outlook.yard.pieces.iter().filter(|p| p.condition == Condition::Lost).count();
    add(lost, "piece is lost", "pieces are lost", "look again, or buy anew");
    lines
}

/// A tote with pieces that nobody counted since a season's lights went off.
pub(crate) struct Uncounted {
    pub(crate) code: String,
    /// Codes of those pieces, and how many live there.
    pub(crate) left: Vec<String>,
    pub(crate) of: usize,
}

/// The show that went off last of those whose season is not closed.
pub(crate) fn last_over<'a>(outlook: &Outlook<'a>) -> Option<&'a Season> {
    let today = outlook.local_now().date();
    let over = |s: &&Season| s.closed_on.is_none() && s.lights_off.is_some_and(|d| d < today);
    outlook.yard.seasons.iter().filter(over).max_by_key(|s| s.lights_off)
}

fn went_off_ms(outlook: &Outlook, season: &Season) -> Option<i64> {
    let off = season.lights_off?.and_hms_opt(0, 0, 0)?;
    Some(local_time(outlook.zone(), off).ok()?.timestamp_millis())
}

/// What was counted, or put into a tote, since a season's lights went off.
pub(crate) fn seen_since(outlook: &Outlook, season: &Season) -> BTreeSet<PieceId> {
    let since = went_off_ms(outlook, season).unwrap_or(i64::MAX);
    let kept = |l: &&PieceLook| matches!(l.kind, LookKind::Counted | LookKind::Put) && l.at_ms.0 >= since;
    outlook.yard.piece_looks.iter().filter(kept).map(|l| l.piece_id).collect()
}

/// The totes of which some piece that should be there was neither counted nor put there since the lights went off.
pub(crate) fn uncounted(outlook: &Outlook, season: &Season) -> Vec<Uncounted> {
    if went_off_ms(outlook, season).is_none_or(|off| off > outlook.now_ms()) {
        return Vec::new();
    }
    let seen = seen_since(outlook, season);
    let mut lives: BTreeMap<ContainerId, Vec<&Piece>> = BTreeMap::new();
    for p in outlook.yard.pieces.iter().filter(|p| p.condition == Condition::Good) {
        if let Some(home) = p.home_id {
            lives.entry(home).or_default().push(p);
        }
    }
    // What came later was seen as it came.
    let open = |p: &&&Piece| {
        !seen.contains(&p.id) && p.got_on.zip(season.lights_off).is_none_or(|(got, off)| got < off)
    };
    let of = |c: &Container| {
        let all = lives.get(&c.id).filter(|_| c.kind != "place")?;
        let left: Vec<String> = all.iter().filter(open).map(|p| p.code.clone()).collect();
        (!left.is_empty()).then(|| Uncounted { code: c.code.clone(), left, of: all.len() })
    };
    outlook.yard.containers.iter().filter_map(of).collect()
}
