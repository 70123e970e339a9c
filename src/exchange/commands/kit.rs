//! `kit list|show`: everything that is owned or placed, and all about one of it.

use crate::answers::view::{KitDetail, KitRow};
use crate::exchange::json::{KitDetailDoc, KitDoc, KitLineDoc, KitRowDoc};

pub(crate) fn document(rows: Vec<KitRow>) -> KitDoc {
    let doc = |r: KitRow| KitRowDoc {
        code: r.code,
        kind: r.kind.word().to_owned(),
        name: r.name,
        sort: r.sort,
        state: r.state,
        home: r.home,
    };
    KitDoc { kit: rows.into_iter().map(doc).collect() }
}

/// What `kit list WORDS` looks through, and prints.
pub(crate) fn line(r: &KitRow) -> String {
    let parts = [&r.code, &r.name, &r.kind.word().to_owned(), &r.sort, &r.state, &r.home];
    parts.into_iter().filter(|p| !p.is_empty()).cloned().collect::<Vec<_>>().join("  ")
}

pub(crate) fn text(rows: &[KitRow]) -> String {
    if rows.is_empty() {
        return "nothing is found\n".to_owned();
    }
    rows.iter().fold(String::new(), |out, r| format!("{out}{}\n", line(r)))
}

pub(crate) fn detail_document(row: &KitRow, detail: KitDetail) -> KitDetailDoc {
    let lines = detail.lines.into_iter().map(|(label, text)| KitLineDoc { label, text }).collect();
    KitDetailDoc { code: row.code.clone(), kind: row.kind.word().to_owned(), lines }
}

pub(crate) fn detail_text(row: &KitRow, detail: &KitDetail) -> String {
    let lines = detail.lines.iter();
    lines.fold(format!("{}\n", line(row)), |out, (label, text)| format!("{out}    {label}: {text}\n"))
}
