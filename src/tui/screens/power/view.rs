//! Power drawn: the tree with load bars, the voltage along a string, the findings.

use ratatui::layout::Rect;

use super::flow::way_words;
use super::state::{Part, tried_lines};
use crate::answers::view::{Power, PowerNode, StringVoltage};
use crate::tui::look::{Role, Tint};
use crate::tui::screens::today::view::level;
use crate::tui::state::State;
use crate::tui::widgets::Canvas;
use crate::tui::widgets::table::{self, Cell, Line};

/// Draws Power.
pub fn draw(state: &State, canvas: &mut Canvas, area: Rect) {
    let Some(page) = &state.power.page else { return };
    let mut col = 0;
    for (part, name) in Part::ALL {
        let n = if part == Part::Findings { format!(" {}", page.findings.len()) } else { String::new() };
        let role = if part == state.power.part { Role::Selected } else { Role::Text };
        col += canvas.text(area, col, 0, &format!(" {name}{n} "), role) + 1;
    }
    canvas.text(area, col, 0, "Tab", Role::Key);
    match &page.tried {
        Some(tried) => canvas.right(area, 1, &format!("WHAT IF {}; w goes back", tried.what), Role::Strong),
        None => canvas.right(area, 1, &page.level, Role::Strong),
    };
    let low = page.not_told.len().min(3) as u16;
    let body = Rect { y: area.y + 2, height: area.height.saturating_sub(2 + low), ..area };
    match state.power.part {
        Part::Tree => tree(state, page, canvas, body),
        Part::Voltage => voltage(state, page, canvas, body),
        Part::Findings => findings(state, page, canvas, body),
        Part::Numbers => numbers(state, page, canvas, body),
        Part::Tried => tried(state, page, canvas, body),
    }
    for (row, text) in page.not_told.iter().take(usize::from(low)).enumerate() {
        let at = usize::from(area.height.saturating_sub(low)) + row;
        canvas.text(area, 0, at, &format!("• not known: {text}"), Role::Text);
    }
}

fn tree(state: &State, page: &Power, canvas: &mut Canvas, area: Rect) {
    if page.nodes.is_empty() {
        let text = "No circuit, box or supply is told, so nothing is checked here. Import circuits, outlets and links.";
        canvas.wrapped(area, 1, text, Role::Strong);
        return;
    }
    tree_head(canvas, area);
    let list = Rect { y: area.y + 1, height: area.height.saturating_sub(1), ..area };
    let room = usize::from(list.height);
    let top = table::top(state.power.at, page.nodes.len(), room);
    for (row, (at, node)) in page.nodes.iter().enumerate().skip(top).take(room).enumerate() {
        let line = Rect { y: list.y + row as u16, height: 1, ..list };
        node_line(node, at == state.power.at, canvas, line);
    }
    table::more(canvas, list, top, page.nodes.len().saturating_sub(top + room));
}

/// The columns at the right of the tree, by how wide the screen is.
struct Columns {
    /// All of them together.
    wide: u16,
    bar: usize,
    indent: usize,
    /// Whether a prop's code has room.
    codes: bool,
}

impl Columns {
    const LOAD: usize = 18;

    const fn of(area: Rect) -> Self {
        if area.width >= 100 {
            Self { wide: 56, bar: 18, indent: 2, codes: true }
        } else {
            Self { wide: 45, bar: 8, indent: 1, codes: false }
        }
    }

    fn split(&self, area: Rect) -> (Rect, Rect) {
        let wide = self.wide.min(area.width);
        let x = area.x + area.width - wide;
        (Rect { width: (area.width - wide).saturating_sub(1), ..area }, Rect { x, width: wide, ..area })
    }

    const fn percent(&self) -> usize {
        Self::LOAD + self.bar
    }

    const fn lowest(&self) -> usize {
        self.percent() + 6
    }
}

fn tree_head(canvas: &mut Canvas, area: Rect) {
    let columns = Columns::of(area);
    let (name, right) = columns.split(area);
    canvas.text(name, 2, 0, "Circuit to prop", Role::Strong);
    canvas.text(right, 0, 0, "Load and limit", Role::Strong);
    canvas.text(right, columns.lowest(), 0, "Low V limit", Role::Strong);
}

fn node_line(node: &PowerNode, on: bool, canvas: &mut Canvas, area: Rect) {
    let role = if on { Role::Selected } else { Role::Text };
    let strong = if on { role } else { Role::Strong };
    canvas.fill(area, role);
    let columns = Columns::of(area);
    let (name, right) = columns.split(area);
    let text = match (node.kind, columns.codes) {
        // A prop is known by its name.
        ("prop", true) => format!("{} ({})", node.name, node.code),
        ("prop", false) => node.name.clone(),
        (kind, _) if node.code.is_empty() => format!("{kind} {}", node.name),
        (kind, _) => format!("{kind} {}  {}", node.code, node.name),
    };
    let indent = (node.depth * columns.indent).min(20);
    canvas.text(name, indent, 0, &format!("{}{text}", if on { "› " } else { "  " }), role);
    let load = Rect { width: right.width.min(17), ..right };
    canvas.text(load, 0, 0, &node.load, role);
    match node.share {
        Some(share) => {
            let roles = if on { (role, role) } else { (Role::Full, Role::Rest) };
            canvas.bar_as(right, (Columns::LOAD, 0), columns.bar, share, roles);
            canvas.text(right, columns.percent(), 0, &format!("{:>4} %", (share + 5) / 10), role);
            if share > 1000 && node.lowest_mv.is_none() {
                canvas.text(right, columns.lowest(), 0, " ✗ over", strong);
            }
        }
        None => {
            canvas.text(right, Columns::LOAD, 0, "limit not told", role);
        }
    }
    let Some(low) = node.lowest_mv else { return };
    let (sign, role) = match node.limit_mv {
        Some(limit) if low < limit => ("✗", strong),
        Some(_) => ("✓", role),
        None => ("", role),
    };
    let figure = |mv: i64| format!("{}.{:02}", mv / 1000, (mv % 1000).abs() / 10);
    let limit = node.limit_mv.map_or_else(|| "-".to_owned(), figure);
    canvas.text(right, columns.lowest(), 0, &format!("{:>5} {limit:>5} {sign}", figure(low)), role);
}

fn voltage(state: &State, page: &Power, canvas: &mut Canvas, area: Rect) {
    let Some(string) = page.strings.get(state.power.at) else {
        canvas.wrapped(
            area,
            1,
            "No string has length, wire and supply told: no voltage is computed.",
            Role::Strong,
        );
        return;
    };
    let list = (area.height / 3).clamp(3, 8);
    let rows: Vec<Line> = page
        .strings
        .iter()
        .enumerate()
        .map(|(at, s)| {
            let low = s.millivolts.iter().min().map_or_else(|| "not known".to_owned(), |v| volts(*v));
            let sign = match (s.limit_mv, s.millivolts.iter().min()) {
                (Some(limit), Some(low)) if low < &limit => "✗ below the limit",
                (Some(_), Some(_)) => "✓ above the limit",
                _ => "limit not told",
            };
            Line::Row(at, vec![(&s.name).into(), format!("lowest {low}").into(), sign.into()])
        })
        .collect();
    table::draw(
        canvas,
        Rect { height: list, ..area },
        &[("", 0), ("", 16), ("", 18)],
        &rows,
        Some(state.power.at),
    );
    let chart = Rect { y: area.y + list, height: area.height - list, ..area };
    curve(string, canvas, chart);
}

/// Dots of a braille cell, by column and row.
const DOTS: [[u32; 4]; 2] = [[0x01, 0x02, 0x04, 0x40], [0x08, 0x10, 0x20, 0x80]];

/// The voltage from the data end to the far end; a dashed line is the limit, ▲ a feed.
fn curve(string: &StringVoltage, canvas: &mut Canvas, area: Rect) {
    canvas.heading(area, 0, &format!("{}, from the data end", string.name));
    let side = 9;
    if area.height < 5 || usize::from(area.width) < side + 10 || string.millivolts.is_empty() {
        return;
    }
    let plot = Rect {
        x: area.x + side as u16,
        y: area.y + 1,
        width: area.width - side as u16,
        height: area.height - 3,
    };
    let all = || string.millivolts.iter().copied().chain(string.limit_mv);
    let (low, high) = (all().min().unwrap_or(0), all().max().unwrap_or(0));
    let (low, high) = (low.saturating_sub(50), high.saturating_add(50));
    let span = high.saturating_sub(low).max(1);
    let last = string.millivolts.len() - 1;
    let ascii = canvas.look().ascii;
    let (dx, dy) = if ascii { (1, 1) } else { (2, 4) };
    let (wide, high_dots) = (usize::from(plot.width) * dx, usize::from(plot.height) * dy);
    let level = |mv: i64| {
        let up = (mv.saturating_sub(low)).saturating_mul(high_dots as i64 - 1) / span;
        high_dots - 1 - usize::try_from(up).unwrap_or(0).min(high_dots - 1)
    };
    let mut cells = vec![0u32; usize::from(plot.width) * usize::from(plot.height)];
    let mut dot = |x: usize, y: usize| {
        let at = y / dy * usize::from(plot.width) + x / dx;
        let bit = if ascii { 1 } else { DOTS.get(x % 2).and_then(|c| c.get(y % 4)).copied().unwrap_or(0) };
        if let Some(cell) = cells.get_mut(at) {
            *cell |= bit;
        }
    };
    let mut before = None;
    for x in 0..wide {
        let at = if wide > 1 { x * last / (wide - 1) } else { 0 };
        let y = string.millivolts.get(at).map_or(0, |mv| level(*mv));
        let from = before.unwrap_or(y);
        for step in y.min(from)..=y.max(from) {
            dot(x, step);
        }
        before = Some(y);
        if let Some(limit) = string.limit_mv
            && x / dx % 2 == 0
        {
            dot(x, level(limit));
        }
    }
    for row in 0..usize::from(plot.height) {
        let from = row * usize::from(plot.width);
        let line: String = cells
            .iter()
            .skip(from)
            .take(usize::from(plot.width))
            .map(|bits| match (*bits, ascii) {
                (0, _) => ' ',
                (_, true) => '*',
                (bits, _) => char::from_u32(0x2800 + bits).unwrap_or(' '),
            })
            .collect();
        canvas.text(plot, 0, row, &line, Role::Full);
    }
    canvas.text(area, 0, 1, &volts(high), Role::Text);
    canvas.text(area, 0, usize::from(plot.height), &volts(low), Role::Text);
    if let Some(limit) = string.limit_mv {
        let row = 1 + level(limit) / dy;
        canvas.text(area, 0, row, &format!("{}!", volts(limit)), Role::Strong);
    }
    let base = usize::from(plot.height) + 1;
    for feed in &string.feeds {
        let at = (feed.min(&last) * (usize::from(plot.width) - 1)).checked_div(last).unwrap_or(0);
        canvas.text(area, side + at, base, "▲", Role::Strong);
    }
    let text = format!("▲ feed   ! limit   pixel 1 to {}", last + 1);
    canvas.text(area, side, base + 1, &text, Role::Text);
}

fn numbers(state: &State, page: &Power, canvas: &mut Canvas, area: Rect) {
    if page.numbers.is_empty() {
        canvas.wrapped(area, 1, "No data lead to a prop with pixels is told: no numbers.", Role::Strong);
        return;
    }
    let open = page.numbers.iter().filter(|n| n.proposed).count();
    let text = match open {
        0 => "every data lead has its numbers".to_owned(),
        n => format!(
            "{n} proposed, not written: {}; n another way, k writes",
            way_words(page.numbering).to_lowercase()
        ),
    };
    canvas.text(area, 0, 0, &text, Role::Strong);
    let rows: Vec<Line> = page
        .numbers
        .iter()
        .enumerate()
        .map(|(at, n)| {
            let chip = if n.proposed {
                Cell::Chip(Tint::Open, "proposed".to_owned())
            } else {
                Cell::Chip(Tint::Done, "set".to_owned())
            };
            let short = |place: &str| place.replace("universe ", "").replace(" slot ", "/");
            let from_to = format!("{} to {}", short(&n.first), short(&n.last));
            Line::Row(at, vec![chip, (&n.name).into(), from_to.into(), (&n.groups).into()])
        })
        .collect();
    let list = Rect { y: area.y + 1, height: area.height.saturating_sub(1), ..area };
    let columns = [("", 11), ("Prop", 0), ("Universe/slot", 16), ("Multicast group", 29)];
    table::draw(canvas, list, &columns, &rows, Some(state.power.at));
}

fn tried(state: &State, page: &Power, canvas: &mut Canvas, area: Rect) {
    if page.tried.is_none() {
        let text = "Nothing is tried. w tries another level, another wire in a lead, or one more feed, and shows here \
             what it changes. Facts stay as they are.";
        canvas.wrapped(area, 1, text, Role::Strong);
        return;
    }
    let lines = tried_lines(page);
    if lines.is_empty() {
        canvas.wrapped(area, 1, "No voltage, no load and no finding changes.", Role::Strong);
        return;
    }
    let rows: Vec<Line> = lines
        .into_iter()
        .enumerate()
        .map(|(at, [kind, name, before, after])| {
            Line::Row(at, vec![kind.into(), name.into(), before.into(), after.into()])
        })
        .collect();
    let columns = [("", 13), ("Where", 0), ("Before", 20), ("Then", 20)];
    table::draw(canvas, area, &columns, &rows, Some(state.power.at));
}

fn volts(mv: i64) -> String {
    format!("{}.{:02} V", mv / 1000, (mv % 1000).abs() / 10)
}

fn findings(state: &State, page: &Power, canvas: &mut Canvas, area: Rect) {
    if page.findings.is_empty() {
        canvas.wrapped(area, 1, "Nothing was found in what is told.", Role::Strong);
        return;
    }
    let low = 6.min(area.height / 2);
    let rows: Vec<Line> = page
        .findings
        .iter()
        .enumerate()
        .map(|(at, f)| {
            let (tint, word) = level(f.level);
            Line::Row(at, vec![Cell::Chip(tint, word.to_owned()), (&f.place).into(), (&f.what).into()])
        })
        .collect();
    let list = Rect { height: area.height - low, ..area };
    table::draw(canvas, list, &[("", 9), ("Where", 20), ("What", 0)], &rows, Some(state.power.at));
    if let Some(found) = page.findings.get(state.power.at) {
        let lower = Rect { y: area.y + area.height - low, height: low, ..area };
        canvas.heading(lower, 0, &found.what);
        let mut row = 1;
        row += canvas.labelled(lower, row, "is", &format!("{}, limit {}", found.value, found.limit));
        row += canvas.labelled(lower, row, "remedy", &found.remedy);
        if let Some(caution) = &found.caution {
            canvas.labelled(lower, row, "caution", caution);
        }
    }
}
