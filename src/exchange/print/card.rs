//! The card for a box lid: what is plugged where.

use std::fmt::Write as _;

use maud::html;

use super::page::page;
use crate::answers::view::{BoxCard, CardLine};

const CAUTION: &str = "Supply off before any plug is made or parted. A fuse that blows is a fault to find, never a bigger one. Plus is never joined between supplies. Behind the terminal cover: licensed electrician only. A planning aid: local code decides.";
const HEAD: [&str; 11] =
    ["port", "kind", "prop", "pixels", "at", "universe", "slot", "group", "fuse", "wire", "colour"];

fn cells(l: &CardLine) -> [&String; 11] {
    [&l.port, &l.kind, &l.prop, &l.pixels, &l.at, &l.universe, &l.slot, &l.group, &l.fuse, &l.wire, &l.colour]
}

/// As plain text.
pub fn cards_text(cards: &[BoxCard]) -> String {
    let mut out = String::new();
    for card in cards {
        let _ = writeln!(
            out,
            "{}{}",
            card.title,
            if card.stale { "  (changed: print this card again)" } else { "" }
        );
        if !card.address.is_empty() {
            let _ = writeln!(out, "  address {}", card.address);
        }
        if !card.start.is_empty() {
            let _ = writeln!(out, "  {}", card.start);
        }
        for l in &card.lines {
            let told = HEAD.iter().zip(cells(l)).skip(2).filter(|(_, v)| !v.is_empty());
            let text: Vec<String> =
                told.map(|(h, v)| if *h == "prop" { v.clone() } else { format!("{h} {v}") }).collect();
            let _ = writeln!(out, "  {:<5} {:<5} {}", l.port, l.kind, text.join(", "));
        }
        let _ = writeln!(out, "  ! {CAUTION}\n");
    }
    out
}

/// As a page to print.
pub fn cards_html(cards: &[BoxCard]) -> String {
    let body = html! {
        @for card in cards {
            section {
                h2 { (card.title) @if card.stale { " (changed: print this card again)" } }
                @if !card.address.is_empty() { div { "address " (card.address) } }
                @if !card.start.is_empty() { div { (card.start) } }
                table {
                    tr { @for h in HEAD { th { (h) } } }
                    @for l in &card.lines { tr { @for c in cells(l) { td { (c) } } } }
                }
                p class="caution" { "! " (CAUTION) }
            }
        }
    };
    page("Lid cards", &body)
}
