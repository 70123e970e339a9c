//! The checklist, the lid cards and the shopping list as PDF: the same sheets as the pages for the browser.

use super::card::{CAUTION, numbers, rows, told};
use super::checklist::{again, sessions, with};
use super::flow::{Flow, Paper, Para, PrintedPdf, bold, plain};
use super::pdf::{Face, width};
use crate::answers::view::{BoxCard, CardLine, ChecklistGroup, ChecklistLine, ChecklistSheet, ShoppingSheet};

/// Sizes to try, until a session or a card is one page.
const SCALES: [f64; 6] = [1.0, 0.93, 0.86, 0.8, 0.7, 0.6];
/// A session is not written smaller than this: it is read by lamp.
const SMALLEST_SESSION: f64 = 0.8;
/// Left edges of a checklist's columns, in points: the place, the box to tick, the number, the words.
const TICK: f64 = 70.0;
const NUMBER: f64 = 90.0;
const WORDS: f64 = 112.0;

/// The checklist: a session begins a page and is one where it can be.
pub fn checklist_pdf(sheet: &ChecklistSheet, paper: Paper) -> PrintedPdf {
    let foot = if sheet.code.is_empty() {
        sheet.title.clone()
    } else {
        format!(
            "{}   sheet {}   ticked? ladderday step paper {} 12 13 15-18",
            sheet.title, sheet.code, sheet.code
        )
    };
    let mut flow = Flow::new(paper, foot);
    let mut head = vec![Para::new(14.0, vec![bold(&sheet.title)])];
    head.extend(sheet.head.iter().map(|l| Para::new(8.5, vec![plain(l)])));
    flow.keep(&head);
    for (n, (session, groups)) in sessions(sheet).into_iter().enumerate() {
        let high = |flow: &Flow, s: f64| {
            session_blocks(sheet, session, &groups, s).iter().map(|b| flow.height(b)).sum::<f64>()
        };
        let fitting = |flow: &Flow, room: f64| {
            SCALES.into_iter().filter(|s| *s >= SMALLEST_SESSION).find(|s| high(flow, *s) <= room)
        };
        // The first shares its page with the head where it fits there.
        let here = if n == 0 { fitting(&flow, flow.left()) } else { None };
        let scale = here.or_else(|| fitting(&flow, flow.room()));
        if here.is_some() || (n == 0 && scale.is_none()) {
            flow.begin_here(session);
        } else {
            flow.begin(session);
        }
        for block in session_blocks(sheet, session, &groups, scale.unwrap_or(1.0)) {
            flow.keep(&block);
        }
    }
    flow.begin_here("");
    let mut last = |title: &str, lines: Vec<Para>| {
        for (n, line) in lines.into_iter().enumerate() {
            let heading = Para::new(10.0, vec![bold(title)]).above(8.0);
            flow.keep(&if n == 0 { vec![heading, line] } else { vec![line] });
        }
    };
    last(
        "Without a place in the plan",
        sheet.unplaced.iter().map(|l| Para::new(8.5, vec![plain(l)])).collect(),
    );
    let sources = sheet.sources.iter();
    last(
        "Cautions; local code and licensed practice come first. Their sources:",
        sources.map(|(name, source)| Para::new(7.5, vec![bold(name), plain(format!(" {source}"))])).collect(),
    );
    flow.file()
}

fn session_blocks(
    sheet: &ChecklistSheet,
    session: &str,
    groups: &[&ChecklistGroup],
    scale: f64,
) -> Vec<Vec<Para>> {
    let mut blocks: Vec<Vec<Para>> = Vec::new();
    let mut before = Vec::new();
    if !session.is_empty() {
        let code = if sheet.code.is_empty() { String::new() } else { format!("   sheet {}", sheet.code) };
        let title = vec![bold(session), plain(code)];
        before.push(Para { rule: true, ..Para::new(12.0 * scale, title).above(10.0 * scale) });
    }
    for group in groups {
        for (n, line) in group.lines.iter().enumerate() {
            let mut block = std::mem::take(&mut before);
            let mut rows = line_paras(line, !sheet.code.is_empty(), scale);
            let first = n == 0;
            if first && width(&group.place, Face::Bold, 9.0 * scale) < TICK - 4.0 {
                if let Some(row) = rows.first_mut() {
                    row.beside.push((0.0, 9.0 * scale, bold(&group.place)));
                }
            } else if first {
                block.push(Para::new(9.0 * scale, vec![bold(&group.place)]).above(3.0 * scale));
            }
            block.extend(rows);
            blocks.push(block);
        }
    }
    blocks
}

fn line_paras(l: &ChecklistLine, numbered: bool, scale: f64) -> Vec<Para> {
    let mut words = vec![plain(format!("{} {}", l.when, l.title))];
    if let Some(of) = l.of.filter(|of| *of > 1) {
        words.push(plain(format!("  ______ of {of}")));
    }
    let with = with(l);
    let with = if with.is_empty() { with } else { format!(" · {with}") };
    words.push(plain(format!(", {}{with}", l.minutes)));
    let again = again(l);
    if !again.is_empty() {
        words.push(bold(format!("  !\u{A0}{again}")));
    }
    let mut row = Para::new(9.5 * scale, words).at(WORDS).above(2.5 * scale);
    row.tick = Some((TICK, 14.0 * scale));
    if numbered {
        row.beside.push((NUMBER, 10.5 * scale, bold(l.number.to_string())));
    }
    let mut out = vec![row];
    let small = |runs| Para::new(7.8 * scale, runs).at(WORDS);
    for (name, words) in l.cautions.iter().filter_map(|(n, w)| w.as_ref().map(|w| (n, w))) {
        out.push(small(vec![bold(format!("! {name}: ")), plain(words)]));
    }
    out.extend(l.notes.iter().map(|note| small(vec![plain(note)])));
    out
}

/// The lid cards: a page a box, as large as it fits.
pub fn cards_pdf(cards: &[BoxCard], paper: Paper) -> PrintedPdf {
    let mut flow = Flow::new(paper, String::new());
    for card in cards {
        flow.begin(&card.title);
        let high = |scale: f64| {
            let rows = rows(card).into_iter().map(|r| card_row(&flow, r, scale));
            let row = |cells: &Vec<Para>| {
                cells.iter().map(|c| flow.height(std::slice::from_ref(c))).fold(0.0, f64::max) + 3.0
            };
            flow.height(&card_head(card, scale)) + rows.map(|r| row(&r)).sum::<f64>() + 14.0 * scale
        };
        let smallest = SCALES.last().copied().unwrap_or(1.0);
        let scale = SCALES.into_iter().find(|s| high(*s) <= flow.room() - 60.0).unwrap_or(smallest);
        flow.keep(&card_head(card, scale));
        let names = ["port", "lead", "prop", "pixels", "fuse", "wire"];
        let heads: Vec<Para> = names
            .iter()
            .zip(edges(flow.wide()))
            .map(|(name, (from, to))| Para { to, ..Para::new(10.0 * scale, vec![bold(*name)]).at(from) })
            .collect();
        flow.row(&heads);
        for leads in rows(card) {
            let cells = card_row(&flow, leads, scale);
            flow.row(&cells);
        }
        flow.keep(&[Para::new(9.0, vec![bold(format!("! {CAUTION}"))]).above(8.0)]);
    }
    flow.file()
}

fn card_head(card: &BoxCard, scale: f64) -> Vec<Para> {
    let mut head = vec![Para::new(24.0 * scale, vec![bold(&card.title)])];
    let mut about = Vec::new();
    if card.stale {
        about.push(bold("Changed: what is struck out stood on the card before. "));
    }
    if !card.address.is_empty() {
        about.push(plain(format!("address {} ", card.address)));
    }
    about.push(plain(&card.start));
    head.push(Para::new(12.0 * scale, about));
    head
}

/// Left and right edges of the six columns.
fn edges(wide: f64) -> [(f64, f64); 6] {
    let at = |from: f64, to: f64| (from * wide, to * wide - 6.0);
    [at(0.0, 0.12), at(0.12, 0.4), at(0.4, 0.72), at(0.72, 0.81), at(0.81, 0.9), at(0.9, 1.0)]
}

fn card_row(flow: &Flow, leads: &[CardLine], scale: f64) -> Vec<Para> {
    let [port, lead, prop, pixels, fuse, wire] = edges(flow.wide());
    let cell =
        |(from, to): (f64, f64), size: f64, runs| Para { to, ..Para::new(size * scale, runs).at(from) };
    let mut ports = Vec::new();
    if let Some(was) = leads.iter().find_map(|l| l.was.as_ref()) {
        ports.push(Para { struck: true, ..cell(port, 12.0, vec![plain(was)]) });
    }
    let mark = if leads.iter().any(|l| l.changed && l.was.is_none()) { " ●" } else { "" };
    let name = leads.first().map_or("", |l| l.port.as_str());
    let above = if ports.is_empty() { 0.0 } else { 14.0 * scale };
    ports.push(cell(port, 20.0, vec![bold(format!("{name}{mark}"))]).above(above));
    let of_leads = leads.iter().flat_map(|l| [bold(&l.lead), plain(format!(" {} {}  ", l.kind, l.colour))]);
    let mut cells = ports;
    cells.push(cell(lead, 14.0, of_leads.collect()));
    let shown: Vec<String> = leads.iter().map(numbers).filter(|n| !n.is_empty()).collect();
    cells.push(cell(prop, 13.0, vec![plain(leads.first().map_or("", |l| l.prop.as_str()))]));
    if !shown.is_empty() {
        let lines = flow.height(cells.last().map_or(&[][..], std::slice::from_ref));
        cells.push(cell(prop, 8.0, vec![plain(shown.join("; "))]).above(lines));
    }
    cells.push(cell(pixels, 13.0, vec![plain(told(leads, |l| &l.pixels))]));
    cells.push(cell(fuse, 13.0, vec![plain(told(leads, |l| &l.fuse))]));
    cells.push(cell(wire, 11.0, vec![plain(told(leads, |l| &l.wire))]));
    cells
}

/// The shopping list, by vendor.
pub fn shopping_pdf(sheet: &ShoppingSheet, paper: Paper) -> PrintedPdf {
    let mut flow = Flow::new(paper, sheet.title.clone());
    flow.keep(&[Para::new(14.0, vec![bold(&sheet.title)])]);
    let item = |text: String| Para {
        tick: Some((0.0, 12.0)),
        ..Para::new(10.0, vec![plain(text)]).at(18.0).above(3.0)
    };
    let heading = |text: String| Para { rule: true, ..Para::new(12.0, vec![bold(text)]).above(10.0) };
    for v in &sheet.vendors {
        let mut block = vec![heading(format!("{}, {}", v.vendor, v.order_by))];
        for l in &v.lines {
            let priced = if l.priced.is_empty() { String::new() } else { format!(", {}", l.priced) };
            block.push(item(format!("{} {}, {}{priced}", l.count, l.item, l.price)));
            block.extend(l.reasons.iter().map(|r| Para::new(8.0, vec![plain(r)]).at(18.0)));
            flow.keep(&std::mem::take(&mut block));
        }
        flow.keep(&[Para::new(10.0, vec![plain(&v.sums)]).above(3.0)]);
    }
    for (n, line) in sheet.unmet.iter().enumerate() {
        let mut block = if n == 0 { vec![heading("In no basket".to_owned())] } else { Vec::new() };
        block.push(item(line.clone()));
        flow.keep(&block);
    }
    flow.keep(&[Para::new(11.0, vec![bold(&sheet.total)]).above(8.0)]);
    flow.file()
}
