//! A piece's whole life in the order of its days: bought, placed, moved, lent, failed, mended, what it cost.

use crate::answers::Outlook;
use crate::answers::faults::page::symptom_words;
use crate::answers::words::{container_name, deed_words, n_of, placement_place};
use crate::domain::{
    Fault, LookKind, PastChange, Piece, PieceLook, Placement, ProductId, Stock, Tick, TickKind, Value,
};
use crate::steps::{ALONE, Facts};
use crate::units::Money;

/// One line an event, oldest first, then the money.
pub(crate) fn life(
    outlook: &Outlook,
    facts: &Facts,
    p: &Piece,
    moves: &[PastChange],
) -> Vec<(String, String)> {
    let mut lines: Vec<Event> = Vec::new();
    let zone = outlook.zone();
    let at_day = |d: chrono::NaiveDate| {
        crate::domain::local_time(zone, d.and_time(chrono::NaiveTime::MIN))
            .map_or(0, |t| t.timestamp_millis())
    };
    if let Some(day) = p.got_on {
        let from = if p.source.is_empty() { String::new() } else { format!(" from {}", p.source) };
        let paid = p.price_cents.map_or_else(String::new, |m| format!(", {}", m.show(&outlook.currency())));
        lines.push((at_day(day), "got", format!("{}{from}{paid}", day.format("%a %-d %b %Y"))));
    }
    for placement in facts.placements_of(p.id) {
        let season = facts.season(placement.season_id);
        let at = placement_place(facts, placement);
        let when = season.and_then(|s| s.lights_on).map_or(i64::MAX, |t| at_day(t.date()));
        let name = season.map_or("", |s| s.name.as_str());
        lines.push((when, "placed", format!("{name}: {} at {at}", placement.name)));
    }
    for change in moves {
        lines.push((
            change.at_ms,
            "moved",
            format!("{} {}", outlook.say_ms(change.at_ms), moved(outlook, change)),
        ));
    }
    for look in outlook.yard.piece_looks.iter().filter(|l| l.piece_id == p.id) {
        lines.push((
            look.at_ms.0,
            "seen",
            format!("{} {}", outlook.say_ms(look.at_ms.0), seen(outlook, look)),
        ));
    }
    let mut spent = p.price_cents.map_or(0, Money::cents);
    let mut sum = Spent::default();
    for fault in facts.faults_of_piece(p.id) {
        sum.add(outlook, facts, fault, &mut lines);
    }
    lines.sort_by_key(|l| l.0);
    let Spent { parts_cost, minutes, unpriced } = sum;
    spent += parts_cost;
    let mut rows: Vec<(String, String)> =
        lines.into_iter().map(|(_, label, text)| (label.to_owned(), text)).collect();
    if spent > 0 || minutes > 0 || unpriced > 0 {
        let currency = outlook.currency();
        let price = p.price_cents.map_or_else(|| "price not told".to_owned(), |m| m.show(&currency));
        let parts = Money::from_cents(parts_cost).show(&currency);
        let more = if unpriced > 0 {
            format!(", {} without a price", n_of(unpriced, "part"))
        } else {
            String::new()
        };
        let total = Money::from_cents(spent).show(&currency);
        rows.push((
            "money".to_owned(),
            format!("{price}, parts {parts}{more}: {total} so far; {minutes} min of mending"),
        ));
    }
    rows
}

/// "put into T-05 Boats, Loft", "came off wet".
fn seen(outlook: &Outlook, look: &PieceLook) -> String {
    let tote = look.container_id.and_then(|id| container_name(outlook, id)).unwrap_or_default();
    match look.kind {
        LookKind::Put => format!("put into {tote}"),
        LookKind::Counted => format!("counted in {tote}"),
        LookKind::Taken => "taken out".to_owned(),
        LookKind::Missing => "missing".to_owned(),
        LookKind::Good => "came off good and dry".to_owned(),
        LookKind::Wet | LookKind::Worn | LookKind::Faulty => format!("came off {}", look.kind.as_str()),
    }
}

/// What failed and was mended at a prop, and what was noted of it, above all where no piece is named; in the seasons
/// before, too.
pub(crate) fn placement_life(outlook: &Outlook, facts: &Facts, p: &Placement) -> Vec<(String, String)> {
    let prop = p.prop();
    let same = |x: &&Placement| x.id == p.id || (x.season_id != p.season_id && x.prop() == prop);
    in_order(outlook.yard.placements.iter().filter(same).flat_map(|x| events(outlook, facts, x)))
}

/// What came into a lot of counted things and went out of it, and what was seen of them where they were put out.
pub(crate) fn lot_life(outlook: &Outlook, facts: &Facts, lot: &Stock) -> Vec<(String, String)> {
    let moves = outlook.yard.stock_moves.iter().filter(|m| m.stock_id == lot.id).map(|m| {
        let why = if m.why.is_empty() { String::new() } else { format!(", {}", m.why) };
        (m.at_ms.0, m.kind.as_str(), format!("{} {}{why}", outlook.say_ms(m.at_ms.0), m.quantity))
    });
    let of_lot = |p: &&Placement| p.product_id == Some(lot.product_id) && facts.pieces_of(p.id).is_empty();
    let placed = outlook.yard.placements.iter().filter(of_lot);
    let seen = placed.flat_map(|p| {
        events(outlook, facts, p)
            .into_iter()
            .map(|(at, word, text)| (at, word, format!("{}: {text}", p.name)))
    });
    in_order(moves.chain(seen))
}

type Event = (i64, &'static str, String);

fn in_order(events: impl Iterator<Item = Event>) -> Vec<(String, String)> {
    let mut events: Vec<Event> = events.collect();
    events.sort_by_key(|e| e.0);
    events.into_iter().map(|(_, label, text)| (label.to_owned(), text)).collect()
}

/// Faults, mends and notes of one placement.
fn events(outlook: &Outlook, facts: &Facts, p: &Placement) -> Vec<Event> {
    let mut lines = Vec::new();
    let mut sum = Spent::default();
    for fault in outlook.yard.faults.iter().filter(|f| f.placement_id == Some(p.id)) {
        sum.add(outlook, facts, fault, &mut lines);
    }
    let noted = |t: &&Tick| {
        t.placement_id == Some(p.id)
            && t.kind == TickKind::Note
            && !t.why.is_empty()
            && !t.cautions.has(ALONE)
    };
    for tick in outlook.yard.ticks.iter().filter(noted) {
        let at = tick.at_ms.map_or(0, |m| m.0);
        lines.push((at, "noted", format!("{} {}", outlook.say_ms(at), tick.why)));
    }
    lines
}

/// What mending took so far.
#[derive(Default)]
struct Spent {
    /// Cents.
    parts_cost: i64,
    minutes: i64,
    /// Parts whose price is not told.
    unpriced: i64,
}

impl Spent {
    /// A line for the fault and one for each entry about it.
    fn add(&mut self, outlook: &Outlook, facts: &Facts, fault: &Fault, lines: &mut Vec<Event>) {
        let text = format!("{} {}: {}", fault.code, outlook.say_ms(fault.found_ms.0), symptom_words(fault));
        lines.push((fault.found_ms.0, "fault", text));
        for e in facts.repairs(fault.id) {
            let part = e.part_id.zip(e.parts_used);
            if let Some((product, n)) = part {
                match price_of(outlook, product) {
                    Some(cents) => self.parts_cost += cents * n,
                    None => self.unpriced += n,
                }
            }
            let with = part.and_then(|(id, n)| {
                let cost = price_of(outlook, id).map(|c| Money::from_cents(c * n).show(&outlook.currency()));
                let cost = cost.map_or_else(String::new, |c| format!(" for {c}"));
                Some(format!(", {n} x {}{cost}", facts.product(id)?.name))
            });
            let took = e.minutes_s.map_or_else(String::new, |m| format!(", {}", m.show()));
            self.minutes += e.minutes_s.map_or(0, crate::units::Span::minutes_up);
            let cause = e.cause.as_deref().filter(|c| !c.is_empty());
            let cause = cause.map_or_else(String::new, |c| format!(", {}", c.replace('_', " ")));
            let text = format!(
                "{} {}{cause}{took}{} {}",
                outlook.say_ms(e.at_ms.0),
                deed_words(e.deed),
                with.unwrap_or_default(),
                e.note
            );
            lines.push((e.at_ms.0, "repair", text.trim_end().to_owned()));
        }
    }
}

/// "from T-01 … to the bench", "lent, was good".
pub(crate) fn moved(outlook: &Outlook, change: &PastChange) -> String {
    let word = |value: &Value| match value {
        Value::Text(text) if change.column == "home_id" => {
            let home = outlook.yard.containers.iter().find(|c| c.id.to_string() == *text);
            home.and_then(|c| container_name(outlook, c.id))
                .unwrap_or_else(|| "a home that is gone".to_owned())
        }
        Value::Text(text) => text.replace('_', " "),
        _ => "no home".to_owned(),
    };
    let (before, after) = (word(&change.before), word(&change.after));
    if change.column == "home_id" {
        format!("from {before} to {after}")
    } else {
        format!("{after}, was {before}")
    }
}

/// What one of a product cost last: by the latest order, else by the latest offer.
fn price_of(outlook: &Outlook, product: ProductId) -> Option<i64> {
    let ordered = outlook
        .yard
        .order_lines
        .iter()
        .filter(|l| l.product_id == product)
        .max_by_key(|l| {
            outlook.yard.purchase_orders.iter().find(|o| o.id == l.order_id).map(|o| o.ordered_on)
        })
        .map(|l| l.price_cents.cents() / l.pack.max(1));
    let offered = || {
        let own = outlook.yard.offers.iter().filter(|o| o.product_id == product);
        own.max_by_key(|o| (o.priced_on, o.id)).map(|o| o.price_cents.cents() / o.pack.max(1))
    };
    ordered.or_else(offered)
}
