//! The calendar, read back by an own small reader of RFC 5545: lines unfolded, values unescaped.

use super::Yard;
use ladderday::app::{Ask, SheetForm};

/// Content lines after unfolding (RFC 5545, 3.1), checked for length and line ends.
fn lines(text: &str) -> Vec<(String, String)> {
    assert!(text.ends_with("\r\n") && !text.replace("\r\n", "").contains(['\r', '\n']));
    for raw in text.split("\r\n") {
        assert!(raw.len() <= 75, "{} octets: {raw}", raw.len());
    }
    let unfolded = text.replace("\r\n ", "");
    unfolded
        .split("\r\n")
        .filter(|l| !l.is_empty())
        .map(|l| l.split_once(':').map(|(n, v)| (n.to_owned(), v.to_owned())).unwrap())
        .collect()
}

#[test]
fn every_event_has_what_rfc_5545_asks_of_it() {
    let text = Yard::demo().at("2026-09-01T12:00").calendar().unwrap();
    let all = lines(&text);
    assert_eq!(all.first().map(|l| l.1.as_str()), Some("VCALENDAR"));
    assert_eq!(all.last().map(|l| (l.0.as_str(), l.1.as_str())), Some(("END", "VCALENDAR")));
    let mut uids = std::collections::BTreeSet::new();
    let mut titles = Vec::new();
    for event in all.split(|l| l.0 == "BEGIN" && l.1 == "VEVENT").skip(1) {
        let one = |name: &str| {
            let found: Vec<_> =
                event.iter().filter(|l| l.0 == name || l.0.starts_with(&format!("{name};"))).collect();
            assert_eq!(found.len(), 1, "{name} in {event:?}");
            found[0].1.clone()
        };
        assert!(uids.insert(one("UID")), "a UID twice");
        assert_eq!(one("DTSTAMP"), "20260901T160000Z");
        assert!(one("DTSTART") < one("DTEND"));
        assert!(one("SEQUENCE").parse::<u32>().is_ok());
        let title = one("SUMMARY");
        // An order day is told before it is over.
        let alarms = event.iter().filter(|l| l.0 == "TRIGGER" && l.1.starts_with("-P")).count();
        assert_eq!(
            alarms,
            usize::from(title.starts_with("Order at") || title.starts_with("Expires")),
            "{title}"
        );
        titles.push(title);
    }
    for wanted in
        ["Order at", "PO26-03 should arrive", "Work on the display: ", "Lights on\\, Midwinter Harbor"]
    {
        assert!(titles.iter().any(|t| t.starts_with(wanted)), "{wanted}: {titles:?}");
    }
}

#[test]
fn the_shopping_sheet_has_boxes_and_reasons() {
    let yard = Yard::demo();
    let mut app = yard.at("2026-09-01T12:00");
    let plain = app.shopping_sheet(SheetForm::Text).unwrap();
    assert!(
        plain.contains("[ ] ") && plain.contains("order by") && plain.contains("In no basket"),
        "{plain}"
    );
    let html = app.shopping_sheet(SheetForm::Html).unwrap();
    assert!(html.starts_with("<!DOCTYPE html>") && html.contains("class=\"box\""));
}

/// Work begins on 5 September: the stock is looked over on 25 July, a whole day, and not once that is past.
#[test]
fn the_stock_check_stands_six_weeks_before_the_first_step() {
    let yard = Yard::demo();
    let event = |now: &str| {
        let all = lines(&yard.at(now).calendar().unwrap());
        let events: Vec<_> = all.split(|l| l.0 == "BEGIN" && l.1 == "VEVENT").map(<[_]>::to_vec).collect();
        let wanted = "Check the stock for Lantern Tide 2026";
        let own = events.into_iter().find(|e| e.iter().any(|l| l.0 == "SUMMARY" && l.1 == wanted));
        own.and_then(|e| e.into_iter().find(|l| l.0 == "DTSTART;VALUE=DATE")).map(|l| l.1)
    };
    let season = yard.at("2026-07-01T12:00").yard().seasons.iter().find(|s| s.code == "tide-2026").cloned();
    let day = season.unwrap().work_from.unwrap() - chrono::Duration::days(42);
    assert_eq!(event("2026-07-01T12:00"), Some(day.format("%Y%m%d").to_string()));
    let late = format!("{}T12:00", day + chrono::Duration::days(1));
    assert_eq!(event(&late), None);
}

/// A moved session keeps its id under a higher number, one that fell away is called off, the rest stays as it was.
#[test]
fn a_change_comes_under_the_same_id_with_a_higher_number() {
    let yard = Yard::demo();
    let mut app = yard.at("2026-09-01T12:00");
    let events = |text: &str| -> std::collections::BTreeMap<String, Vec<(String, String)>> {
        let all = lines(text);
        let of = |e: &[(String, String)]| {
            let uid = e.iter().find(|l| l.0 == "UID").unwrap().1.clone();
            (uid, e.to_vec())
        };
        all.split(|l| l.0 == "BEGIN" && l.1 == "VEVENT").skip(1).map(of).collect()
    };
    let value = |e: &[(String, String)], name: &str| {
        e.iter().find(|l| l.0 == name).map(|l| l.1.clone()).unwrap_or_default()
    };
    let first = events(&app.calendar().unwrap());
    let again = events(&app.calendar().unwrap());
    assert_eq!(first, again, "nothing changed, nothing is numbered anew");
    let sessions: Vec<&String> = first.keys().filter(|u| u.starts_with("session-")).collect();
    let code = |uid: &str| {
        let id = uid.trim_start_matches("session-").trim_end_matches("@ladderday").to_owned();
        app.yard().sessions.iter().find(|s| s.id.to_string() == id).unwrap().code.clone()
    };
    let (moved, dropped) = (sessions[2].clone(), sessions[3].clone());
    let (moved_code, dropped_code) = (code(&moved), code(&dropped));
    let starts = app.yard().sessions.iter().find(|s| s.code == moved_code).unwrap().starts;
    let later = (starts + chrono::Duration::minutes(30)).format("%Y-%m-%dT%H:%M").to_string();
    app.perform(&Ask::MoveSession { session: moved_code, starts: later, ends: None }).unwrap();
    app.perform(&Ask::DropSession { session: dropped_code }).unwrap();
    let now = events(&app.calendar().unwrap());
    assert_eq!(value(&now[&moved], "SEQUENCE"), "1");
    assert_ne!(value(&now[&moved], "DTSTART"), value(&first[&moved], "DTSTART"));
    assert_eq!(
        (value(&now[&dropped], "STATUS").as_str(), value(&now[&dropped], "SEQUENCE").as_str()),
        ("CANCELLED", "1")
    );
    let third = events(&app.calendar().unwrap());
    assert_eq!(now, third, "called off once");
}
