//! The HTML page that every sheet sits on: black on white, no scripts, boxes to tick by hand.

use maud::{DOCTYPE, Markup, PreEscaped, html};

const STYLE: &str = "body{font:11pt/1.35 sans-serif;color:#000;background:#fff;margin:12mm}\
h1{font-size:16pt;margin:0 0 2mm}h2{font-size:13pt;margin:6mm 0 1mm;border-bottom:1px solid #000}\
h3{font-size:11pt;margin:3mm 0 1mm}ul{list-style:none;margin:0;padding:0}li{margin:0 0 1.5mm;break-inside:avoid}\
.box{display:inline-block;width:4mm;height:4mm;border:1.2px solid #000;margin-right:2mm;vertical-align:-0.6mm}\
.why{font-size:9pt}.caution{font-size:9pt;font-weight:bold}table{border-collapse:collapse;width:100%}\
td,th{border:1px solid #000;padding:1mm 2mm;text-align:left}section{break-inside:avoid}@page{margin:10mm}";

pub(super) fn page(title: &str, body: &Markup) -> String {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                h1 { (title) }
                (body)
            }
        }
    }
    .into_string()
}
