//! The dates to keep, for a calendar program: order-by days, deliveries, sessions, the stock check, lights on.

use chrono::{NaiveDate, NaiveDateTime};

use crate::answers::Outlook;
use crate::answers::problem::Problem;
use crate::answers::shopping::BuyChoice;
use crate::answers::shopping::list::shopping;
use crate::answers::shopping::sheet::vendor_baskets;
use crate::answers::shopping::stock::SIX_WEEKS;
use crate::answers::view::{Event, When};
use crate::answers::words::title;
use crate::domain::{Phase, local_time};
use crate::planner::Plan;

/// The name of the season that is coming, and its dates in their order.
///
/// # Errors
/// `no-season` where there is none.
pub(crate) fn calendar(outlook: &Outlook, plan: Option<&Plan>) -> Result<(String, Vec<Event>), Problem> {
    let season = outlook.season_for(Phase::Up)?.clone();
    let today = outlook.now().with_timezone(&outlook.zone()).date_naive();
    let mut events: Vec<Event> = Vec::new();
    for (id, vendor, day, items) in order_days(outlook, plan)? {
        events.push(Event {
            uid: format!("order-{id}-{}@ladderday", season.code),
            when: When::Day(day),
            title: format!("Order at {vendor} today at the latest"),
            note: items.join("\n"),
            alarm: true,
        });
    }
    for o in &outlook.yard.purchase_orders {
        let open =
            outlook.yard.order_lines.iter().any(|l| l.order_id == o.id && l.received < l.packs * l.pack);
        if let Some(day) = o.expected_on.filter(|d| open && *d >= today) {
            events.push(day_event(format!("delivery-{}", o.code), day, format!("{} should arrive", o.code)));
        }
    }
    let now = outlook.now();
    for s in outlook.yard.sessions.iter().filter(|s| !s.lost) {
        let span = local_time(outlook.zone(), s.starts).ok().zip(local_time(outlook.zone(), s.ends).ok());
        let Some((from, to)) = span.filter(|(_, to)| *to > now) else { continue };
        let people: Vec<&str> = outlook
            .yard
            .session_people
            .iter()
            .filter(|x| x.session_id == s.id)
            .filter_map(|x| outlook.yard.people.iter().find(|p| p.id == x.person_id))
            .map(|p| p.name.as_str())
            .collect();
        events.push(Event {
            uid: format!("session-{}@ladderday", s.id),
            when: When::Span(from, to),
            title: format!("Work on the display: {}", people.join(", ")),
            note: session_list(plan, s),
            alarm: false,
        });
    }
    for d in outlook.yard.duties.iter().filter(|d| d.ended_at.is_none()) {
        if let Some(day) = d.expires_on.filter(|d| *d >= today) {
            let mut event =
                day_event(format!("expires-{}", d.id), day, format!("Expires today: {}", d.title));
            d.note.clone_into(&mut event.note);
            event.alarm = true;
            events.push(event);
        }
    }
    for s in outlook.yard.seasons.iter().filter(|s| s.closed_on.is_none()) {
        let mut moment = |what: &str, at: Option<NaiveDateTime>| {
            if let Some(t) = at.filter(|t| t.date() >= today) {
                let uid = format!("{}-{}", what.to_lowercase().replace(' ', "-"), s.code);
                events.push(day_event(uid, t.date(), format!("{what}, {} at {}", s.name, t.format("%H:%M"))));
            }
        };
        moment("Rehearsal", s.rehearsal);
        moment("Lights on", s.lights_on);
        if let Some(day) = s.work_from.map(|d| d - SIX_WEEKS).filter(|d| *d >= today) {
            events.push(day_event(
                format!("stock-{}", s.code),
                day,
                format!("Check the stock for {}", s.name),
            ));
        }
    }
    events.sort_by(|a, b| (start(a), &a.uid).cmp(&(start(b), &b.uid)));
    Ok((season.name, events))
}

/// The note of a session, and what is planned in it.
fn session_list(plan: Option<&Plan>, session: &crate::domain::Session) -> String {
    let mut lines: Vec<String> = Some(session.note.clone()).filter(|n| !n.is_empty()).into_iter().collect();
    let Some(plan) = plan else { return lines.join("\n") };
    let at = plan.sessions.iter().position(|s| s.id == session.id);
    for p in plan.steps.iter().filter(|p| at.is_some() && p.session == at) {
        let when =
            p.from.map_or_else(String::new, |t| t.with_timezone(&plan.zone).format("%H:%M ").to_string());
        lines.push(format!("{when}{} ({})", title(p), p.people.join(", ")));
    }
    lines.join("\n")
}

/// Vendor's id (with its sale, where it waits for one), name, last day to order there, what.
type OrderDay = (String, String, NaiveDate, Vec<String>);

fn order_days(outlook: &Outlook, plan: Option<&Plan>) -> Result<Vec<OrderDay>, Problem> {
    let shopping = shopping(outlook, plan, &BuyChoice::default())?;
    Ok(vendor_baskets(outlook, &shopping)
        .into_iter()
        .filter_map(|b| {
            let items = b.lines.iter().map(|l| format!("{} x {} {}", l.packs, l.pack, l.item)).collect();
            let id = b.vendor.map_or_else(String::new, |v| v.to_string());
            let sale = if b.opens.is_some() { "-sale" } else { "" };
            Some((format!("{id}{sale}"), b.vendor_name, b.order_by?, items))
        })
        .collect())
}

fn start(event: &Event) -> NaiveDateTime {
    match event.when {
        When::Day(d) => d.and_time(chrono::NaiveTime::MIN),
        When::Span(from, _) => from.naive_utc(),
    }
}

fn day_event(uid: String, day: NaiveDate, title: String) -> Event {
    Event { uid: format!("{uid}@ladderday"), when: When::Day(day), title, note: String::new(), alarm: false }
}
