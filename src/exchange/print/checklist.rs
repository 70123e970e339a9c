//! The checklist on paper: boxes to tick, by session and place, cautions in full once at the end.

use std::fmt::Write as _;

use maud::html;

use super::page::page;
use crate::answers::view::ChecklistSheet;

/// As plain text.
pub fn checklist_text(sheet: &ChecklistSheet) -> String {
    let mut out = format!("{}\n", sheet.title);
    for line in &sheet.head {
        let _ = writeln!(out, "{line}");
    }
    for group in &sheet.groups {
        if !group.session.is_empty() {
            let _ = writeln!(out, "\n{}", group.session);
        }
        let _ = writeln!(out, "  {}", group.place);
        for l in &group.lines {
            let count = if l.count.is_empty() { String::new() } else { format!(" ({})", l.count) };
            let with = if l.with.is_empty() { String::new() } else { format!("  {}", l.with) };
            let _ = writeln!(out, "    [ ] {} {}{count}, {}{with}", l.when, l.title, l.minutes);
            if !l.cautions.is_empty() {
                let _ = writeln!(out, "          ! {}", l.cautions.join(", "));
            }
            for note in &l.notes {
                let _ = writeln!(out, "          {note}");
            }
        }
    }
    if !sheet.unplaced.is_empty() {
        let _ = writeln!(out, "\nWithout a place in the plan");
        for line in &sheet.unplaced {
            let _ = writeln!(out, "  {line}");
        }
    }
    if !sheet.cautions.is_empty() {
        let _ = writeln!(out, "\nCautions; local code and licensed practice come first");
        for (code, text, source) in &sheet.cautions {
            let _ = writeln!(out, "  ! {code}: {text} ({source})");
        }
    }
    out
}

/// As a page to print.
pub fn checklist_html(sheet: &ChecklistSheet) -> String {
    let body = html! {
        @for line in &sheet.head { div { (line) } }
        @for group in &sheet.groups {
            @if !group.session.is_empty() { h2 { (group.session) } }
            section {
                h3 { (group.place) }
                ul {
                    @for l in &group.lines {
                        li {
                            span class="box" {}
                            (l.when) " " (l.title)
                            @if !l.count.is_empty() { " (" (l.count) ")" }
                            ", " (l.minutes)
                            @if !l.with.is_empty() { " · " (l.with) }
                            @if !l.cautions.is_empty() { div class="caution" { "! " (l.cautions.join(", ")) } }
                            @for note in &l.notes { div class="why" { (note) } }
                        }
                    }
                }
            }
        }
        @if !sheet.unplaced.is_empty() {
            h2 { "Without a place in the plan" }
            @for line in &sheet.unplaced { div { (line) } }
        }
        @if !sheet.cautions.is_empty() {
            h2 { "Cautions; local code and licensed practice come first" }
            @for (code, text, source) in &sheet.cautions {
                p { b { "! " (code) } ": " (text) " (" (source) ")" }
            }
        }
    };
    page(&sheet.title, &body)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_people_typed_is_text_on_the_page() {
        let sheet = ChecklistSheet {
            title: "<b>yard</b>".to_owned(),
            head: Vec::new(),
            groups: Vec::new(),
            unplaced: Vec::new(),
            cautions: Vec::new(),
        };
        let html = checklist_html(&sheet);
        assert!(html.contains("&lt;b&gt;yard&lt;/b&gt;") && !html.contains("<b>yard"));
    }
}
