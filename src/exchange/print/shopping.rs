//! The shopping list on paper: by vendor, with order-by dates and boxes to tick.

use std::fmt::Write as _;

use maud::html;

use super::page::page;
use crate::answers::view::ShoppingSheet;

/// As plain text.
pub fn shopping_text(sheet: &ShoppingSheet) -> String {
    let mut out = format!("{}\n", sheet.title);
    for v in &sheet.vendors {
        let _ = writeln!(out, "\n{}, {}", v.vendor, v.order_by);
        for l in &v.lines {
            let priced = if l.priced.is_empty() { String::new() } else { format!(", {}", l.priced) };
            let _ = writeln!(out, "  [ ] {} {}  {}{priced}", l.count, l.item, l.price);
            for reason in &l.reasons {
                let _ = writeln!(out, "        {reason}");
            }
        }
        let _ = writeln!(out, "  {}", v.sums);
    }
    if !sheet.unmet.is_empty() {
        out.push_str("\nIn no basket\n");
    }
    for line in &sheet.unmet {
        let _ = writeln!(out, "  [ ] {line}");
    }
    if !sheet.total.is_empty() {
        let _ = writeln!(out, "\n{}", sheet.total);
    }
    out
}

/// As a page to print.
pub fn shopping_html(sheet: &ShoppingSheet) -> String {
    let body = html! {
        @for v in &sheet.vendors {
            section {
                h2 { (v.vendor) ", " (v.order_by) }
                ul {
                    @for l in &v.lines {
                        li {
                            span class="box" {}
                            (l.count) " " (l.item) ", " (l.price)
                            @if !l.priced.is_empty() { ", " (l.priced) }
                            @for reason in &l.reasons { div class="why" { (reason) } }
                        }
                    }
                }
                div { (v.sums) }
            }
        }
        @if !sheet.unmet.is_empty() {
            h2 { "In no basket" }
            ul { @for line in &sheet.unmet { li { span class="box" {} (line) } } }
        }
        p { b { (sheet.total) } }
    };
    page(&sheet.title, &body)
}
