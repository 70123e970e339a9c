//! The HTML page that every sheet sits on: black on white, one file, nothing loaded from elsewhere.

use maud::{DOCTYPE, Markup, PreEscaped, html};

const STYLE: &str = "body{font:11pt/1.3 sans-serif;color:#000;background:#fff;margin:12mm}\
h1{font-size:16pt;margin:0 0 2mm}h2{font-size:13pt;margin:6mm 0 1mm;border-bottom:1px solid #000}\
h3{font-size:11pt;margin:3mm 0 1mm}ul{list-style:none;margin:0;padding:0}li{margin:0 0 1.5mm;break-inside:avoid}\
.box{display:inline-block;width:5mm;height:5mm;border:.5mm solid #000;margin-right:2mm;vertical-align:-1mm}\
.why{font-size:9pt}.caution{font-size:9pt;font-weight:bold}table{border-collapse:collapse;width:100%}\
td,th{border:1px solid #000;padding:1mm 2mm;text-align:left}section{break-inside:auto}\
@page{margin:10mm}@media print{body{margin:0}}";

/// Nothing is fetched, sent or run but what stands in the page itself.
const ALONE: &str = "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'";

pub(super) fn page(title: &str, body: &Markup) -> String {
    page_with(title, "", "", body)
}

/// A page with more style, that carries the code of its sheet.
pub(super) fn page_with(title: &str, sheet: &str, style: &str, body: &Markup) -> String {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(ALONE);
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (PreEscaped(STYLE)) (PreEscaped(style)) }
            }
            body data-sheet=(sheet) {
                h1 { (title) }
                (body)
            }
        }
    }
    .into_string()
}
