//! `tote list`, `tote find`, `pack`: what is where, and what would lie where.

use std::fmt::Write as _;

use crate::answers::Outlook;
use crate::answers::totes::{Found, PackProposal};
use crate::answers::view::{ShelfRow, Totes};
use crate::exchange::json::{FoundDoc, PackDoc, PackedToteDoc, ShelfDoc, ToteDoc};
use crate::units::{Mass, Volume};

pub(crate) fn document(page: Totes) -> Vec<ToteDoc> {
    let doc = |r: crate::answers::view::ToteRow| ToteDoc {
        code: r.code,
        name: r.name,
        stands: r.stands,
        r#in: r.is_in,
        of: r.of,
    };
    page.rows.into_iter().map(doc).collect()
}

pub(crate) fn text(page: &Totes) -> String {
    if page.rows.is_empty() {
        return "no tote or shelf is told yet\n".to_owned();
    }
    let mut out = String::new();
    for r in &page.rows {
        let stands = if r.stands.is_empty() { String::new() } else { format!(", {}", r.stands) };
        let _ = writeln!(out, "{}  {}{stands}: {}", r.code, r.name, r.lies());
        let away: Vec<String> = r
            .contents
            .iter()
            .filter(|(.., now)| {
                now != "in" && !now.starts_with("in, ") && now != "stays up" && !now.ends_with("on hand")
            })
            .map(|(code, _, now)| format!("{code} {now}"))
            .collect();
        if !away.is_empty() {
            let _ = writeln!(out, "    {}", away.join("; "));
        }
        let to_do = |n: &&String| n.starts_with("over weight") || n.starts_with("not counted");
        for note in r.notes.iter().filter(to_do) {
            let _ = writeln!(out, "    {note}");
        }
    }
    out.push_str(&drying_text(page));
    if !page.homeless.is_empty() {
        let _ = writeln!(out, "no home told: {}: {}", page.homeless.len(), page.homeless.join(", "));
    }
    for line in &page.findings {
        let _ = writeln!(out, "{line}");
    }
    out
}

/// The drying place: how full, and what lies there since when.
fn drying_text(page: &Totes) -> String {
    let Some(drying) = page.drying.as_ref().filter(|d| !d.rows.is_empty()) else { return String::new() };
    let mut out = format!("drying place: {}\n", drying.filled());
    for r in &drying.rows {
        let _ = writeln!(out, "    {}", r.line());
    }
    out
}

/// Each shelf with the totes on it.
pub(crate) fn map_text(page: &Totes) -> String {
    if page.map.is_empty() {
        return "no tote or shelf is told yet\n".to_owned();
    }
    let mut out = String::new();
    for shelf in &page.map {
        let margin = "  ".repeat(shelf.depth);
        let own = page.of(shelf).map_or_else(String::new, |r| format!(": {}", r.lies()));
        let head = [shelf.code.as_str(), &shelf.name].join("  ");
        let _ = writeln!(out, "{margin}{}{own}", head.trim_start());
        for r in shelf.totes.iter().filter_map(|n| page.rows.get(*n)) {
            let _ = writeln!(out, "{margin}    {}  {}: {}", r.code, r.name, r.lies());
        }
    }
    out
}

pub(crate) fn map_document(page: &Totes) -> Vec<ShelfDoc> {
    let code = |n: usize| page.rows.get(n).map(|r| r.code.clone());
    let doc = |s: &ShelfRow| ShelfDoc {
        code: s.code.clone(),
        name: s.name.clone(),
        depth: s.depth,
        totes: s.totes.iter().filter_map(|n| code(*n)).collect(),
    };
    page.map.iter().map(doc).collect()
}

pub(crate) fn found_document(found: Vec<Found>) -> Vec<FoundDoc> {
    let doc = |f: Found| FoundDoc { code: f.code, name: f.name, tote: f.tote, stands: f.stands, now: f.now };
    found.into_iter().map(doc).collect()
}

pub(crate) fn found_text(found: &[Found]) -> String {
    if found.is_empty() {
        return "nothing is found\n".to_owned();
    }
    found.iter().fold(String::new(), |out, f| format!("{out}{}\n", f.line()))
}

pub(crate) fn pack_document(pack: PackProposal) -> PackDoc {
    PackDoc {
        totes: pack
            .totes
            .into_iter()
            .map(|t| PackedToteDoc {
                code: t.code,
                pieces: t.pieces.into_iter().map(|p| p.1).collect(),
                mass_g: t.mass_g,
                litres: t.volume_ml as f64 / 1000.0,
            })
            .collect(),
        too_long: pack.too_long.into_iter().map(|(code, _)| code).collect(),
        oversize: pack.oversize,
        bench: pack.bench,
        not_told: pack.not_told,
        notes: pack.notes,
        proven: pack.proven,
        at_least: pack.at_least,
    }
}

pub(crate) fn pack_text(outlook: &Outlook, pack: &PackProposal) -> String {
    let units = outlook.units();
    let mut out = format!("What comes down of {}, {} totes", pack.season, pack.totes.len());
    let _ = if pack.proven {
        writeln!(out, " (proven: fewer are impossible)")
    } else {
        writeln!(out, " (best found: fewer than {} are impossible)", pack.at_least)
    };
    for t in &pack.totes {
        let new = if t.container.is_none() { " (one more tote)" } else { "" };
        let weighed =
            if t.not_weighed > 0 { format!(", {} not weighed", t.not_weighed) } else { String::new() };
        let codes: Vec<&str> = t.pieces.iter().map(|p| p.1.as_str()).collect();
        let stands = if t.stands.is_empty() { String::new() } else { format!(", {}", t.stands) };
        let _ = writeln!(
            out,
            "{} {}{stands}{new}: {}, {}{weighed}; first for {}\n    {}",
            t.code,
            t.name,
            Mass::from_g(t.mass_g).show(units),
            Volume::from_ml(t.volume_ml).show(units),
            t.first,
            codes.join(", ")
        );
    }
    let too_long: Vec<String> = pack.too_long.iter().map(|(code, why)| format!("{code} ({why})")).collect();
    for (what, codes) in [
        ("too long for a tote, pack apart", &too_long),
        ("fits no tote by room or weight", &pack.oversize),
        ("faulty, to the bench tote", &pack.bench),
        ("size not told, stays where it lives", &pack.not_told),
    ] {
        if !codes.is_empty() {
            let _ = writeln!(out, "{what}: {}", codes.join(", "));
        }
    }
    for note in &pack.notes {
        let _ = writeln!(out, "{note}");
    }
    let _ = writeln!(out, "{} pieces would live elsewhere than now; pack --write takes it", pack.moves);
    out
}
