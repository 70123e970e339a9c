//! The checklist on paper and on a helper's phone: boxes to tick, by session and place, each caution's words beside the
//! first step of a session that needs them, short numbers to type back.
//!
//! The page for the browser is one file that needs no network. On paper each session begins a page; on a phone rows are
//! tapped, ticks stay in that browser, and at its end stands the line that `step paper` takes.

use std::fmt::Write as _;

use maud::{Markup, PreEscaped, html};

use super::page::{page, page_with};
use crate::answers::view::{ChecklistLine, ChecklistSheet};

/// Keeps ticks in the browser and writes the line; nothing is loaded.
const SCRIPT: &str = include_str!("checklist.js");
const STYLE: &str = include_str!("checklist.css");

/// As plain text.
pub fn checklist_text(sheet: &ChecklistSheet) -> String {
    let mut out = format!("{}\n", sheet.title);
    for line in &sheet.head {
        let _ = writeln!(out, "{line}");
    }
    let numbered = !sheet.code.is_empty();
    for group in &sheet.groups {
        if !group.session.is_empty() {
            let code = if numbered { format!("  (sheet {})", sheet.code) } else { String::new() };
            let _ = writeln!(out, "\n{}{code}", group.session);
        }
        let _ = writeln!(out, "  {}", group.place);
        for l in &group.lines {
            let count = if l.count.is_empty() { String::new() } else { format!(" ({})", l.count) };
            let with = with(l);
            let with = if with.is_empty() { with } else { format!("  {with}") };
            let number = if numbered { format!("{:>3}  ", l.number) } else { String::new() };
            let _ = writeln!(out, "    [ ] {number}{} {}{count}, {}{with}", l.when, l.title, l.minutes);
            for (name, words) in l.cautions.iter().filter_map(|(n, w)| w.as_ref().map(|w| (n, w))) {
                let _ = writeln!(out, "          ! {name}: {words}");
            }
            let again = again(l);
            if !again.is_empty() {
                let _ = writeln!(out, "          ! {again}");
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
    if !sheet.sources.is_empty() {
        let _ = writeln!(out, "\nCautions; local code and licensed practice come first. Their sources:");
        for (name, source) in &sheet.sources {
            let _ = writeln!(out, "  ! {name}: {source}");
        }
    }
    if numbered {
        let _ = writeln!(out, "\nTicked on paper? ladderday step paper {} 12 13 15-18", sheet.code);
    }
    out
}

/// People, then tools.
pub(super) fn with(l: &ChecklistLine) -> String {
    let parts = [l.people.join(", "), l.with.clone()];
    parts.into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join(", ")
}

/// Names of the cautions whose words stand at a step before.
pub(super) fn again(l: &ChecklistLine) -> String {
    l.cautions.iter().filter(|c| c.1.is_none()).map(|c| c.0.as_str()).collect::<Vec<_>>().join(", ")
}

/// As a page to print or to tap.
pub fn checklist_html(sheet: &ChecklistSheet) -> String {
    let numbered = !sheet.code.is_empty();
    let body = html! {
        div class="head" { @for line in &sheet.head { div { (line) } } }
        @if numbered {
            div class="tools" {
                label { "who " select id="who" { option value="" { "everybody" } } }
                label { "where " select id="where" { option value="" { "everywhere" } } }
                label { input type="checkbox" id="words"; " words of all cautions" }
            }
        }
        @for (session, groups) in sessions(sheet) {
            section class="session" {
                h2 { (session) @if numbered { span class="code" { "sheet " (sheet.code) } } }
                @for group in groups {
                    div class="place" data-where=(group.place) {
                        h3 { (group.place) }
                        ul { @for l in &group.lines { (row(l, numbered)) } }
                    }
                }
            }
        }
        @if !sheet.unplaced.is_empty() {
            h2 { "Without a place in the plan" }
            @for line in &sheet.unplaced { div { (line) } }
        }
        @if !sheet.sources.is_empty() {
            p class="sources" {
                b { "Cautions; local code and licensed practice come first." } " Their sources: "
                @for (at, (name, source)) in sheet.sources.iter().enumerate() {
                    @if at > 0 { "; " } b { (name) } " " (source)
                }
            }
        }
        @if numbered {
            p class="typed" { "Ticked by hand? " code { "ladderday step paper " (sheet.code) " 12 13 15-18" } }
            div class="back" {
                p { "This line brings the ticks home; type it there, or send it:" }
                textarea id="line" readonly="readonly" rows="3" {}
                p id="kept" {}
            }
            script { (PreEscaped(SCRIPT)) }
        }
    };
    if numbered { page_with(&sheet.title, &sheet.code, STYLE, &body) } else { page(&sheet.title, &body) }
}

/// Groups by the session they are of.
pub(super) fn sessions(sheet: &ChecklistSheet) -> Vec<(&str, Vec<&crate::answers::view::ChecklistGroup>)> {
    let mut out: Vec<(&str, Vec<_>)> = Vec::new();
    for group in &sheet.groups {
        match out.last_mut() {
            Some((_, groups)) if group.session.is_empty() => groups.push(group),
            _ => out.push((&group.session, vec![group])),
        }
    }
    out
}

fn row(l: &ChecklistLine, numbered: bool) -> Markup {
    html! {
        li data-n=(l.number) data-of=[l.of] data-who=(l.people.join("|")) {
            label {
                input type="checkbox" class="tick" autocomplete="off";
                @if numbered { b class="number" { (l.number) } }
                span class="what" {
                    span class="when" { (l.when) } " " (l.title)
                    span class="more" {
                        @if !l.count.is_empty() { " (" (l.count) ")" }
                        ", " (l.minutes)
                        @let with = with(l);
                        @if !with.is_empty() { " · " (with) }
                        @let again = again(l);
                        @if !again.is_empty() { b class="again" { " !\u{A0}" (again) } }
                    }
                }
            }
            @if let Some(of) = l.of.filter(|of| *of > 1) {
                span class="count" { input type="number" min="0" max=(of) inputmode="numeric"; " of " (of) }
            }
            @for (name, words) in l.cautions.iter().filter_map(|(n, w)| w.as_ref().map(|w| (n, w))) {
                div class="caution" tabindex="0" { b { "! " (name) } span class="full" { ": " (words) } }
            }
            @for note in &l.notes { div class="why" { (note) } }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answers::view::ChecklistGroup;

    fn sheet(code: &str) -> ChecklistSheet {
        let line = |number, words: Option<&str>| ChecklistLine {
            number,
            key: format!("key-{number}"),
            when: "18:05".to_owned(),
            title: "<b>Stars</b>: hang".to_owned(),
            count: "0 of 8".to_owned(),
            of: Some(8),
            minutes: "20 min".to_owned(),
            people: vec!["Wren".to_owned()],
            with: "step ladder".to_owned(),
            cautions: vec![("ladders".to_owned(), words.map(str::to_owned))],
            notes: Vec::new(),
        };
        let lines = vec![line(1, Some("Three points of contact.")), line(2, None)];
        ChecklistSheet {
            code: code.to_owned(),
            title: "<b>yard</b>".to_owned(),
            head: Vec::new(),
            groups: vec![ChecklistGroup { session: "Sat".to_owned(), place: "Gable".to_owned(), lines }],
            unplaced: Vec::new(),
            sources: vec![("ladders".to_owned(), "a source".to_owned())],
        }
    }

    #[test]
    fn what_people_typed_is_text_on_the_page() {
        for code in ["", "1KF"] {
            let html = checklist_html(&sheet(code));
            assert!(html.contains("&lt;b&gt;yard&lt;/b&gt;") && !html.contains("<b>yard"));
            assert!(html.contains("&lt;b&gt;Stars") && !html.contains("<b>Stars"));
        }
    }

    #[test]
    fn the_page_is_one_file_that_asks_nobody() {
        let html = checklist_html(&sheet("1KF"));
        assert!(html.contains("default-src 'none'"), "nothing else may be loaded");
        for outside in ["http://", "https://", "src=", "@import", "url(", "fetch(", "XMLHttp"] {
            assert!(!html.contains(outside), "{outside}");
        }
    }

    #[test]
    fn a_cautions_words_stand_beside_the_first_step_that_needs_them() {
        let text = checklist_text(&sheet("1KF"));
        let at = |needle: &str| text.find(needle).unwrap();
        assert!(at("! ladders: Three points") < at("[ ]   2"));
        assert_eq!(text.matches("Three points").count(), 1);
        assert!(text.contains("sheet 1KF") && !checklist_text(&sheet("")).contains("step paper"));
    }
}
