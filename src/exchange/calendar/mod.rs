//! Dates for any calendar program: iCalendar text as RFC 5545 has it.
//!
//! Not here: which dates (`app`), files.

use chrono::{DateTime, NaiveDateTime, Utc};

use crate::answers::view::{Event, When};

/// Most octets of a line before it is folded (RFC 5545, 3.1).
const LINE: usize = 75;

/// The calendar of some events, made at `now` (RFC 5545, 3.4, 3.6.1).
pub fn calendar_text(name: &str, events: &[Event], now: DateTime<Utc>) -> String {
    let mut out = String::new();
    for line in ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//ladderday//ladderday//EN", "CALSCALE:GREGORIAN"]
    {
        fold(&mut out, line);
    }
    fold(&mut out, &format!("NAME:{}", escaped(name)));
    for event in events {
        fold(&mut out, "BEGIN:VEVENT");
        fold(&mut out, &format!("UID:{}", escaped(&event.uid)));
        fold(&mut out, &format!("DTSTAMP:{}", utc(now.naive_utc())));
        match event.when {
            When::Day(day) => {
                fold(&mut out, &format!("DTSTART;VALUE=DATE:{}", day.format("%Y%m%d")));
                if let Some(next) = day.succ_opt() {
                    fold(&mut out, &format!("DTEND;VALUE=DATE:{}", next.format("%Y%m%d")));
                }
            }
            When::Span(from, to) => {
                fold(&mut out, &format!("DTSTART:{}", utc(from.naive_utc())));
                fold(&mut out, &format!("DTEND:{}", utc(to.naive_utc())));
            }
        }
        fold(&mut out, &format!("SUMMARY:{}", escaped(&event.title)));
        if !event.note.is_empty() {
            fold(&mut out, &format!("DESCRIPTION:{}", escaped(&event.note)));
        }
        fold(&mut out, "END:VEVENT");
    }
    fold(&mut out, "END:VCALENDAR");
    out
}

fn utc(t: NaiveDateTime) -> String {
    t.format("%Y%m%dT%H%M%SZ").to_string()
}

/// Text values: backslash, semicolon, comma and line break are escaped (RFC 5545, 3.3.11); other controls go.
fn escaped(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        match c {
            '\\' | ';' | ',' => {
                out.push('\\');
                out.push(c);
            }
            '\n' => out.push_str("\\n"),
            c if c.is_control() => {}
            c => out.push(c),
        }
    }
    out
}

/// One content line: folded where it is longer than 75 octets, never within a character, ended with CRLF.
fn fold(out: &mut String, line: &str) {
    let mut used = 0;
    for c in line.chars() {
        if used + c.len_utf8() > LINE {
            out.push_str("\r\n ");
            used = 1;
        }
        out.push(c);
        used += c.len_utf8();
    }
    out.push_str("\r\n");
}
