//! The checklist on paper: boxes to tick, by session and place, cautions in full once at the end.

use std::fmt::Write as _;

use maud::html;

use super::page::page;

/// One step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChecklistLine {
    /// "09:40", or its number where no dates are told.
    pub when: String,
    pub title: String,
    /// "0 of 8", empty for a single deed.
    pub count: String,
    pub minutes: String,
    /// People, ladder, tools.
    pub with: String,
    /// Codes of its cautions, explained at the end.
    pub cautions: Vec<String>,
    /// Notes such as what goes into which port.
    pub notes: Vec<String>,
}

/// Steps at one place, in order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChecklistGroup {
    /// The session; empty where no dates are told or it is that of the group before.
    pub session: String,
    pub place: String,
    pub lines: Vec<ChecklistLine>,
}

/// A whole checklist.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChecklistSheet {
    pub title: String,
    /// Dates, sums, what was assumed and not told.
    pub head: Vec<String>,
    pub groups: Vec<ChecklistGroup>,
    /// Steps without a place in the plan, with why and what helps.
    pub unplaced: Vec<String>,
    /// Code, text and source of every caution used.
    pub cautions: Vec<(String, String, String)>,
}

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
