//! The card for a box lid: what is plugged where. One page a box, read at arm's length.

use std::fmt::Write as _;

use maud::{Markup, html};

use super::page::page_with;
use crate::answers::view::{BoxCard, CardLine};

pub(super) const CAUTION: &str = "Supply off before any plug is made or parted. A fuse that blows is a fault to find, never a bigger one. Plus is never joined between supplies. Behind the terminal cover: licensed electrician only. A planning aid: local code decides.";

/// Large where a glove points, small where only the show's numbers stand.
const STYLE: &str = "section{break-after:page;break-inside:avoid}section:last-of-type{break-after:auto}h1{display:none}\
h2{font-size:24pt;margin:0 0 2mm}.about{font-size:12pt}table{margin-top:3mm}th{font-size:10pt}td{font-size:14pt;padding:1mm 2mm}\
td.port,.lead b{font-size:20pt;font-weight:bold;white-space:nowrap}.small{display:block;font-size:9pt}.lead span{margin-right:3mm}\
.lead b+small{font-size:9pt;margin-left:1mm}tr{break-inside:avoid}s{text-decoration-thickness:.7mm}.caution{font-size:10pt;margin:2mm 0}\
.many td{font-size:11pt;padding:.5mm 1.5mm}.many td.port,.many .lead b{font-size:15pt}.many h2{font-size:18pt}\
.crowd td{font-size:9.5pt;padding:.2mm 1mm}.crowd td.port,.crowd .lead b{font-size:13pt}.crowd h2{font-size:16pt}\
.crowd .small,.crowd .lead b+small{font-size:7pt}.crowd .about,.crowd .caution{font-size:9pt;margin:1mm 0}";

/// From so many ports on a card is written smaller, so that a box stays one page.
const MANY: usize = 11;
const CROWD: usize = 19;

/// The leads of one port to one prop stand in one row.
pub(super) fn rows(card: &BoxCard) -> Vec<&[CardLine]> {
    card.lines.chunk_by(|a, b| a.port == b.port && a.prop == b.prop).collect()
}

/// What the show's computer needs and nobody in the rain does.
pub(super) fn numbers(l: &CardLine) -> String {
    let told = [("at pixel", &l.at), ("universe", &l.universe), ("slot", &l.slot), ("group", &l.group)];
    let told = told.iter().filter(|(_, v)| !v.is_empty()).map(|(h, v)| format!("{h} {v}"));
    told.collect::<Vec<_>>().join(", ")
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
            let told = [
                ("lead", &l.lead),
                ("pixels", &l.pixels),
                ("at", &l.at),
                ("universe", &l.universe),
                ("slot", &l.slot),
                ("group", &l.group),
                ("fuse", &l.fuse),
                ("wire", &l.wire),
                ("colour", &l.colour),
            ];
            let told = told.iter().filter(|(_, v)| !v.is_empty()).map(|(h, v)| format!(", {h} {v}"));
            let was = match (&l.was, l.changed) {
                (Some(port), _) => format!(" (changed, was {port})"),
                (None, true) => " (changed)".to_owned(),
                (None, false) => String::new(),
            };
            let _ =
                writeln!(out, "  {:<5} {:<5} {}{was}{}", l.port, l.kind, l.prop, told.collect::<String>());
        }
        let _ = writeln!(out, "  ! {CAUTION}\n");
    }
    out
}

/// As pages to print.
pub fn cards_html(cards: &[BoxCard]) -> String {
    let body = html! {
        @for card in cards {
            @let rows = rows(card);
            section class=(if rows.len() > CROWD { "crowd" } else if rows.len() > MANY { "many" } else { "" }) {
                h2 { (card.title) }
                div class="about" {
                    @if card.stale { b { "Changed: what is struck out stood on the card before. " } }
                    @if !card.address.is_empty() { "address " (card.address) " " }
                    (card.start)
                }
                table {
                    tr { th { "port" } th { "lead" } th { "prop" } th { "pixels" } th { "fuse" } th { "wire" } }
                    @for leads in rows { (row(leads)) }
                }
                p class="caution" { "! " (CAUTION) }
            }
        }
    };
    page_with("Lid cards", "", STYLE, &body)
}

/// A figure once, however many leads have it.
pub(super) fn told(leads: &[CardLine], of: fn(&CardLine) -> &String) -> String {
    let mut seen: Vec<&str> = leads.iter().map(|l| of(l).as_str()).filter(|t| !t.is_empty()).collect();
    seen.dedup();
    seen.join("; ")
}

fn row(leads: &[CardLine]) -> Markup {
    let shown: Vec<String> = leads.iter().map(numbers).filter(|n| !n.is_empty()).collect();
    html! {
        tr {
            td class="port" {
                @for was in leads.iter().filter_map(|l| l.was.as_ref()).take(1) { s { (was) } " " }
                (leads.first().map_or("", |l| l.port.as_str()))
                @if leads.iter().any(|l| l.changed && l.was.is_none()) { " ●" }
            }
            td class="lead" {
                @for l in leads { span { b { (l.lead) } small { (l.kind) " " (l.colour) } } " " }
            }
            td { (leads.first().map_or("", |l| l.prop.as_str())) span class="small" { (shown.join("; ")) } }
            td { (told(leads, |l| &l.pixels)) }
            td { (told(leads, |l| &l.fuse)) }
            td { (told(leads, |l| &l.wire)) }
        }
    }
}
