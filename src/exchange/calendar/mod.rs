//! Dates for any calendar program: iCalendar text as RFC 5545 has it.
//!
//! Written here: what is used of the format is six properties, folding and escaping. A library would bring its own
//! types of dates and alarms for them, and leave sequence numbers to its caller all the same.
//!
//! Not here: which dates (`app`), files.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use chrono::{DateTime, NaiveDateTime, Utc};

use crate::answers::view::{Event, When};

/// Most octets of a line before it is folded (RFC 5545, 3.1).
const LINE: usize = 75;

/// What was written of an event when the calendar was made last: a calendar program takes a change only under a higher
/// sequence number (RFC 5545, 3.8.7.4).
#[derive(Debug, Clone, PartialEq, Eq)]
struct Written {
    sequence: u32,
    /// The lines that say when and what.
    lines: String,
}

/// The calendar of some events, made at `now` (RFC 5545, 3.4, 3.6.1), and what is to be known of it the next time.
/// `before` is what that was the last time: what is gone since is cancelled.
pub fn calendar_text(name: &str, events: &[Event], before: &str, now: DateTime<Utc>) -> (String, String) {
    let mut known = read_written(before);
    let mut next: BTreeMap<String, Written> = BTreeMap::new();
    let mut out = String::new();
    for line in ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//ladderday//ladderday//EN", "CALSCALE:GREGORIAN"]
    {
        fold(&mut out, line);
    }
    fold(&mut out, &format!("NAME:{}", escaped(name)));
    let mut write = |uid: &str, of: &Written, alarm: bool| {
        fold(&mut out, "BEGIN:VEVENT");
        fold(&mut out, &format!("UID:{}", escaped(uid)));
        fold(&mut out, &format!("DTSTAMP:{}", utc(now.naive_utc())));
        fold(&mut out, &format!("SEQUENCE:{}", of.sequence));
        of.lines.split('\t').for_each(|line| fold(&mut out, line));
        if alarm {
            // At nine the morning before a day that begins at midnight.
            let about = of.lines.split('\t').find(|l| l.starts_with("SUMMARY:")).unwrap_or("SUMMARY:");
            for line in ["BEGIN:VALARM", "ACTION:DISPLAY", "TRIGGER:-PT15H"] {
                fold(&mut out, line);
            }
            fold(&mut out, &about.replacen("SUMMARY:", "DESCRIPTION:", 1));
            fold(&mut out, "END:VALARM");
        }
        fold(&mut out, "END:VEVENT");
    };
    for event in events {
        let lines = event_lines(event).join("\t");
        let sequence = match known.remove(&event.uid) {
            Some(old) if old.lines == lines => old.sequence,
            Some(old) => old.sequence + 1,
            None => 0,
        };
        let written = Written { sequence, lines };
        write(&event.uid, &written, event.alarm);
        next.insert(event.uid.clone(), written);
    }
    for (uid, old) in known {
        // What is past is left alone; what was taken out is called off once, and stays so.
        if !old.is_to_come(now) {
            continue;
        }
        let cancelled = old.lines.contains(CANCELLED);
        let lines = if cancelled { old.lines } else { format!("{}\t{CANCELLED}", old.lines) };
        let written = Written { sequence: old.sequence + u32::from(!cancelled), lines };
        write(&uid, &written, false);
        next.insert(uid, written);
    }
    fold(&mut out, "END:VCALENDAR");
    let mut said = String::new();
    for (uid, w) in next {
        let _ = writeln!(said, "{uid}\t{}\t{}", w.sequence, w.lines);
    }
    (out, said)
}

const CANCELLED: &str = "STATUS:CANCELLED";

fn read_written(text: &str) -> BTreeMap<String, Written> {
    let part = |line: &str| {
        let (uid, rest) = line.split_once('\t')?;
        let (sequence, lines) = rest.split_once('\t')?;
        Some((uid.to_owned(), Written { sequence: sequence.parse().ok()?, lines: lines.to_owned() }))
    };
    text.lines().filter_map(part).collect()
}

impl Written {
    fn is_to_come(&self, now: DateTime<Utc>) -> bool {
        let start = self.lines.split('\t').find(|l| l.starts_with("DTSTART"));
        let day = start.and_then(|l| l.rsplit(':').next()).and_then(|d| d.get(..8));
        day.is_some_and(|d| d >= now.format("%Y%m%d").to_string().as_str())
    }
}

/// When and what, one content line each, before folding. No line has a tab: [`escaped`] leaves controls out.
fn event_lines(event: &Event) -> Vec<String> {
    let mut lines = Vec::new();
    match event.when {
        When::Day(day) => {
            lines.push(format!("DTSTART;VALUE=DATE:{}", day.format("%Y%m%d")));
            lines.extend(day.succ_opt().map(|next| format!("DTEND;VALUE=DATE:{}", next.format("%Y%m%d"))));
        }
        When::Span(from, to) => {
            lines.push(format!("DTSTART:{}", utc(from.naive_utc())));
            lines.push(format!("DTEND:{}", utc(to.naive_utc())));
        }
    }
    lines.push(format!("SUMMARY:{}", escaped(&event.title)));
    if !event.note.is_empty() {
        lines.push(format!("DESCRIPTION:{}", escaped(&event.note)));
    }
    lines
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
